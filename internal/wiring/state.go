package wiring

import (
	"maps"
	"math"
	"slices"

	"wanderlead/internal/network"
	"wanderlead/internal/rig"
)

// Current is a current that an instrument takes out of terminal A and gives back at B. With Step set it is in step with the
// voltage of A over B before the draw, which is how an RCD tester or loop tester loads a circuit; else Amp is used as it is.
type Current struct {
	A, B string
	Amp  complex128
	Step bool
}

// Trips says what makes the protective devices of a rig open: of an RCD the residual current that just trips it, in
// amperes; of a circuit's overcurrent device the current that opens it at once. Missing or +Inf: never.
type Trips struct {
	ResidualA map[string]float64
	LineA     map[string]float64
}

// TripsOf takes the real behaviour from the rig. An overcurrent device opens at once at 4, 7, 14 times its rating for
// B, C, D: the middle of the bands 3 to 5, 5 to 10, 10 to 20 (BS EN 60898-1, from memory). A fuse is taken to do so at
// 10 times (common practice, no source).
func TripsOf(r *rig.Rig) Trips {
	t := Trips{ResidualA: map[string]float64{}, LineA: map[string]float64{}}
	add := func(d *rig.RCD) {
		if d != nil {
			t.ResidualA[d.ID] = d.TripMA / 1000
		}
	}
	add(r.Supply.UpstreamRCD)
	for i := range r.Board.Sections {
		add(r.Board.Sections[i].RCD)
	}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		add(c.RCD)
		times := map[string]float64{"B": 4, "C": 7, "D": 14}[c.Device.Curve]
		if times == 0 {
			times = 10
		}
		t.LineA[c.ID] = float64(times * c.Device.RatingA)
	}
	return t
}

// State is the installation with the supply on, solved.
type State struct {
	Tripped []string  // devices that opened, in order of name
	Cond    Condition // the condition they left

	plan     *Plan
	nodes    map[string]int // terminal -> row
	solution *network.Solution
	poles    map[string]int // pole or breaker -> meter
	sources  map[string]int
}

// Energise solves the plan in the condition with its sources on. Devices that the currents make trip are opened, and
// what is left is solved again until nothing more opens. Terminals names those whose voltages will be asked for. With
// hold set nothing trips, so that currents can be looked at.
func (p *Plan) Energise(c Condition, trips Trips, terminals []string, draws []Current, hold bool) (*State, error) {
	var tripped []string
	c = c.Clone()
	for {
		s, err := p.solve(c, terminals, draws)
		if err != nil {
			return nil, err
		}
		opened := s.exceeding(trips)
		if hold || len(opened) == 0 {
			slices.Sort(tripped)
			s.Tripped = tripped
			return s, nil
		}
		for _, d := range opened {
			c.Open[d] = true
			tripped = append(tripped, d)
		}
	}
}

func apart(e Element) bool {
	return e.Kind == Source || e.Kind == Pole || e.Kind == Breaker || e.AboveV > 0
}

// solve solves the plan with sources on, letting parts conduct once the peak voltage across them exceeds theirs.
func (p *Plan) solve(c Condition, terminals []string, draws []Current) (*State, error) {
	n, err := p.net(c, nil, true)
	if err != nil {
		return nil, err
	}
	s := &State{Cond: c, plan: p, nodes: map[string]int{}}
	var rows []int
	keep := func(name string) error {
		if _, ok := s.nodes[name]; ok {
			return nil
		}
		node, ok := n.nodes[name]
		if !ok {
			return p.unknown("terminal", name, p.Terminals())
		}
		s.nodes[name] = len(rows)
		rows = append(rows, node)
		return nil
	}
	var special []Element
	for _, e := range p.Elements() {
		if e = c.standing(e); apart(e) && !math.IsInf(e.Ohm, 1) {
			special = append(special, e)
			keep(e.A)
			keep(e.B)
		}
	}
	for _, d := range draws {
		terminals = append(terminals[:len(terminals):len(terminals)], d.A, d.B)
	}
	for _, t := range terminals {
		if err := keep(t); err != nil {
			return nil, err
		}
	}
	ports, err := n.net.Reduce(rows...)
	if err != nil {
		return nil, err
	}
	for name, i := range s.nodes {
		s.nodes[name] = ports.Row(i)
	}
	return s, s.settle(ports, special, draws)
}

// settle finds which parts conduct: none at first, then those whose voltage is enough, until no more come in.
func (s *State) settle(ports *network.Ports, special []Element, draws []Current) error {
	conducting := map[string]bool{}
	for {
		if err := s.phasors(ports, special, conducting, nil); err != nil {
			return err
		}
		more := false
		for _, e := range special {
			if v, ok := s.solution.Volts(s.nodes[e.A], s.nodes[e.B]); e.AboveV > 0 && !conducting[e.Name] && ok && network.Size(v)*math.Sqrt2 > e.AboveV {
				conducting[e.Name], more = true, true
			}
		}
		if !more {
			break
		}
	}
	if len(draws) == 0 {
		return nil
	}
	taken := make([]Current, 0, len(draws))
	for _, d := range draws {
		v, ok := s.solution.Volts(s.nodes[d.A], s.nodes[d.B])
		if size := network.Size(v); d.Step && ok && size > 0 {
			d.Amp = network.Times(d.Amp, complex(real(v)/size, imag(v)/size))
		}
		if ok {
			taken = append(taken, d) // between places that nothing connects no current can be drawn
		}
	}
	return s.phasors(ports, special, conducting, taken)
}

func (s *State) phasors(ports *network.Ports, special []Element, conducting map[string]bool, draws []Current) error {
	l := network.NewLive(ports.Rows())
	l.AddPorts(ports, 0)
	s.poles, s.sources = map[string]int{}, map[string]int{}
	for _, e := range special {
		a, b := s.nodes[e.A], s.nodes[e.B]
		switch {
		case e.Kind == Source:
			s.sources[e.Name] = l.Source(a, b, Phasor(e.Volt, e.Degrees), 0)
		case e.AboveV > 0:
			if conducting[e.Name] {
				l.Admittance(a, b, complex(1/e.Ohm, 0))
			}
		default:
			s.poles[e.Name] = l.Meter(a, b, complex(e.Ohm, 0))
		}
	}
	for _, d := range draws {
		l.Draw(s.nodes[d.A], s.nodes[d.B], d.Amp)
	}
	var err error
	s.solution, err = l.Solve()
	return err
}

// Volts is the voltage of one terminal over another, both named to Energise. ok is false when nothing connects them.
func (s *State) Volts(a, b string) (v complex128, ok bool) {
	return s.solution.Volts(s.nodes[a], s.nodes[b])
}

// Amps is the current through a pole, breaker contact or source, by its element's name, from the supply side on.
func (s *State) Amps(name string) complex128 {
	if i, ok := s.poles[name]; ok {
		return s.solution.Amps(i)
	}
	if i, ok := s.sources[name]; ok {
		return -s.solution.Amps(i)
	}
	return 0
}

// Residual is the residual current of each RCD in amperes: the sum of its pole currents.
func (s *State) Residual() map[string]complex128 {
	sum := map[string]complex128{}
	for _, name := range slices.Sorted(maps.Keys(s.poles)) {
		if e := s.plan.elements[name]; e.Kind == Pole {
			sum[e.Of] += s.Amps(name)
		}
	}
	return sum
}

// exceeding lists the devices whose currents make them open. A device that is open may still carry a current, in a pole
// that it leaves closed.
func (s *State) exceeding(t Trips) []string {
	var out []string
	residual := s.Residual()
	for _, id := range slices.Sorted(maps.Keys(residual)) {
		if limit, ok := t.ResidualA[id]; ok && !s.Cond.Open[id] && network.Size(residual[id]) >= limit {
			out = append(out, id)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(s.poles)) {
		e := s.plan.elements[name]
		if limit, ok := t.LineA[e.Of]; e.Kind == Breaker && ok && !s.Cond.Open[e.Of] && network.Size(s.Amps(name)) >= limit && !slices.Contains(out, e.Of) {
			out = append(out, e.Of)
		}
	}
	return out
}

// Phasor is a voltage at an angle in degrees. It turns through the thirds of a circle that three phases stand apart; no other angle occurs.
func Phasor(volt, degrees float64) complex128 {
	half := volt / 2
	high := float64(half * math.Sqrt(3))
	switch degrees {
	case -120:
		return complex(-half, -high)
	case -240:
		return complex(-half, high)
	}
	return complex(volt, 0)
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// OhmAt is the resistance between two terminals as a source of volt d.c. between them finds it: parts conduct once the
// voltage across them exceeds theirs. A part once conducting stays so while the test lasts.
func (p *Plan) OhmAt(c Condition, a, b string, volt float64) (float64, error) {
	conducting := map[string]bool{}
	for {
		n, err := p.net(c, conducting, false)
		if err != nil {
			return 0, err
		}
		ohm, err := n.Ohm(a, b)
		if err != nil || ohm == 0 {
			return ohm, err
		}
		more := false
		for _, e := range p.Elements() {
			if e = c.standing(e); e.AboveV > 0 && !conducting[e.Name] && !math.IsInf(e.Ohm, 1) && n.across(a, b, e.A, e.B)*volt > e.AboveV {
				conducting[e.Name], more = true, true
			}
		}
		if !more {
			return ohm, nil
		}
	}
}

// across is the part of the voltage between a and b that stands between x and y, 0 when that is not determined.
func (n *Net) across(a, b, x, y string) float64 {
	ports, err := n.net.Reduce(n.nodes[a], n.nodes[b], n.nodes[x], n.nodes[y])
	if err != nil {
		return 0
	}
	l := network.NewLive(ports.Rows())
	l.AddPorts(ports, 0)
	l.Source(ports.Row(0), ports.Row(1), 1, 0)
	s, err := l.Solve()
	if err != nil {
		return 0
	}
	v, ok := s.Volts(ports.Row(2), ports.Row(3))
	if !ok {
		return 0
	}
	return network.Size(v)
}
