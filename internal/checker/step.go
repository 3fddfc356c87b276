package checker

import "strings"

// Rules are the names of what the checker looks for.
var Rules = []string{"isolated", "dead", "gate-from-off", "gate-questions", "gate-tests", "gate-ledger", "gate-upstream", "gate-origin",
	"main-locked", "live-origin", "earth-lifted", "live-circuit", "live-standing", "live-tests", "circuit-tests", "bare-repeat",
	"not-applicable", "code", "end-open"}

// report collects violations of one line.
type report struct {
	skip string
	out  []Violation
}

func (r *report) need(ok bool, rule, text string) {
	if !ok && rule != r.skip {
		r.out = append(r.out, Violation{rule, text})
	}
}

// Step takes one line and returns the checker for the longer record with what is
// wrong about the line.
func (c Checker) Step(l Line) (Checker, []Violation) {
	r := &report{skip: c.skip}
	switch {
	case l.Type == "pause" || l.Type == "resume":
		c = c.perish()
	case l.Type == "stop" || l.Type == "remark":
	case l.Verdict == "refused":
		c = c.refused(l)
	case l.Type == "correct":
		c = c.verdicts(l, r)
	default:
		c = c.taken(l, r)
	}
	if l.Params["ended"] == "complete" {
		item, open := c.open.any(func(string, string) bool { return true })
		r.need(!open, "end-open", "the session ends complete with "+item+" open")
	}
	return c, r.out
}

// perish: lock, key, dead, covers, loads, people and supervisor hold only while nobody
// leaves, hands over the key or touches the rig (EAWR 1989 regulation 13).
func (c Checker) perish() Checker {
	c.lock, c.key, c.main = false, false, false
	c.covers, c.loads, c.people, c.code = false, false, false, false
	return c.noProof().noGate()
}

func (c Checker) noProof() Checker {
	c.board, c.points, c.round, c.stage = false, "", "", 0
	return c
}

func (c Checker) noGate() Checker {
	c.gate, c.earth, c.faults, c.reason = "", false, false, false
	return c
}

// unknown: something is live that was not to be. Isolation need not be seen lit first.
func (c Checker) unknown() Checker {
	c = c.perish()
	c.supply, c.seen, c.notice, c.live = found, true, false, nil
	return c
}

// refused draws the consequences of an answer that was not accepted but says that the
// rig is not as the record has it.
func (c Checker) refused(l Line) Checker {
	switch l.Rule {
	case "voltage-found", "lock-gone", "main-switch-on-live", "cover-off-live", "wrong-switch":
		c = c.unknown()
	case "because.prove-again.failed":
		c.round, c.stage = "", 0
	case "because.faults.still-in":
		c = c.perish()
	case "because.earthing-off.in-terminal":
		c = c.perish()
		c.open = c.open.without(func(_, class string) bool { return class == "earthing-conductor" })
	case "wrong-answer":
		if circuit, ok := strings.CutSuffix(l.At, "/circuit/on"); ok && l.Raw == "tripped" {
			c = c.again(circuit)
		}
	}
	if l.Rule != "not-yet" && l.Rule != "no-such-answer" {
		c = c.begins(l)
	}
	for _, item := range strings.Fields(l.Params["reopened"]) {
		class := c.known.get(item)
		if class == "" {
			class = "unknown"
		}
		c.open = c.open.with(item, class)
		c = c.asked("")
	}
	return c
}

// again drops every dead reading of a circuit but inspection, and insulation of its
// section: a repair, or a fault that showed, asks for all of them anew.
func (c Checker) again(circuit string) Checker {
	section := "?"
	for _, x := range c.rig.Circuits {
		if x.ID == circuit {
			section = x.Section
		}
	}
	c.verdict = c.verdict.without(func(at, _ string) bool {
		owner, test, _ := strings.Cut(at, "/")
		test, _, _ = strings.Cut(test, "/")
		if owner == circuit {
			_, dead := deadTests[test]
			return dead
		}
		for _, x := range c.rig.Circuits {
			if x.ID == owner && x.Section == section && test == "insulation" {
				return true
			}
		}
		if circuit == "" {
			_, dead := deadTests[owner]
			return dead
		}
		return false
	})
	return c
}

func (c Checker) taken(l Line, r *report) Checker {
	parts := strings.Split(l.At, "/")
	switch {
	case l.At == "supervisor/code":
		c.hash = l.Raw
	case l.At == "record/code":
		r.need(l.Raw == c.hash && c.hash != "", "code", "a record accepted with another code")
		c.record = true
	case l.At == "stop/what":
		c = c.stopped(l.Raw)
	case parts[0] == "safety" && len(parts) == 3:
		c = c.safety(parts[1], parts[2], l, r)
	case strings.HasSuffix(l.At, "/decide"):
		c = c.decided(strings.TrimSuffix(l.At, "/decide"), l.Raw)
	case l.At == "gate/tests" || l.At == "gate/barred":
	case l.At == "origin":
		c.origin = true
	default:
		c = c.step(l, r)
	}
	return c
}

func (c Checker) stopped(what string) Checker {
	switch what {
	case "harm", "voltage-found":
		return c.unknown()
	case "supervisor-left":
		c.code = false
		return c
	case "someone-joined":
		c.people = false
		return c
	case "leave":
		return c
	}
	return c.perish()
}

func (c Checker) decided(at, raw string) Checker {
	n := name(at)
	mine := func(k, _ string) bool { return k == n }
	switch raw {
	case "go-on", "leave":
		return c
	case "repair":
		circuit := ""
		if owner, _, ok := strings.Cut(at, "/"); ok {
			for _, x := range c.rig.Circuits {
				if x.ID == owner {
					circuit = owner
				}
			}
		}
		c = c.again(circuit)
	}
	c.failed = c.failed.without(mine)
	c.verdict = c.verdict.without(mine)
	return c
}

// safety takes the answer to a question about isolation, proof, people or a gate.
func (c Checker) safety(what, part string, l Line, r *report) Checker {
	switch what + "/" + part {
	case "supply/seen":
		c.seen = true
	case "isolator/off":
		r.need(c.seen, "isolated", "switched off before supply was seen")
		if c.supply == on || c.supply == found {
			c.main = false
		}
		c.supply, c.lock, c.key, c.notice, c.live = off, false, false, false, nil
		return c.noProof().noGate()
	case "lock/number":
		c.lock = true
	case "lock/key":
		c.key = true
	case "notice/where":
		c.notice = true
	case "main-switch/lock":
		c.main = true
		return c.begins(l)
	default:
		return c.proofOrGate(what, part, l, r)
	}
	return c
}

func (c Checker) proofOrGate(what, part string, l Line, r *report) Checker {
	switch part {
	case "indicator":
		c.round, c.stage = what, 1
		return c
	case "pairs":
		phases, points := c.placeOf(what)
		if c.round == what && c.stage == 1 && deadProven(l.Raw, phases, points) {
			c.stage = 2
		}
		return c
	case "prove-again":
		if c.round == what && c.stage == 2 && l.Raw == "works" {
			if what == "board" {
				c.board = true
			} else {
				c.points = what
			}
		}
		c.round, c.stage = "", 0
		return c
	case "switch-on":
		return c.energised(what, r)
	}
	return c.begins(l).answeredAt(part, l, r)
}

func (c Checker) placeOf(what string) (phases, points int) {
	for _, x := range c.rig.Circuits {
		if x.ID == what {
			return x.Lines, x.AllPoints
		}
	}
	return c.rig.Phases, 1
}

// begins notices that the questions of another gate have begun: what was answered
// before, at whatever gate, no longer counts.
func (c Checker) begins(l Line) Checker {
	parts := strings.Split(l.At, "/")
	if len(parts) != 3 || parts[0] != "safety" {
		return c
	}
	g := parts[1]
	switch {
	case l.At == "safety/main-switch/lock" && c.supply == off:
		g = "incoming"
	case g != "incoming" && g != "installation":
		return c
	}
	if parts[2] == "switch-on" || c.gate == g {
		return c
	}
	return c.asked(g)
}

func (c Checker) asked(gate string) Checker {
	c.covers, c.loads, c.people, c.code = false, false, false, false
	c = c.noGate()
	c.gate = gate
	return c
}

func (c Checker) answeredAt(part string, l Line, r *report) Checker {
	switch part {
	case "covers":
		c.covers = true
	case "loads":
		c.loads = true
	case "earthing":
		c.earth = true
	case "faults":
		c.faults = true
	case "people":
		c.people = true
	case "doubts":
		c.reason = l.Raw != "repeat"
		if !c.reason {
			c.verdict = c.verdict.without(func(_, v string) bool { return v == "doubt" })
		}
	case "code":
		r.need(l.Raw == c.hash && c.hash != "", "code", "another code than the one given at the start")
		c.code = true
	}
	return c
}
