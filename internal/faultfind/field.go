package faultfind

import (
	"math"

	"wanderlead/internal/wiring"
)

// greatOhm is the resistance from which a branch is left out where conductors are measured or the supply is on: its
// current is below every instrument's resolution there.
const greatOhm = 10e6

// field is the sound installation as elements between numbered terminals.
type field struct {
	elements []wiring.Element
	index    map[string]int32 // element by name
	node     map[string]int32 // terminal by name
	ends     [][2]int32
	touched  []int32 // elements that some hypothesis changes, in order
	place    []int32 // element -> 1 + its place in touched, 0: untouched
}

func newField(p *wiring.Plan) *field {
	f := &field{elements: p.Elements(), index: map[string]int32{}, node: map[string]int32{}}
	for i, e := range f.elements {
		f.index[e.Name] = int32(i)
		f.ends = append(f.ends, [2]int32{f.at(e.A), f.at(e.B)})
	}
	f.place = make([]int32, len(f.elements))
	return f
}

// at numbers a terminal; one that is new is added.
func (f *field) at(terminal string) int32 {
	n, ok := f.node[terminal]
	if !ok {
		n = int32(len(f.node))
		f.node[terminal] = n
	}
	return n
}

func (f *field) touch(element int32) {
	if f.place[element] == 0 {
		f.touched = append(f.touched, element)
		f.place[element] = int32(len(f.touched))
	}
}

// closed says whether an element conducts in a condition, open and shut being a matter of what it is and not of its
// resistance: the rules of package wiring.
func closed(c *wiring.Condition, e *wiring.Element) bool {
	switch e.Kind {
	case wiring.Joint:
		return !c.Lifted[e.Name]
	case wiring.Switch:
		position := 1
		if at, ok := c.Position[e.Of]; ok || e.Of != wiring.Isolator && e.Of != wiring.MainSwitch {
			position = at
		}
		return !c.Open[e.Of] && position == e.At
	case wiring.Breaker:
		return !c.Open[e.Of]
	case wiring.Pole:
		return !c.Open[e.Of] || e.At != 1
	case wiring.Load:
		return c.In[e.Name]
	case wiring.Part:
		return !c.Out[e.Name]
	}
	return true
}

// special says whether an element keeps its own place in a live network: its current or its source is asked for.
func special(e *wiring.Element) bool {
	return e.Kind == wiring.Source || e.Kind == wiring.Pole || e.Kind == wiring.Breaker
}

// stand is the installation in one condition, reduced to the terminals that may matter.
type stand struct {
	cond  wiring.Condition
	live  bool // sources on
	least bool // only what is below greatOhm counts

	kept     []int32 // kept number -> terminal
	number   []int32 // terminal -> 1 + kept number, 0: not kept
	root     []int32 // kept number -> the kept number it is joined to
	branches []branch
	part     []int32  // kept number -> the lowest of those it hangs together with by branches
	loose    []branch // touched elements as they stand, in the order of field.touched; open ones have Ohm +Inf
	special  []int32  // live: elements kept apart that conduct
	devices  []int    // of each of these, see Model.device
	parts    []int32  // insulation: elements that conduct above a voltage
}

// branch is a resistance between two kept numbers, 0 for a join.
type branch struct {
	a, b int32
	ohm  float64
}

// newStand reduces the field in a condition. Probes are terminals where readings are taken; touched elements and their
// ends are kept.
func newStand(f *field, c wiring.Condition, live, least bool, keep map[int32]bool) *stand {
	s := &stand{cond: c, live: live, least: least, number: make([]int32, len(f.node))}
	hold := func(t int32) {
		if s.number[t] == 0 {
			s.kept = append(s.kept, t)
			s.number[t] = int32(len(s.kept))
		}
	}
	for t := range int32(len(f.node)) {
		if keep[t] {
			hold(t)
		}
	}
	r := &reducer{parent: make([]int32, len(f.node))}
	for i := range r.parent {
		r.parent[i] = int32(i)
	}
	for i := range f.elements {
		e, ends := &f.elements[i], f.ends[i]
		switch {
		case f.place[i] != 0:
		case !closed(&c, e) || math.IsInf(e.Ohm, 1) || least && e.Ohm > greatOhm:
		case live && special(e):
			hold(ends[0])
			hold(ends[1])
			s.special = append(s.special, int32(i))
		case e.AboveV > 0:
			if !least {
				hold(ends[0])
				hold(ends[1])
				s.parts = append(s.parts, int32(i))
			}
		case e.Kind == wiring.Source:
			r.join(ends[0], ends[1])
		default:
			r.resistor(ends[0], ends[1], e.Ohm)
		}
	}
	for _, l := range c.Links {
		r.resistor(f.node[l.A], f.node[l.B], l.Ohm)
	}
	s.loose = make([]branch, len(f.touched))
	for i, t := range f.touched {
		e, ends := &f.elements[t], f.ends[t]
		hold(ends[0])
		hold(ends[1])
		b := branch{s.number[ends[0]] - 1, s.number[ends[1]] - 1, e.Ohm}
		if !closed(&c, e) || least && e.Ohm > greatOhm {
			b.ohm = math.Inf(1)
		}
		s.loose[i] = b
	}
	s.settle(r)
	return s
}

// settle takes the terminals that are not kept out of the network.
func (s *stand) settle(r *reducer) {
	owner := map[int32]int32{} // class -> kept number
	s.root = make([]int32, len(s.kept))
	for i, t := range s.kept {
		class := r.find(t)
		if _, ok := owner[class]; !ok {
			owner[class] = int32(i)
		}
		s.root[i] = owner[class]
	}
	for _, e := range r.reduce(func(class int32) bool { _, ok := owner[class]; return ok }) {
		s.branches = append(s.branches, branch{owner[e.a], owner[e.b], 1 / e.ohm})
	}
	s.part = make([]int32, len(s.kept))
	copy(s.part, s.root) // a root has a lower number, and leads to itself
	for _, b := range s.branches {
		tie(s.part, b.a, b.b)
	}
	for i := range s.part {
		s.part[i] = s.part[s.part[i]]
	}
}

// tie notes that two hang together: each number leads to a lower one, or to itself.
func tie(part []int32, a, b int32) {
	for part[a] != a {
		part[a] = part[part[a]]
		a = part[a]
	}
	for part[b] != b {
		part[b] = part[part[b]]
		b = part[b]
	}
	if a < b {
		part[b] = a
	} else {
		part[a] = b
	}
}
