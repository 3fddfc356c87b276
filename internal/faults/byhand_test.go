package faults

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

var update = flag.Bool("update", false, "write testdata/by-hand.txt anew; read it element by element before it is kept")

// copper is IEC 60228 for the reference rig's sizes, in ohms per metre.
func copper(mm2 float64) (float64, bool) {
	v, ok := map[float64]float64{0.75: 0.0245, 1: 0.0181, 1.5: 0.0121, 2.5: 0.00741, 10: 0.00183, 16: 0.00115}[mm2]
	return v, ok
}

func reference(t testing.TB) *rig.Rig {
	t.Helper()
	data, err := os.ReadFile("../../sequences/rigs/reference.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Parse("reference.yaml", data)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// onDevices are the faults of devices and electrodes written out by hand, as fields of the rig.
var onDevices = map[string]func(*rig.Rig){
	"F38": func(r *rig.Rig) {
		r.Supply.Earthing, r.Earthing.Electrode = rig.TT, &rig.Electrode{Kind: "rod", Ohm: 480}
	},
	"F39": func(r *rig.Rig) { d := r.Board.Sections[0].RCD; d.TripMA, d.TripMS = 29, 340 },
	"F40": func(r *rig.Rig) { d := r.Board.Sections[0].RCD; d.TripMA, d.TripMS = 40, 600 },
	"F41": func(r *rig.Rig) { r.Board.Sections[0].RCD.TripMA = 13 },
	"F42": func(r *rig.Rig) { r.Board.Sections[0].RCD.TripMA = math.Inf(1) },
	"F43": func(r *rig.Rig) { r.Circuits[1].Device.RatingA = 40 },
	"F44": func(r *rig.Rig) { r.Circuits[0].Device.Curve = "C" },
	"F45": func(r *rig.Rig) { r.Board.Sections[0].RCD.Type = "AC" },
}

// TestPlantedIsWrittenByHand: planting each kind on the reference rig and writing its elements out by hand give the same
// plan to the byte. testdata/by-hand.txt lists, for each kind, the elements that go (-) and those that come (+).
func TestPlantedIsWrittenByHand(t *testing.T) {
	r := reference(t)
	healthy, err := Build(r, wiring.Perfect(copper))
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	hand := readByHand(t)
	for _, f := range r.Faults {
		p := Listed(r, f)
		b, err := Build(r, wiring.Perfect(copper), p)
		if err != nil {
			t.Errorf("%s: %v", f.ID, err)
			continue
		}
		if write, ok := onDevices[p.Kind]; ok {
			byHand := clone(r)
			write(byHand)
			plan, err := wiring.Draw(byHand, wiring.Perfect(copper))
			if err != nil || !reflect.DeepEqual(b.Rig, byHand) || plan.Text() != b.Plan.Text() {
				t.Errorf("%s: the rig is not what is written by hand: %v", f.ID, err)
			}
			continue
		}
		fmt.Fprintf(&text, "# %s %s\n%s", p.Kind, kinds[p.Kind].Title, difference(healthy.Plan.Text(), b.Plan.Text()))
		plan := healthy.Plan.Clone()
		for _, line := range hand[p.Kind] {
			apply(t, plan, line)
		}
		if len(hand[p.Kind]) == 0 || plan.Err() != nil || plan.Text() != b.Plan.Text() {
			t.Errorf("%s: planted and by hand differ (%v):\n%s", f.ID, plan.Err(), difference(plan.Text(), b.Plan.Text()))
		}
	}
	if *update {
		if err := os.WriteFile("testdata/by-hand.txt", []byte(text.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if len(r.Faults) != 47 {
		t.Errorf("the reference rig lists %d faults, should be F01 to F46 and F08b", len(r.Faults))
	}
}

func difference(before, after string) string {
	a, b := strings.SplitAfter(before, "\n"), strings.SplitAfter(after, "\n")
	var out strings.Builder
	for _, line := range a {
		if !slices.Contains(b, line) {
			out.WriteString("- " + line)
		}
	}
	for _, line := range b {
		if !slices.Contains(a, line) {
			out.WriteString("+ " + line)
		}
	}
	return out.String()
}

func readByHand(t *testing.T) map[string][]string {
	t.Helper()
	f, err := os.Open("testdata/by-hand.txt")
	if err != nil {
		if *update {
			return nil
		}
		t.Fatal(err)
	}
	defer f.Close()
	out, kind := map[string][]string{}, ""
	for in := bufio.NewScanner(f); in.Scan(); {
		if head, ok := strings.CutPrefix(in.Text(), "# "); ok {
			kind, _, _ = strings.Cut(head, " ")
		} else if in.Text() != "" {
			out[kind] = append(out[kind], in.Text())
		}
	}
	return out
}

// apply takes an element out or puts one in.
func apply(t *testing.T, p *wiring.Plan, line string) {
	t.Helper()
	w := strings.Fields(line)
	if w[0] == "-" {
		p.Remove(w[2])
		return
	}
	ohm, err := strconv.ParseFloat(strings.TrimSuffix(w[5], "Ω"), 64)
	if err != nil {
		t.Fatalf("%q: %v", line, err)
	}
	e := wiring.Element{Kind: wiring.Kind(w[1]), Name: w[2], A: w[3], B: w[4], Ohm: ohm}
	if len(w) > 9 && w[6] == "of" {
		e.Of = w[7]
		if e.At, err = strconv.Atoi(w[9]); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
	}
	p.Put(e)
}

// TestSettleRefuses: a fault where it makes no sense is refused with what would be right.
func TestSettleRefuses(t *testing.T) {
	r := reference(t)
	for _, c := range []struct {
		p    Planting
		want string
	}{
		{Planting{Kind: "F02", Circuit: "radial"}, "it belongs on [ring]"},
		{Planting{Kind: "F99", Circuit: "ring"}, "no fault of kind"},
		{Planting{Kind: "F01", Circuit: "rings"}, "known here: ring, radial, lighting"},
		{Planting{Kind: "F32", Circuit: "ring"}, "it belongs on [lighting]"},
		{Planting{Kind: "F01", Circuit: "ring", From: "s2", To: "s6"}, "no length of cable"},
		{Planting{Kind: "F15", Circuit: "ring", Point: "s12"}, "no point"},
	} {
		if _, err := Settle(r, c.p); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.p, err, c.want)
		}
	}
	if _, err := Lookup(r, "ring", "F99"); err == nil || !strings.Contains(err.Error(), "did you mean") {
		t.Error(err)
	}
	if p, err := Lookup(r, "ring", "f08B"); err != nil || p.Kind != "F08b" {
		t.Error(p, err)
	}
}

// TestPairsPlant: any two kinds that make sense on a circuit can stand there together, and planting leaves the rig given
// untouched.
func TestPairsPlant(t *testing.T) {
	r := reference(t)
	before := string(rig.Write(r))
	pairs := 0
	for _, c := range r.Circuits {
		for _, a := range Kinds() {
			for _, b := range Kinds() {
				if a.ID >= b.ID || Fits(r, c.ID, a.ID) != nil || Fits(r, c.ID, b.ID) != nil {
					continue
				}
				pairs++
				if _, err := Build(r, wiring.Perfect(copper), Planting{Kind: a.ID, Circuit: c.ID}, Planting{Kind: b.ID, Circuit: c.ID}); err != nil {
					t.Errorf("%s and %s on %s: %v", a.ID, b.ID, c.ID, err)
				}
			}
		}
	}
	if pairs < 1000 || string(rig.Write(r)) != before {
		t.Errorf("%d pairs; rig changed: %t", pairs, string(rig.Write(r)) != before)
	}
}

// TestSeeded: a seed always draws the same, seeds differ, and what is drawn can be planted together.
func TestSeeded(t *testing.T) {
	r := reference(t)
	seen := map[string]bool{}
	for seed := range uint64(200) {
		a, b := Seeded(r, seed, 3, nil), Seeded(r, seed, 3, nil)
		if !slices.Equal(a, b) || len(a) != 3 {
			t.Fatalf("seed %d: %v, then %v", seed, a, b)
		}
		seen[fmt.Sprint(a)] = true
		if _, err := Build(r, wiring.Perfect(copper), a...); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
	}
	if len(seen) < 190 {
		t.Errorf("only %d different draws of 200", len(seen))
	}
}
