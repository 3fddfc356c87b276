package faultfind

import (
	"cmp"
	"math"
	"slices"

	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// live is the state of an installation with its supply on.
type live struct {
	open     uint64 // devices that are open, by number
	sources  []flow
	poles    []flow
	standing []complex128 // residual current of each device with nothing drawn, in amperes
	current  []float64    // the largest of each device's line currents
	share    []complex128 // what an ampere drawn at a point adds to each residual current
}

// flow is a special element in the live network, between kept numbers.
type flow struct {
	device int
	a, b   int32
	ohm    float64
	emf    complex128
	pole   bool
	pushed []float64 // its unit current through the factors
}

// liveNetwork puts the network together with some devices open.
func (w *work) liveNetwork(m *Model, at int, picks []pick, open uint64) {
	s := m.stands[at]
	w.network(m, at, picks)
	l := &w.live
	l.open, l.sources, l.poles = open, l.sources[:0], l.poles[:0]
	for k, i := range s.special {
		e := &m.field.elements[i]
		f := flow{device: s.devices[k], a: s.number[m.field.ends[i][0]] - 1, b: s.number[m.field.ends[i][1]] - 1, ohm: max(e.Ohm, 1e-6), pole: e.Kind == wiring.Pole}
		if e.Kind == wiring.Source {
			f.ohm = sourceOhm
			f.emf = wiring.Phasor(e.Volt, e.Degrees)
			l.sources = append(l.sources, f)
		} else {
			if open>>f.device&1 == 1 && (!f.pole || e.At == 1) {
				continue
			}
			l.poles = append(l.poles, f)
		}
		w.branch(f.a, f.b, f.ohm)
	}
	for i := range picks { // devices that a fault brings with it
		for _, e := range picks[i].form.edits[at] {
			if e.device == 0 || e.open || open>>(e.device-1)&1 == 1 && (!e.pole || e.at == 1) {
				continue
			}
			f := flow{device: e.device - 1, a: e.a, b: e.b, ohm: max(e.ohm0, 1e-6), pole: e.pole}
			l.poles = append(l.poles, f)
			w.branch(f.a, f.b, f.ohm)
		}
	}
	w.parts(s, func(yield func(int32)) {
		for i := range l.sources {
			yield(l.sources[i].a)
		}
		for _, i := range m.groups[at].measures {
			yield(s.number[m.Measures[i].a] - 1)
			yield(s.number[m.Measures[i].b] - 1)
		}
	})
}

// solve factors the live network and finds what its devices carry.
func (w *work) solve(m *Model) {
	w.factor()
	l := &w.live
	for i := range l.sources {
		f := &l.sources[i]
		f.pushed = w.sys.push(2+i, w.row(f.a), w.row(f.b))
	}
	n := len(m.devices)
	l.standing, l.current, l.share = resized(l.standing, n), resized(l.current, n), resized(l.share, n)
	clear(l.standing)
	clear(l.current)
	for i := range l.poles {
		f := &l.poles[i]
		x, y := w.row(f.a), w.row(f.b)
		if x < 0 || y < 0 || x == y {
			continue
		}
		f.pushed = w.sys.push(2+len(l.sources)+i, x, y)
		amp := scaled(w.voltsOf(f.pushed), 1/f.ohm)
		if f.pole {
			l.standing[f.device] += amp
		} else {
			l.current[f.device] = max(l.current[f.device], size(amp))
		}
	}
}

// voltsOf is the voltage across a pair whose unit current was pushed.
func (w *work) voltsOf(f []float64) complex128 {
	var v complex128
	for i := range w.live.sources {
		src := &w.live.sources[i]
		v += scaled(src.emf, w.sys.between(f, src.pushed)/sourceOhm)
	}
	return v
}

// point is what stands at two terminals of the live network.
type point struct {
	volt complex128
	ohm  float64
	step complex128 // direction of a current drawn in step with the voltage
}

// point solves for two kept numbers, and leaves in live.share what an ampere drawn there does to each device.
func (w *work) point(a, b int32) (p point) {
	l := &w.live
	clear(l.share)
	x, y := w.row(a), w.row(b)
	switch {
	case x >= 0 && x == y:
		return p
	case x < 0 || y < 0 || !w.together(a, b):
		p.ohm = math.Inf(1)
		return p
	}
	f := w.sys.push(0, x, y)
	p.volt, p.ohm, p.step = w.voltsOf(f), w.sys.between(f, f), 1
	if n := size(p.volt); n > 0 {
		p.step = scaled(p.volt, 1/n)
	}
	for i := range l.poles {
		// the draw takes the unit current out at a: what it adds across the pole is minus the transfer
		if q := &l.poles[i]; q.pole && q.pushed != nil && w.together(q.a, a) {
			l.share[q.device] -= scaled(p.step, w.sys.between(f, q.pushed)/q.ohm)
		}
	}
	return p
}

// exceeding is the devices that open at the currents as they are.
func (w *work) exceeding(d *devices) (opened uint64) {
	for i := range d.rcd {
		if w.live.open>>i&1 == 0 && (size(w.live.standing[i]) >= d.residualA[i] || w.live.current[i] >= d.lineA[i]) {
			opened |= 1 << i
		}
	}
	return opened
}

// liveMeasures takes the measures of a stand with the supply on.
func (w *work) liveMeasures(m *Model, at int, out answer, picks []pick) {
	s := m.stands[at]
	r := m.rigOf(picks)
	d := m.devicesOf(r)
	open := uint64(0)
	for {
		w.liveNetwork(m, at, picks, open)
		w.solve(m)
		opened := w.exceeding(d)
		if opened == 0 {
			break
		}
		open |= opened
	}
	var timed []openings
	last, p := [2]int32{-1, -1}, point{}
	for _, i := range m.groups[at].measures {
		x := m.Measures[i]
		if x.Extra && !w.extras {
			continue
		}
		a, b := s.number[x.a]-1, s.number[x.b]-1
		if last != [2]int32{a, b} {
			last, p = [2]int32{a, b}, w.point(a, b)
		}
		volt := size(p.volt)
		if x.function == signature.Volts {
			if out[i] = volt; math.IsInf(p.ohm, 1) {
				out[i] = math.NaN() // a conductor that floats shows what little insulation lets through
			}
			continue
		}
		if volt < 100 || volt > 440 { // what a loop tester needs, see package meter
			out[i] = math.NaN()
			continue
		}
		noTrip, high := min(0.015, volt/p.ohm), min(25, volt/(p.ohm+volt/25))
		switch x.function {
		case signature.LoopNoTrip:
			out[i] = w.loop(d, p, noTrip)
		case signature.LoopHigh:
			out[i] = w.loop(d, p, high)
		case signature.FaultAmps:
			if r.Supply.UpstreamRCD != nil {
				high = noTrip
			}
			out[i] = volt / w.loop(d, p, high) / 1000
		default:
			if p.ohm*x.setUp.RCD.IdnMA/1000 >= 50 {
				out[i] = math.NaN()
			} else {
				timed = append(timed, w.openings(m, i, d))
			}
		}
	}
	w.timedTests(m, at, out, picks, timed)
}

// loop is the loop impedance, NaN when the test's own current makes a device open.
func (w *work) loop(d *devices, p point, amp float64) float64 {
	for i := range d.rcd {
		if d.rcd[i] != nil && size(w.live.standing[i]+scaled(w.live.share[i], amp)) >= d.residualA[i] {
			return math.NaN()
		}
	}
	return p.ohm
}

// openings are the devices that a test of an RCD opens, in time or as its current rises.
type openings struct {
	measure int
	all     []opening
}

type opening struct {
	device int
	at     float64
}

// openings works out which devices a test at the point last solved opens, and when.
func (w *work) openings(m *Model, measure int, d *devices) openings {
	x := m.Measures[measure]
	idn := x.setUp.RCD.IdnMA
	test := float64(x.setUp.RCD.Multiple * idn)
	ramp := x.function == signature.RCDRamp
	if ramp {
		test = float64(1.1 * idn)
	}
	o := openings{measure: measure}
	for i, rcd := range d.rcd {
		if rcd == nil {
			continue
		}
		standing := scaled(w.live.standing[i], 1000)
		full := standing + scaled(w.live.share[i], test)
		mA := size(full)
		if ramp {
			if mA >= rcd.TripMA {
				o.all = append(o.all, opening{i, max(float64(0.3*idn), reaches(rcd.TripMA, standing, full, test))})
			}
			continue
		}
		if ms := meter.TripMS(rcd, mA); !math.IsInf(ms, 1) {
			if x.setUp.RCD.Half {
				ms = float64(ms * 0.92)
			}
			o.all = append(o.all, opening{i, ms})
		}
	}
	slices.SortStableFunc(o.all, func(x, y opening) int { return cmp.Compare(x.at, y.at) })
	return o
}

// timedTests are the tests of an RCD: whether the supply at the leads goes with the devices that open, one after the
// other; by a ramp each for itself.
func (w *work) timedTests(m *Model, at int, out answer, picks []pick, timed []openings) {
	s, before := m.stands[at], w.live.open
	var known [8]struct {
		a, b int32
		open uint64
		gone bool
	}
	n := 0
	gone := func(a, b int32, open uint64) bool {
		for _, k := range known[:n] {
			if k.a == a && k.b == b && k.open == open {
				return k.gone
			}
		}
		is := w.gone(m, at, picks, a, b, open)
		if n < len(known) {
			known[n].a, known[n].b, known[n].open, known[n].gone = a, b, open, is
			n++
		}
		return is
	}
	for _, t := range timed {
		x := m.Measures[t.measure]
		ramp := x.function == signature.RCDRamp
		out[t.measure] = math.Inf(1)
		open := before
		for _, o := range t.all {
			if ramp {
				open = before
			}
			open |= 1 << o.device
			if gone(s.number[x.a]-1, s.number[x.b]-1, open) && (ramp || o.at <= window(x.setUp.RCD.Multiple)) {
				out[t.measure] = o.at
				break
			}
		}
	}
}

// gone says whether the supply at two kept numbers is gone with some devices open.
func (w *work) gone(m *Model, at int, picks []pick, a, b int32, open uint64) bool {
	w.liveNetwork(m, at, picks, open)
	fed := false
	for i := range w.live.sources {
		fed = fed || w.together(w.live.sources[i].a, a) && w.together(w.live.sources[i].a, b)
	}
	if !fed {
		return true
	}
	w.solve(m)
	return size(w.point(a, b).volt) < 100
}

// window is how long an instrument waits for a trip, in milliseconds (as package meter has it).
func window(multiple float64) float64 {
	switch {
	case multiple < 1:
		return 2000
	case multiple >= 5:
		return 200
	}
	return 1000
}

// devices are the RCDs and overcurrent devices of a description, as they behave: by the numbers that Model.device gives.
type devices struct {
	residualA, lineA []float64 // what makes each open, +Inf: never
	rcd              []*rig.RCD
}

// most is the number of devices that fit the set of open ones.
const most = 64

// devicesOf is how the devices of a description behave.
func (m *Model) devicesOf(r *rig.Rig) *devices {
	if d, ok := m.behaved[r]; ok {
		return d
	}
	trips := wiring.TripsOf(r)
	d := &devices{}
	all := map[string]*rig.RCD{}
	add := func(x *rig.RCD) {
		if x != nil {
			all[x.ID] = x
		}
	}
	add(r.Supply.UpstreamRCD)
	for i := range r.Board.Sections {
		add(r.Board.Sections[i].RCD)
	}
	for i := range r.Circuits {
		add(r.Circuits[i].RCD)
	}
	limit := func(of map[string]float64, id string) float64 {
		if v, ok := of[id]; ok {
			return v
		}
		return math.Inf(1)
	}
	for _, id := range m.devices {
		d.residualA, d.lineA = append(d.residualA, limit(trips.ResidualA, id)), append(d.lineA, limit(trips.LineA, id))
		d.rcd = append(d.rcd, all[id])
	}
	m.behaved[r] = d
	return d
}

// device numbers a device.
func (m *Model) device(id string) int {
	if i := slices.Index(m.devices, id); i >= 0 {
		return i
	}
	m.devices = append(m.devices, id)
	return len(m.devices) - 1
}

// reaches is the test current at which a residual current reaches a size, given what stands without it and what there is
// at the current given.
func reaches(size float64, standing, full complex128, at float64) float64 {
	k := scaled(full-standing, 1/at)
	a := float64(real(k)*real(k)) + float64(imag(k)*imag(k))
	half := float64(real(k)*real(standing)) + float64(imag(k)*imag(standing))
	c := float64(real(standing)*real(standing)) + float64(imag(standing)*imag(standing)) - float64(size*size)
	if c >= 0 {
		return 0
	}
	return (math.Sqrt(float64(half*half)-float64(a*c)) - half) / a
}
