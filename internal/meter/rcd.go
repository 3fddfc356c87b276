package meter

import (
	"maps"
	"math"
	"slices"

	"wanderlead/internal/network"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// RCDTest is what an RCD tester is set to.
type RCDTest struct {
	IdnMA     float64 // rated residual current set on the instrument
	Multiple  float64 // 0.5, 1, 5
	Half      bool    // start on the negative half-cycle (180°)
	Pulsating bool    // pulsating d.c. waveform: 1.4 times the current, twice up to 10 mA
	Delayed   bool    // S type set
}

// touchLimitV is the voltage on the earth connection at which an instrument blocks: rated residual current times the loop
// at 50 V or more (as instrument manuals describe).
const touchLimitV = 50

// window is how long an instrument waits for a trip, in milliseconds (common practice, no source).
func (t RCDTest) window() float64 {
	switch {
	case t.Multiple < 1:
		return 2000
	case t.Multiple >= 5:
		return 200
	}
	return 1000
}

func (t RCDTest) amp() float64 {
	a := t.IdnMA * t.Multiple / 1000
	if t.Pulsating {
		a = float64(a * map[bool]float64{true: 2, false: 1.4}[t.IdnMA <= 10])
	}
	return a
}

// TripMS is the time in milliseconds in which an RCD opens at a residual current, +Inf when it does not: its time at
// rated residual current falls towards that of the bare mechanism as the current grows. The two constants are fitted to
// a sound device (28 ms at 1×, 16 ms at 5×) and a slow one (340 ms, 60 ms); common practice, no source. A delayed type
// keeps a third of its time whatever the current.
func TripMS(d *rig.RCD, residualMA float64) float64 {
	if residualMA < d.TripMA || d.TripMA <= 0 {
		return math.Inf(1)
	}
	floor := min(14, float64(0.8*d.TripMS))
	if d.Delay == "S" {
		floor = max(floor, float64(0.35*d.TripMS))
	}
	return floor + float64((d.TripMS-floor)/power(residualMA/d.IdnMA, 1.217))
}

// power is x to the y, for positive x and y, by squaring and square roots, which every machine rounds alike; the library's
// own power is not the same to the last bit on all.
func power(x, y float64) float64 {
	p := 1.0
	whole := math.Floor(y)
	for range int(whole) {
		p = float64(p * x)
	}
	root := x
	for rest := y - whole; rest > 0x1p-40; {
		root = math.Sqrt(root)
		if rest += rest; rest >= 1 {
			rest--
			p = float64(p * root)
		}
	}
	return p
}

// rcds are all RCDs of a rig by id.
func rcds(r *rig.Rig) map[string]*rig.RCD {
	all := map[string]*rig.RCD{}
	add := func(d *rig.RCD) {
		if d != nil {
			all[d.ID] = d
		}
	}
	add(r.Supply.UpstreamRCD)
	for i := range r.Board.Sections {
		add(r.Board.Sections[i].RCD)
	}
	for i := range r.Circuits {
		add(r.Circuits[i].RCD)
	}
	return all
}

// ready checks the supply at the test's place and the touch voltage; state is the installation before the test.
func (m Instrument) ready(b Bench, line, earth string, idnMA float64) (*wiring.State, Shown, error) {
	s, err := b.Plan.Energise(b.Cond, b.trips(), []string{line, earth}, nil, false)
	if err != nil {
		return nil, Shown{}, err
	}
	v, ok := s.Volts(line, earth)
	if volt := network.Size(v); !ok || volt < leastLoopV || volt > mostLoopV {
		return s, Shown{Refusal: NoSupply, VoltV: math.Round(volt), Opened: s.Tripped}, nil
	}
	n, err := b.Plan.Net(s.Cond)
	if err != nil {
		return nil, Shown{}, err
	}
	ohm, err := n.Ohm(line, earth)
	if err != nil {
		return nil, Shown{}, err
	}
	if ohm*idnMA/1000 >= touchLimitV {
		return s, Shown{Refusal: ContactVoltage, VoltV: math.Round(ohm * idnMA / 1000)}, nil
	}
	return s, Shown{}, nil
}

// residuals are the residual currents in milliamperes with a test current drawn from line to earth.
func (b Bench) residuals(c wiring.Condition, line, earth string, amp float64) (map[string]complex128, error) {
	s, err := b.Plan.Energise(c, b.trips(), nil, []wiring.Current{{A: line, B: earth, Amp: complex(amp, 0), Step: true}}, true)
	if err != nil {
		return nil, err
	}
	out := s.Residual()
	for id := range out {
		out[id] = complex(float64(1000*real(out[id])), float64(1000*imag(out[id])))
	}
	return out, nil
}

// RCD is one timed test: the time in milliseconds until the supply at the leads goes, or no-trip. Which device opens, and
// whether one does, is decided by the residual current in each: what its poles carry, standing leakage, the instrument's
// own current and every other way home included.
func (m Instrument) RCD(b Bench, line, earth string, t RCDTest, w Where) (Shown, error) {
	before, refused, err := m.ready(b, line, earth, t.IdnMA)
	if err != nil || refused.Refusal != "" {
		refused.Unit = quantity.Millisecond
		return refused, err
	}
	residual, err := b.residuals(before.Cond, line, earth, t.amp())
	if err != nil {
		return Shown{}, err
	}
	all := rcds(b.Rig)
	type opening struct {
		id string
		ms float64
	}
	var openings []opening
	for _, id := range slices.Sorted(maps.Keys(residual)) {
		d := all[id]
		if d == nil || t.Pulsating && d.Type == "AC" { // a Type AC device does not see pulsating direct current
			continue
		}
		if ms := TripMS(d, network.Size(residual[id])); !math.IsInf(ms, 1) {
			openings = append(openings, opening{id, ms})
		}
	}
	slices.SortStableFunc(openings, func(x, y opening) int {
		switch {
		case x.ms < y.ms:
			return -1
		case x.ms > y.ms:
			return 1
		}
		return 0
	})
	c := before.Cond.Clone()
	shown := Shown{Unit: quantity.Millisecond, Mark: quantity.NoTrip, Text: string(quantity.NoTrip)}
	for _, o := range openings {
		c.Open[o.id] = true
		shown.Opened = append(shown.Opened, o.id)
		gone, err := b.gone(c, line, earth)
		if err != nil {
			return Shown{}, err
		}
		ms := o.ms
		if t.Half {
			ms = float64(0.92 * ms) // the two half-cycles differ; which one is slower is the device's own
		}
		if gone && ms <= t.window() {
			if !m.Exact {
				ms = max(1, m.read(ms, 1, "rcd-time", "", w))
			}
			timed := m.show(ms, quantity.Millisecond, []scale{{t.window(), 0}})
			timed.Opened = shown.Opened
			return timed, nil
		}
	}
	return shown, nil
}

// gone says whether the supply at two terminals is gone in a condition.
func (b Bench) gone(c wiring.Condition, line, earth string) (bool, error) {
	v, err := Bench{b.Rig, b.Plan, c}.liveBetween(line, earth)
	return v < leastLoopV, err
}

// Ramp raises the test current from 0.3 to 1.1 times the rated residual current in steps of a thirtieth of it, and shows
// the current in milliamperes at which the supply went.
func (m Instrument) Ramp(b Bench, line, earth string, idnMA float64, w Where) (Shown, error) {
	before, refused, err := m.ready(b, line, earth, idnMA)
	if err != nil || refused.Refusal != "" {
		refused.Unit = quantity.Milliampere
		return refused, err
	}
	none, err := b.residuals(before.Cond, line, earth, 0)
	if err != nil {
		return Shown{}, err
	}
	full, err := b.residuals(before.Cond, line, earth, 1.1*idnMA/1000)
	if err != nil {
		return Shown{}, err
	}
	all := rcds(b.Rig)
	best, opened := math.Inf(1), ""
	for _, id := range slices.Sorted(maps.Keys(full)) {
		d := all[id]
		if d == nil || network.Size(full[id]) < d.TripMA {
			continue
		}
		c := before.Cond.Clone()
		c.Open[id] = true
		gone, err := b.gone(c, line, earth)
		if err != nil {
			return Shown{}, err
		}
		at := reaches(d.TripMA, none[id], full[id], float64(1.1*idnMA))
		if gone && at < best {
			best, opened = at, id
		}
	}
	if opened == "" {
		return Shown{Unit: quantity.Milliampere, Mark: quantity.NoTrip, Text: string(quantity.NoTrip)}, nil
	}
	best = max(best, float64(0.3*idnMA))
	if !m.Exact {
		step := idnMA / 30
		best = m.read(float64(math.Ceil(best/step-1e-9)*step), step, "rcd-ramp", "", w)
	}
	shown := m.show(best, quantity.Milliampere, []scale{{9.95, 1}, {float64(1.1 * idnMA * 1.1), 0}})
	shown.Opened = []string{opened}
	return shown, nil
}

// reaches is the test current at which a residual current reaches a size, when it is standing without a test current and
// full at the current given: both are phasors, since what stands need not be in step with the test.
func reaches(size float64, standing, full complex128, at float64) float64 {
	k := complex(real(full-standing)/at, imag(full-standing)/at)
	a := float64(real(k)*real(k)) + float64(imag(k)*imag(k))
	half := float64(real(k)*real(standing)) + float64(imag(k)*imag(standing))
	c := float64(real(standing)*real(standing)) + float64(imag(standing)*imag(standing)) - float64(size*size)
	if c >= 0 {
		return 0
	}
	return (math.Sqrt(float64(half*half)-float64(a*c)) - half) / a
}
