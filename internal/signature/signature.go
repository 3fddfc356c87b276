// Package signature takes the standard tests of one circuit on the virtual rig and collects what they show: the pattern
// of readings by which a fault is known.
package signature

import (
	"fmt"
	"strconv"

	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// Signature is what the standard tests show, in Ω, MΩ, ms and mA. A nil number is open, over range or no trip; a part
// that does not apply to the circuit is left out.
type Signature struct {
	RingEnds    *Ends       `json:"ring_ends,omitempty"`
	RingCrossed *Crossed    `json:"ring_crossed,omitempty"`
	R1R2        *Number     `json:"r1r2,omitempty"` // highest of the circuit's points
	R2          *Number     `json:"r2,omitempty"`   // highest by method 2, not on a ring
	Insulation  *Insulation `json:"insulation,omitempty"`
	Ze          *Number     `json:"ze,omitempty"`
	Zs          *Points     `json:"zs,omitempty"`
	RCD         *RCD        `json:"rcd,omitempty"`
}

// Number is a reading; it is written null when nothing was read.
type Number struct {
	Value float64
	Open  bool
}

// MarshalJSON writes the value to twelve significant digits: what lies behind them may differ between machines.
func (n Number) MarshalJSON() ([]byte, error) {
	if n.Open {
		return []byte("null"), nil
	}
	return []byte(n.text()), nil
}

func (n Number) text() string { return strconv.FormatFloat(round12(n.Value), 'f', -1, 64) }

func round12(v float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	return r
}

// Ends are the end-to-end readings of a ring.
type Ends struct {
	R1 Number `json:"r1"`
	RN Number `json:"rn"`
	R2 Number `json:"r2"`
}

// Crossed are the readings at the ring's sockets, in order, with opposite ends joined; spurs stand last.
type Crossed struct {
	LineNeutral []Number `json:"line_neutral"`
	LineCPC     []Number `json:"line_cpc"`
}

// Insulation are the readings between the circuit's conductors: the lowest of all switch positions.
type Insulation struct {
	LN  *Number `json:"L-N,omitempty"`
	LE  *Number `json:"L-E,omitempty"`
	NE  *Number `json:"N-E,omitempty"`
	LNE *Number `json:"LN-E,omitempty"` // line and neutral together, where electronics stay
}

// RCD are the timed tests of the circuit's RCD and the ramp.
type RCD struct {
	Half   Number `json:"half"`
	One    Number `json:"one"`
	Five   Number `json:"five"`
	RampMA Number `json:"ramp_ma"`
}

// Options are what the tests are taken with.
type Options struct {
	Wiring     wiring.Options
	Instrument meter.Instrument
	Leads      meter.Leads
}

// Compute plants the faults, by name, in the rig and takes the standard tests of a circuit. With exact set the material
// is perfect and the instrument without error; else material and instrument are the usual ones, of the seed. Copper is
// the resistance per metre by size, see wiring.Options. The error says which circuit or fault is not known.
func Compute(r *rig.Rig, copper func(mm2 float64) (float64, bool), circuit string, names []string, exact bool, seed uint64) (*Signature, error) {
	o := Options{Wiring: wiring.Usual(copper), Instrument: meter.Instrument{Seed: seed}, Leads: meter.Nulled(0.08)}
	if exact {
		o = Options{Wiring: wiring.Perfect(copper), Instrument: meter.Instrument{Exact: true}}
	}
	var plantings []faults.Planting
	for _, name := range names {
		p, err := faults.Lookup(r, circuit, name)
		if err != nil {
			return nil, err
		}
		plantings = append(plantings, p)
	}
	b, err := faults.Build(r, o.Wiring, plantings...)
	if err != nil {
		return nil, err
	}
	return Take(b, circuit, o)
}

// Take takes the standard tests of a circuit on an installation that is built.
func Take(b *faults.Built, circuit string, o Options) (*Signature, error) {
	c, ok := b.Rig.Circuit(circuit)
	if !ok {
		return nil, fmt.Errorf("there is no circuit %q on %s\nhint: %s", circuit, b.Rig.ID, content.DidYouMean(circuit, circuitIDs(b.Rig)))
	}
	t := &tests{Built: b, c: c, o: o, sig: &Signature{}}
	if c.Shape == rig.Ring {
		t.ring()
	} else {
		t.continuity()
	}
	t.insulation()
	t.live()
	return t.sig, t.err
}

func circuitIDs(r *rig.Rig) []string {
	var ids []string
	for i := range r.Circuits {
		ids = append(ids, r.Circuits[i].ID)
	}
	return ids
}

// tests takes readings; the first error stays and ends them.
type tests struct {
	*faults.Built
	c   *rig.Circuit
	o   Options
	sig *Signature
	err error

	attempt int
}

func (t *tests) number(s meter.Shown, err error) Number {
	if t.err == nil {
		t.err = err
	}
	if err != nil || !s.Measured() {
		return Number{Open: true}
	}
	return Number{Value: s.Value}
}

func (t *tests) bench(c wiring.Condition) meter.Bench {
	return meter.Bench{Rig: t.Rig, Plan: t.Plan, Cond: c}
}

func (t *tests) ohm(c wiring.Condition, a, b string) Number {
	return t.number(t.o.Instrument.LowOhm(t.bench(c), a, b, t.o.Leads, t.where(a, b)))
}

func (t *tests) where(a, b string) meter.Where {
	w := meter.Where{Points: a + " " + b, Attempt: t.attempt}
	if t.c != nil {
		w.Circuit = t.c.ID
	}
	return w
}

// dead is the installation isolated, main switch and the circuit's breaker off.
func (t *tests) dead() wiring.Condition {
	return wiring.Condition{Open: wiring.Set(wiring.Isolator, wiring.MainSwitch, t.c.ID)}
}

// measured are the points at which readings are taken.
func (t *tests) measured() []string {
	var ids []string
	for _, p := range t.c.Points {
		if p.Kind != rig.Switchbox {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

func (t *tests) at(point, core string) string { return t.c.ID + "/" + point + "/" + core }

// endsOut is the circuit with all its cable ends out of the board.
func (t *tests) endsOut() wiring.Condition {
	c := t.dead()
	c.Lifted = map[string]bool{}
	for leg := 1; leg <= 2; leg++ {
		for _, core := range wiring.Cores(t.c) {
			c.Lifted[wiring.BoardEnd(t.c, leg, core)] = true
		}
	}
	return c
}

// crossedWith joins the line of each leg with the other core of the opposite leg.
func (t *tests) crossedWith(core string) wiring.Condition {
	end := func(leg int, core string) string { return wiring.BoardEnd(t.c, leg, core) }
	c := t.endsOut()
	c.Links = []wiring.Link{{A: end(1, "L"), B: end(2, core)}, {A: end(2, "L"), B: end(1, core)}}
	return c
}

// ring takes the three steps of a ring: end to end, line crossed with neutral, line crossed with cpc.
func (t *tests) ring() {
	out := t.endsOut()
	ends := func(core string) Number {
		return t.ohm(out, wiring.BoardEnd(t.c, 1, core), wiring.BoardEnd(t.c, 2, core))
	}
	t.sig.RingEnds = &Ends{ends("L"), ends("N"), ends("E")}
	crossed := func(core string) (all []Number) {
		c := t.crossedWith(core)
		for _, p := range t.measured() {
			all = append(all, t.ohm(c, t.at(p, "L"), t.at(p, core)))
		}
		return all
	}
	t.sig.RingCrossed = &Crossed{crossed("N"), crossed("E")}
	t.sig.R1R2 = highest(t.sig.RingCrossed.LineCPC)
}

// highest is the largest reading; open is larger than any.
func highest(all []Number) *Number {
	var top Number
	for _, n := range all {
		if n.Open {
			return &n
		}
		top.Value = max(top.Value, n.Value)
	}
	return &top
}

// linked joins a line and the cpc at the board, as for R1+R2 by method 1.
func (t *tests) linked(line string) wiring.Condition {
	c := t.dead()
	c.Links = []wiring.Link{{A: wiring.BoardEnd(t.c, 1, line), B: "board/met"}}
	return c
}

// continuity takes R1+R2 with line and cpc joined at the board, and R2 with a long lead from the main earthing terminal,
// at every point; method 2 includes the metalwork of fittings.
func (t *tests) continuity() {
	line := wiring.Cores(t.c)[0]
	var both, r2 []Number
	for _, p := range t.measured() {
		both = append(both, t.ohm(t.linked(line), t.at(p, line), t.at(p, "E")))
		r2 = append(r2, t.ohm(t.dead(), "board/met", t.at(p, "E")))
		if plate := t.at(p, "plate"); t.has(plate) {
			r2 = append(r2, t.ohm(t.dead(), "board/met", plate))
		}
	}
	t.sig.R1R2, t.sig.R2 = highest(both), highest(r2)
}

func (t *tests) has(joint string) bool {
	_, ok := t.Plan.Get(joint)
	return ok
}

// testV is the insulation test voltage: 500 V, or 250 V where a surge protective device stays.
func (t *tests) testV() float64 {
	if t.c.SPD {
		return 250
	}
	return 500
}

// insulationSetUp has the breaker off, the neutral out of its terminal and the cpc in place.
func (t *tests) insulationSetUp() wiring.Condition {
	neutral := wiring.BoardEnd(t.c, 1, "N")
	c := t.dead()
	c.Lifted = wiring.Set(neutral)
	if t.c.Shape == rig.Ring {
		other := wiring.BoardEnd(t.c, 2, "N")
		c.Lifted[other] = true
		c.Links = []wiring.Link{{A: neutral, B: other}}
	}
	return c
}

// insulation is taken at the board, in every position of the switches.
func (t *tests) insulation() {
	line := wiring.Cores(t.c)[0]
	read := func(x, y string) Number { return t.number(t.insulated(x, y)) }
	if t.c.Electronics != "" {
		both := read("LN", "E")
		t.sig.Insulation = &Insulation{LNE: &both}
		return
	}
	ln, le, ne := read(line, "N"), read(line, "E"), read("N", "E")
	t.sig.Insulation = &Insulation{LN: &ln, LE: &le, NE: &ne}
}

// positions are the conditions with the circuit's lighting switches in every combination; each switch adds a factor of
// two, so beyond eight all are moved together.
func (t *tests) positions(base wiring.Condition) []wiring.Condition {
	n := len(t.c.Switches)
	count := 1 << min(n, 8)
	var all []wiring.Condition
	for k := range count {
		c := base.Clone()
		for i, s := range t.c.Switches {
			c.Position[t.c.ID+"/"+s.ID] = k >> min(i, 7) & 1
		}
		all = append(all, c)
	}
	return all
}

// live takes Ze at the origin on the lifted earthing conductor's supplier end, Zs at every point, and the tests of the
// RCD at the point farthest from the board.
func (t *tests) live() {
	floating := t.Rig.Supply.Transformer != nil && !t.Rig.Supply.Transformer.NeutralEarthed
	if floating {
		return
	}
	line := wiring.Cores(t.c)[0]
	incoming := "L"
	if t.Rig.Supply.Phases == 3 {
		incoming = t.c.Lines[0]
	}
	off := wiring.Condition{Open: wiring.Set(wiring.MainSwitch), Lifted: wiring.Set("board/earthing-conductor")}
	ze := t.number(t.o.Instrument.Loop(t.bench(off), "board/incoming/"+incoming, "board/earthing-conductor", true, t.where("origin", "ze")))
	t.sig.Ze = &ze
	on := wiring.Condition{}
	zs := &Points{}
	for _, p := range t.measured() {
		zs.add(p, t.number(t.o.Instrument.Loop(t.bench(on), t.at(p, line), t.at(p, "E"), false, t.where(p, "zs"))))
	}
	t.sig.Zs = zs
	if d := t.Rig.RCDOf(t.c); d != nil {
		far := Farthest(t.c)
		t.rcd(on, t.at(far, line), t.at(far, "E"), d.IdnMA)
	}
}

// Farthest is the point of a circuit with the most cable between it and the board, the shorter way round on a ring; the
// first of equals.
func Farthest(c *rig.Circuit) string {
	ringM := c.ReturnM
	for _, p := range c.Points {
		if p.From == "" {
			ringM += p.LengthM
		}
	}
	along, reach := map[string]float64{}, map[string]float64{} // the way in the order of the points; the shortest way
	far, before := "", ""
	for _, p := range c.Points {
		if p.Kind == rig.Switchbox && c.Shape == rig.Lighting {
			continue
		}
		from := p.From
		if from == "" {
			from = before
		}
		along[p.ID] = along[from] + p.LengthM
		switch {
		case c.Shape != rig.Ring:
			reach[p.ID] = along[p.ID]
		case p.From != "":
			reach[p.ID] = reach[from] + p.LengthM
		default:
			reach[p.ID] = min(along[p.ID], ringM-along[p.ID])
		}
		if p.From == "" || c.Shape != rig.Ring {
			before = p.ID
		}
		if p.Kind != rig.Switchbox && (far == "" || reach[p.ID] > reach[far]+1e-9) {
			far = p.ID
		}
	}
	return far
}

// rcd takes each timed test from both half-cycles; the slower counts.
func (t *tests) rcd(c wiring.Condition, line, earth string, idnMA float64) {
	timed := func(multiple float64) Number {
		var all []Number
		for _, half := range []bool{false, true} {
			set := meter.RCDTest{IdnMA: idnMA, Multiple: multiple, Half: half}
			w := t.where(line, fmt.Sprintf("%g %t", multiple, half))
			all = append(all, t.number(t.o.Instrument.RCD(t.bench(c), line, earth, set, w)))
		}
		return *highest(all)
	}
	t.sig.RCD = &RCD{Half: timed(0.5), One: timed(1), Five: timed(5),
		RampMA: t.number(t.o.Instrument.Ramp(t.bench(c), line, earth, idnMA, t.where(line, "ramp")))}
}
