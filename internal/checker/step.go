package checker

import "strings"

// Step takes one line and returns the checker for the longer record with what is
// wrong about the line.
func (c Checker) Step(l Line) (Checker, []Violation) {
	r := &report{at: l.At, skip: c.skip, all: c.all}
	l.Raw = strings.TrimSpace(l.Raw) // kept as typed; a space before or after says nothing
	switch {
	case l.Type == "pause" || l.Type == "resume":
		c = c.perish()
	case l.Type == "stop":
		c.stopping = true
	case l.Type == "remark":
	case l.Verdict == "refused":
		c = c.refused(l)
	case l.Type == "correct":
		c = c.corrected(l, r)
	default:
		c = c.taken(l, r)
	}
	if l.Params["ended"] == "complete" {
		item, open := c.open.any(all)
		r.need(!open, "end-open", "the session ends complete with "+item+" open")
	}
	return c, r.out
}

// perish: lock, key, dead, covers, loads, people and supervisor hold only while nobody
// leaves, hands over the key or touches the rig (EAWR 1989 regulation 13).
func (c Checker) perish() Checker {
	c.lock, c.key, c.main = false, false, false
	return c.noProof().asked()
}

func (c Checker) noProof() Checker {
	c.board, c.points, c.round, c.stage = false, "", "", noRound
	return c
}

// unknown: something is live that was not to be. Isolation need not be seen lit first.
func (c Checker) unknown() Checker {
	c = c.perish()
	c.supply, c.seen, c.notice, c.live = found, true, false, nil
	return c
}

func (c Checker) energisedNow() bool { return c.supply == incoming || c.supply == on }

// corrected takes a reading that was typed wrongly. When what is live relied on it and
// it does not pass, nothing but isolation follows.
func (c Checker) corrected(l Line, r *report) Checker {
	before := c.shaky()
	c = c.verdicts(l, r).disbelieved(l)
	if c.energisedNow() && before == "" && c.shaky() != "" {
		c.shaken = true
	}
	return c
}

// disbelieved: a check of the instrument that turns out not to have passed takes with it what that function read. A
// fail among those was no finding, and is read again once the check passes.
func (c Checker) disbelieved(l Line) Checker {
	for _, j := range l.Judged {
		if _, test := testOf(name(j.At)); test != "instrument" || j.Class == "pass" {
			continue
		}
		_, part, _ := cutLast(j.At)
		insulation := strings.HasPrefix(part, "insulation")
		c.failed = c.failed.without(func(at, _ string) bool {
			_, test := testOf(at)
			_, dead := deadTests[test]
			return dead && (test == "insulation") == insulation
		})
	}
	return c
}

// refused draws the consequences of an answer that was not accepted but says that the
// rig is not as the record has it.
func (c Checker) refused(l Line) Checker {
	parts := strings.Split(l.At, "/")
	if circuit, ok := strings.CutSuffix(l.At, "/circuit/on"); ok && l.Raw == "tripped" {
		c = c.again(circuit) // a fault that showed
	}
	if parts[0] == "safety" && len(parts) == 3 {
		c = c.denied(parts[1], parts[2], l.Raw)
	}
	for _, item := range strings.Fields(l.Params["reopened"]) {
		class := c.known.get(item)
		if class == "" {
			class = "unknown"
		}
		c.open = c.open.with(item, class)
		c = c.asked()
	}
	return c
}

// denied: an answer to a question of safety that says it is not so.
func (c Checker) denied(what, part, raw string) Checker {
	switch part + " " + raw {
	case "number gone":
		if c.locked {
			return c.unknown()
		}
	case "switch-on wrong-switch":
		return c.unknown()
	case "lock on":
		c.main = false
		if c.energisedNow() {
			return c.unknown()
		}
	case "covers board-off", "covers point-off":
		c.covers = false
		if c.energisedNow() {
			return c.unknown()
		}
	case "loads load-in", "loads breaker-on":
		c.loads = false
	case "prove-again failed":
		c.round, c.stage = "", noRound
	case "faults still-in":
		return c.perish()
	case "earthing in-terminal":
		if _, lifted := c.open.any(earthing); lifted { // somebody put it back
			c = c.perish()
			c.open = c.open.without(earthing)
		}
	}
	if part == "pairs" {
		lines, points := c.placeOf(what)
		if _, voltage := shown(raw, lines, points); voltage {
			return c.unknown()
		}
	}
	return c
}

// again drops every dead reading of a circuit but inspection, and insulation of its
// section: a repair, or a fault that showed, asks for all of them anew.
func (c Checker) again(circuit string) Checker {
	x := c.plan.circuit[circuit]
	match := func(at, _ string) bool {
		owner, test := testOf(at)
		_, dead := deadTests[test]
		if owner == circuit {
			return dead
		}
		y := c.plan.circuit[owner]
		return test == "insulation" && x != nil && y != nil && x.Section == y.Section
	}
	c.verdict, c.failed, c.early = c.verdict.without(match), c.failed.without(match), c.early.without(match)
	return c
}

func (c Checker) taken(l Line, r *report) Checker {
	parts := strings.Split(l.At, "/")
	r.need(!c.stopping || l.At == "stop/what", "stop-answered", "goes on before it was said what stop was for")
	r.need(!c.harmed || strings.HasPrefix(l.At, "stop/"), "harm-supervisor", "goes on after somebody was hurt, without the supervisor")
	switch {
	case l.At == "stop/what":
		return c.stopped(l.Raw)
	case l.At == "stop/harm":
		c.harmed = false
	case l.At == "supervisor/code":
		r.need(c.hash == "" || c.hash == l.Raw, "code", "set a second time")
		c.hash = l.Raw
	case l.At == "record/code":
		r.need(l.Raw == c.hash && c.hash != "", "code", "a record accepted with another code")
		c.record = true
	case parts[0] == "safety" && len(parts) == 3:
		return c.safety(parts[1], parts[2], l, r)
	case strings.HasSuffix(l.At, "/decide"):
		return c.decided(strings.TrimSuffix(l.At, "/decide"), l.Raw)
	case l.At == "gate/tests" || l.At == "gate/barred":
	case l.At == "origin":
		r.need(!bare(l.Raw), "content", "an origin declared without its source")
		c.origin = true
	default:
		c = c.step(l, r)
	}
	return c
}

// stopped is what stop was for. What is not known to leave the rig alone does not.
func (c Checker) stopped(what string) Checker {
	c.stopping = false
	switch what {
	case "harm":
		c.harmed = true
		return c.unknown()
	case "voltage-found":
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

// decided is what a fail was said to be. The causes that a repeat may follow are a
// wrong entry and a set-up (lead, null, switch, load); a repair asks for all dead
// tests of the circuit again (BS 7671 Part 6: repeat what the fault could have
// affected).
func (c Checker) decided(at, raw string) Checker {
	n := name(at)
	switch raw {
	case "repair":
		circuit, test := testOf(at)
		c = c.again(circuit)
		if test == "rcd" { // a device that was replaced is tested anew, whatever else of it failed
			c.failed = c.failed.without(func(k, _ string) bool {
				owner, of := testOf(k)
				return owner == circuit && of == test
			})
		}
	case "typed-wrong", "lead", "null", "switch", "load":
	case "repeat": // clears a doubt, never a fail
		if c.failed.has(n) {
			return c
		}
	default:
		return c
	}
	c.failed, c.verdict, c.early = c.failed.without(is(n)), c.verdict.without(is(n)), c.early.without(is(n))
	return c
}
