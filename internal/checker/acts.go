package checker

import "strings"

// step checks an act, a reading or an observation of the sequence itself.
func (c Checker) step(l Line, r *report) Checker {
	p := l.Params
	test := p["test"]
	what := kinds[p["kind"]]
	t, dead := deadTests[test]
	if today, is := outletTests[test]; is && c.plan.FromRecord {
		t = today
	}
	r.need(what != unheard, "known-act", "an act of kind "+p["kind"])
	r.need(test == "" || dead || originTests[test] || circuitTests[test] || freeTests[test], "known-act", "a test named "+test)
	switch { // the test says more than the kind it was recorded with
	case dead || what == unheard:
		what = hands
	case originTests[test] && what != onCircuit:
		what = atOrigin
	case circuitTests[test]:
		what = onCircuit
	}
	board, points := p["board"] != "" || t.board, p["points"] != "" || t.points
	switch what {
	case exposes:
		c.isolated(r)
		c = c.asked()
	case hands:
		c.touched(p["circuit"], board || !points, points, r)
		c = c.asked()
	case atOrigin:
		c.readAtOrigin(test, r)
	case onCircuit:
		c.readOnCircuit(p["circuit"], test, r)
	case switchesOn:
		c.switchedOn(p["circuit"], r)
		c.live = c.live.with(p["circuit"], "on")
	case energises:
		return c.energised(strings.TrimPrefix(p["kind"], "energise-"), r)
	}
	if test == "insulation" {
		c.earthWhole(p["circuit"], r)
	}
	c = c.moved(p, r)
	if c.points != "" && p["circuit"] != c.points && p["kind"] != "" {
		c.points = "" // a circuit's proof lapses on leaving it
	}
	return c.verdicts(l, r)
}

// moved keeps the ledger.
func (c Checker) moved(p map[string]string, r *report) Checker {
	item := p["item"]
	if p["opened"] != "" {
		r.need(!c.open.has(item), "opened-twice", item+" is open already")
		c.open, c.known = c.open.with(item, p["class"]), c.known.with(item, p["class"])
	}
	if p["closed"] != "" {
		r.need(c.open.has(item), "closed-unopened", item+" is not open")
		c.open = c.open.without(func(k, _ string) bool { return k == item })
	}
	return c
}

// touched: on conductors, with fingers or a dead-test instrument.
func (c Checker) touched(circuit string, board, points bool, r *report) {
	c.isolated(r)
	r.need(!board || c.board, "dead-board", "the board is not proved dead")
	r.need(!points || c.points == circuit && c.points != "", "dead-points", "the points are not proved dead")
}

// earthWhole: an insulation test to earth shows nothing of what is not connected to
// earth (BS 7671 643.3.1: protective conductors connected to the earthing arrangement).
func (c Checker) earthWhole(circuit string, r *report) {
	cpc, some := c.open.any(func(k, class string) bool {
		return (class == "cpc" || class == "conductor" && strings.Contains(k, "cpc")) && strings.HasPrefix(k, circuit+"/")
	})
	r.need(!some, "insulation-cpc", cpc+" is off")
	_, some = c.open.any(earthing)
	r.need(!some, "insulation-earth", "the earthing conductor is off")
}

func (c Checker) standing(r *report) {
	r.need(c.covers && c.loads && c.people && c.code, "live-standing", "covers, loads, people or supervisor are not as they were at the gate")
	lack := c.lacking(c.plan.everything)
	r.need(lack == "", "live-tests", "live although "+lack+" does not pass")
	r.need(!c.shaken, "shaken", "not isolated since a reading no longer passed")
}

func (c Checker) readAtOrigin(test string, r *report) {
	r.need(c.supply == incoming, "live-origin", "the incoming side is not what is live")
	r.need(c.main || c.supply != incoming, "main-locked", "main switch not locked off")
	_, lifted := c.open.any(earthing)
	switch test {
	case "ze", "electrode":
		r.need(lifted, "earth-lifted", "with the earthing conductor connected")
	case "pfc":
		r.need(!lifted, "earth-back", "with the earthing conductor lifted")
	}
	c.standing(r)
}

func (c Checker) readOnCircuit(circuit, test string, r *report) {
	r.need(c.supply == on, "live-circuit", "the installation is not on")
	r.need(circuit == "" || c.live.has(circuit), "live-circuit", "its circuit is not on")
	if originTests[test] {
		r.need(test == "pfc" && c.plan.Shrouded, "live-origin", "at the origin with the installation on, and no shrouded points")
	}
	r.need(c.originKnown(), "live-tests", "the origin no longer passes")
	c.ownTests(circuit, "live-tests", r)
	c.standing(r)
}

func (c Checker) switchedOn(circuit string, r *report) {
	r.need(c.supply == on, "live-circuit", "the installation is not on")
	_, heard := c.plan.circuit[circuit]
	r.need(heard, "known-act", "no such circuit")
	r.need(c.originKnown(), "live-tests", "the origin no longer passes")
	c.ownTests(circuit, "circuit-tests", r)
	c.standing(r)
}

func (c Checker) ownTests(circuit, rule string, r *report) {
	lack := c.lacking(c.plan.circuits[circuit])
	r.need(lack == "", rule, "although "+lack+" does not pass")
}

// verdicts keeps what readings came to. A fail may be read again only after it was
// said what it was.
func (c Checker) verdicts(l Line, r *report) Checker {
	for _, j := range l.Judged {
		n := name(j.At)
		if l.Type == "answer" && strings.HasPrefix(j.At, l.At) {
			r.need(!c.failed.has(n), "bare-repeat", n+" failed and was simply read again")
		}
		r.need(j.Class != "not-applicable", "not-applicable", n+": the rig does not say so")
		c.failed = c.failed.without(is(n))
		if j.Class == "fail" {
			c.failed = c.failed.with(n, "1")
		}
		c = c.keep(n, j.Class, c.takenNow(n, j.At, l))
	}
	if len(l.Judged) > 0 {
		return c
	}
	switch l.Verdict {
	case "limitation", "not-tested", "not-applicable":
		r.need(l.Verdict != "not-applicable", "not-applicable", "the rig does not say so")
		c = c.skipped(l, r)
	}
	return c
}

// skipped keeps that readings were not taken. A question may stand for a row; where
// the record does not name the parts, what had passed or was left in doubt is taken
// not to have been asked about.
func (c Checker) skipped(l Line, r *report) Checker {
	n := name(l.At)
	if parts := strings.Fields(l.Params["parts"]); len(parts) > 0 && n == l.At {
		for _, p := range parts {
			at := name(n + "/" + p) // one class for a row that is judged together
			if strings.HasSuffix(n, "/"+p) || p == "value" || p == "seen" {
				at = n // the question names its one part itself, or needs no name for it
			}
			c = c.keep(at, l.Verdict, true)
		}
		return c
	}
	if c.verdict != nil {
		c.verdict = c.verdict.without(func(k, class string) bool {
			return strings.HasPrefix(k, n+"/") && class != "pass" && class != "doubt"
		})
	}
	return c.keep(n, l.Verdict, true)
}

// takenNow reports whether a reading was taken by this line. A correction of what was
// typed, or a verdict that changed because of another reading, leaves it taken when it
// was; a correction of what had been left out does not.
func (c Checker) takenNow(n, at string, l Line) bool {
	was := c.verdict.get(n)
	return l.Type == "answer" && strings.HasPrefix(at, l.At) || was == "" || notRead[was]
}

// keep keeps the class of a reading; now: it was taken by the line at hand.
func (c Checker) keep(n, class string, now bool) Checker {
	if !counts(n) {
		return c
	}
	circuit, test := testOf(n)
	if class == "accepted" {
		class = "pass" // only after the doubt was accepted here as well
		if c.verdict.get(n) != "pass" {
			class = "doubt"
		}
	}
	if c.all && now && test == "insulation" && circuit != "" {
		c.early = c.early.without(is(n))
		if !c.continuityRead(circuit) && !notRead[class] {
			c.early = c.early.with(n, "1")
		}
	}
	if row, _, of := cutLast(n); of { // what was said of the whole row no longer holds
		c.verdict = c.verdict.without(is(row))
	}
	c.verdict = c.verdict.with(n, class)
	return c
}

func cutLast(at string) (before, after string, found bool) {
	i := strings.LastIndex(at, "/")
	if i < 0 {
		return at, "", false
	}
	return at[:i], at[i+1:], true
}

func is(n string) func(k, v string) bool { return func(k, _ string) bool { return k == n } }
