package signature

import (
	"fmt"
	"math"
	"testing"
)

// sheet is the ring of the reference rig written out by hand, three cores and ten places: place 0 is the board end of
// leg 1, 1 to 8 are the sockets, 9 is the board end of leg 2. It shares nothing with the drawing or the network.
type sheet struct {
	names []string
	index map[string]int
	rs    []struct {
		a, b int
		ohm  float64
	}
}

func newSheet() *sheet { return &sheet{index: map[string]int{}} }

func (s *sheet) node(name string) int {
	i, ok := s.index[name]
	if !ok {
		i = len(s.names)
		s.index[name] = i
		s.names = append(s.names, name)
	}
	return i
}

func (s *sheet) add(a, b string, ohm float64) {
	s.rs = append(s.rs, struct {
		a, b int
		ohm  float64
	}{s.node(a), s.node(b), ohm})
}

// link stands for an ideal joint: 1 nΩ, far below what is compared.
func (s *sheet) link(a, b string) { s.add(a, b, 1e-9) }

// ohm solves the nodal equations by Gaussian elimination with pivoting, b grounded and 1 A into a; +Inf when there is no
// path.
func (s *sheet) ohm(a, b string) float64 {
	from, to := s.node(a), s.node(b)
	reach := map[int]bool{to: true}
	for grew := true; grew; {
		grew = false
		for _, r := range s.rs {
			if reach[r.a] != reach[r.b] {
				reach[r.a], reach[r.b], grew = true, true, true
			}
		}
	}
	if !reach[from] {
		return math.Inf(1)
	}
	n := len(s.names)
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n+1)
	}
	for _, r := range s.rs {
		if !reach[r.a] {
			continue
		}
		g := 1 / r.ohm
		m[r.a][r.a] += g
		m[r.b][r.b] += g
		m[r.a][r.b] -= g
		m[r.b][r.a] -= g
	}
	m[from][n] = 1
	for i := range n {
		if i == to || !reach[i] {
			clear(m[i])
			m[i][i] = 1
		}
	}
	for k := range n {
		at := k
		for i := k; i < n; i++ {
			if math.Abs(m[i][k]) > math.Abs(m[at][k]) {
				at = i
			}
		}
		m[k], m[at] = m[at], m[k]
		for i := range n {
			if i == k || m[i][k] == 0 {
				continue
			}
			f := m[i][k] / m[k][k]
			for j := k; j <= n; j++ {
				m[i][j] -= f * m[k][j]
			}
		}
	}
	return m[from][n] / m[from][from]
}

const (
	line25 = 0.00741 // Ω/m, 2.5 mm², IEC 60228
	cpc15  = 0.0121
	cpc10  = 0.0181
)

// byHand is one row of the table marked compute, written out as changes of the ring's lengths.
type byHand struct {
	fault   string
	cpc     float64
	extra   map[string]float64 // more ohms in one length of one core: "L0" is the first length of the line
	open    map[string]bool    // lengths left out
	more    func(s *sheet)
	swapped bool // line and neutral of the fifth length exchanged at s5
}

func handWritten() []byHand {
	bridge := func(s *sheet) {
		for core, ohm := range map[string]float64{"L": line25, "N": line25, "E": cpc15} {
			s.add(core+"2", core+"6", 5*ohm)
		}
	}
	return []byHand{
		{fault: "F06", cpc: cpc15, extra: map[string]float64{"L0": 1}},
		{fault: "F08", cpc: cpc15, extra: map[string]float64{"E4": 0.5}},
		{fault: "F08b", cpc: cpc15, extra: map[string]float64{"E4": 2}},
		{fault: "F11", cpc: cpc15, more: bridge},
		{fault: "F12", cpc: cpc15, more: bridge, open: map[string]bool{"L4": true}},
		{fault: "F14", cpc: cpc15, more: func(s *sheet) {
			for core, ohm := range map[string]float64{"L": line25, "N": line25, "E": cpc15} {
				for i := range 9 {
					s.add(fmt.Sprintf("second %s%d", core, i), fmt.Sprintf("second %s%d", core, i+1), 6*ohm)
				}
				s.add(core+"4", "second "+core+"4", 3*ohm)
				s.add(core+"7", "second "+core+"7", 3*ohm)
			}
		}},
		{fault: "F18", cpc: cpc15, swapped: true},
		{fault: "F19", cpc: cpc10},
	}
}

func (h byHand) sheet() *sheet {
	s := newSheet()
	for core, ohm := range map[string]float64{"L": line25, "N": line25, "E": h.cpc} {
		for i := range 9 {
			key, to := fmt.Sprintf("%s%d", core, i), fmt.Sprintf("%s%d", core, i+1)
			if h.swapped && i == 4 && core != "E" {
				to = map[string]string{"L": "N5", "N": "L5"}[core]
			}
			if !h.open[key] {
				s.add(key, to, 6*ohm+h.extra[key])
			}
		}
	}
	if h.more != nil {
		h.more(s)
	}
	return s
}

// TestComputedRows: the rows of the table without numbers, against nodal equations written out by hand and solved by a
// dense solver of the test's own. The live row joins both legs at the board and adds 0.30 Ω for the source.
func TestComputedRows(t *testing.T) {
	r, of := reference(t), copper(t)
	same := func(what string, got Number, want float64) {
		t.Helper()
		if got.Open != math.IsInf(want, 1) || !got.Open && math.Abs(got.Value-want) > 2e-4 {
			t.Errorf("%s: %+v, by hand %.5f", what, got, want)
		}
	}
	for _, h := range handWritten() {
		s, err := Compute(r, of, "ring", []string{h.fault}, true, 1)
		if err != nil {
			t.Fatal(err)
		}
		same(h.fault+" r1", s.RingEnds.R1, h.sheet().ohm("L0", "L9"))
		same(h.fault+" rn", s.RingEnds.RN, h.sheet().ohm("N0", "N9"))
		same(h.fault+" r2", s.RingEnds.R2, h.sheet().ohm("E0", "E9"))
		for i := range 8 {
			at := func(core string) string { return fmt.Sprintf("%s%d", core, i+1) }
			crossed := h.sheet()
			crossed.link("L0", "N9")
			crossed.link("L9", "N0")
			same(fmt.Sprintf("%s L-N s%d", h.fault, i+1), s.RingCrossed.LineNeutral[i], crossed.ohm(at("L"), at("N")))
			crossed = h.sheet()
			crossed.link("L0", "E9")
			crossed.link("L9", "E0")
			same(fmt.Sprintf("%s L-E s%d", h.fault, i+1), s.RingCrossed.LineCPC[i], crossed.ohm(at("L"), at("E")))
			live := h.sheet()
			for _, core := range []string{"L", "E"} {
				live.link(core+"0", core+"9")
			}
			live.add("L0", "E0", 0.3)
			zs, _ := s.Zs.At(fmt.Sprintf("s%d", i+1))
			if h.swapped { // a dead short from line to neutral: the breaker opens, there is nothing to measure
				if !zs.Open {
					t.Errorf("%s: Zs %+v on a circuit that cannot stay on", h.fault, zs)
				}
				continue
			}
			same(fmt.Sprintf("%s Zs s%d", h.fault, i+1), zs, live.ohm(at("L"), at("E")))
		}
	}
}

// TestHiddenOpenCPC is F21 by hand: at the far fitting the earth current comes home on the neutral, so Zs looks well,
// while R1+R2 is open and an RCD sees nothing.
func TestHiddenOpenCPC(t *testing.T) {
	s, err := Compute(reference(t), copper(t), "lighting", []string{"F21"}, true, 1)
	if err != nil {
		t.Fatal(err)
	}
	zs, _ := s.Zs.At("l3")
	if want := 0.30 + 25*2*0.0121; zs.Open || math.Abs(zs.Value-want) > 1e-4 {
		t.Errorf("Zs at the far fitting %+v, by hand %.4f", zs, want)
	}
	if !s.R1R2.Open || !s.R2.Open || !s.Insulation.NE.Open || !s.RCD.One.Open || !s.RCD.Five.Open {
		t.Errorf("R1+R2 %+v, R2 %+v, N-E at the board %+v, RCD %+v", s.R1R2, s.R2, s.Insulation.NE, s.RCD)
	}
}
