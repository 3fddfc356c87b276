package network

import (
	"fmt"
	"math"
	"testing"
	"time"

	"wanderlead/internal/spicetest"
)

// ladder is a ring circuit in the plain: sockets with three conductors, a length of each between neighbours, and
// insulation between each pair of conductors at every socket. Both ends come back to the board, where they are lifted.
func ladder(sockets int) spec {
	s := spec{nodes: 3 * (sockets + 2)}
	for i := range sockets + 1 {
		for core, ohm := range []float64{0.00741, 0.00741, 0.0121} {
			s.rs = append(s.rs, resistor{3*i + core, 3*(i+1) + core, 0.6 * ohm})
		}
	}
	for i := range sockets + 2 {
		for _, pair := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
			s.rs = append(s.rs, resistor{3*i + pair[0], 3*i + pair[1], 50e9})
		}
	}
	return s
}

// TestLadder: between line and neutral all leaks are in parallel, conductors in between matter only at 1e-11.
func TestLadder(t *testing.T) {
	n := ladder(100).build(t)
	if got, want := n.Resistance(0, 303), 101*0.6*0.00741; math.Abs(got-want) > 1e-9*want {
		t.Errorf("end to end %g, want %g", got, want)
	}
	// each leak L-N in parallel with L-E and E-N in series: 1.5 times as conductive
	if got, want := n.Resistance(0, 1), 50e9/102/1.5; math.Abs(got-want) > 1e-6*want {
		t.Errorf("insulation %g, want %g", got, want)
	}
}

func BenchmarkResistance(b *testing.B) {
	for _, sockets := range []int{18, 98, 198, 5998} {
		s := ladder(sockets)
		n := s.build(b)
		b.Run(fmt.Sprintf("%d-nodes", s.nodes), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				n.Resistance(0, s.nodes-2)
			}
		})
	}
}

// BenchmarkRing is the resistance round a ring of 100 sockets with insulation: line end to line end, and line to neutral
// across all of the insulation, once the network is built.
func BenchmarkRing(b *testing.B) {
	s := ladder(98)
	n := s.build(b)
	for name, to := range map[string]int{"ends": s.nodes - 3, "insulation": 1} {
		b.Run(fmt.Sprintf("%s-%d-nodes", name, s.nodes), func(b *testing.B) {
			for b.Loop() {
				n.Resistance(0, to)
			}
		})
	}
}

func BenchmarkBuild(b *testing.B) {
	for _, sockets := range []int{98, 331, 3331, 33331} {
		s := ladder(sockets)
		b.Run(fmt.Sprintf("%d-nodes", s.nodes), func(b *testing.B) {
			for b.Loop() {
				s.build(b)
			}
		})
	}
}

// BenchmarkGrowth prints how building and asking grow from 1,000 to 100,000 nodes: the exponent p of n^p.
func BenchmarkGrowth(b *testing.B) {
	times := map[int]float64{}
	for _, sockets := range []int{332, 33332} {
		s := ladder(sockets)
		least := math.Inf(1)
		for range 5 {
			start := time.Now()
			s.build(b).Resistance(0, s.nodes-2)
			least = min(least, time.Since(start).Seconds())
		}
		times[sockets] = least
	}
	for b.Loop() {
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(math.Log10(times[33332]/times[332])/2, "exponent")
	b.ReportMetric(1000*times[33332], "ms/100k-nodes")
}

// BenchmarkAgainstSpice prints how many times faster one resistance of the ring of 100 sockets is, once loaded, than a
// whole run of ngspice on the same netlist: the least of several of each.
func BenchmarkAgainstSpice(b *testing.B) {
	spicetest.Need(b)
	s := ladder(98)
	n := s.build(b)
	to := s.nodes - 3
	lines := []string{"I1 0 n0 DC 1"}
	node := func(i int) string {
		if i == to {
			return "0"
		}
		return fmt.Sprintf("n%d", i)
	}
	for i, r := range s.rs {
		lines = append(lines, fmt.Sprintf("R%d %s %s %.17g", i, node(r.a), node(r.b), r.ohm))
	}
	whole := math.Inf(1)
	for range 5 {
		start := time.Now()
		out, err := spicetest.Run(lines, "op", "v(n0)")
		if err != nil {
			b.Fatal(err)
		}
		whole = min(whole, time.Since(start).Seconds())
		if got := n.Resistance(0, to); math.Abs(real(out["v(n0)"])-got) > 1e-6*got {
			b.Fatalf("ngspice %g, ours %g", real(out["v(n0)"]), got)
		}
	}
	once := math.Inf(1)
	for range 20 {
		start := time.Now()
		for range 100 {
			n.Resistance(0, to)
		}
		once = min(once, time.Since(start).Seconds()/100)
	}
	for b.Loop() {
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(1e6*once, "µs/resistance")
	b.ReportMetric(1e3*whole, "ms/ngspice-run")
	b.ReportMetric(whole/once, "times-faster")
}
