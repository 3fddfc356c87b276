package prompt

// Questions that the tests of all fronts ask.

var gate = Question{
	ID: "safety/lock/on", Ask: "Is the lock on?", Kind: Choice, Gate: true, Help: "look at the switch itself",
	Options: []Option{{"not-yet", "not yet"}, {"done", "the lock is on and the key is in my pocket"}},
}

var lead = Question{
	ID: "ring-1/lead", Ask: "Where is the lead?", Kind: Choice, Help: "the long one",
	Options: []Option{{"N1", "neutral bar 1"}, {"N2", "neutral bar 2"}, {"earth", "earth bar"}},
}

var reading = Question{ID: "ring-1/ends/r1", Ask: "r1 in Ω:", Kind: Line, Help: "line to line"}

var padlock = Question{ID: "safety/lock/number", Ask: "Number on the padlock:", Kind: Line, Gate: true}

var code = Question{ID: "safety/code", Ask: "Supervisor's code:", Kind: Secret, Gate: true}
