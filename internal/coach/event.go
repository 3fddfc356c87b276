package coach

import "wanderlead/safety"

// EventType is what sort of thing happened.
type EventType string

// The events a session takes.
const (
	Answer  EventType = "answer"  // what was typed at the question that is due
	Correct EventType = "correct" // a recorded reading was typed wrongly; At names it
	Stop    EventType = "stop"
	Remark  EventType = "remark"
	Paused  EventType = "pause"
	Resumed EventType = "resume"
)

// Event is one thing that happened, with what was typed. At a question that hides
// its answer, Raw is the hash that the front made of the code, never the code.
type Event struct {
	Type EventType
	At   string
	Raw  string
}

// Class is what a reading amounts to for the gates.
type Class uint8

// The classes. Only Pass, Accepted and NotApplicable open a gate.
const (
	None Class = iota
	Pass
	Doubt
	Accepted // a doubt that the supervisor accepted with a reason
	Fail
	SetUp // a fail with a named set-up cause put right; a passing repeat is due
	NotApplicable
	Limitation
	NotTested
	Pending // read, but judged only together with parts still to come
)

var classNames = [...]string{"", "pass", "doubt", "accepted", "fail", "set-up", "not-applicable", "limitation", "not-tested", "pending"}

// String names the class as it stands in records.
func (c Class) String() string { return classNames[c] }

// opens reports whether the class opens a gate.
func (c Class) opens() bool { return c == Pass || c == Accepted || c == NotApplicable }

// Note is one thing to say: an id of the text catalogue with what fills it.
type Note struct {
	ID     string
	Params map[string]string
}

// Done is an act as the record keeps it, for whoever reads the record without
// knowing the sequence.
type Done struct {
	Kind    safety.Kind
	Circuit string // empty: the board
	Board   bool
	Points  bool
	Test    string   // test read or observed
	Parts   []string // what was read by this event, within the test: "r1", "s4", "L-E"
	Item    string   // ledger item
	Class   string   // class of the item
	Opened  bool
	Closed  bool
	Fact    string // fact established, for safety questions: "lock/number", "dead/board" …
}

// Judged is what one group of readings came to.
type Judged struct {
	Part    string   // id of the group's first part
	Test    string   // the test's name in package safety
	Circuit string   // empty: the board
	Parts   []string // the group's parts, within the test: "r1", "rn", "r2"
	Class   Class
	Verdict *Verdict
}

// Feedback is what the session says about an event. A refusal is feedback too: the
// question stays, nothing was lost, and the reason is named.
type Feedback struct {
	At      string   // question or reading the event was about
	Refused string   // id of the reason; empty when taken
	Class   Class    // class of the reading, when one was judged
	Verdict *Verdict // of the worst group judged
	Judged  []Judged
	Done    *Done
	Notes   []Note
	Ended   string // how the session ended, when it did
}
