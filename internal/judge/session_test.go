package judge

import (
	"errors"
	"math"
	"strings"
	"testing"

	"wanderlead/internal/quantity"
)

func ohms(v float64) quantity.Reading { return quantity.Of(v, quantity.Ohm) }

func judged(t *testing.T, q Query) Verdict {
	t.Helper()
	v, err := Judge(pack(t, ""), q)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestExpectedComesFromTheBestSource(t *testing.T) {
	q := query(t, Continuity, "length=25 line=1.5 cpc=1.0")
	check := func(want float64, from string) {
		t.Helper()
		v := judged(t, q)
		if got := v.must(t, "r1_plus_r2"); math.Abs(got-want) > 1e-9 || v.Expected[0].From != from || len(v.Expected) != 1 {
			t.Errorf("%+v, want %g from %s", v.Expected, want, from)
		}
	}
	check(0.755, FromLength)
	q.R1, q.R2 = ohms(0.40), ohms(0.65)
	check(0.2625, FromEnds)
	q.Given = []Given{{"r1_plus_r2", 0.61, FromNetwork}}
	check(0.61, FromNetwork)
	q.Given = append(q.Given, Given{"r1_plus_r2", 0.58, FromCommissioned})
	check(0.58, FromCommissioned)
	// A long lead's R2 is not the R1+R2 of the rig.
	q.Method = "2"
	if v := judged(t, q); v.Expected[0].Name != "r2" || v.Expected[0].From != FromLength {
		t.Errorf("method 2 expects %+v", v.Expected)
	}
	b := query(t, Bonding, "length=20 csa=10")
	b.Given = []Given{{"bonding", 0.31, FromCommissioned}}
	b.Value = ohms(0.36)
	if v := judged(t, b); v.Verdict != Pass || v.Expected[0].From != FromCommissioned {
		t.Errorf("bonding by the rig: %s %+v", v.Verdict, v.Expected)
	}
}

// A rig on its own supply: commissioned 236 V ± 10 V, whatever the public limits.
func TestCommissionedVoltage(t *testing.T) {
	for value, want := range map[float64]Outcome{226: Pass, 225.9: Fail, 246: Pass, 246.1: Fail, 230: Pass} {
		q := query(t, Voltage, "between=L-N")
		q.Given = []Given{{"voltage", 236, FromCommissioned}}
		q.Value = quantity.Of(value, quantity.Volt)
		if v := judged(t, q); v.Verdict != want {
			t.Errorf("%g V: %s, want %s", value, v.Verdict, want)
		}
	}
}

// A known spur has its own expected value; the ring stays as it is. 0.32 at a
// spur of 8 m on a ring of 0.20: 0.20 + 8 × 2 × 7.41 mΩ = 0.31856.
func TestKnownSpur(t *testing.T) {
	q := Query{Test: RingCrossed, Step: "line-neutral", R1: ohms(0.40), RN: ohms(0.40)}
	for _, v := range []float64{0.20, 0.20, 0.32, 0.20} {
		q.Points = append(q.Points, Point{Reading: ohms(v)})
	}
	if v := judged(t, q); v.Verdict != Doubt || v.Reasons[0].ID != "ring-crossed-one-high" || v.Reasons[0].Params["which"] != "s3" {
		t.Errorf("an unknown spur: %s %v", v.Verdict, v.Reasons)
	}
	q.Points[2].SpurOhm, q.Points[2].Name = 0.31856, "spur of socket 3"
	v := judged(t, q)
	if v.Verdict != Pass || v.Value.Value != 0.32 {
		t.Errorf("a known spur: %s, %v to record", v.Verdict, v.Value)
	}
	q.Points[2].Reading = ohms(0.36)
	if v := judged(t, q); v.Verdict != Doubt || v.Reasons[0].Params["which"] != "spur of socket 3" {
		t.Errorf("a spur above its own value: %s %v", v.Verdict, v.Reasons)
	}
	q.Points[2].Reading = ohms(0.20)
	if v := judged(t, q); v.Verdict != Fail || v.Reasons[0].ID != "ring-crossed-far-low" {
		t.Errorf("a spur that reads as the ring: %s %v", v.Verdict, v.Reasons)
	}
}

func TestNegativeReadingIsABadNull(t *testing.T) {
	q := query(t, Continuity, "length=1 line=2.5 cpc=1.5")
	r, err := quantity.ParseSigned("-0.02", quantity.Ohm)
	if err != nil {
		t.Fatal(err)
	}
	q.Value = r
	v := judged(t, q)
	if v.Verdict != Doubt || v.Reasons[0].ID != "negative-reading" || v.Next[0].ID != "next-null-again" {
		t.Errorf("%s %v %v", v.Verdict, v.Reasons, v.Next)
	}
	if text, err := catalogue(t).Fill("negative-reading", v.Reasons[0].Params); err != nil || !strings.Contains(text, "-0.02 Ω") {
		t.Errorf("%q, %v", text, err)
	}
	q = query(t, Insulation, "")
	q.Value = quantity.Reading{Raw: "-0.1", Value: -0.1, Unit: quantity.Megohm}
	if v := judged(t, q); v.Verdict != Fail {
		t.Errorf("insulation below nought is %s", v.Verdict)
	}
}

// A calculated loop impedance was not read: the sentence says so, and nothing is switched off for it.
func TestCalculatedZs(t *testing.T) {
	for value, want := range map[float64]string{0.5: "zs-within", 1.5: "zs-calculated-above"} {
		q := query(t, Zs, "device=B32")
		q.Value, q.Calculated = quantity.Of(value, quantity.Ohm), true
		v := judged(t, q)
		text, err := catalogue(t).Fill(v.Reasons[0].ID, v.Reasons[0].Params)
		if v.Reasons[0].ID != want || err != nil || !strings.HasPrefix(text, "Zs works out at ") {
			t.Errorf("%g Ω: %s, %q, %v", value, v.Reasons[0].ID, text, err)
		}
		for _, n := range v.Next {
			text, err := catalogue(t).Fill(n.ID, n.Params)
			if err != nil || strings.Contains(text, "point") || strings.Contains(text, "Switch") {
				t.Errorf("%g Ω: next %q, %v", value, text, err)
			}
		}
	}
}

func TestOtherPairsOfTheCircuit(t *testing.T) {
	q := query(t, Insulation, "between=L-N")
	q.Value = quantity.Of(0, quantity.Megohm)
	over := quantity.Reading{Raw: ">299", Value: 299, Unit: quantity.Megohm, Mark: quantity.OverRange}
	q.OtherPairs = []Pair{{"L-E", over}}
	if v := judged(t, q); v.Reasons[0].ID != "insulation-only-live-low" || v.Next[0].ID != "next-loads-out" {
		t.Errorf("%v", v.Reasons)
	}
	q.Between, q.OtherPairs = "N-E", []Pair{{"L-N", quantity.Of(1, quantity.Megohm)}}
	q.Value = quantity.Of(0.5, quantity.Megohm)
	if v := judged(t, q); v.Reasons[0].ID != "insulation-only-earth-low" {
		t.Errorf("%v", v.Reasons)
	}
	q.OtherPairs[0].Reading = quantity.Of(0.9999, quantity.Megohm)
	if v := judged(t, q); v.Reasons[0].ID != "insulation-neutral-earth-low" {
		t.Errorf("%v", v.Reasons)
	}
	for _, id := range []string{"insulation-only-live-low", "insulation-only-earth-low"} {
		if !catalogue(t).Has(id) {
			t.Errorf("no text %q", id)
		}
	}
}

func TestUnearthedNeutral(t *testing.T) {
	for test, args := range map[string]string{Ze: "earthing=TN-S", Zs: "device=B32", RCD: "rated=30 multiple=1", RCDRamp: "rated=30", Voltage: "between=N-E"} {
		q := query(t, test, args)
		q.UnearthedNeutral = true
		var na *NotApplicable
		if _, err := Judge(pack(t, ""), q); !errors.As(err, &na) {
			t.Errorf("%s: %v", test, err)
		}
	}
	for test, args := range map[string]string{Voltage: "between=L-N", Insulation: "", Continuity: ""} {
		q := query(t, test, args)
		q.UnearthedNeutral = true
		if _, err := Judge(pack(t, ""), q); err != nil {
			t.Errorf("%s: %v", test, err)
		}
	}
}

func TestBefore(t *testing.T) {
	p := pack(t, "")
	names := func(q Query) string {
		t.Helper()
		e, l, err := Before(p, q)
		if err != nil {
			t.Fatalf("%s: %v", q.Test, err)
		}
		var out []string
		for _, x := range e {
			out = append(out, x.Name)
		}
		for _, x := range l {
			out = append(out, x.Name)
		}
		return strings.Join(out, " ")
	}
	ring := Query{Test: RingCrossed, Step: "line-cpc", R1: ohms(0.40), R2: ohms(0.653)}
	ends := Query{Test: RingEnds, R1: ohms(0.40), Line: quantity.Of(2.5, quantity.SquareMillimetre), CPC: quantity.Of(1.5, quantity.SquareMillimetre)}
	for _, c := range []struct {
		q    Query
		want string
	}{
		{ring, "crossed_min crossed_max"}, {ends, "r2_from_r1"}, {Query{Test: RingCrossed}, ""}, {Query{Test: RingEnds}, ""},
		{Query{Test: Continuity, Given: []Given{{"r1_plus_r2", 0.4, FromNetwork}}}, "r1_plus_r2"}, {Query{Test: Continuity}, ""},
		{Query{Test: Bonding, Length: quantity.Of(20, quantity.Metre), CSA: quantity.Of(10, quantity.SquareMillimetre)}, "bonding"},
		{Query{Test: Insulation}, "ir_min ir_advice"}, {Query{Test: Ze, Earthing: "TN-S"}, "ze_typical"}, {Query{Test: Ze}, ""},
		{Query{Test: Zs, Device: "B32", Ze: ohms(0.3), R1R2: ohms(0.4)}, "zs_sum zs_table zs_measured zs_measured_rounded"},
		{Query{Test: RCD, Rated: quantity.Of(30, quantity.Milliampere), Multiple: 1}, "rcd_max"},
		{Query{Test: RCDRamp, Rated: quantity.Of(30, quantity.Milliampere)}, "ramp_min ramp_max"},
		{Query{Test: Electrode, Rated: quantity.Of(30, quantity.Milliampere)}, "ra_max electrode_advice"},
		{Query{Test: Voltage, Between: "L-N"}, "voltage_min voltage_max"}, {Query{Test: Voltage, Between: "L-N", Expect: "dead"}, ""},
		{Query{Test: PFC, Breaking: quantity.Of(6, quantity.Kiloampere)}, "breaking_capacity"},
	} {
		if got := names(c.q); got != c.want {
			t.Errorf("%s before: %q, want %q", c.q.Test, got, c.want)
		}
	}
}

func TestASessionIsGuardedAsTheCommandIs(t *testing.T) {
	p := pack(t, "")
	for name, q := range map[string]Query{
		"no reading":      {Test: Continuity},
		"wrong unit":      {Test: Continuity, Value: quantity.Of(1, quantity.Megohm)},
		"a word":          {Test: Continuity, Value: quantity.Reading{Raw: "no-trip", Unit: quantity.Ohm, Mark: quantity.NoTrip}},
		"a length of 0":   {Test: Continuity, Value: ohms(1), Length: quantity.Of(0, quantity.Metre)},
		"a length of -1":  {Test: Continuity, Value: ohms(1), Length: quantity.Of(-1, quantity.Metre)},
		"no test":         {},
		"a bad point":     {Test: RingCrossed, Step: "line-neutral", R1: ohms(1), RN: ohms(1), Points: []Point{{Reading: quantity.Of(1, quantity.Megohm)}}},
		"a point missing": {Test: RingCrossed, Step: "line-neutral", R1: ohms(1), RN: ohms(1), Points: []Point{{}}},
		"two readings":    {Test: PFC, Value: quantity.Of(1, quantity.Kiloampere), LoopOhm: ohms(1)},
	} {
		var list ArgErrors
		if _, err := Judge(p, q); !errors.As(err, &list) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestRemarks(t *testing.T) {
	for args, want := range map[string]string{"value=0.3 device=B45": "zs-computed", "value=0.3 device=BS88-2-63": "zs-only-5s-row",
		"value=0.3 device=BS88-2-32 time=1": "zs-stricter-row"} {
		v := ask(t, Zs, args)
		last := v.Reasons[len(v.Reasons)-1]
		if v.Verdict != Pass || last.ID != want {
			t.Errorf("%s: %s %v", args, v.Verdict, v.Reasons)
		}
		if text, err := catalogue(t).Fill(last.ID, last.Params); err != nil {
			t.Errorf("%v in %q", err, text)
		}
	}
	for args, status := range map[string]string{"device=B45": "computed", "device=B32": "confirmed", "device=B16": "from memory"} {
		if l := ask(t, Zs, "value=0.3 "+args).Limits[0]; l.Name != "zs_table" || string(l.Status) != status {
			t.Errorf("%s: %+v", args, l)
		}
	}
	if v := ask(t, Continuity, "value=0.453 length=25 cpc=1.0 method=2"); v.Reasons[len(v.Reasons)-1].ID != "continuity-method-2" {
		t.Errorf("%v", v.Reasons)
	}
}

func TestRecord(t *testing.T) {
	row := func(def quantity.Unit, text string) []quantity.Reading {
		rs, err := quantity.ParseRow(text, def)
		if err != nil {
			t.Fatal(err)
		}
		return rs
	}
	for _, c := range []struct {
		test string
		rs   []quantity.Reading
		want int
	}{
		{Continuity, row(quantity.Ohm, "0.40 0.76 0.55"), 1},
		{Continuity, row(quantity.Ohm, "0.40 >0.1 0.55"), 1},
		{Continuity, row(quantity.Ohm, "0.76 0.40"), 0},
		{Continuity, row(quantity.Ohm, "0.76 0.76"), 0},
		{RCD, row(quantity.Millisecond, "no-trip no-trip"), 0},
		{RCD, row(quantity.Millisecond, "28 no-trip >300 40"), 1},
		{RCD, row(quantity.Millisecond, "28 >300 400"), 1},
		{Insulation, row(quantity.Megohm, ">299 200 >99"), 1},
		{Insulation, row(quantity.Megohm, ">299 >99 >199"), 1},
		{Insulation, row(quantity.Megohm, ">0.1 200"), 1},
		{PFC, row(quantity.Kiloampere, "0.77 0.92"), 1},
		{Zs, nil, -1},
		// An indicator that shows nothing shows less than 0 V.
		{Voltage, []quantity.Reading{{Raw: "nothing", Unit: quantity.Volt, Mark: quantity.Nothing}, quantity.Of(0, quantity.Volt)}, 1},
	} {
		if got := Record(c.test, c.rs); got != c.want {
			t.Errorf("%s of %v: %d, want %d", c.test, c.rs, got, c.want)
		}
	}
}

// Source: parallel circuits, 1/R = sum of 1/Ri (testdata/published/insulation_resistance.csv):
// six of 200 MΩ read 33.3 MΩ, five of 200 and one of 1.2 read 1.165 MΩ.
func TestParallel(t *testing.T) {
	six := make([]quantity.Reading, 6)
	for i := range six {
		six[i] = quantity.Of(200, quantity.Megohm)
	}
	if v, least := Parallel(six); math.Abs(v-200.0/6) > 1e-9 || least {
		t.Errorf("six of 200: %v %v", v, least)
	}
	six[5] = quantity.Of(1.2, quantity.Megohm)
	if v, _ := Parallel(six); math.Abs(v-1/(5/200.0+1/1.2)) > 1e-12 {
		t.Errorf("five and 1.2: %v", v)
	}
	six[0].Mark = quantity.OverRange
	if _, least := Parallel(six); !least {
		t.Error("over range is not said to be a least value")
	}
	six[0] = quantity.Of(0, quantity.Megohm)
	if v, _ := Parallel(six); v != 0 {
		t.Errorf("a dead short: %v", v)
	}
	if v, least := Parallel(nil); v != 0 || least {
		t.Errorf("nothing: %v, a least value %v", v, least)
	}
	over := quantity.Reading{Raw: ">200", Value: 200, Unit: quantity.Megohm, Mark: quantity.OverRange}
	half := quantity.Of(0.5, quantity.Megohm)
	if v, least := Parallel([]quantity.Reading{half, half, over}); math.Abs(v-1/(2+2+1/200.0)) > 1e-12 || !least {
		t.Errorf("two of a half beside over range: %v %v", v, least)
	}
	for name, last := range map[string]quantity.Reading{"a dead short": quantity.Of(0, quantity.Megohm), "one not given": {}} {
		if v, least := Parallel([]quantity.Reading{over, last}); v != 0 || least {
			t.Errorf("%s: %v, a least value %v", name, v, least)
		}
	}
}
