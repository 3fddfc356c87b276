package signature

import (
	"fmt"
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Reading takes one of the rig's standard readings (rig.Readings) on an installation that is built, set up as that test
// is set up.
func Reading(b *faults.Built, id rig.ReadingID, attempt int, o Options) (meter.Shown, error) {
	t := &tests{Built: b, o: o, attempt: attempt}
	if c, ok := b.Rig.Circuit(id.Owner); ok {
		t.c = c
		return t.circuitReading(id)
	}
	if id.Owner != "" {
		return t.rcdReading(id)
	}
	return t.boardReading(id)
}

func (t *tests) low(c wiring.Condition, x, y string) (meter.Shown, error) {
	return t.o.Instrument.LowOhm(t.bench(c), x, y, t.o.Leads, t.where(x, y))
}

// boardReading takes what belongs to the board and the supply.
func (t *tests) boardReading(id rig.ReadingID) (meter.Shown, error) {
	off := wiring.Condition{Open: wiring.Set(wiring.Isolator, wiring.MainSwitch)}
	for _, d := range rcdsOf(t.Rig) {
		off.Open[d.ID] = true
	}
	lifted := off.Clone()
	switch id.Test {
	case safety.TestEarthing:
		lifted.Lifted["board/earthing-conductor"] = true
		return t.low(lifted, "origin/E", "board/earthing-conductor")
	case safety.TestBonding:
		lifted.Lifted["bond/"+id.Part+"@clamp"] = true
		return t.low(lifted, "board/met", "bond/"+id.Part+"@clamp")
	case safety.TestBars:
		for _, x := range t.Rig.Bars() {
			if y, ok := strings.CutPrefix(id.Part, x+"-"); ok {
				return t.low(off, "board/bar/"+x, "board/bar/"+y)
			}
		}
	case safety.TestSupplyCable:
		return t.low(off, "supply-cable/armour", "board/met")
	}
	return t.originReading(id)
}

// originReading is taken at the incoming terminals with the main switch off. Earth is the lifted earthing conductor for
// the loop impedance and the electrode, and the main earthing terminal for the rest.
func (t *tests) originReading(id rig.ReadingID) (meter.Shown, error) {
	on := wiring.Condition{Open: wiring.Set(wiring.MainSwitch)}
	lifted := on.Clone()
	lifted.Lifted["board/earthing-conductor"] = true
	line := "board/incoming/L"
	if t.Rig.Supply.Phases == 3 {
		line += "1"
	}
	terminal := func(core string) string {
		if core == "E" {
			return "board/met"
		}
		return "board/incoming/" + core
	}
	x, y, _ := strings.Cut(id.Part, "-")
	w := t.where("origin", id.ID)
	switch id.Test {
	case safety.TestSupply:
		return t.o.Instrument.Volts(t.bench(on), terminal(x), terminal(y), w)
	case safety.TestZe, safety.TestElectrode:
		return t.o.Instrument.Loop(t.bench(lifted), line, "board/earthing-conductor", true, w)
	case safety.TestPFC:
		return t.o.Instrument.Prospective(t.bench(on), terminal(x), terminal(y), w)
	}
	return meter.Shown{}, t.noReading(id)
}

func (t *tests) noReading(id rig.ReadingID) error {
	return fmt.Errorf("the reading %s is not known on %s", id.ID, t.Rig.ID)
}

func (t *tests) circuitReading(id rig.ReadingID) (meter.Shown, error) {
	line := wiring.Cores(t.c)[0]
	switch id.Test {
	case safety.TestEnds:
		core := map[string]string{"r1": "L", "rn": "N", "r2": "E"}[id.Part]
		return t.low(t.endsOut(), wiring.BoardEnd(t.c, 1, core), wiring.BoardEnd(t.c, 2, core))
	case safety.TestCrossedLN:
		return t.low(t.crossedWith("N"), t.at(id.Part, "L"), t.at(id.Part, "N"))
	case safety.TestCrossedLE:
		return t.low(t.crossedWith("E"), t.at(id.Part, "L"), t.at(id.Part, "E"))
	case safety.TestContinuity:
		point := id.Part
		for _, core := range []string{"L1", "L2", "L3"} { // on three phases a point has a reading for each line
			if p, ok := strings.CutSuffix(point, "-"+core); ok && len(t.c.Lines) == 3 {
				point, line = p, core
			}
		}
		return t.low(t.linked(line), t.at(point, line), t.at(point, "E"))
	case safety.TestLongLead:
		return t.low(t.dead(), "board/met", t.at(id.Part, "E"))
	case safety.TestOwnBar:
		return t.ownBar(id.Part)
	case safety.TestInsulation:
		x, y, _ := strings.Cut(id.Part, "-")
		return t.insulated(x, y)
	case safety.TestZs:
		return t.o.Instrument.Loop(t.bench(wiring.Condition{}), t.at(id.Part, line), t.at(id.Part, "E"), false, t.where(id.Part, "zs"))
	}
	return meter.Shown{}, t.noReading(id)
}

// ownBar joins line and neutral at the farthest point and reads from the line at the board to a neutral bar, with main
// switch and RCDs off: its own bar shows R1+Rn, any other is open.
func (t *tests) ownBar(bar string) (meter.Shown, error) {
	c := t.dead()
	for _, d := range rcdsOf(t.Rig) {
		c.Open[d.ID] = true
	}
	line, far := wiring.Cores(t.c)[0], Farthest(t.c)
	c.Links = []wiring.Link{{A: t.at(far, line), B: t.at(far, "N")}}
	return t.low(c, wiring.BoardEnd(t.c, 1, line), "board/bar/"+bar)
}

// insulated reads between conductors of the circuit, "LN" being all live ones together; the lowest of all positions of
// its switches counts.
func (t *tests) insulated(x, y string) (meter.Shown, error) {
	base := t.insulationSetUp()
	terminal := func(core string) string {
		switch core {
		case "E":
			return "board/met"
		case "LN":
			return wiring.BoardEnd(t.c, 1, wiring.Cores(t.c)[0])
		}
		return wiring.BoardEnd(t.c, 1, core)
	}
	if x == "LN" {
		for _, core := range wiring.Cores(t.c)[:len(wiring.Cores(t.c))-1] {
			base.Links = append(base.Links, wiring.Link{A: terminal("LN"), B: wiring.BoardEnd(t.c, 1, core)})
		}
	}
	var least meter.Shown
	for i, c := range t.positions(base) {
		s, err := t.o.Instrument.Insulation(t.bench(c), terminal(x), terminal(y), t.testV(), 0, t.where(x, y))
		if err != nil {
			return s, err
		}
		if i == 0 || s.Measured() && (!least.Measured() || s.Value < least.Value) {
			least = s
		}
	}
	return least, nil
}

// rcdReading is taken with a plug-in lead at the farthest socket of the first circuit that the RCD protects.
func (t *tests) rcdReading(id rig.ReadingID) (meter.Shown, error) {
	for i := range t.Rig.Circuits {
		c := &t.Rig.Circuits[i]
		d := t.Rig.RCDOf(c)
		if d == nil || d.ID != id.Owner || (c.Shape != rig.Ring && c.Shape != rig.Radial) {
			continue
		}
		t.c = c
		far := Farthest(c)
		line, earth, bench := t.at(far, wiring.Cores(c)[0]), t.at(far, "E"), t.bench(wiring.Condition{})
		if id.Part == "ramp" {
			return t.o.Instrument.Ramp(bench, line, earth, d.IdnMA, t.where(line, id.Part))
		}
		multiple, half, _ := strings.Cut(id.Part, "-")
		set := meter.RCDTest{IdnMA: d.IdnMA, Multiple: map[string]float64{"half": 0.5, "one": 1, "five": 5}[multiple], Half: half == "180"}
		return t.o.Instrument.RCD(bench, line, earth, set, t.where(line, id.Part))
	}
	return meter.Shown{Unit: quantity.Millisecond}, t.noReading(id)
}

func rcdsOf(r *rig.Rig) []*rig.RCD {
	var all []*rig.RCD
	for i := range r.Board.Sections {
		if d := r.Board.Sections[i].RCD; d != nil {
			all = append(all, d)
		}
	}
	for i := range r.Circuits {
		if d := r.Circuits[i].RCD; d != nil {
			all = append(all, d)
		}
	}
	return all
}
