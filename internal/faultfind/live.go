package faultfind

import (
	"maps"
	"math"
	"slices"

	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// live is the state of an installation with its supply on.
type live struct {
	open    map[string]bool
	sources []flow // kept numbers and what it pushes
	poles   []flow
}

// flow is a special element in the live network.
type flow struct {
	of     string
	a, b   int32
	ohm    float64
	emf    complex128
	pole   bool
	pushed []float64 // its unit current through the factors
	amp    complex128
}

// liveNetwork puts the network together with some devices open, and factors it.
func (w *work) liveNetwork(m *Model, at int, picks []pick, open map[string]bool) {
	s := m.stands[at]
	w.network(m, at, picks)
	w.live.open = open
	w.live.sources, w.live.poles = w.live.sources[:0], w.live.poles[:0]
	for _, i := range s.special {
		e := &m.field.elements[i]
		if !standing(e, open) {
			continue
		}
		f := flow{of: e.Of, a: s.number[m.field.ends[i][0]] - 1, b: s.number[m.field.ends[i][1]] - 1, ohm: max(e.Ohm, 1e-6), pole: e.Kind == wiring.Pole}
		if e.Kind == wiring.Source {
			f.ohm = sourceOhm
			turn := e.Degrees * math.Pi / 180
			f.emf = complex(e.Volt*math.Cos(turn), e.Volt*math.Sin(turn))
			w.live.sources = append(w.live.sources, f)
		} else {
			w.live.poles = append(w.live.poles, f)
		}
		w.branch(f.a, f.b, f.ohm)
	}
	w.rows(func(yield func(int32)) {
		for i := range w.live.sources {
			yield(w.live.sources[i].a)
		}
		for _, i := range m.groups[at].measures {
			yield(s.number[m.Measures[i].a] - 1)
			yield(s.number[m.Measures[i].b] - 1)
		}
	})
	for i := range w.live.sources {
		f := &w.live.sources[i]
		f.pushed = w.sys.push(2+i, w.row(f.a), w.row(f.b))
	}
	for i := range w.live.poles {
		f := &w.live.poles[i]
		if x, y := w.row(f.a), w.row(f.b); x >= 0 && y >= 0 && x != y {
			f.pushed = w.sys.push(2+len(w.live.sources)+i, x, y)
			f.amp = w.voltsOf(f.pushed) / complex(f.ohm, 0)
		}
	}
}

// volts is the voltage of one kept number over another.
func (w *work) volts(a, b int32) complex128 {
	x, y := w.row(a), w.row(b)
	if x < 0 || y < 0 || x == y || !w.together(a, b) {
		return 0
	}
	return w.voltsOf(w.sys.push(0, x, y))
}

// voltsOf is the voltage across a pair whose unit current was pushed.
func (w *work) voltsOf(f []float64) complex128 {
	var v complex128
	for i := range w.live.sources {
		src := &w.live.sources[i]
		v += src.emf / sourceOhm * complex(w.sys.between(f, src.pushed), 0)
	}
	return v
}

// exceeding lists devices that open at the currents as they are.
func (w *work) exceeding(t wiring.Trips) []string {
	residual, line := map[string]complex128{}, map[string]float64{}
	for i := range w.live.poles {
		if f := &w.live.poles[i]; f.pole {
			residual[f.of] += f.amp
		} else {
			line[f.of] = max(line[f.of], size(f.amp))
		}
	}
	var out []string
	for id, v := range residual {
		if limit, ok := t.ResidualA[id]; ok && size(v) >= limit {
			out = append(out, id)
		}
	}
	for id, v := range line {
		if limit, ok := t.LineA[id]; ok && v >= limit {
			out = append(out, id)
		}
	}
	return out
}

// liveMeasures takes the measures of a stand with the supply on.
func (w *work) liveMeasures(m *Model, at int, out answer, picks []pick) {
	s := m.stands[at]
	r := m.rigOf(picks)
	trips := wiring.TripsOf(r)
	open := map[string]bool{}
	w.liveNetwork(m, at, picks, open)
	for rounds := 0; rounds < 8; rounds++ {
		opened := w.exceeding(trips)
		if len(opened) == 0 {
			break
		}
		for _, id := range opened {
			open[id] = true
		}
		w.liveNetwork(m, at, picks, open)
	}
	var timed []int
	for _, i := range m.groups[at].measures {
		x := m.Measures[i]
		a, b := s.number[x.a]-1, s.number[x.b]-1
		volt := size(w.volts(a, b))
		if x.function == signature.Volts {
			if out[i] = volt; a != b && w.row(a) != w.row(b) && !w.together(a, b) {
				out[i] = math.NaN() // a conductor that floats shows what little insulation lets through
			}
			continue
		}
		if volt < 100 || volt > 440 { // what a loop tester needs, see package meter
			out[i] = math.NaN()
			continue
		}
		ohm := w.ohm(a, b)
		switch x.function {
		case signature.LoopNoTrip:
			out[i] = w.loop(trips, a, b, ohm, min(0.015, volt/ohm))
		case signature.LoopHigh:
			out[i] = w.loop(trips, a, b, ohm, min(25, volt/(ohm+volt/25)))
		case signature.FaultAmps:
			amp := min(25, volt/(ohm+volt/25))
			if r.Supply.UpstreamRCD != nil {
				amp = min(0.015, volt/ohm)
			}
			out[i] = volt / w.loop(trips, a, b, ohm, amp) / 1000
		default:
			if ohm*x.setUp.RCD.IdnMA/1000 >= 50 {
				out[i] = math.NaN()
			} else {
				timed = append(timed, i)
			}
		}
	}
	w.timedTests(m, at, out, picks, r, timed)
}

// loop is the loop impedance, NaN when the test's own current makes a device open.
func (w *work) loop(t wiring.Trips, a, b int32, ohm, amp float64) float64 {
	residual := w.residual(a, b, amp)
	for id, v := range residual {
		if limit, ok := t.ResidualA[id]; ok && size(v) >= limit {
			return math.NaN()
		}
	}
	return ohm
}

// residual is each RCD's residual current in amperes while a test draws a current from a to b.
func (w *work) residual(a, b int32, amp float64) map[string]complex128 {
	out := make(map[string]complex128, 4)
	f := w.sys.push(1, w.row(a), w.row(b))
	step := complex(amp, 0)
	if v := w.voltsOf(f); v != 0 {
		step *= v / complex(size(v), 0)
	}
	for i := range w.live.poles {
		p := &w.live.poles[i]
		if !p.pole {
			continue
		}
		current := p.amp
		if p.pushed != nil && amp != 0 && w.together(p.a, a) {
			// the draw takes the unit current out at a: what it adds across the pole is minus the transfer
			current -= complex(w.sys.between(f, p.pushed)/p.ohm, 0) * step
		}
		out[p.of] += current
	}
	return out
}

// timedTests are the tests of an RCD: which device opens at the test's current, when, and whether the supply at the
// leads goes with it.
func (w *work) timedTests(m *Model, at int, out answer, picks []pick, r *rig.Rig, timed []int) {
	if len(timed) == 0 {
		return
	}
	s := m.stands[at]
	type opening struct {
		id string
		at float64
	}
	devices := devicesOf(r)
	found := make([][]opening, len(timed))
	for k, i := range timed {
		x := m.Measures[i]
		a, b := s.number[x.a]-1, s.number[x.b]-1
		idn := x.setUp.RCD.IdnMA
		test := x.setUp.RCD.Multiple * idn
		if x.function == signature.RCDRamp {
			test = 1.1 * idn
		}
		none, full := w.residual(a, b, 0), w.residual(a, b, test/1000)
		for _, id := range slices.Sorted(maps.Keys(full)) {
			d := devices[id]
			if d == nil {
				continue
			}
			mA := size(full[id]) * 1000
			if x.function == signature.RCDRamp {
				if mA >= d.TripMA {
					found[k] = append(found[k], opening{id, max(0.3*idn, reaches(d.TripMA, none[id]*1000, full[id]*1000, test))})
				}
				continue
			}
			if ms := meter.TripMS(d, mA); !math.IsInf(ms, 1) {
				if x.setUp.RCD.Half {
					ms *= 0.92
				}
				found[k] = append(found[k], opening{id, ms})
			}
		}
		slices.SortStableFunc(found[k], func(x, y opening) int { return int(math.Copysign(1, x.at-y.at)) })
	}
	before := maps.Clone(w.live.open)
	gone := map[string]bool{}
	for k, i := range timed {
		x := m.Measures[i]
		a, b := s.number[x.a]-1, s.number[x.b]-1
		out[i] = math.Inf(1)
		open := maps.Clone(before)
		key := x.aOn
		for _, o := range found[k] {
			if x.function == signature.RCDRamp {
				open, key = maps.Clone(before), x.aOn
			}
			open[o.id] = true
			key += " " + o.id
			is, ok := gone[key]
			if !ok {
				w.liveNetwork(m, at, picks, open)
				is = size(w.volts(a, b)) < 100
				gone[key] = is
			}
			if is && (x.function == signature.RCDRamp || o.at <= window(x.setUp.RCD.Multiple)) {
				out[i] = o.at
				break
			}
		}
	}
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

func devicesOf(r *rig.Rig) map[string]*rig.RCD {
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

// reaches is the test current at which a residual current reaches a size, given what stands without it and what there is
// at the current given.
func reaches(size float64, standing, full complex128, at float64) float64 {
	k := (full - standing) / complex(at, 0)
	a := real(k)*real(k) + imag(k)*imag(k)
	half := real(k)*real(standing) + imag(k)*imag(standing)
	c := real(standing)*real(standing) + imag(standing)*imag(standing) - size*size
	if c >= 0 {
		return 0
	}
	return (math.Sqrt(half*half-a*c) - half) / a
}
