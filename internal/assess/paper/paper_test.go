package paper

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"wanderlead/internal/content"
	"wanderlead/internal/quantity"
	"wanderlead/sequences"
)

func library(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func schema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	data, err := sequences.FS.ReadFile("schema/paper.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("paper.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("paper.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// usual is the line of marks of the paper that is changed.
const usual = "marks: {set-up: 2, connection: 2, reading: 2, interpretation: 2, reinstatement: 1, record: 1, order: 1}"

// changes of a good paper, each of which schema and loader refuse.
var changes = [][2]string{
	{"title: One", "titel: One"}, {"minutes: 75", "minutes: 70"}, {"minutes: 75", "minutes: -15"}, {"minutes: 75", "minutes: many"}, {"minutes: 75", "minutes: 495"},
	{"[observed, hold-points, alone]", "[]"}, {"[observed, hold-points, alone]", "[observed, observed]"}, {"[observed, hold-points, alone]", "[watched]"},
	{"pass_percent: 60", "pass_percent: 101"}, {"pass_percent: 60", "pass_percent: sixty"}, {"task: ends,", "task: ends, more: 1,"}, {"test: ends, ", ""},
	{"take: 1", "take: 0"}, {"level: 1", "level: 4"}, {"level: 1", "levels: 1"}, {"{id: open-cpc}", "{id: open-cpc, kind: F01}"}, {"{id: open-cpc}", "{id: open-cpc, circuit: ring-1}"},
	{"{id: open-cpc}", "{circuit: ring-1}"}, {usual, "marks: {set-up: 21}"}, {usual, "marks: {setup: 2}"}, {usual, "marks: {order: -1}"},
	{"pass_percent: 60", "pass_percent: 60\ntolerances: [{for: low-ohm, within: 0.1}]"}, {"pass_percent: 60", "pass_percent: 60\ntolerances: [{for: low-ohm, factor: 0.5}]"},
	{"pass_percent: 60", "pass_percent: 60\ntolerances: [{for: low-ohm, factor: 2, percent: 3}]"}, {"pass_percent: 60", "pass_percent: 60\ntolerances: [{for: low-ohm}]"},
	{"pass_percent: 60", "pass_percent: 60\ntolerances: [{for: ohms, percent: 3}]"}, {"rig: training-bay\n", ""}, {"sequence: lesson-ring", "sequence: 3"},
}

// What an editor accepts by the schema and what the loader accepts are the same in
// structure: names of keys, kinds of values, closed lists, what is required.
func TestSchemaAgreesWithTheLoader(t *testing.T) {
	s := schema(t)
	names, err := Names(library(t))
	if err != nil || len(names) < 3 {
		t.Fatal(names, err)
	}
	good := ""
	for _, n := range names {
		data, err := os.ReadFile("../../../sequences/papers/" + n + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		if n == "ring-dead" {
			good = string(data)
		}
		if err := s.Validate(content.NewReader(n, data).Root().Plain()); err != nil {
			t.Errorf("%s: the schema refuses it: %v", n, err)
		}
		if p, err := Load(library(t), n); err != nil || p.ID != n {
			t.Errorf("%s: %v", n, err)
		}
	}
	for _, c := range changes {
		text := strings.Replace(good, c[0], c[1], 1)
		if text == good {
			t.Fatalf("nothing to change: %q", c[0])
		}
		_, err := Parse("p.yaml", []byte(text))
		bySchema := s.Validate(content.NewReader("p.yaml", []byte(text)).Root().Plain())
		if err == nil || bySchema == nil {
			t.Errorf("%q for %q: the loader says %v, the schema %v", c[1], c[0], err, bySchema)
		}
	}
}

// A draw is a function of paper and seed, takes what each pool says, and favours no
// fault: over 4,000 seeds each of four is drawn 1,000 times, give or take four standard
// deviations of the binomial distribution (27.4).
func TestDraw(t *testing.T) {
	p, err := Load(library(t), "ring-dead")
	if err != nil {
		t.Fatal(err)
	}
	counts := map[string]int{}
	for seed := uint64(0); seed < 4000; seed++ {
		d := p.Draw(seed)
		if len(d) != 2 || fmt.Sprint(d) != fmt.Sprint(p.Draw(seed)) {
			t.Fatal(seed, d)
		}
		for _, f := range d {
			counts[f.String()]++
		}
	}
	if len(counts) != 8 || p.Draws() != 16 {
		t.Errorf("%d faults drawn of 8, %d draws of 16", len(counts), p.Draws())
	}
	for f, n := range counts {
		if math.Abs(float64(n-1000)) > 4*27.4 {
			t.Errorf("%s was drawn %d times", f, n)
		}
	}
}

// Tolerances at their boundaries, worked by hand: the larger of distance and share.
func TestToleranceBoundaries(t *testing.T) {
	tol, err := LoadTolerances(library(t))
	if err != nil {
		t.Fatal(err)
	}
	unit := func(r Range) quantity.Unit { return rangeUnits[r] }
	for _, c := range []struct {
		r         Range
		got, want string
		limit     float64
		ok        bool
	}{
		{LowOhm, "0.45", "0.40", math.NaN(), true},  // 0.05 away
		{LowOhm, "0.46", "0.40", math.NaN(), false}, // 0.06
		{LowOhm, "0.35", "0.40", math.NaN(), true},
		{LowOhm, "0.34", "0.40", math.NaN(), false},
		{LowOhm, "0.88", "0.80", math.NaN(), true},  // 10 % of 0.80 is 0.08
		{LowOhm, "0.89", "0.80", math.NaN(), false}, // 0.09
		{LowOhm, ">1999", ">99.9", math.NaN(), true},
		{LowOhm, "0.40", ">99.9", math.NaN(), false},
		{LoopHigh, "0.35", "0.30", math.NaN(), true},
		{LoopHigh, "0.36", "0.30", math.NaN(), false},
		{LoopNoTrip, "0.86", "0.56", math.NaN(), true}, // 0.30 away
		{LoopNoTrip, "0.87", "0.56", math.NaN(), false},
		{LoopNoTrip, "2.40", "2.00", math.NaN(), true}, // 20 % of 2.00
		{LoopNoTrip, "2.41", "2.00", math.NaN(), false},
		{Prospective, "1.15", "1.00", math.NaN(), true}, // 15 %
		{Prospective, "1.16", "1.00", math.NaN(), false},
		{Prospective, "0.85", "1.00", math.NaN(), true},
		{Insulation, ">299", ">999", math.NaN(), true},
		{Insulation, "4.0", "2.0", math.NaN(), true}, // twice
		{Insulation, "4.1", "2.0", math.NaN(), false},
		{Insulation, "1.0", "2.0", math.NaN(), true}, // half
		{Insulation, "0.99", "2.0", math.NaN(), false},
		{Insulation, "150", ">299", math.NaN(), true},  // twice 150 reaches the top of 299
		{Insulation, "149", ">299", math.NaN(), false}, // twice 149 is 298
		{Insulation, "0.00", "0.00", math.NaN(), true},
		{RCDTime, "43", "28", 300, true}, // 15 ms away
		{RCDTime, "44", "28", 300, false},
		{RCDTime, "250", "200", 300, true}, // 25 % of 200
		{RCDTime, "251", "200", 300, false},
		{RCDTime, "301", "290", 300, false}, // 11 ms away, on the other side of the limit
		{RCDTime, "300", "290", 300, true},  // at the limit is on its side
		{RCDTime, "no-trip", "no-trip", 300, true},
		{RCDTime, "no-trip", "290", 300, false},
		{RCDRamp, "25", "22", math.NaN(), true}, // 3 mA
		{RCDRamp, "26", "22", math.NaN(), false},
		{Voltage, "241", "231", math.NaN(), true}, // 10 V
		{Voltage, "242", "231", math.NaN(), false},
		{Voltage, "nothing", "nothing", math.NaN(), true},
	} {
		row, ok := tol.For(c.r)
		if !ok {
			t.Fatal(c.r)
		}
		got, err := quantity.ParseSigned(c.got, unit(c.r))
		if err != nil {
			t.Fatal(err)
		}
		want, err := quantity.ParseSigned(c.want, unit(c.r))
		if err != nil {
			t.Fatal(err)
		}
		if row.Accepts(got, want, c.limit) != c.ok {
			t.Errorf("%s: %s for %s: %v", c.r, c.got, c.want, !c.ok)
		}
	}
}

// Nearer is never worse, and the reference itself always agrees.
func TestToleranceIsMonotone(t *testing.T) {
	tol, err := LoadTolerances(library(t))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(rt *rapid.T) {
		row := rapid.SampledFrom(tol.Rows).Draw(rt, "row")
		want := rapid.Float64Range(0.01, 500).Draw(rt, "want")
		d := rapid.Float64Range(0, 500).Draw(rt, "away")
		share := rapid.Float64Range(0, 1).Draw(rt, "share")
		at := func(v float64) bool {
			return row.Accepts(quantity.Of(v, rangeUnits[row.For]), quantity.Of(want, rangeUnits[row.For]), math.NaN())
		}
		if !at(want) {
			rt.Fatalf("%s refuses its own reference %g", row.For, want)
		}
		if at(want+d) && !at(want+d*share) {
			rt.Fatalf("%s: %g accepts %g and refuses %g", row.For, want, want+d, want+d*share)
		}
	})
}

func FuzzParse(f *testing.F) {
	data, err := os.ReadFile("../../../sequences/papers/ring-dead.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("paper: x\nfaults: {draw: [{take: 1}]}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if p, err := Parse("f.yaml", data); err == nil {
			_ = p.Draw(1)
			_ = p.Total()
		}
	})
}
