package signature

import (
	"fmt"
	"math"
	"os"
	"sort"
	"strings"
	"testing"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// furtherMoves are the tests that tell some faults apart, each against what the sound installation gives: line and neutral
// round every point, every position of the switches, the metalwork and what is bonded, the own cpc lifted, conductors of other circuits, a
// pulsating test current on a Type A device, and each load in.
func (x *inspector) furtherMoves(c *rig.Circuit) []string {
	var out []string
	sound, err := faults.Build(x.was, x.o.Wiring)
	if err != nil {
		x.t.Fatal(err)
	}
	described, ok := x.was.Circuit(c.ID)
	if !ok {
		return nil
	}
	low := func(what string, cond wiring.Condition, a, b string) {
		read := func(of *faults.Built) float64 {
			n, err := of.Plan.Net(cond)
			if err != nil {
				x.t.Fatalf("%s %s: %v", x.was.ID, what, err)
			}
			v, err := n.Ohm(a, b)
			if err != nil {
				x.t.Fatalf("%s %s: %v", x.was.ID, what, err)
			}
			if v > 99.9 {
				return math.Inf(1)
			}
			return v
		}
		got, want := read(x.b), read(sound)
		if math.IsInf(got, 1) != math.IsInf(want, 1) || !math.IsInf(got, 1) && math.Abs(got-want) > 0.05+0.1*want {
			out = append(out, fmt.Sprintf("%s: %.2f, sound %.2f", what, got, want))
		}
	}
	now := &tests{Built: x.b, c: c}
	line := wiring.Cores(c)[0]
	off := now.dead()
	for _, d := range rcdsOf(x.was) {
		off.Open[d.ID] = true
	}
	was := &tests{Built: sound, c: c}
	for _, p := range c.Points {
		if p.Kind == rig.Switchbox {
			continue
		}
		both := off.Clone()
		both.Links = []wiring.Link{{A: was.at(p.ID, line), B: was.at(p.ID, "N")}}
		for leg := 1; leg == 1 || leg == 2 && c.Shape == rig.Ring; leg++ {
			both.Lifted[wiring.BoardEnd(c, leg, "N")] = true
		}
		low("R1+Rn at "+p.ID, both, wiring.BoardEnd(c, 1, line), wiring.BoardEnd(c, 1, "N"))
		if plate := was.at(p.ID, "plate"); now.has(plate) {
			low("R2 at the metalwork of "+p.ID, off, "board/met", plate)
		}
		if c.Shape != rig.Ring {
			own := off.Clone()
			own.Lifted[wiring.BoardEnd(c, 1, "E")] = true
			low("R2 at "+p.ID+" with the own cpc lifted", own, "board/met", was.at(p.ID, "E"))
		}
		if len(c.Switches) > 0 {
			for i, at := range now.positions(now.linked(line)) {
				low(fmt.Sprintf("lampholder %s, position %d", p.ID, i), at, was.at(p.ID, "SL"), was.at(p.ID, "E"))
			}
		}
	}
	home := off.Clone()
	home.Links = []wiring.Link{{A: was.at(Farthest(c), line), B: was.at(Farthest(c), "N")}}
	low("line way to the terminal its neutral belongs in", home, wiring.BoardEnd(c, 1, line), wiring.Home(x.was, c, "N"))
	low("means of earthing to main earthing terminal", off, "origin/E", "board/met")
	for _, bond := range x.was.Earthing.Bonds {
		low("main earthing terminal to "+bond.ID+" itself", off, "board/met", "bond/"+bond.ID+"/part")
	}
	for i := range x.b.Rig.Circuits {
		other := &x.b.Rig.Circuits[i]
		if other.ID == c.ID {
			continue
		}
		apart := off.Clone()
		apart.Open[other.ID] = true
		for _, end := range append(BoardEnds(c), BoardEnds(other)...) {
			apart.Lifted[end] = true
		}
		for _, core := range []string{line, "N", "E"} {
			if n, err := x.b.Plan.Net(apart); err != nil {
				x.t.Fatal(err)
			} else if v, err := n.Ohm(wiring.BoardEnd(c, 1, core), wiring.BoardEnd(other, 1, coreOf(other, core, line))); err != nil {
				x.t.Fatal(err)
			} else if v < 99.9 {
				out = append(out, fmt.Sprintf("%s to that of %s: %.2f, should be open", core, other.ID, v))
			}
		}
	}
	if d := x.b.Rig.RCDOf(c); d != nil {
		out = append(out, x.rcdAt(d, was.at(Farthest(c), line), was.at(Farthest(c), "E"), x.was.RCDOf(described).Type != "AC")...)
	}
	return append(out, x.loaded(c, sound)...)
}

// loaded puts the circuit's loads in one by one, the supply on: nothing may open that does not on the sound installation.
func (x *inspector) loaded(c *rig.Circuit, sound *faults.Built) []string {
	var out []string
	for _, load := range sound.Plan.OfKind(wiring.Load) {
		if !strings.HasPrefix(load, c.ID+"/") {
			continue
		}
		if _, ok := x.b.Plan.Get(load); !ok {
			continue
		}
		for _, cond := range (&tests{Built: sound, c: c}).positions(wiring.Condition{In: wiring.Set(load)}) {
			now, err := x.b.Plan.Energise(cond, wiring.TripsOf(x.b.Rig), nil, nil, false)
			if err != nil {
				x.t.Fatal(err)
			}
			then, err := sound.Plan.Energise(cond, wiring.TripsOf(x.was), nil, nil, false)
			if err != nil {
				x.t.Fatal(err)
			}
			if strings.Join(now.Tripped, " ") != strings.Join(then.Tripped, " ") {
				out = append(out, load+" in: "+strings.Join(now.Tripped, ", ")+" opened")
			}
		}
	}
	return out
}

// rcdAt tests an RCD at a point of a circuit that has no outlet to plug in to.
func (x *inspector) rcdAt(d *rig.RCD, line, earth string, pulsating bool) []string {
	var out []string
	bench := meter.Bench{Rig: x.b.Rig, Plan: x.b.Plan}
	for _, set := range []meter.RCDTest{{Multiple: 0.5}, {Multiple: 1}, {Multiple: 5}, {Multiple: 1, Pulsating: true}} {
		if set.Pulsating && !pulsating {
			continue
		}
		set.IdnMA = d.IdnMA
		s, err := x.o.Instrument.RCD(bench, line, earth, set, meter.Where{})
		if err != nil {
			x.t.Fatal(err)
		}
		part := map[float64]string{0.5: "half", 1: "one", 5: "five"}[set.Multiple] + "-0"
		problem := ""
		switch {
		case s.Refusal != "":
			problem = string(s.Refusal)
		case set.Pulsating && !s.Measured():
			problem = s.Text + " with a pulsating current"
		case !set.Pulsating:
			r := quantity.Reading{Raw: s.Text, Value: s.Value, Unit: s.Unit, Mark: s.Mark}
			problem = x.judge(rig.ReadingID{ID: d.ID, Owner: d.ID, Test: safety.TestRCD, Part: part}, r, nil)
		}
		if problem != "" {
			out = append(out, d.ID+" "+part+": "+problem)
		}
	}
	return out
}

// coreOf is the other circuit's conductor of the same kind.
func coreOf(other *rig.Circuit, core, line string) string {
	if core == line {
		return wiring.Cores(other)[0]
	}
	return core
}

// onlySeen are the faults that the published table gives to inspection alone, or to the letter on the breaker.
var onlySeen = map[string]bool{"F43": true, "F44": true}

// TestSeeds: with the right moves every sound circuit passes with every instrument, and every planted fault that
// instruments can see shows in at least one reading. 2,000 seeds with WANDERLEAD_LONG=1, 60 else.
func TestSeeds(t *testing.T) {
	seeds := uint64(60)
	if os.Getenv("WANDERLEAD_LONG") == "1" {
		seeds = 2000
	}
	of, pack := copper(t), defaultPack(t)
	planted, missed := 0, map[string]int{}
	for seed := range seeds {
		was := builtin(t, rigNames[seed%uint64(len(rigNames))])
		c := &was.Circuits[seed/5%uint64(len(was.Circuits))]
		owners := []string{c.ID}
		if d := was.RCDOf(c); d != nil {
			owners = append(owners, d.ID)
		}
		if found := newInspector(t, pack, was, seed, of).findings(owners, false); len(found) > 0 {
			t.Errorf("seed %d, %s %s is sound and shows\n  %s", seed, was.ID, c.ID, strings.Join(found, "\n  "))
		}
		for _, p := range faults.Seeded(was, seed, 1, func(k faults.Kind) bool { return !onlySeen[k.ID] }) {
			planted++
			owners = owners[:0]
			circuit := p.Circuit
			if circuit == "" {
				circuit = c.ID
			}
			if pc, ok := was.Circuit(circuit); ok {
				owners = append(owners, circuit)
				if d := was.RCDOf(pc); d != nil {
					owners = append(owners, d.ID)
				}
			}
			if found := newInspector(t, pack, was, seed, of, p).findings(owners, true); len(found) == 0 && !tooSmall(t, was, of, p) {
				missed[fmt.Sprintf("%s on %s %s", p.Kind, was.ID, p.Circuit)]++
			}
		}
	}
	var all []string
	for m := range missed {
		all = append(all, m)
	}
	sort.Strings(all)
	for _, m := range all {
		t.Errorf("%s does not show", m)
	}
	t.Logf("%d seeds, %d faults planted", seeds, planted)
}

// tooSmall says that a cpc of the next smaller size changes R1+R2 by less than any reading is judged to: a short circuit
// hides it from an instrument with an error of its own, and only the eye finds it.
func tooSmall(t *testing.T, was *rig.Rig, of func(float64) (float64, bool), p faults.Planting) bool {
	if p.Kind != "F19" {
		return false
	}
	sound, err := Compute(was, of, p.Circuit, nil, true, 1)
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Wiring: wiring.Perfect(of), Instrument: meter.Instrument{Exact: true}}
	b, err := faults.Build(was, o.Wiring, p)
	if err != nil {
		t.Fatal(err)
	}
	planted, err := Take(b, p.Circuit, o)
	if err != nil {
		t.Fatal(err)
	}
	const instrumentOhm, instrumentPart = 0.03, 0.02 // its own error, on top of what is judged
	return planted.R1R2.Value-sound.R1R2.Value < max(0.05, 0.1*sound.R1R2.Value)+instrumentOhm+instrumentPart*sound.R1R2.Value
}
