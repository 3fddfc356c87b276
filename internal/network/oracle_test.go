package network

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"testing"
)

// spec is a network in the plain: what a Builder is given, and what the oracle solves.
type spec struct {
	nodes int
	rs    []resistor
	joins [][2]int
}

type resistor struct {
	a, b int
	ohm  float64
}

func (s spec) build(t testing.TB) *Network {
	t.Helper()
	b := &Builder{}
	for range s.nodes {
		b.Node()
	}
	for _, j := range s.joins {
		b.Join(j[0], j[1])
	}
	for _, r := range s.rs {
		b.Resistor(r.a, r.b, r.ohm)
	}
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// exact is the oracle: Kirchhoff's current law at every node, in rational numbers (math/big), solved by Gaussian
// elimination with node q grounded and 1 A driven into p. It shares nothing with the code under test. nil means open.
func (s spec) exact(p, q int) *big.Rat {
	class := make([]int, s.nodes)
	for i := range class {
		class[i] = i
	}
	relabel := func(from, to int) {
		for i := range class {
			if class[i] == from {
				class[i] = to
			}
		}
	}
	for _, j := range s.joins {
		relabel(class[j[0]], class[j[1]])
	}
	if class[p] == class[q] {
		return new(big.Rat)
	}
	reach := map[int]bool{class[q]: true}
	for grew := true; grew; {
		grew = false
		for _, r := range s.rs {
			a, b := class[r.a], class[r.b]
			if !math.IsInf(r.ohm, 1) && reach[a] != reach[b] {
				reach[a], reach[b], grew = true, true, true
			}
		}
	}
	if !reach[class[p]] {
		return nil
	}
	index := map[int]int{}
	for i := range class {
		if c := class[i]; reach[c] && c != class[q] {
			if _, ok := index[c]; !ok {
				index[c] = len(index)
			}
		}
	}
	n := len(index)
	m := make([][]*big.Rat, n)
	for i := range m {
		m[i] = make([]*big.Rat, n+1)
		for j := range m[i] {
			m[i][j] = new(big.Rat)
		}
	}
	for _, r := range s.rs {
		a, b := class[r.a], class[r.b]
		if a == b || math.IsInf(r.ohm, 1) || !reach[a] {
			continue
		}
		g := new(big.Rat).Inv(new(big.Rat).SetFloat64(r.ohm))
		i, okA := index[a]
		j, okB := index[b]
		if okA {
			m[i][i].Add(m[i][i], g)
		}
		if okB {
			m[j][j].Add(m[j][j], g)
		}
		if okA && okB {
			m[i][j].Sub(m[i][j], g)
			m[j][i].Sub(m[j][i], g)
		}
	}
	m[index[class[p]]][n].SetInt64(1)
	// Put p last: after elimination its unknown is read off directly.
	last := index[class[p]]
	m[last], m[n-1] = m[n-1], m[last]
	for i := range m {
		m[i][last], m[i][n-1] = m[i][n-1], m[i][last]
	}
	t := new(big.Rat)
	for k := range n {
		for i := k + 1; i < n; i++ {
			if m[i][k].Sign() == 0 {
				continue
			}
			f := new(big.Rat).Quo(m[i][k], m[k][k])
			for j := k; j <= n; j++ {
				m[i][j].Sub(m[i][j], t.Mul(f, m[k][j]))
				t = new(big.Rat)
			}
		}
	}
	return new(big.Rat).Quo(m[n-1][n], m[n-1][n-1])
}

// relativeError compares a value with the exact one; the difference is taken in rational numbers.
func relativeError(got float64, want *big.Rat) float64 {
	if want.Sign() == 0 {
		return math.Abs(got)
	}
	d := new(big.Rat).SetFloat64(got)
	d.Sub(d, want).Quo(d, want)
	f, _ := d.Float64()
	return math.Abs(f)
}

// randomSpec draws networks of the shapes that wiring has, and others: chains, trees, rings, meshes, islands, joins,
// with resistances from 1 mΩ to 100 GΩ, evenly over the powers of ten.
func randomSpec(r *rand.Rand) spec {
	s := spec{nodes: 2 + r.IntN(11)}
	ohm := func() float64 {
		switch r.IntN(3) {
		case 0:
			return math.Pow(10, -3+3*r.Float64()) // conductors and joints
		case 1:
			return math.Pow(10, 6+5*r.Float64()) // insulation
		}
		return math.Pow(10, -3+14*r.Float64())
	}
	for i := 1; i < s.nodes; i++ {
		if r.IntN(12) > 0 {
			s.rs = append(s.rs, resistor{r.IntN(i), i, ohm()})
		}
	}
	for range r.IntN(2 * s.nodes) {
		s.rs = append(s.rs, resistor{r.IntN(s.nodes), r.IntN(s.nodes), ohm()})
	}
	for range r.IntN(3) {
		s.joins = append(s.joins, [2]int{r.IntN(s.nodes), r.IntN(s.nodes)})
	}
	return s
}

// TestExactRational holds the solution against rational arithmetic: 10,000 random networks with WANDERLEAD_LONG=1, a
// tenth of them else. What is open must be exactly open, what is joined exactly 0.
func TestExactRational(t *testing.T) {
	count := 1000
	if os.Getenv("WANDERLEAD_LONG") == "1" {
		count = 10000
	}
	worst, open, joined := 0.0, 0, 0
	for seed := range count {
		s := randomSpec(rand.New(rand.NewPCG(uint64(seed), 3)))
		n := s.build(t)
		r := rand.New(rand.NewPCG(uint64(seed), 4))
		p := r.IntN(s.nodes)
		q := (p + 1 + r.IntN(s.nodes-1)) % s.nodes
		got, want := n.Resistance(p, q), s.exact(p, q)
		switch {
		case want == nil:
			open++
			if !math.IsInf(got, 1) {
				t.Fatalf("seed %d: %d-%d open, got %g", seed, p, q, got)
			}
			continue
		case want.Sign() == 0:
			joined++
			if got != 0 {
				t.Fatalf("seed %d: %d-%d joined, got %g", seed, p, q, got)
			}
			continue
		case math.IsInf(got, 0) || math.IsNaN(got):
			t.Fatalf("seed %d: got %g, exact %s", seed, got, want.FloatString(6))
		}
		if e := relativeError(got, want); e > 1e-12 {
			t.Errorf("seed %d: relative error %.3g", seed, e)
		} else if e > worst {
			worst = e
		}
	}
	t.Logf("%d networks, worst relative error %.2g, %d open, %d joined", count, worst, open, joined)
	if open < count/50 || joined < count/50 || open+joined > count/2 {
		t.Errorf("the networks are not varied: %d open, %d joined of %d", open, joined, count)
	}
}

// TestKnownHard: the cases in which general dense solvers lost digits, each with its value by series and parallel rules.
func TestKnownHard(t *testing.T) {
	chain := spec{nodes: 12}
	for i := range 10 {
		chain.rs = append(chain.rs, resistor{i, i + 1, 0.02})
	}
	chain.rs = append(chain.rs, resistor{10, 11, 1e9})
	for _, c := range []struct {
		name string
		s    spec
		p, q int
	}{
		{"two leads and 500 MΩ", spec{nodes: 4, rs: []resistor{{0, 1, 0.02}, {1, 2, 500e6}, {2, 3, 0.02}}}, 0, 3},
		{"ten joints and 1 GΩ", chain, 0, 11},
		{"1 µΩ and 999 MΩ", spec{nodes: 3, rs: []resistor{{0, 1, 1e-6}, {1, 2, 999e6}}}, 0, 2},
		{"1 µΩ beside 1 GΩ", spec{nodes: 2, rs: []resistor{{0, 1, 1e-6}, {0, 1, 1e9}}}, 0, 1},
	} {
		if e := relativeError(c.s.build(t).Resistance(c.p, c.q), c.s.exact(c.p, c.q)); e > 1e-15 {
			t.Errorf("%s: relative error %g", c.name, e)
		}
	}
}

// TestReduceExact: the conductances of a network reduced to several ports give, between any two of them, the same
// resistance as the whole.
func TestReduceExact(t *testing.T) {
	for seed := range 200 {
		s := randomSpec(rand.New(rand.NewPCG(uint64(seed), 5)))
		n := s.build(t)
		nodes := rand.New(rand.NewPCG(uint64(seed), 6)).Perm(s.nodes)[:min(s.nodes, 4)]
		ports, err := n.Reduce(nodes...)
		if err != nil {
			t.Fatal(err)
		}
		again := spec{nodes: ports.Rows()}
		for i := range ports.Rows() {
			for j := range i {
				if g := ports.Siemens(i, j); g != 0 {
					again.rs = append(again.rs, resistor{i, j, 1 / g})
				}
			}
		}
		for i := range nodes {
			for j := range i {
				want, got := s.exact(nodes[i], nodes[j]), again.exact(ports.Row(i), ports.Row(j))
				if (want == nil) != (got == nil) {
					t.Fatalf("seed %d: open in one, not in the other", seed)
				}
				if want == nil {
					continue
				}
				f, _ := got.Float64()
				if e := relativeError(f, want); e > 1e-12 {
					t.Errorf("seed %d: relative error %g", seed, e)
				}
			}
		}
	}
}

func FuzzResistance(f *testing.F) {
	f.Add(uint64(1), uint64(2))
	f.Fuzz(func(t *testing.T, a, b uint64) {
		s := randomSpec(rand.New(rand.NewPCG(a, b)))
		n := s.build(t)
		p, q := int(a%uint64(s.nodes)), int(b%uint64(s.nodes))
		got, want := n.Resistance(p, q), s.exact(p, q)
		if want == nil {
			if !math.IsInf(got, 1) {
				t.Fatal(got)
			}
			return
		}
		if math.IsInf(got, 0) || math.IsNaN(got) || relativeError(got, want) > 1e-12 {
			t.Fatal(got, want.FloatString(9))
		}
	})
}

func ExampleNetwork_Resistance() {
	b := &Builder{}
	left, right := b.Node(), b.Node()
	b.Resistor(left, right, 0.4)
	b.Resistor(left, right, 0.4)
	n, _ := b.Build()
	fmt.Println(n.Resistance(left, right))
	// Output: 0.2
}
