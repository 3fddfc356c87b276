package study

import (
	"slices"
	"strings"

	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// rcdTests are the timed tests and the ramp, by the names of their readings.
var rcdTests = []string{"half-0", "half-180", "one-0", "one-180", "five-0", "five-180", "ramp"}

// measure puts the leads where they were asked for and presses the button.
func (s *State) measure(pair string, fb *Feedback) {
	p := s.pick
	ats := s.terminals(p.place, pair)
	for _, at := range ats {
		if !s.mayMeasure(p, at, fb) {
			return
		}
	}
	taken := &Taken{Function: p.function, TestV: p.testV, RCDTest: p.rcdTest}
	var opened []string
	for _, at := range ats {
		tests := []string{p.rcdTest}
		if p.rcdTest == "auto" {
			tests = rcdTests[:len(rcdTests)-1]
		}
		for _, test := range tests {
			one := at
			one.RCDTest = test
			s.take(p, &one)
			opened = append(opened, one.Shown.Opened...)
			if p.rcdTest == "auto" { // an automatic run waits for the device to be reset each time
				opened = nil
			} else {
				for _, d := range one.Shown.Opened {
					s.cond.Open[d] = true
				}
			}
			taken.At = append(taken.At, one)
		}
	}
	s.last, fb.Shown = taken, taken
	s.route++
	for _, d := range slices.Compact(slices.Sorted(slices.Values(opened))) {
		fb.say("study.opened", "thing", d)
	}
}

// take takes one reading in the installation as it stands.
func (s *State) take(p picked, at *At) {
	c := s.cond.Clone()
	for k, v := range at.Position {
		c.Position[k] = v
	}
	for _, t := range at.with { // all live conductors in one clip
		c.Links = append(c.Links, wiring.Link{A: at.A, B: t})
	}
	at.Cond, at.Leads = c, s.leads
	key := strings.Join([]string{string(p.function), at.A, at.B, at.RCDTest}, " ")
	at.Try = s.tries[key]
	s.tries[key]++
	if s.set.Exam && s.facts.Supply == safety.Off {
		return // dead tests change nothing, and what they show is not this state's to know
	}
	at.Shown = s.show(p, *at, c, s.leads)
}

// show is what the instrument shows, in any condition.
func (s *State) show(p picked, at At, c wiring.Condition, l meter.Leads) meter.Shown {
	if at.A == "" { // at the tips
		return s.atTips(p, at.Point, l)
	}
	set := meter.RCDTest{IdnMA: 30}
	if d := s.built.Rig.RCDOf(s.circuitOf(at.A)); d != nil {
		set.IdnMA, set.Delayed = d.IdnMA, d.Delay == "S"
	}
	f := p.function
	if multiple, half, ok := strings.Cut(at.RCDTest, "-"); ok {
		set.Multiple = map[string]float64{"half": 0.5, "one": 1, "five": 5}[multiple]
		set.Half = half == "180"
	} else if at.RCDTest == "ramp" {
		f = signature.RCDRamp
	}
	u := signature.SetUp{Function: f, Conds: []wiring.Condition{c}, A: at.A, B: at.B, TestV: p.testV, RCD: set,
		Points: at.A + " " + at.B + " " + at.RCDTest}
	shown, err := u.Read(s.built, signature.Options{Instrument: s.instrument(), Leads: l}, at.Try)
	if err != nil { // a terminal that a fault has taken away
		return meter.Shown{Refusal: meter.NoSupply}
	}
	return shown
}

// circuitOf is the circuit a terminal belongs to, the one in view for the board's own.
func (s *State) circuitOf(terminal string) *rig.Circuit {
	owner, _, _ := strings.Cut(terminal, "/")
	if c, ok := s.built.Rig.Circuit(owner); ok {
		return c
	}
	return &s.built.Rig.Circuits[s.focus]
}

// atTips is the instrument by itself: its leads apart, or on each other.
func (s *State) atTips(p picked, how string, l meter.Leads) meter.Shown {
	b := &wiring.Plan{}
	b = wiring.NewPlan(wiring.Element{Name: "tips", Kind: wiring.Core, A: "a", B: "b", Ohm: 0},
		wiring.Element{Name: "far", Kind: wiring.Core, A: "c", B: "d", Ohm: 0})
	bench := meter.Bench{Rig: s.built.Rig, Plan: b}
	x, y := "a", "b"
	if how == "apart" {
		y = "c"
	}
	var shown meter.Shown
	w := meter.Where{Points: "tips " + how}
	if p.function == signature.Insulating {
		shown, _ = s.instrument().Insulation(bench, x, y, p.testV, 0, w)
	} else {
		shown, _ = s.instrument().LowOhm(bench, x, y, l, w)
	}
	return shown
}

// terminals are where both leads go, once for each reading of a row.
func (s *State) terminals(place, pair string) []At {
	c := s.circuit()
	x, y, _ := strings.Cut(pair, "-")
	switch place {
	case "tips":
		return []At{{Point: pair}}
	case "at-board":
		if rest, ok := strings.CutPrefix(pair, "leg1-"); ok {
			core, _, _ := strings.Cut(rest, "-")
			return []At{{A: wiring.BoardEnd(c, 1, core), B: wiring.BoardEnd(c, 2, core)}}
		}
		if x == "LN" {
			return []At{liveTogether(c, "", func(k string) string { return wiring.BoardEnd(c, 1, k) }, "board/met")}
		}
		return []At{{A: s.boardTerminal(x), B: s.boardTerminal(y)}}
	case "bars":
		if x == "L" {
			return []At{{A: wiring.Home(s.rig(), c, wiring.Cores(c)[0]), B: "board/bar/" + y}}
		}
		return []At{{A: "board/bar/" + x, B: "board/bar/" + y}}
	case "earthing":
		if pair == "supply-cable" {
			return []At{{A: "supply-cable/armour", B: "board/met"}}
		}
		if bond, ok := strings.CutPrefix(pair, "bond-"); ok {
			return []At{{A: "board/met", B: "bond/" + bond + "@clamp"}}
		}
		return []At{{A: "origin/E", B: "board/earthing-conductor"}}
	case "origin":
		t := map[string]string{"E": "board/met", "lifted": "board/earthing-conductor"}
		at := func(k string) string {
			if name, ok := t[k]; ok {
				return name
			}
			return "board/incoming/" + k
		}
		return []At{{A: at(x), B: at(y)}}
	case "positions":
		return s.positions(y)
	}
	var points []string
	for _, p := range c.Points {
		if p.Kind != rig.Switchbox && (place == "each-point" || p.ID == place) {
			points = append(points, p.ID)
		}
	}
	var out []At
	for _, p := range points {
		if x == "LN" {
			at := func(k string) string { return c.ID + "/" + p + "/" + k }
			out = append(out, liveTogether(c, p, at, at("E")))
			continue
		}
		a, b := c.ID+"/"+p+"/"+x, c.ID+"/"+p+"/"+y
		if x == "met" {
			a = "board/met"
		}
		out = append(out, At{Point: p, A: a, B: b})
	}
	return out
}

// liveTogether is a reading from all live conductors of a circuit in one clip to earth.
func liveTogether(c *rig.Circuit, point string, at func(core string) string, earth string) At {
	cores := wiring.Cores(c)
	out := At{Point: point, A: at(cores[0]), B: earth}
	for _, k := range cores[1 : len(cores)-1] {
		out.with = append(out.with, at(k))
	}
	return out
}

// boardTerminal is a core's terminal at the board: its cable's end, and for earth the main earthing terminal.
func (s *State) boardTerminal(core string) string {
	if core == "E" {
		return "board/met"
	}
	return wiring.BoardEnd(s.circuit(), 1, core)
}

// positions reads at the last lamp in every position of the circuit's switches.
func (s *State) positions(to string) []At {
	c := s.circuit()
	last := ""
	for _, p := range c.Points {
		if p.Kind == rig.Fitting {
			last = p.ID
		}
	}
	if last == "" {
		return nil
	}
	n := len(c.Switches)
	var out []At
	for k := range 1 << n {
		at := At{A: c.ID + "/" + last + "/SL", B: c.ID + "/" + last + "/" + to, Position: map[string]int{}}
		var names []string
		for i, sw := range c.Switches {
			v := k >> (n - 1 - i) & 1
			at.Position[c.ID+"/"+sw.ID] = v
			names = append(names, positionName(n, v))
		}
		at.Point = strings.Join(names, "-")
		out = append(out, at)
	}
	return out
}

// positionName is a switch's position in the words of the sequences: a pair of two-way switches is up or down, a single
// one on or off.
func positionName(switches, position int) string {
	if switches > 1 {
		return []string{"up", "down"}[position]
	}
	return []string{"off", "on"}[position]
}

// mayMeasure holds a measurement against the interlock.
func (s *State) mayMeasure(p picked, at At, fb *Feedback) bool {
	if at.A == "" {
		return true
	}
	w := s.wantAt(at.A, at.B)
	deadTest := p.function == signature.LowOhm || p.function == signature.Insulating
	plug := s.plugIn(at)
	switch {
	case deadTest || s.facts.Supply == safety.Off:
		w.Kind = safety.DeadTest
	case s.atOrigin(at):
		w.Kind = safety.LiveIncoming
		if s.rig().Isolation.Incoming == rig.ShroudedPoints && s.facts.Supply == safety.On && p.function != signature.LoopHigh && p.function != signature.LoopNoTrip {
			w.Kind = safety.LiveTest
		}
	case !plug:
		fb.refuse("exposed")
		return false
	default:
		w.Kind = safety.LiveTest
	}
	if w.Kind == safety.DeadTest && !s.uncovered(w, []string{at.A, at.B}, fb) {
		return false
	}
	return s.may(w, fb)
}

// wantAt is where hands or leads go that go to terminals.
func (s *State) wantAt(terminals ...string) safety.Want {
	w := safety.Want{Circuit: -1}
	for _, t := range terminals {
		owner, rest, _ := strings.Cut(t, "/")
		i := slices.IndexFunc(s.rig().Circuits, func(c rig.Circuit) bool { return c.ID == owner })
		if i < 0 {
			w.Board = true
			continue
		}
		w.Circuit = i
		place, _, _ := strings.Cut(rest, "/")
		if slices.Contains([]string{"way", "leg1", "leg2", "end", "rcbo", "breaker"}, place) {
			w.Board = true
		} else {
			w.Points = safety.CircuitPlace(i)
		}
	}
	return w
}

// atOrigin reports whether both leads are at the incoming terminals or on earth.
func (s *State) atOrigin(at At) bool {
	incoming := false
	for _, t := range []string{at.A, at.B} {
		switch {
		case strings.HasPrefix(t, "board/incoming/"):
			incoming = true
		case t == "board/met", t == "board/earthing-conductor":
		default:
			return false
		}
	}
	return incoming
}

// pointOf is the point of a circuit that a terminal is at; nil at the board.
func (s *State) pointOf(terminal string) (*rig.Circuit, *rig.Point) {
	owner, rest, _ := strings.Cut(terminal, "/")
	c, ok := s.rig().Circuit(owner)
	if !ok {
		return nil, nil
	}
	place, _, _ := strings.Cut(rest, "/")
	for i := range c.Points {
		if c.Points[i].ID == place {
			return c, &c.Points[i]
		}
	}
	return c, nil
}

// plugIn reports whether a measurement is taken with a plug-in lead, nothing opened.
func (s *State) plugIn(at At) bool {
	for _, t := range []string{at.A, at.B} {
		if _, p := s.pointOf(t); p == nil || !p.PlugIn {
			return false
		}
	}
	return true
}
