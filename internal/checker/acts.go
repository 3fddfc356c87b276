package checker

import "strings"

// energised checks a gate that was passed (design of two gates: incoming side only,
// then the installation; BS 7671 Part 6, dead tests before the supply is connected).
func (c Checker) energised(gate string, r *report) Checker {
	r.need(c.supply == off, "gate-from-off", gate+": not from isolation")
	lack := c.lacking(c.rig.required(), c.reason)
	r.need(lack == "" && (!c.rig.FromRecord || c.record), "gate-tests", gate+": without "+lack)
	asked := c.gate == gate && c.covers && c.loads && c.earth && c.people && c.code
	if gate == "installation" {
		asked = asked && c.faults
		r.need(c.originKnown(), "gate-origin", "nobody knows supply and external earth")
	} else {
		r.need(c.rig.Upstream, "gate-upstream", "incoming side of a rig whose terminals were never dead")
		r.need(c.main, "main-locked", "main switch not locked off")
	}
	r.need(asked, "gate-questions", gate+": not every question of this gate was answered at it")
	item, open := c.open.any(func(_, class string) bool {
		return gate != "incoming" || class != "earthing-conductor" && class != "incoming-access"
	})
	r.need(!open, "gate-ledger", gate+": "+item+" is open")

	if c.reason {
		c.verdict = c.acceptDoubts()
	}
	c = c.noProof().noGate()
	c.seen, c.lock, c.key, c.notice = false, false, false, false
	c.supply = incoming
	if gate == "installation" {
		c.supply, c.main, c.live = on, false, nil
	}
	return c
}

func (c Checker) acceptDoubts() *set {
	v := c.verdict
	for {
		at, some := v.any(func(_, class string) bool { return class == "doubt" })
		if !some {
			return v
		}
		v = v.with(at, "accepted")
	}
}

func (c Checker) originKnown() bool {
	if c.origin {
		return true
	}
	return c.met([]string{"supply/*"}, c.reason) && (c.met([]string{"ze"}, c.reason) || c.met([]string{"electrode"}, c.reason))
}

// step checks an act, a reading or an observation of the sequence itself.
func (c Checker) step(l Line, r *report) Checker {
	p := l.Params
	test := p["test"]
	_, dead := deadTests[test]
	switch {
	case dead:
		t := deadTests[test]
		c.hands(l, t.board, t.points, r)
	case test == "inspection" && p["kind"] == "inspect-open":
		c.hands(l, true, false, r)
	case originTests[test] && !(test == "pfc" && c.rig.Shrouded):
		c.atOrigin(l, test, r)
	case circuitTests[test] || test == "pfc":
		c.onCircuit(l, r)
	case p["kind"] == "circuit-on":
		c.switchedOn(l, r)
		c.live = c.live.with(p["circuit"], "on")
	case p["kind"] == "take-off-cover":
		c.isolated(l, r)
	case test == "" && handActs[p["kind"]]:
		c.hands(l, p["board"] != "", p["points"] != "", r)
	}
	if p["opened"] != "" {
		c.open = c.open.with(p["item"], p["class"])
		c.known = c.known.with(p["item"], p["class"])
	}
	if p["closed"] != "" {
		c.open = c.open.without(func(k, _ string) bool { return k == p["item"] })
	}
	if c.points != "" && p["circuit"] != c.points && p["kind"] != "" {
		c.points = ""
	}
	return c.verdicts(l, r)
}

func (c Checker) isolated(l Line, r *report) {
	r.need(c.supply == off && c.lock && c.key && c.notice, "isolated", l.At+": not off, locked, key held and notice up")
}

// hands: on conductors, with fingers or a dead-test instrument.
func (c Checker) hands(l Line, board, points bool, r *report) {
	c.isolated(l, r)
	r.need(!board || c.board, "dead", l.At+": the board is not proved dead")
	r.need(!points || c.points == l.Params["circuit"] && c.points != "", "dead", l.At+": the points are not proved dead")
}

func (c Checker) standing(l Line, r *report) {
	r.need(c.covers && c.loads && c.people && c.code, "live-standing", l.At+": covers, loads, people or supervisor are not as they were at the gate")
	r.need(c.lacking(c.rig.required(), false) == "", "live-tests", l.At+": live although "+c.lacking(c.rig.required(), false)+" does not pass")
}

func (c Checker) atOrigin(l Line, test string, r *report) {
	r.need(c.supply == incoming, "live-origin", l.At+": the incoming side is not what is live")
	r.need(c.main, "main-locked", l.At+": main switch not locked off")
	if test == "ze" || test == "electrode" {
		_, lifted := c.open.any(func(_, class string) bool { return class == "earthing-conductor" })
		r.need(lifted, "earth-lifted", l.At+": with the earthing conductor connected")
	}
	c.standing(l, r)
}

func (c Checker) onCircuit(l Line, r *report) {
	r.need(c.supply == on, "live-circuit", l.At+": the installation is not on")
	circuit := l.Params["circuit"]
	r.need(circuit == "" || c.live.get(circuit) != "", "live-circuit", l.At+": its circuit is not on")
	r.need(c.originKnown(), "live-tests", l.At+": the origin no longer passes")
	c.standing(l, r)
}

func (c Checker) switchedOn(l Line, r *report) {
	r.need(c.supply == on, "live-circuit", l.At+": the installation is not on")
	for i := range c.rig.Circuits {
		if x := &c.rig.Circuits[i]; x.ID == l.Params["circuit"] {
			lack := c.lacking(x.required(c.rig), false)
			r.need(lack == "", "circuit-tests", l.At+": without "+lack)
		}
	}
	c.standing(l, r)
}

// verdicts keeps what readings came to. A fail may be typed again only after it was
// said what it was.
func (c Checker) verdicts(l Line, r *report) Checker {
	for _, j := range l.Judged {
		n := name(j.At)
		if l.Type == "answer" && strings.HasPrefix(j.At, l.At) {
			r.need(c.failed.get(n) == "", "bare-repeat", n+" failed and was simply read again")
		}
		c.verdict = c.verdict.with(n, j.Class)
		if j.Class == "fail" {
			c.failed = c.failed.with(n, "1")
		} else {
			c.failed = c.failed.without(func(k, _ string) bool { return k == n })
		}
	}
	if len(l.Judged) == 0 {
		switch l.Verdict {
		case "limitation", "not-tested", "not-applicable":
			r.need(l.Verdict != "not-applicable", "not-applicable", l.At+": the rig does not say so")
			c.verdict = c.verdict.with(name(l.At), l.Verdict)
		}
	}
	return c
}
