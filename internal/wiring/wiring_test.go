package wiring

import (
	"fmt"
	"math"
	"os"
	"strings"
	"sync"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/network"
	"wanderlead/internal/rig"
	"wanderlead/sequences"
)

// copper is IEC 60228 for the sizes used here, in ohms per metre.
func copper(mm2 float64) (float64, bool) {
	v, ok := map[float64]float64{1: 0.0181, 1.5: 0.0121, 2.5: 0.00741, 4: 0.00461, 6: 0.00308, 10: 0.00183, 16: 0.00115}[mm2]
	return v, ok
}

func drawn(t *testing.T, name string) (*rig.Rig, *Plan) {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Load(lib, name)
	if err != nil {
		data, readErr := os.ReadFile("../signature/testdata/" + name + ".yaml")
		if readErr != nil {
			t.Fatal(err)
		}
		if r, err = rig.Parse(name, data); err != nil {
			t.Fatal(err)
		}
	}
	p, err := Draw(r, Perfect(copper))
	if err != nil {
		t.Fatal(err)
	}
	return r, p
}

var off = Condition{Open: Set(Isolator, MainSwitch, "ring", "rcd-a", "rcd-b")}

func ohm(t *testing.T, p *Plan, c Condition, a, b string) float64 {
	t.Helper()
	n, err := p.Net(c)
	if err != nil {
		t.Fatal(err)
	}
	v, err := n.Ohm(a, b)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestMoves: lifting, moving and linking do to the network what a hand does at the board.
func TestMoves(t *testing.T) {
	_, p := drawn(t, "reference")
	length := 54 * 0.00741
	lifted, oneOut, moved, links := off.Clone(), off.Clone(), off.Clone(), off.Clone()
	lifted.Lifted = Set("ring/leg1/L", "ring/leg2/L")
	oneOut.Lifted = Set("ring/leg1/L")
	moved.Moved = map[string]string{"ring/leg2/N": "board/bar/NB"}
	links.Links = []Link{{A: "ring/way/L", B: "board/met", Ohm: 0.1}}
	for _, c := range []struct {
		name string
		c    Condition
		a, b string
		want float64
	}{
		{"all in: both ends in one terminal", off, "ring/leg1/L", "ring/leg2/L", 0},
		{"both ends out", lifted, "ring/leg1/L", "ring/leg2/L", length},
		{"one end out", oneOut, "ring/leg1/L", "ring/way/L", length},
		{"a neutral end on the other bar joins the bars", moved, "board/bar/NA", "board/bar/NB", length},
		{"a link at the board", links, "ring/way/L", "board/met", 0.1},
		{"nothing joined", off, "ring/way/L", "board/met", math.Inf(1)},
		{"breaker off", off, "board/section-a/L", "ring/way/L", math.Inf(1)},
	} {
		if got := ohm(t, p, c.c, c.a, c.b); got != c.want && math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%s: %g Ω, should be %g", c.name, got, c.want)
		}
	}
}

// TestUnknownNames: each part of a condition that names nothing is refused with what is known.
func TestUnknownNames(t *testing.T) {
	_, p := drawn(t, "reference")
	for _, c := range []Condition{
		{Open: Set("rcd-z")}, {Position: map[string]int{"lighting/third": 1}}, {Lifted: Set("ring/leg3/L")}, {In: Set("ring/s1/kettle")},
		{Moved: map[string]string{"ring/leg1/N": "board/bar/NC"}}, {Links: []Link{{A: "board/met", B: "board/nowhere"}}}, {Moved: map[string]string{"ring/leg9/N": "board/met"}},
	} {
		if _, err := p.Net(c); err == nil || !strings.Contains(err.Error(), "known here: ") {
			t.Errorf("%+v: %v", c, err)
		}
	}
	if _, err := p.Net(Condition{Lifted: Set("ring/s4-s5/L")}); err == nil || !strings.Contains(err.Error(), "cannot be lifted") {
		t.Error(err)
	}
}

// TestSupplies: every built-in rig stands sound at its voltage between the incoming terminals, nothing trips, and no
// residual current flows without a load.
func TestSupplies(t *testing.T) {
	for _, name := range []string{"reference", "training-bay", "rigging-store", "slip-outbuilding", "winch-workshop"} {
		r, p := drawn(t, name)
		line := "L"
		if r.Supply.Phases == 3 {
			line = "L1"
		}
		s, err := p.Energise(Condition{}, TripsOf(r), []string{"board/incoming/" + line, "board/incoming/N", "board/met"}, nil, false)
		if err != nil {
			t.Fatal(err)
		}
		v, ok := s.Volts("board/incoming/"+line, "board/incoming/N")
		e, okE := s.Volts("board/incoming/N", "board/met")
		if !ok || !okE || math.Abs(network.Size(v)-r.Supply.VoltageV) > 0.1 || network.Size(e) > 0.1 || len(s.Tripped) > 0 {
			t.Errorf("%s: L-N %g, N-E %g, tripped %v", name, network.Size(v), network.Size(e), s.Tripped)
		}
		for id, i := range s.Residual() {
			if network.Size(i) > 1e-9 {
				t.Errorf("%s: residual %g A in %s without a load", name, network.Size(i), id)
			}
		}
	}
}

// TestLoadsBalance: every load of the bay, all in at once, leaves each RCD without residual current: what goes out on the
// line comes home on the neutral.
func TestLoadsBalance(t *testing.T) {
	r, p := drawn(t, "training-bay")
	c := Condition{In: map[string]bool{}, Position: map[string]int{"lighting-2/store": 1}}
	for _, e := range p.Elements() {
		if e.Kind == Load {
			c.In[e.Name] = true
		}
	}
	s, err := p.Energise(c, TripsOf(r), nil, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	if i := network.Size(s.Amps("rcd-a/L")); i < 20 {
		t.Errorf("only %g A flow", i)
	}
	for id, i := range s.Residual() {
		if network.Size(i) > 1e-9 {
			t.Errorf("%s: residual %g A", id, network.Size(i))
		}
	}
}

// TestTextTellsAll: plans that differ in one element differ in their text, and a clone does not change its origin.
func TestTextTellsAll(t *testing.T) {
	_, p := drawn(t, "reference")
	before := p.Text()
	q := p.Clone()
	q.AddOhm("ring/s1-s2/L@s1", 0.001)
	if q.Text() == before || p.Text() != before {
		t.Error("a change does not show, or shows in the origin")
	}
	q.Open("no/such/element")
	if q.Err() == nil || !strings.Contains(q.Err().Error(), `no element "no/such/element"`) {
		t.Error(q.Err())
	}
	if _, err := Draw(&rig.Rig{Earthing: rig.Earthing{ConductorMM2: 7, ConductorM: 1}}, Perfect(copper)); err == nil || !strings.Contains(err.Error(), "7 mm²") {
		t.Error(err)
	}
}

// TestAskedAtOnce: a plan may be asked by several goroutines at once, and gives each what it gives one alone.
func TestAskedAtOnce(t *testing.T) {
	_, p := drawn(t, "reference")
	ask := func(i int) float64 {
		c := Condition{Open: Set(Isolator, MainSwitch), Lifted: Set(fmt.Sprintf("ring/leg%d/L", 1+i%2))}
		n, err := p.Net(c)
		if err != nil {
			t.Error(err)
			return 0
		}
		v, err := n.Ohm("ring/leg1/L", "ring/leg2/L")
		if err != nil {
			t.Error(err)
		}
		return v
	}
	want := ask(0)
	var all sync.WaitGroup
	for i := range 8 {
		all.Add(1)
		go func() {
			defer all.Done()
			if got := ask(2 * i); got != want {
				t.Errorf("%g, alone %g", got, want)
			}
		}()
	}
	all.Wait()
}
