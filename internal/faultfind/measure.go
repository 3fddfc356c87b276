package faultfind

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Tests that are not part of the usual run but are what an electrician turns to when looking for a fault.
const (
	TestLineNeutral = "line-neutral"        // R1+Rn at a point, line and neutral joined at the board
	TestPlate       = "plate"               // long lead from the main earthing terminal to the metalwork of a point
	TestCPCLifted   = "cpc-lifted"          // long lead to a point's cpc with the circuit's own cpc out of the earth bar: open unless borrowed
	TestSplit       = "split"               // insulation of the part up to a point, the cable beyond it taken out there
	TestBetween     = "between"             // line of this circuit to line of another: open
	TestLampholder  = "lampholder"          // line at the board to the lampholder's line contact, switches in one position
	TestCrossedNE   = "crossed-neutral-cpc" // a ring's third step with the neutral in the place of the line
	TestNeutralCPC  = "neutral-cpc"         // as R1+R2 or the ring's third step, but neutral to cpc at the point: open unless they are mixed up
	TestSwitchOn    = "switch-on"           // a socket-outlet read again, its switch certainly on and the contacts pressed
	TestVolts       = "volts"               // voltage between two contacts of a socket-outlet
)

// Measure is one measurement that can be taken on a circuit.
type Measure struct {
	ID, Test, Part string
	Point          string // where it is taken, empty at the board
	Label          string // the point in words
	Pair           string // conductors
	Unit           quantity.Unit
	Live           bool
	Cost           float64 // of taking it: what has to be opened, lifted and linked for it, in rough minutes (common practice, no source)

	Positions []int // of the circuit's switches, where a measurement is for one set of positions

	function signature.Function
	stands   []int
	a, b     int32
	aOn, bOn string // terminals
	setUp    signature.SetUp
	scales   []step
	top      float64
	Extra    bool // not one of the usual readings: for a search only
	unknown  bool // at a point that the rig does not describe
}

// step is a range of a display: up to a value in digits of a size.
type step struct{ upTo, digit float64 }

var (
	lowOhmSteps     = []step{{9.995, 0.01}, {99.9, 0.1}}
	insulationSteps = []step{{9.995, 0.01}, {99.95, 0.1}, {999, 1}}
	loopSteps       = []step{{9.995, 0.01}, {99.95, 0.1}, {1999, 1}}
)

// digit is the size of the display's last digit at a value.
func (m *Measure) digit(v float64) float64 {
	for _, s := range m.scales {
		if v <= s.upTo {
			return s.digit
		}
	}
	if n := len(m.scales); n > 0 {
		return m.scales[n-1].digit
	}
	return 1
}

// costs of tests: getting there, opening, lifting and linking. A live test costs more than any dead one.
var costs = map[string]float64{
	safety.TestEnds: 2, safety.TestCrossedLN: 3, safety.TestCrossedLE: 3, safety.TestContinuity: 3, safety.TestLongLead: 3,
	safety.TestInsulation: 2, safety.TestOwnBar: 5, safety.TestEarthing: 3, safety.TestBonding: 4, safety.TestBars: 2,
	TestPlate: 3, TestLineNeutral: 4, TestCPCLifted: 5, TestLampholder: 5, TestBetween: 3, TestSplit: 12, TestNeutralCPC: 3.5, TestCrossedNE: 4, TestSwitchOn: 3.6, safety.TestSupplyCable: 5,
}

const liveCost = 15

// measures lists what can be measured on a circuit: the rig's standard readings of the circuit, its RCD, the board and
// the supply, then those that help to find a fault. Extra are points that readings name and the rig does not.
func measures(sound *faults.Built, c *rig.Circuit, extra []string) ([]*Measure, error) {
	l := &lister{sound: sound, c: c}
	d := sound.Rig.RCDOf(c)
	for _, id := range sound.Rig.Readings() {
		if id.Owner == c.ID || id.Owner == "" || d != nil && id.Owner == d.ID {
			l.standard(id, false)
		}
	}
	if d != nil && !slices.ContainsFunc(l.all, func(m *Measure) bool { return m.Test == safety.TestRCD }) {
		return l.all, l.err
	}
	for k, p := range extra {
		at := fmt.Sprintf("s%d", len(c.Points)+1+k) // where package faults puts the socket-outlets of a spur, in order
		for _, test := range []string{safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead, safety.TestZs} {
			if (test == safety.TestCrossedLN || test == safety.TestCrossedLE) == (c.Shape == rig.Ring) || test == safety.TestZs {
				id := rig.ReadingID{ID: c.ID + "/" + test + "/" + p, Owner: c.ID, Test: test, Part: at, Label: p, Unit: quantity.Ohm}
				l.standard(id, true)
			}
		}
	}
	l.extras()
	return l.all, l.err
}

type lister struct {
	sound *faults.Built
	c     *rig.Circuit
	all   []*Measure
	err   error
}

func (l *lister) standard(id rig.ReadingID, unknown bool) {
	u, err := signature.SetUpOf(l.sound, id)
	if err != nil {
		l.err = err
		return
	}
	m := l.put(id.ID, id.Test, id.Part, u, id.Unit)
	m.unknown = unknown
	if id.Owner == l.c.ID {
		for _, p := range l.c.Points {
			if id.Part == p.ID || strings.HasPrefix(id.Part, p.ID+"-") {
				m.Point, m.Label = p.ID, p.Label
			}
		}
		if unknown {
			m.Part, m.Point, m.Label = id.Label, id.Label, id.Label
		}
	}
}

func (l *lister) put(id, test, part string, u signature.SetUp, unit quantity.Unit) *Measure {
	m := &Measure{ID: id, Test: test, Part: part, Unit: unit, function: u.Function, setUp: u, aOn: u.A, bOn: u.B, Pair: pairOfTest(test, part), Cost: costs[test]}
	switch u.Function {
	case signature.Insulating:
		m.scales, m.top = insulationSteps, map[float64]float64{250: 199, 1000: 999}[u.TestV]
		if m.top == 0 {
			m.top = 299
		}
	case signature.LowOhm:
		m.scales, m.top = lowOhmSteps, 99.9
	case signature.LoopNoTrip, signature.LoopHigh:
		m.scales, m.top, m.Live = loopSteps, 1999, true
	case signature.RCDRamp:
		m.scales, m.top, m.Live = []step{{9.95, 0.1}, {1e9, u.RCD.IdnMA / 30}}, 1e9, true
	case signature.FaultAmps:
		m.scales, m.top, m.Live = []step{{9.995, 0.01}, {19.9, 0.1}}, 19.9, true
	default:
		m.scales, m.top, m.Live = []step{{1e9, 1}}, 1e9, true
	}
	if m.Live {
		m.Cost += liveCost
	}
	l.all = append(l.all, m)
	return m
}

func pairOfTest(test, part string) string {
	switch test {
	case safety.TestEnds:
		return map[string]string{"r1": "L", "rn": "N", "r2": "E"}[part]
	case safety.TestCrossedLN, TestLineNeutral:
		return "L-N"
	case safety.TestCrossedLE, safety.TestContinuity, safety.TestZs, safety.TestZe, safety.TestRCD, safety.TestElectrode:
		return "L-E"
	case safety.TestInsulation, safety.TestPFC, safety.TestSupply:
		return part
	case safety.TestLongLead, TestPlate, TestCPCLifted, safety.TestEarthing, safety.TestBonding, safety.TestSupplyCable:
		return "E"
	case TestCrossedNE:
		return "N-E"
	case safety.TestOwnBar:
		return "L-N"
	case safety.TestBars:
		return "N"
	}
	return "L"
}

// extras are the measurements of a search.
func (l *lister) extras() {
	c, r := l.c, l.sound.Rig
	line := wiring.Cores(c)[0]
	at := func(p rig.Point, core string) string { return c.ID + "/" + p.ID + "/" + core }
	dead := wiring.Condition{Open: wiring.Set(wiring.Isolator, wiring.MainSwitch, c.ID)}
	add := func(test, part string, p *rig.Point, u signature.SetUp, unit quantity.Unit) *Measure {
		u.Circuit = c.ID
		m := l.put(c.ID+"/"+test+"/"+part, test, part, u, unit)
		m.Extra = true
		if p != nil {
			m.Point, m.Label = p.ID, p.Label
		}
		return m
	}
	low := func(cond wiring.Condition, a, b string) signature.SetUp {
		return signature.SetUp{Function: signature.LowOhm, Conds: []wiring.Condition{cond}, A: a, B: b}
	}
	for i := range c.Points {
		p := &c.Points[i]
		if l.has(at(*p, "plate")) {
			add(TestPlate, p.ID, p, low(dead, "board/met", at(*p, "plate")), quantity.Ohm)
		}
		if p.Kind == rig.Switchbox {
			continue
		}
		if c.Shape == rig.Ring {
			crossed := dead.Clone()
			end := func(leg int, core string) string { return wiring.BoardEnd(c, leg, core) }
			for _, core := range wiring.Cores(c) {
				crossed.Lifted[end(1, core)], crossed.Lifted[end(2, core)] = true, true
			}
			crossed.Links = []wiring.Link{{A: end(1, "N"), B: end(2, "E")}, {A: end(2, "N"), B: end(1, "E")}}
			add(TestCrossedNE, p.ID, p, low(crossed, at(*p, "N"), at(*p, "E")), quantity.Ohm)
		} else {
			joined := dead.Clone()
			neutral := wiring.BoardEnd(c, 1, "N")
			joined.Lifted[neutral] = true
			joined.Links = []wiring.Link{{A: wiring.BoardEnd(c, 1, line), B: neutral}}
			add(TestLineNeutral, p.ID, p, low(joined, at(*p, line), at(*p, "N")), quantity.Ohm)
			lifted := dead.Clone()
			lifted.Lifted[wiring.BoardEnd(c, 1, "E")] = true
			add(TestCPCLifted, p.ID, p, low(lifted, "board/met", at(*p, "E")), quantity.Ohm)
		}
		l.volts(p, add)
	}
	for _, x := range slices.Clone(l.all) {
		if (x.Test == safety.TestCrossedLN || x.Test == safety.TestContinuity) && x.setUp.Circuit == c.ID && !x.unknown && x.Point != "" && len(c.Lines) == 1 {
			m := add(TestSwitchOn, x.Part, nil, x.setUp, quantity.Ohm)
			m.Point, m.Label, m.Pair = x.Point, x.Label, x.Pair
		}
		if (x.Test == safety.TestCrossedLE || x.Test == safety.TestContinuity) && x.setUp.Circuit == c.ID && !x.unknown && len(c.Lines) == 1 {
			u := x.setUp
			u.A = c.ID + "/" + x.Part + "/N"
			m := add(TestNeutralCPC, x.Part, nil, u, quantity.Ohm)
			m.Point, m.Label, m.Pair = x.Point, x.Label, "N-E"
		}
	}
	l.lampholders(dead, low, add)
	l.splits(dead, add)
	for i := range r.Circuits {
		o := &r.Circuits[i]
		if o.ID != c.ID && o.Shape == rig.Ring && c.Shape == rig.Ring {
			cond := dead.Clone()
			cond.Open[o.ID] = true
			add(TestBetween, o.ID, nil, low(cond, wiring.BoardEnd(c, 1, "L"), wiring.BoardEnd(o, 1, "L")), quantity.Ohm)
		}
	}
}

func (l *lister) has(element string) bool {
	_, ok := l.sound.Plan.Get(element)
	return ok
}

// volts are read between the contacts of a socket-outlet, with the supply on.
func (l *lister) volts(p *rig.Point, add adder) {
	c, line := l.c, wiring.Cores(l.c)[0]
	if t := l.sound.Rig.Supply.Transformer; !p.PlugIn || len(c.Lines) != 1 || t != nil && !t.NeutralEarthed {
		return
	}
	at := func(core string) string { return c.ID + "/" + p.ID + "/" + core }
	for _, pair := range [][2]string{{line, "N"}, {line, "E"}, {"N", "E"}} {
		u := signature.SetUp{Function: signature.Volts, Conds: []wiring.Condition{{}}, A: at(pair[0]), B: at(pair[1])}
		m := add(TestVolts, p.ID+"-"+pair[0]+"-"+pair[1], p, u, quantity.Volt)
		m.Pair = pair[0] + "-" + pair[1]
	}
}

type adder func(test, part string, p *rig.Point, u signature.SetUp, unit quantity.Unit) *Measure

// lampholders are read from the line at the board, every position of the switches by itself: what a switch opens, and
// whether it does, shows nowhere else dead.
func (l *lister) lampholders(dead wiring.Condition, low func(wiring.Condition, string, string) signature.SetUp, add adder) {
	c := l.c
	if len(c.Switches) == 0 || len(c.Switches) > 3 {
		return
	}
	for i := range c.Points {
		p := &c.Points[i]
		if p.Kind != rig.Fitting {
			continue
		}
		for k := range 1 << len(c.Switches) {
			cond, name, at := dead.Clone(), "", []int(nil)
			for j, s := range c.Switches {
				cond.Position[c.ID+"/"+s.ID] = k >> j & 1
				name += string(rune('0' + k>>j&1))
				at = append(at, k>>j&1)
			}
			m := add(TestLampholder, p.ID+"-"+name, p, low(cond, wiring.BoardEnd(c, 1, wiring.Cores(c)[0]), c.ID+"/"+p.ID+"/SL"), quantity.Ohm)
			m.Positions = at
		}
	}
}

// splits are insulation readings from the board with the cable beyond a point taken out of that point; of a ring the
// second leg's ends are out as well.
func (l *lister) splits(dead wiring.Condition, add adder) {
	c := l.c
	if c.Electronics != "" || c.SPD || len(c.Lines) > 1 {
		return
	}
	for i := range c.Points {
		p := &c.Points[i]
		if p.Kind == rig.Switchbox || p.From != "" && c.Shape == rig.Ring {
			continue
		}
		cond := dead.Clone()
		found := false
		for _, s := range c.Lengths() {
			if s[0] != p.ID {
				continue
			}
			for _, core := range wiring.Cores(c) {
				end := fmt.Sprintf("%s/%s@%s", wiring.SegmentName(c, s[0], s[1]), core, p.ID)
				if l.has(end) {
					cond.Lifted[end], found = true, true
				}
			}
		}
		if !found {
			continue
		}
		cond.Lifted[wiring.BoardEnd(c, 1, "N")] = true
		if c.Shape == rig.Ring {
			for _, core := range wiring.Cores(c) {
				cond.Lifted[wiring.BoardEnd(c, 2, core)] = true
			}
		}
		for _, pair := range [][2]string{{"L", "N"}, {"L", "E"}, {"N", "E"}} {
			terminal := func(core string) string {
				if core == "E" {
					return "board/met"
				}
				return wiring.BoardEnd(c, 1, core)
			}
			u := signature.SetUp{Function: signature.Insulating, Conds: []wiring.Condition{cond}, A: terminal(pair[0]), B: terminal(pair[1]), TestV: 500}
			m := add(TestSplit, p.ID+"-"+pair[0]+"-"+pair[1], p, u, quantity.Megohm)
			m.Pair = pair[0] + "-" + pair[1]
		}
	}
}
