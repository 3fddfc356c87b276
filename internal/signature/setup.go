package signature

import (
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Function is what an instrument is set to.
type Function string

// The functions of an instrument.
const (
	LowOhm     Function = "low-ohm"
	Insulating Function = "insulation"
	Volts      Function = "volts"
	LoopNoTrip Function = "loop-no-trip"
	LoopHigh   Function = "loop-high-current"
	FaultAmps  Function = "fault-current"
	RCDTime    Function = "rcd-time"
	RCDRamp    Function = "rcd-ramp"
)

// SetUp is how one standard reading is taken when it is taken right: the installation's condition, what the instrument
// is set to and where its two leads are.
type SetUp struct {
	Function Function
	Conds    []wiring.Condition // more than one: positions of switches to work through, the lowest reading counts
	A, B     string
	TestV    float64       // insulation
	RCD      meter.RCDTest // RCD tests
	Circuit  string        // whose reading it is, empty for board and supply
	Points   string        // names the reading for its scatter
}

// SetUpOf is the set-up of one of the rig's standard readings (rig.Readings). The error names a reading that is not
// known.
func SetUpOf(b *faults.Built, id rig.ReadingID) (SetUp, error) {
	t := &tests{Built: b}
	if c, ok := b.Rig.Circuit(id.Owner); ok {
		t.c = c
		return t.circuitSetUp(id)
	}
	if id.Owner != "" {
		return t.rcdSetUp(id)
	}
	return t.boardSetUp(id)
}

// Read takes the reading of a set-up.
func (u SetUp) Read(b *faults.Built, o Options, attempt int) (meter.Shown, error) {
	var least meter.Shown
	for i, c := range u.Conds {
		s, err := u.in(b, c, o, attempt)
		if err != nil {
			return s, err
		}
		if i == 0 || s.Measured() && (!least.Measured() || s.Value < least.Value) {
			least = s
		}
	}
	return least, nil
}

func (u SetUp) in(b *faults.Built, c wiring.Condition, o Options, attempt int) (meter.Shown, error) {
	bench := meter.Bench{Rig: b.Rig, Plan: b.Plan, Cond: c}
	w := meter.Where{Circuit: u.Circuit, Points: u.Points, Attempt: attempt}
	if w.Points == "" {
		w.Points = u.A + " " + u.B
	}
	switch m := o.Instrument; u.Function {
	case Insulating:
		return m.Insulation(bench, u.A, u.B, u.TestV, 0, w)
	case Volts:
		return m.Volts(bench, u.A, u.B, w)
	case LoopNoTrip, LoopHigh:
		return m.Loop(bench, u.A, u.B, u.Function == LoopHigh, w)
	case FaultAmps:
		return m.Prospective(bench, u.A, u.B, w)
	case RCDTime:
		return m.RCD(bench, u.A, u.B, u.RCD, w)
	case RCDRamp:
		return m.Ramp(bench, u.A, u.B, u.RCD.IdnMA, w)
	default:
		return m.LowOhm(bench, u.A, u.B, o.Leads, w)
	}
}

// own gives a set-up its circuit.
func (t *tests) own(u SetUp, conds ...wiring.Condition) (SetUp, error) {
	if t.c != nil {
		u.Circuit = t.c.ID
	}
	u.Conds = conds
	return u, nil
}

func (t *tests) lowOhm(c wiring.Condition, x, y string) (SetUp, error) {
	return t.own(SetUp{Function: LowOhm, A: x, B: y}, c)
}

// boardSetUp is for what belongs to the board and the supply.
func (t *tests) boardSetUp(id rig.ReadingID) (SetUp, error) {
	off := wiring.Condition{Open: wiring.Set(wiring.Isolator, wiring.MainSwitch)}
	for _, d := range rcdsOf(t.Rig) {
		off.Open[d.ID] = true
	}
	lifted := off.Clone()
	switch id.Test {
	case safety.TestEarthing:
		lifted.Lifted["board/earthing-conductor"] = true
		return t.lowOhm(lifted, "origin/E", "board/earthing-conductor")
	case safety.TestBonding:
		lifted.Lifted["bond/"+id.Part+"@clamp"] = true
		return t.lowOhm(lifted, "board/met", "bond/"+id.Part+"@clamp")
	case safety.TestBars:
		for _, x := range t.Rig.Bars() {
			if y, ok := strings.CutPrefix(id.Part, x+"-"); ok {
				return t.lowOhm(off, "board/bar/"+x, "board/bar/"+y)
			}
		}
	case safety.TestSupplyCable:
		return t.lowOhm(off, "supply-cable/armour", "board/met")
	}
	return t.originSetUp(id)
}

// originSetUp is for what is taken at the incoming terminals with the main switch off. Earth is the lifted earthing
// conductor for the loop impedance and the electrode, and the main earthing terminal for the rest.
func (t *tests) originSetUp(id rig.ReadingID) (SetUp, error) {
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
	u := SetUp{A: terminal(x), B: terminal(y), Points: "origin " + id.ID}
	switch id.Test {
	case safety.TestSupply:
		u.Function = Volts
		return t.own(u, on)
	case safety.TestZe, safety.TestElectrode:
		u.Function, u.A, u.B = LoopHigh, line, "board/earthing-conductor"
		if t.Rig.Supply.UpstreamRCD != nil { // which a high-current test would open
			u.Function = LoopNoTrip
		}
		return t.own(u, lifted)
	case safety.TestPFC:
		u.Function = FaultAmps
		return t.own(u, on)
	}
	return SetUp{}, t.noReading(id)
}

func (t *tests) circuitSetUp(id rig.ReadingID) (SetUp, error) {
	line := wiring.Cores(t.c)[0]
	point := id.Part
	for _, core := range []string{"L1", "L2", "L3"} { // on three phases a point has a reading for each line
		if p, ok := strings.CutSuffix(point, "-"+core); ok && len(t.c.Lines) == 3 {
			point, line = p, core
		}
	}
	switch id.Test {
	case safety.TestEnds:
		core := map[string]string{"r1": "L", "rn": "N", "r2": "E"}[id.Part]
		return t.lowOhm(t.endsOut(), wiring.BoardEnd(t.c, 1, core), wiring.BoardEnd(t.c, 2, core))
	case safety.TestCrossedLN:
		return t.lowOhm(t.crossedWith("N"), t.at(id.Part, "L"), t.at(id.Part, "N"))
	case safety.TestCrossedLE:
		return t.lowOhm(t.crossedWith("E"), t.at(id.Part, "L"), t.at(id.Part, "E"))
	case safety.TestContinuity:
		return t.lowOhm(t.linked(line), t.at(point, line), t.at(point, "E"))
	case safety.TestLongLead:
		return t.lowOhm(t.dead(), "board/met", t.at(point, "E"))
	case safety.TestOwnBar:
		return t.ownBarSetUp(id.Part)
	case safety.TestInsulation:
		x, y, _ := strings.Cut(id.Part, "-")
		return t.insulationOf(x, y)
	case safety.TestZs:
		return t.own(SetUp{Function: LoopNoTrip, A: t.at(point, line), B: t.at(point, "E"), Points: id.Part + " zs"}, wiring.Condition{})
	}
	return SetUp{}, t.noReading(id)
}

// ownBarSetUp joins line and neutral at the farthest point and reads from the line at the board to a neutral bar, with
// main switch and RCDs off: its own bar shows R1+Rn, any other is open.
func (t *tests) ownBarSetUp(bar string) (SetUp, error) {
	c := t.dead()
	for _, d := range rcdsOf(t.Rig) {
		c.Open[d.ID] = true
	}
	line, far := wiring.Cores(t.c)[0], Farthest(t.c)
	c.Links = []wiring.Link{{A: t.at(far, line), B: t.at(far, "N")}}
	return t.lowOhm(c, wiring.BoardEnd(t.c, 1, line), "board/bar/"+bar)
}

// insulationOf is between conductors of the circuit, "LN" being all live ones together; the lowest of all positions of
// its switches counts.
func (t *tests) insulationOf(x, y string) (SetUp, error) {
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
	u := SetUp{Function: Insulating, A: terminal(x), B: terminal(y), TestV: t.testV(), Points: x + " " + y}
	return t.own(u, t.positions(base)...)
}

// rcdSetUp is with a plug-in lead at the farthest socket of the first circuit that the RCD protects.
func (t *tests) rcdSetUp(id rig.ReadingID) (SetUp, error) {
	for i := range t.Rig.Circuits {
		c := &t.Rig.Circuits[i]
		d := t.Rig.RCDOf(c)
		if d == nil || d.ID != id.Owner || (c.Shape != rig.Ring && c.Shape != rig.Radial) {
			continue
		}
		t.c = c
		far := Farthest(c)
		line := t.at(far, wiring.Cores(c)[0])
		u := SetUp{Function: RCDTime, A: line, B: t.at(far, "E"), Points: line + " " + id.Part, RCD: meter.RCDTest{IdnMA: d.IdnMA}}
		if id.Part == "ramp" {
			u.Function = RCDRamp
			return t.own(u, wiring.Condition{})
		}
		multiple, half, _ := strings.Cut(id.Part, "-")
		u.RCD.Multiple = map[string]float64{"half": 0.5, "one": 1, "five": 5}[multiple]
		u.RCD.Half = half == "180"
		return t.own(u, wiring.Condition{})
	}
	return SetUp{}, t.noReading(id)
}
