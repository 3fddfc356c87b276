package faultfind

import (
	"math"

	"wanderlead/internal/network"
	"wanderlead/internal/signature"
)

// sourceOhm stands in for nothing at all inside an ideal source, so that it can be a current beside a resistance.
const sourceOhm = 2e-6

// work is what one stand is worked out on, used again from one hypothesis to the next.
type work struct {
	parent  []int32
	number  []int32 // kept number that is a root -> row, −1: nothing is measured near it
	part    []int32 // kept number -> the part that hangs together
	wanted  []bool  // part -> something is measured there
	edges   []branch
	over    []int32 // loose element -> 1 + the edit that replaces it
	count   int     // rows
	extras  bool    // measures of a search are wanted too
	sys     system
	live    live
	touched []int32
}

func (w *work) find(x int32) int32 {
	p := w.parent
	for p[x] != x {
		p[x] = p[p[x]]
		x = p[x]
	}
	return x
}

// branch adds a resistance between two kept numbers; 0 joins them.
func (w *work) branch(a, b int32, ohm float64) {
	if ohm == 0 {
		a, b = w.find(a), w.find(b)
		w.parent[max(a, b)] = min(a, b)
		return
	}
	w.edges = append(w.edges, branch{a, b, ohm})
}

// network puts a stand with a hypothesis in it together.
func (w *work) network(m *Model, at int, picks []pick) {
	s := m.stands[at]
	w.parent = append(w.parent[:0], s.root...)
	w.edges = append(w.edges[:0], s.branches...)
	if len(w.over) < len(s.loose) {
		w.over = make([]int32, len(s.loose))
	}
	for _, t := range w.touched {
		w.over[t] = 0
	}
	w.touched = w.touched[:0]
	for i := range picks {
		for _, e := range picks[i].form.edits[at] {
			if e.loose >= 0 {
				w.over[e.loose] = 1
				w.touched = append(w.touched, e.loose)
			}
		}
	}
	for i, b := range s.loose {
		if w.over[i] == 0 && !math.IsInf(b.ohm, 1) {
			w.branch(b.a, b.b, b.ohm)
		}
	}
	for i := range picks {
		for _, e := range picks[i].form.edits[at] {
			if e.open || e.device > 0 || i == 0 && len(picks) > 1 && clash(e, picks[1].form.edits[at]) {
				continue
			}
			ohm := e.ohm0 + float64(e.slope*picks[i].size)
			if !math.IsInf(ohm, 1) && (!s.least || ohm <= greatOhm) {
				w.branch(e.a, e.b, max(ohm, 0))
			}
		}
	}
}

// clash says whether another hypothesis changes the same element; then the later one counts.
func clash(e edit, others []edit) bool {
	if e.loose < 0 {
		return false
	}
	for i := range others {
		if others[i].loose == e.loose {
			return true
		}
	}
	return false
}

// rows numbers what hangs together with the wanted kept numbers, and factors it.
func (w *work) rows(s *stand, wanted func(yield func(int32))) {
	w.parts(s, wanted)
	w.factor()
}

// parts finds what hangs together, and numbers what hangs together with the wanted kept numbers.
func (w *work) parts(s *stand, wanted func(yield func(int32))) {
	n := len(w.parent)
	w.number, w.part, w.wanted = resized(w.number, n), resized(w.part, n), resized(w.wanted, n)
	root, part := w.parent, w.part
	copy(part, s.part) // what the stand's own branches tie together is known
	clear(w.wanted)
	for i := range root { // a parent has a lower number than its children, so one pass leads all to their roots
		if root[i] = root[root[i]]; root[i] != s.root[i] { // joined in this hypothesis
			tie(part, int32(i), root[i])
		}
	}
	for i := range w.edges {
		e := &w.edges[i]
		e.a, e.b = root[e.a], root[e.b]
		if i >= len(s.branches) {
			tie(part, e.a, e.b)
		}
	}
	for i := range part {
		part[i] = part[part[i]]
	}
	wanted(func(k int32) { w.wanted[part[root[k]]] = true })
	rows := int32(0)
	for i := range root {
		if root[i] == int32(i) && w.wanted[part[i]] {
			w.number[i] = rows
			rows++
		} else {
			w.number[i] = -1
		}
	}
	w.count = int(rows)
}

// factor fills the numbered network in and takes it apart.
func (w *work) factor() {
	w.sys.begin(w.count)
	for i := range w.edges {
		if e := &w.edges[i]; w.number[e.a] >= 0 {
			w.sys.add(w.number[e.a], w.number[e.b], 1/e.ohm)
		}
	}
	w.sys.factor()
}

func resized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	return s[:n]
}

// row is the row of a kept number, and together whether two of them hang together.
func (w *work) row(k int32) int32 { return w.number[w.parent[k]] }

func (w *work) together(a, b int32) bool {
	return w.part[w.parent[a]] == w.part[w.parent[b]]
}

// ohm is the resistance between two kept numbers.
func (w *work) ohm(a, b int32) float64 {
	x, y := w.row(a), w.row(b)
	switch {
	case x == y && x >= 0:
		return 0
	case !w.together(a, b):
		return math.Inf(1)
	}
	return w.sys.ohm(x, y)
}

// measure takes all measures of one stand for a hypothesis. A measure with several stands shows the lowest.
func (w *work) measure(m *Model, at int, out answer, picks []pick) {
	s := m.stands[at]
	group := m.groups[at].measures
	if s.live {
		w.liveMeasures(m, at, out, picks)
		return
	}
	w.network(m, at, picks)
	w.rows(s, func(yield func(int32)) {
		for _, i := range group {
			yield(s.number[m.Measures[i].a] - 1)
			yield(s.number[m.Measures[i].b] - 1)
		}
		for _, p := range s.parts {
			yield(s.number[m.field.ends[p][0]] - 1)
		}
	})
	for _, i := range group {
		x := m.Measures[i]
		if x.Extra && !w.extras {
			continue
		}
		a, b := s.number[x.a]-1, s.number[x.b]-1
		ohm := w.ohm(a, b)
		if x.function == signature.Insulating {
			if len(s.parts) > 0 && ohm > 0 {
				ohm = w.conducting(m, at, a, b, x.setUp.TestV, picks)
			}
			ohm /= 1e6
		}
		out[i] = min(out[i], ohm)
	}
}

// conducting is the resistance at a test voltage, parts in once the voltage across them is enough.
func (w *work) conducting(m *Model, at int, a, b int32, volt float64, picks []pick) float64 {
	s := m.stands[at]
	in := make([]bool, len(s.parts))
	for {
		w.network(m, at, picks)
		for i, p := range s.parts {
			if in[i] {
				w.branch(s.number[m.field.ends[p][0]]-1, s.number[m.field.ends[p][1]]-1, m.field.elements[p].Ohm)
			}
		}
		w.rows(s, func(yield func(int32)) { yield(a); yield(b) })
		ohm := w.ohm(a, b)
		if math.IsInf(ohm, 1) || ohm == 0 {
			return ohm
		}
		f := w.sys.push(1, w.row(a), w.row(b))
		more := false
		for i, p := range s.parts {
			x, y := s.number[m.field.ends[p][0]]-1, s.number[m.field.ends[p][1]]-1
			if in[i] || w.row(x) < 0 || w.row(y) < 0 || w.row(x) == w.row(y) || !w.together(x, y) {
				continue
			}
			if v := float64(math.Abs(w.sys.between(f, w.sys.push(2, w.row(x), w.row(y)))) / ohm * volt); v > m.field.elements[p].AboveV {
				in[i], more = true, true
			}
		}
		if !more {
			return ohm
		}
	}
}

// scaled is a phasor times a number, rounded the same way on every machine.
func scaled(v complex128, k float64) complex128 {
	return complex(float64(real(v)*k), float64(imag(v)*k))
}

func size(v complex128) float64 {
	if imag(v) == 0 {
		return math.Abs(real(v))
	}
	return network.Size(v)
}
