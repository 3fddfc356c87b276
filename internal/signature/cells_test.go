package signature

import (
	"bufio"
	"math"
	"os"
	"strings"
	"testing"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/wiring"
)

// TestPublishedVoltages: the cells of the published table (testdata/published/fault_signatures.csv names it) that are
// voltages on the pins of a socket or at the origin, and what a load makes of them.
func TestPublishedVoltages(t *testing.T) {
	for _, c := range []struct {
		kind, circuit, a, b string
		want                float64
	}{
		{"F15", "ring", "ring/s5/L", "ring/s5/E", 0}, // line and neutral reversed: L pin to E 0 V, N pin to E 230
		{"F15", "ring", "ring/s5/N", "ring/s5/E", 230},
		{"F16", "ring", "ring/s5/L", "ring/s5/N", 230}, // neutral and cpc reversed: 230, 230, 0 looks right
		{"F16", "ring", "ring/s5/L", "ring/s5/E", 230},
		{"F16", "ring", "ring/s5/N", "ring/s5/E", 0},
		{"F17", "ring", "ring/s5/E", "board/met", 230}, // line and cpc reversed: casings are live
		{"F04", "ring", "ring/s4/L", "ring/s4/N", 230}, // cut through: two radials, all sockets work
		{"F04", "ring", "ring/s5/L", "ring/s5/N", 230},
		{"F02", "ring", "ring/s5/L", "ring/s5/N", 230},
		{"F31", "lighting", "lighting/l3/SL", "lighting/l3/E", 230}, // switch in the neutral: 230 V at the lampholder
		{"F46", "", "board/incoming/L", "board/met", 0},             // incoming polarity: L-E 0, N-E 230
		{"F46", "", "board/incoming/N", "board/met", 230},
		{"F46", "", "board/incoming/L", "board/incoming/N", 230},
	} {
		b := build(t, faults.Planting{Kind: c.kind, Circuit: c.circuit})
		s, err := meter.Instrument{Exact: true}.Volts(meter.Bench{Rig: b.Rig, Plan: b.Plan}, c.a, c.b, meter.Where{})
		if err != nil || math.Abs(s.Value-c.want) > 1 {
			t.Errorf("%s: %s to %s %g V, published %g (%v)", c.kind, c.a, c.b, s.Value, c.want, err)
		}
	}
	// F16: the RCD trips as soon as the socket is loaded.
	if got := tripped(t, build(t, faults.Planting{Kind: "F16", Circuit: "ring"}), wiring.Condition{In: wiring.Set("ring/s5/load")}); len(got) == 0 {
		t.Error("F16: nothing opened under load")
	}
}

// TestPublishedEarthing: rows F29, F34 and F36 to F38.
func TestPublishedEarthing(t *testing.T) {
	ohm := func(kind, circuit string, c wiring.Condition, a, b string) float64 {
		t.Helper()
		n, err := build(t, faults.Planting{Kind: kind, Circuit: circuit}).Plan.Net(c)
		if err != nil {
			t.Fatal(err)
		}
		v, err := n.Ohm(a, b)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	off := wiring.Set(wiring.Isolator, wiring.MainSwitch, "ring", "lighting", "rcd-a", "rcd-b")
	far := wiring.Condition{Open: off, Lifted: wiring.Set("lighting/end/N"), Links: []wiring.Link{{A: "lighting/l3/L", B: "lighting/l3/N"}}}
	if v := ohm("F29", "lighting", far, "lighting/end/L", "lighting/end/N"); !math.IsInf(v, 1) { // borrowed neutral: R1+Rn is open
		t.Errorf("F29: R1+Rn %g Ω", v)
	}
	if v := ohm("F34", "", wiring.Condition{Open: off}, "board/met", "bond/water/part"); !math.IsInf(v, 1) { // nothing but the bond, in perfect material
		t.Errorf("F34: main earthing terminal to the pipe %g Ω", v)
	}
	// F36: Ze is right on the lifted conductor; at the board there is no way home but through bonding.
	of, r := copper(t), reference(t)
	for material, want := range map[string]func(zs Number) bool{
		"perfect": func(zs Number) bool { return zs.Open },
		"usual":   func(zs Number) bool { return !zs.Open && zs.Value > 10 },
	} {
		o := Options{Wiring: wiring.Perfect(of), Instrument: meter.Instrument{Exact: true}}
		if material == "usual" {
			o.Wiring = wiring.Usual(of)
		}
		b, err := faults.Build(r, o.Wiring, faults.Planting{Kind: "F36"})
		if err != nil {
			t.Fatal(err)
		}
		s, err := Take(b, "ring", o)
		if err != nil {
			t.Fatal(err)
		}
		if zs, _ := s.Zs.At("s4"); math.Abs(s.Ze.Value-0.30) > 0.01 || !want(zs) {
			t.Errorf("F36, %s: Ze %+v, Zs %+v", material, s.Ze, zs)
		}
	}
	// F37: at 9 kΩ only 26 mA can flow. F38: 30 mA through 480 Ω is 14 V, under the 50 V rule.
	for kind, want := range map[string]func(ra float64) bool{
		"F37": func(ra float64) bool { return math.Abs(1000*230/ra-26) < 1 },
		"F38": func(ra float64) bool { return math.Abs(ra-480) < 2 && math.Abs(0.030*ra-14) < 0.5 },
	} {
		s, err := Compute(r, of, "ring", []string{kind}, true, 1)
		if err != nil || s.Ze.Open || !want(s.Ze.Value) {
			t.Errorf("%s: the electrode reads %+v, %v", kind, s.Ze, err)
		}
	}
}

// elsewhere are the rows of the table that other tests of this package hold: what they show takes more than the standard
// tests.
var elsewhere = map[string]string{"F21": "TestHiddenOpenCPC", "F30": "TestJoinedNeutrals", "F32": "TestFourPositions",
	"F33": "TestBorrowedEarth", "F34": "TestPublishedEarthing"}

// TestEveryRowIsHeld: each kind of fault is held against the table by its cells, by hand, or by a test of its own.
func TestEveryRowIsHeld(t *testing.T) {
	f, err := os.Open("../../testdata/published/fault_signatures.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	held := map[string]bool{}
	for in := bufio.NewScanner(f); in.Scan(); {
		kind, _, _ := strings.Cut(in.Text(), ",")
		held[kind] = true
	}
	for _, h := range handWritten() {
		held[h.fault] = true
	}
	for kind := range elsewhere {
		held[kind] = true
	}
	all := faults.Kinds()
	for _, k := range all {
		if !held[k.ID] {
			t.Errorf("%s %s is held against nothing", k.ID, k.Title)
		}
	}
	if len(all) != 47 {
		t.Errorf("%d kinds, should be F01 to F46 and F08b", len(all))
	}
}
