package network

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func drawSpec(t *rapid.T) spec {
	s := spec{nodes: rapid.IntRange(2, 14).Draw(t, "nodes")}
	node := rapid.IntRange(0, s.nodes-1)
	for range rapid.IntRange(1, 30).Draw(t, "resistors") {
		s.rs = append(s.rs, resistor{node.Draw(t, "a"), node.Draw(t, "b"), drawOhm(t)})
	}
	for range rapid.IntRange(0, 2).Draw(t, "joins") {
		s.joins = append(s.joins, [2]int{node.Draw(t, "a"), node.Draw(t, "b")})
	}
	return s
}

func drawOhm(t *rapid.T) float64 { return math.Pow(10, rapid.Float64Range(-3, 11).Draw(t, "exponent")) }

func (s spec) rapidBuild(t *rapid.T) *Network {
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

func near(a, b float64) bool { return a == b || math.Abs(a-b) <= 1e-12*math.Abs(b) }

func TestReciprocity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpec(t)
		n := s.rapidBuild(t)
		p, q := rapid.IntRange(0, s.nodes-1).Draw(t, "p"), rapid.IntRange(0, s.nodes-1).Draw(t, "q")
		if a, b := n.Resistance(p, q), n.Resistance(q, p); !near(a, b) {
			t.Fatalf("%g one way, %g the other", a, b)
		}
	})
}

// TestRayleigh: making any resistance smaller, or adding one, never makes the resistance between two places larger
// (Rayleigh's monotonicity law; P. G. Doyle and J. L. Snell, Random Walks and Electric Networks, 1984, chapter 4).
func TestRayleigh(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpec(t)
		p, q := rapid.IntRange(0, s.nodes-1).Draw(t, "p"), rapid.IntRange(0, s.nodes-1).Draw(t, "q")
		before := s.rapidBuild(t).Resistance(p, q)
		i := rapid.IntRange(0, len(s.rs)-1).Draw(t, "which")
		s.rs[i].ohm *= rapid.Float64Range(0.01, 1).Draw(t, "factor")
		s.rs = append(s.rs, resistor{rapid.IntRange(0, s.nodes-1).Draw(t, "a"), rapid.IntRange(0, s.nodes-1).Draw(t, "b"), drawOhm(t)})
		if after := s.rapidBuild(t).Resistance(p, q); after > before*(1+1e-12) {
			t.Fatalf("%g became %g", before, after)
		}
	})
}

// TestSeriesParallelStarDelta: the three rules of every textbook, each on a network of its own and inside another one.
func TestSeriesParallelStarDelta(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpec(t)
		x, y, z := drawOhm(t), drawOhm(t), drawOhm(t)
		node := rapid.IntRange(0, s.nodes-1)
		p, q := node.Draw(t, "p"), node.Draw(t, "q")
		a, b, c := node.Draw(t, "a"), node.Draw(t, "b"), node.Draw(t, "c")
		with := func(extra int, rs ...resistor) float64 {
			u := spec{nodes: s.nodes + extra, joins: s.joins}
			u.rs = append(append(u.rs, s.rs...), rs...)
			return u.rapidBuild(t).Resistance(p, q)
		}
		m := s.nodes
		if u, v := with(1, resistor{a, m, x}, resistor{m, b, y}), with(0, resistor{a, b, x + y}); !near(u, v) {
			t.Fatalf("series: %g, %g", u, v)
		}
		if u, v := with(0, resistor{a, b, x}, resistor{b, a, y}), with(0, resistor{a, b, 1 / (1/x + 1/y)}); !near(u, v) {
			t.Fatalf("parallel: %g, %g", u, v)
		}
		// A. E. Kennelly, "The equivalence of triangles and three-pointed stars in conducting networks", Electrical World
		// and Engineer 34, 1899 (from memory).
		top := x*y + y*z + z*x
		if top > MostOhm*min(x, y, z) {
			return
		}
		star := with(1, resistor{a, m, x}, resistor{b, m, y}, resistor{c, m, z})
		delta := with(0, resistor{b, c, top / x}, resistor{c, a, top / y}, resistor{a, b, top / z})
		if !near(star, delta) {
			t.Fatalf("star %g, delta %g", star, delta)
		}
	})
}

// TestOrderIsNoMatter: the same network given in another order has the same bits.
func TestOrderIsNoMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpec(t)
		p, q := rapid.IntRange(0, s.nodes-1).Draw(t, "p"), rapid.IntRange(0, s.nodes-1).Draw(t, "q")
		before := s.rapidBuild(t).Resistance(p, q)
		s.rs = rapid.Permutation(s.rs).Draw(t, "order")
		for i := range s.rs {
			s.rs[i].a, s.rs[i].b = s.rs[i].b, s.rs[i].a
		}
		if after := s.rapidBuild(t).Resistance(p, q); after != before {
			t.Fatalf("%v became %v", before, after)
		}
	})
}

func TestIslands(t *testing.T) {
	s := spec{nodes: 7, rs: []resistor{{0, 1, 1}, {1, 2, 2}, {3, 4, 5}, {5, 5, 1}, {2, 3, math.Inf(1)}}, joins: [][2]int{{4, 6}}}
	n := s.build(t)
	for _, c := range []struct {
		p, q int
		want float64
	}{{0, 2, 3}, {3, 6, 5}, {4, 6, 0}, {2, 3, math.Inf(1)}, {0, 5, math.Inf(1)}, {5, 5, 0}, {0, 6, math.Inf(1)}} {
		if got := n.Resistance(c.p, c.q); got != c.want {
			t.Errorf("%d-%d: %g, want %g", c.p, c.q, got, c.want)
		}
	}
	if got := n.Resistance(0, 7); !math.IsNaN(got) {
		t.Errorf("a node that is not there reads %g", got)
	}
	if !n.Joined(4, 6) || n.Joined(0, 1) {
		t.Error("joined is wrong")
	}
	if _, err := n.Reduce(0, 9); err == nil || !strings.Contains(err.Error(), "no node 9") {
		t.Error(err)
	}
}

func TestRefusals(t *testing.T) {
	for _, ohm := range []float64{-1, math.NaN(), math.Inf(-1), 1e-12, 1e18} {
		b := &Builder{}
		b.Resistor(b.Node(), b.Node(), ohm)
		if _, err := b.Build(); err == nil || !strings.Contains(err.Error(), "a resistance of") {
			t.Errorf("%g Ω: %v", ohm, err)
		}
	}
	b := &Builder{}
	b.Join(b.Node(), 3)
	if _, err := b.Build(); err == nil || !strings.Contains(err.Error(), "no node 3") {
		t.Error(err)
	}
}
