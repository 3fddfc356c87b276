package checker

// begins notices that the questions of another gate have begun: what was answered
// before, at whatever gate, no longer counts.
func (c Checker) begins(gate string) Checker {
	if c.energisedNow() || gate != "incoming" && gate != "installation" || c.gate == gate {
		return c
	}
	c = c.asked()
	c.gate = gate
	return c
}

// asked forgets what was answered at gates: they are asked afresh.
func (c Checker) asked() Checker {
	c.covers, c.loads, c.people, c.code = false, false, false, false
	return c.noGate()
}

func (c Checker) noGate() Checker {
	c.gate, c.earth, c.faults, c.reason = "", false, false, false
	return c
}

func (c Checker) answered(part string, l Line, r *report) Checker {
	switch part {
	case "covers":
		c.covers = true
	case "loads":
		c.loads = true
	case "people":
		c.people = true
	case "earthing":
		_, lifted := c.open.any(earthing)
		r.need((l.Raw == "lifted") == lifted, "gate-earthing", "said to be "+l.Raw)
		c.earth = true
	case "faults":
		c.faults = true
	case "doubts":
		c.reason = l.Raw != "repeat"
		if !c.reason {
			c.verdict = c.verdict.without(func(_, v string) bool { return v == "doubt" })
		}
	case "code":
		r.need(l.Raw == c.hash && c.hash != "", "code", "another code than the one given at the start")
		c.code = true
		if c.reason { // the doubts came to the supervisor together, under one code
			c.verdict = c.verdict.changed(func(_, v string) string {
				if v == "doubt" {
					return "pass"
				}
				return v
			})
		}
	default:
		r.need(false, "known-act", "no such question of safety")
	}
	return c
}

func earthing(_, class string) bool { return class == "earthing-conductor" }

// energised checks a gate that was passed.
func (c Checker) energised(gate string, r *report) Checker {
	r.need(c.supply == off, "gate-from-off", "not switched off before")
	r.need(c.lock && c.key && c.notice, "gate-locked", "not locked until now")
	r.need(len(c.plan.Circuits) > 0, "gate-circuits", "a board without circuits")
	if c.plan.FromRecord {
		r.need(c.record, "gate-record", "no record was accepted")
		r.need(c.checkedToday(), "gate-tests", "without today's check of any circuit")
	}
	lack := c.lacking(c.plan.everything)
	r.need(lack == "", "gate-tests", "without "+lack)
	at, doubted := c.verdict.any(func(at, class string) bool {
		return class == "doubt" && (gate != "incoming" || deadReading(at))
	})
	r.need(!doubted, "gate-doubts", at+" is in doubt, and nobody accepted that")
	at, failing := c.verdict.any(func(at, class string) bool { return !passed(class) && class != "doubt" && deadReading(at) })
	r.need(!failing, "gate-tests", at+" does not pass")
	at, early := c.early.any(func(at, _ string) bool { return passed(c.verdict.get(at)) })
	r.need(!early, "order", at+" was read before continuity")
	asked := c.gate == gate && c.covers && c.loads && c.earth && c.people && c.code
	switch gate {
	case "installation":
		asked = asked && c.faults
		r.need(c.originKnown(), "gate-origin", "nobody knows supply and external earth")
	case "incoming":
		r.need(c.plan.Upstream, "gate-upstream", "the incoming terminals were never dead")
		r.need(c.main, "main-locked", "main switch not locked off")
	default:
		r.need(false, "known-act", "no such gate")
	}
	r.need(asked, "gate-questions", "not every question of this gate was answered at it")
	item, open := c.open.any(func(_, class string) bool {
		return gate != "incoming" || class != "earthing-conductor" && class != "incoming-access"
	})
	r.need(!open, "gate-ledger", item+" is open")

	c = c.noProof().noGate()
	c.seen, c.lock, c.key, c.notice = false, false, false, false
	c.supply = incoming
	if gate != "incoming" {
		c.supply, c.main, c.live = on, false, nil
	}
	return c
}

// checkedToday reports whether some circuit had today's check.
func (c Checker) checkedToday() bool {
	for id := range c.plan.circuits {
		if c.lacking(c.plan.circuits[id]) == "" {
			return true
		}
	}
	return false
}
