package network

import (
	"errors"
	"fmt"
	"math"
)

// Live is a small network of admittances, sources and current meters, solved with complex phasors by nodal analysis in
// which source and meter currents are unknowns of their own (modified nodal analysis: C.-W. Ho, A. Ruehli, P. Brennan,
// IEEE Transactions on Circuits and Systems 22, 1975; from memory). It serves the few nodes left after a reduction; the
// subtractions of the dense solution are harmless there.
type Live struct {
	nodes    int
	admit    []admittance
	branches []branch
	currents []injection
}

type admittance struct {
	a, b int
	y    complex128
}

// branch obeys V(a) − V(b) = emf + z·I, with I from a to b through it: a source, or with emf 0 a meter.
type branch struct {
	a, b   int
	emf, z complex128
}

type injection struct {
	a, b int
	i    complex128
}

// NewLive starts a network of that many nodes, numbered from 0.
func NewLive(nodes int) *Live { return &Live{nodes: nodes} }

// AddPorts puts a reduced network between its rows' nodes: row i is node first+i.
func (l *Live) AddPorts(p *Ports, first int) {
	for i := range p.rows {
		for j := i + 1; j < p.rows; j++ {
			if g := p.Siemens(i, j); g != 0 {
				l.Admittance(first+i, first+j, complex(g, 0))
			}
		}
	}
}

// Admittance adds an admittance in siemens between two nodes.
func (l *Live) Admittance(a, b int, y complex128) { l.admit = append(l.admit, admittance{a, b, y}) }

// Source adds a source of emf volts (a over b) behind z ohms, and returns the number of its current: what flows into it
// at a, so the current it delivers is the negative.
func (l *Live) Source(a, b int, emf, z complex128) int {
	l.branches = append(l.branches, branch{a, b, emf, z})
	return len(l.branches) - 1
}

// Meter adds a current path from a to b of z ohms whose current is asked for later by the number returned.
func (l *Live) Meter(a, b int, z complex128) int { return l.Source(a, b, 0, z) }

// Draw makes something take a fixed current out of node a and give it back at node b.
func (l *Live) Draw(a, b int, amp complex128) { l.currents = append(l.currents, injection{a, b, amp}) }

// Solution holds the voltages and currents of a solved network.
type Solution struct {
	volts, amps []complex128
	island      []int
}

// Volts is the voltage of a over b. ok is false when nothing connects the two, so that the voltage is not determined.
func (s *Solution) Volts(a, b int) (v complex128, ok bool) {
	return s.volts[a] - s.volts[b], s.island[a] == s.island[b]
}

// Amps is the current of a source or meter, from its first node to its second.
func (s *Solution) Amps(number int) complex128 { return s.amps[number] }

// ErrContradiction is what sources and ideal meters in a closed loop without any impedance lead to.
var ErrContradiction = errors.New("sources or current paths in a loop without impedance")

// Solve finds all voltages and currents. Each part of the network that hangs together has a reference of its own, its
// lowest node.
func (l *Live) Solve() (*Solution, error) {
	island, err := l.islands()
	if err != nil {
		return nil, err
	}
	size := l.nodes + len(l.branches)
	m := make([][]complex128, size)
	for i := range m {
		m[i] = make([]complex128, size+1)
	}
	for _, e := range l.admit {
		m[e.a][e.a] += e.y
		m[e.b][e.b] += e.y
		m[e.a][e.b] -= e.y
		m[e.b][e.a] -= e.y
	}
	for _, e := range l.currents {
		m[e.a][size] -= e.i
		m[e.b][size] += e.i
	}
	for i, e := range l.branches {
		row := l.nodes + i
		m[e.a][row] += 1
		m[e.b][row] -= 1
		m[row][e.a] += 1
		m[row][e.b] -= 1
		m[row][row] -= e.z
		m[row][size] += e.emf
		if e.a == e.b { // both ends on one node: all current takes the ideal way round it
			m[row][row] = 1
			m[row][size] = 0
		}
	}
	for i, of := range island {
		if of == i { // the reference of its island
			clear(m[i])
			m[i][i] = 1
		}
	}
	x, err := solveDense(m)
	if err != nil {
		return nil, err
	}
	return &Solution{volts: x[:l.nodes], amps: x[l.nodes:], island: island}, nil
}

// islands gives each node the lowest node that it hangs together with.
func (l *Live) islands() ([]int, error) {
	parent := make([]int32, l.nodes)
	for i := range parent {
		parent[i] = int32(i)
	}
	join := func(a, b int) error {
		if a < 0 || b < 0 || a >= l.nodes || b >= l.nodes {
			return fmt.Errorf("no node %d or %d: there are %d", a, b, l.nodes)
		}
		p, q := find(parent, int32(a)), find(parent, int32(b))
		parent[max(p, q)] = min(p, q)
		return nil
	}
	var err error
	for _, e := range l.admit {
		err = errors.Join(err, join(e.a, e.b))
	}
	for _, e := range l.branches {
		err = errors.Join(err, join(e.a, e.b))
	}
	for _, e := range l.currents {
		err = errors.Join(err, join(e.a, e.b))
	}
	island := make([]int, l.nodes)
	for i := range island {
		island[i] = int(find(parent, int32(i)))
	}
	return island, err
}

// solveDense is Gaussian elimination with the pivot largest in its row's own scale; m is size × (size+1) and is overwritten.
func solveDense(m [][]complex128) ([]complex128, error) {
	size := len(m)
	scale := make([]float64, size)
	for i, row := range m {
		for _, v := range row[:size] {
			scale[i] = max(scale[i], size1(v))
		}
		if scale[i] == 0 {
			return nil, ErrContradiction
		}
	}
	for k := range size {
		best, at := 0.0, k
		for i := k; i < size; i++ {
			if a := size1(m[i][k]) / scale[i]; a > best {
				best, at = a, i
			}
		}
		if best < 1e-22 { // smaller than a leak of LeastOhm..MostOhm can be beside a metal joint
			return nil, ErrContradiction
		}
		m[k], m[at] = m[at], m[k]
		scale[k], scale[at] = scale[at], scale[k]
		for i := k + 1; i < size; i++ {
			if m[i][k] == 0 {
				continue
			}
			f := Over(m[i][k], m[k][k])
			m[i][k] = 0
			for j := k + 1; j <= size; j++ {
				if m[k][j] != 0 {
					m[i][j] -= Times(f, m[k][j])
				}
			}
		}
	}
	x := make([]complex128, size)
	for i := size - 1; i >= 0; i-- {
		v := m[i][size]
		for j := i + 1; j < size; j++ {
			v -= Times(m[i][j], x[j])
		}
		x[i] = Over(v, m[i][i])
	}
	return x, nil
}

// Times is the product with each real product rounded, so that no machine fuses one into the sum.
func Times(a, b complex128) complex128 {
	ar, ai, br, bi := real(a), imag(a), real(b), imag(b)
	return complex(float64(ar*br)-float64(ai*bi), float64(ar*bi)+float64(ai*br))
}

// Over is the quotient a/b, the parts of b scaled by the larger of them so that no square overflows. The language's own
// division leaves the machine free to fuse its products.
func Over(a, b complex128) complex128 {
	scale := size1(b)
	c, d := real(b)/scale, imag(b)/scale
	square := float64(c*c) + float64(d*d)
	p := Times(a, complex(c, -d))
	return complex(real(p)/square/scale, imag(p)/square/scale)
}

// Size is the size of a phasor, rounded the same way on every machine.
func Size(v complex128) float64 {
	return math.Sqrt(float64(real(v)*real(v)) + float64(imag(v)*imag(v)))
}

// size1 is the larger of the two parts' sizes: a measure of size without a square root.
func size1(v complex128) float64 { return max(math.Abs(real(v)), math.Abs(imag(v))) }
