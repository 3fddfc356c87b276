package judge

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wanderlead/internal/quantity"
)

// scale is one way in which a reading gets worse: higher is worse from `from` up
// (or lower is worse, down from it), with the arguments that stay.
type scale struct {
	name, test  string
	args        func(t *rapid.T) string
	from        func(q Query) float64
	lowerWorse  bool
	unit        quantity.Unit
	step, reach float64
}

func pick2(t *rapid.T, name string, words ...string) string {
	return rapid.SampledFrom(words).Draw(t, name)
}

var nothing = func(Query) float64 { return 0 }

var scales = []scale{
	{"continuity above the expected", Continuity, func(t *rapid.T) string {
		return fmt.Sprintf("length=%d line=2.5 cpc=1.5", rapid.IntRange(1, 300).Draw(t, "length"))
	}, func(q Query) float64 { return q.Length.Value * 19.51 / 1000 }, false, quantity.Ohm, 0.01, 3},
	{"bonding", Bonding, func(t *rapid.T) string {
		return pick2(t, "length", "", fmt.Sprintf("length=%d csa=10", rapid.IntRange(1, 300).Draw(t, "length")))
	}, nothing, false, quantity.Ohm, 0.01, 2},
	{"insulation", Insulation, func(t *rapid.T) string {
		return pick2(t, "system", "", "system=SELV") + " " + pick2(t, "volts", "", "test_voltage=250", "test_voltage=500") + " " +
			pick2(t, "circuits", "", "circuits=4") + " " + pick2(t, "connected", "", "connected=spd", "connected=equipment") + " " + pick2(t, "pair", "", "between=L-N", "between=LN-E")
	}, func(Query) float64 { return 5 }, true, quantity.Megohm, 0.01, 5},
	{"ze", Ze, func(t *rapid.T) string {
		return pick2(t, "earthing", "", "earthing=TN-S", "earthing=TN-C-S") + " " + pick2(t, "declared", "", "declared=0.25")
	}, nothing, false, quantity.Ohm, 0.01, 3},
	{"electrode from five up", Electrode, func(t *rapid.T) string { return pick2(t, "rated", "", "rated=30", "rated=100", "rated=300") },
		func(Query) float64 { return 5 }, false, quantity.Ohm, 1, 2000},
	{"zs from the sum up", Zs, func(t *rapid.T) string {
		return "device=" + pick2(t, "device", "B32", "C16", "D20", "B63", "BS88-3-32", "BS3036-30") + " ze=0.20 r1r2=0.25 " +
			pick2(t, "method", "", "method=no-trip", "method=high-current") + " " + pick2(t, "rcd", "", "rcd=30") + " " + pick2(t, "at", "", "at=operating")
	}, func(Query) float64 { return 0.5 }, false, quantity.Ohm, 0.01, 4},
	{"zs with nothing else", Zs, func(t *rapid.T) string {
		return "device=" + pick2(t, "device", "B32", "C16", "D20") + " " + pick2(t, "rcd", "", "rcd=30") + " " + pick2(t, "at", "", "at=operating")
	}, nothing, false, quantity.Ohm, 0.01, 6},
	{"pfc", PFC, func(t *rapid.T) string {
		return pick2(t, "breaking", "", "breaking_capacity=6") + " " + pick2(t, "assembly", "", "assembly=16") + " " + pick2(t, "phases", "", "phases=3")
	}, nothing, false, quantity.Kiloampere, 0.1, 20},
	{"rcd time from the band up", RCD, func(t *rapid.T) string {
		return "rated=30 multiple=" + pick2(t, "multiple", "1", "5") + " " + pick2(t, "delay", "", "delay=S") + " " + pick2(t, "type", "", "type=A")
	}, func(Query) float64 { return 130 }, false, quantity.Millisecond, 1, 500},
	{"rcd time from the band down", RCD, func(*rapid.T) string { return "rated=100 multiple=1 delay=S" }, func(Query) float64 { return 400 }, true, quantity.Millisecond, 1, 400},
	{"ramp up", RCDRamp, func(t *rapid.T) string { return "rated=30 " + pick2(t, "waveform", "", "waveform=pulsating") },
		func(Query) float64 { return 20 }, false, quantity.Milliampere, 1, 40},
	{"ramp down", RCDRamp, func(t *rapid.T) string { return "rated=30 " + pick2(t, "waveform", "", "waveform=pulsating") },
		func(Query) float64 { return 20 }, true, quantity.Milliampere, 0.1, 20},
	{"voltage up", Voltage, func(*rapid.T) string { return "between=L-N" }, func(Query) float64 { return 230 }, false, quantity.Volt, 0.1, 60},
	{"voltage down", Voltage, func(*rapid.T) string { return "between=L-N" }, func(Query) float64 { return 230 }, true, quantity.Volt, 0.1, 230},
	{"voltage on a dead step", Voltage, func(*rapid.T) string { return "between=L-N expect=dead" }, nothing, false, quantity.Volt, 0.1, 300},
}

// query parses the arguments without a reading.
func query(t interface{ Fatalf(string, ...any) }, test, args string) Query {
	q, err := ParseArgs(test, append(strings.Fields(args), "value=1"))
	if err != nil {
		t.Fatalf("%s %s: %v", test, args, err)
	}
	return q
}

// A worse reading never gets a better verdict; over range is at least as bad as
// every number where higher is worse.
func TestWorseIsNeverBetter(t *testing.T) {
	p := pack(t, "")
	for _, s := range scales {
		t.Run(s.name, func(t *testing.T) {
			rapid.Check(t, func(rt *rapid.T) {
				q := query(rt, s.test, s.args(rt))
				at := func(steps int) float64 {
					v := float64(steps) * s.step
					if s.lowerWorse {
						return math.Max(s.from(q)-v, 0)
					}
					return s.from(q) + v
				}
				most := int(s.reach / s.step)
				a := rapid.IntRange(0, most).Draw(rt, "better")
				b := rapid.IntRange(a, most).Draw(rt, "worse")
				rank := func(r quantity.Reading) int {
					q.Value = r
					v, err := Judge(p, q)
					if err != nil {
						rt.Fatalf("%+v: %v", q, err)
					}
					return v.Verdict.Rank()
				}
				better, worse := rank(quantity.Of(at(a), s.unit)), rank(quantity.Of(at(b), s.unit))
				if worse < better {
					rt.Fatalf("%g is %d, the worse %g is %d", at(a), better, at(b), worse)
				}
				over := quantity.Reading{Raw: ">1", Value: at(a), Unit: s.unit, Mark: quantity.OverRange}
				if !s.lowerWorse && s.test != PFC && rank(over) != Fail.Rank() {
					rt.Fatalf("over range %g is %d", at(a), rank(over))
				}
			})
		})
	}
}

// The number in ">n" is never the reading: whatever n is, where a high reading
// is bad the verdict is the same, and no margin is worked out.
func TestOverRangeIsNoNumber(t *testing.T) {
	p := pack(t, "")
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.Float64Range(0, 5000).Draw(rt, "n")
		for test, args := range map[string]string{Continuity: "length=25 line=1.5 cpc=1.0", Bonding: "length=20 csa=10", Ze: "earthing=TN-S", Zs: "device=B32 rcd=30",
			RCD: "rated=30 multiple=1", RCDRamp: "rated=30", Electrode: "rated=30", Insulation: "", PFC: "breaking_capacity=6"} {
			q := query(rt, test, args)
			q.Value = quantity.Reading{Raw: fmt.Sprintf(">%g", n), Value: n, Unit: unitOf(test), Mark: quantity.OverRange}
			v, err := Judge(p, q)
			if err != nil {
				rt.Fatalf("%s: %v", test, err)
			}
			if v.MarginPercent != nil {
				rt.Fatalf("%s >%g has the margin %g", test, n, *v.MarginPercent)
			}
			if test != Insulation && test != PFC && v.Verdict != Fail {
				rt.Fatalf("%s >%g is %s", test, n, v.Verdict)
			}
			if test == PFC && v.Verdict == Pass {
				rt.Fatalf("pfc >%g passes", n)
			}
		}
	})
}

// Every crossed reading made worse alone (an open point, a lower or a higher
// one) never turns a ring that does not pass into one that does.
func TestCrossedWorseIsNeverBetter(t *testing.T) {
	p := pack(t, "")
	rapid.Check(t, func(rt *rapid.T) {
		r := rapid.IntRange(10, 200).Draw(rt, "r1")
		ring := float64(r) / 200 // r1 = rn = r/100, so each point (r1+rn)/4
		q := Query{Test: RingCrossed, Step: "line-neutral", R1: quantity.Of(float64(r)/100, quantity.Ohm), RN: quantity.Of(float64(r)/100, quantity.Ohm)}
		n := rapid.IntRange(1, 10).Draw(rt, "points")
		for range n {
			q.Points = append(q.Points, Point{Reading: quantity.Of(ring, quantity.Ohm)})
		}
		if v, err := Judge(p, q); err != nil || v.Verdict != Pass {
			rt.Fatalf("an even ring is %s, %v", v.Verdict, err)
		}
		i := rapid.IntRange(0, n-1).Draw(rt, "which")
		rank := func(v float64) int {
			q.Points = slices.Clone(q.Points)
			q.Points[i].Reading = quantity.Of(v, quantity.Ohm)
			verdict, err := Judge(p, q)
			if err != nil {
				rt.Fatal(err)
			}
			return verdict.Verdict.Rank()
		}
		// With one point the contacts' allowance moves with the reading; it stays monotone.
		a := rapid.IntRange(0, 300).Draw(rt, "better")
		b := rapid.IntRange(a, 300).Draw(rt, "worse")
		if rank(ring+float64(a)/100) > rank(ring+float64(b)/100) {
			rt.Fatalf("point %d of %d: %d hundredths above are worse than %d", i, n, a, b)
		}
		low := func(k int) float64 { return math.Max(ring-float64(k)/100, 0) }
		if rank(low(a)) > rank(low(b)) {
			rt.Fatalf("point %d of %d: %d hundredths below are worse than %d", i, n, a, b)
		}
		q.Points[i].Reading = quantity.Reading{Raw: ">299", Value: 299, Unit: quantity.Ohm, Mark: quantity.OverRange}
		if v, _ := Judge(p, q); v.Verdict != Fail {
			rt.Fatalf("an open point is %s", v.Verdict)
		}
	})
}

// Whatever is typed, a verdict or an error that names a key, every reason known
// with its values, every text filled.
func TestAnyArguments(t *testing.T) {
	p, c, known := pack(t, ""), catalogue(t), Reasons()
	texts := []string{"0", "0.2", "1", "5", "30", "0.40", "300", ">299", ">0", "no-trip", "nothing", "S", "general", "TT", "TN-S", "B32", "BS88-2-63", "BS1361-5",
		"line-cpc", "line-neutral", "0.2,0.3,>299", "0.2,0.2,0.2,0.9", "2", "1.5", "2.5", "L-N", "N-E", "LN-E", "no-trip", "high-current", "operating", "spd",
		"equipment", "pulsating", "A", "dead", "SELV", "500", "250", "3", "BS 7288", "x", "", "-1", "1e9", "999999999", "0.000001"}
	rapid.Check(t, func(rt *rapid.T) {
		test := rapid.SampledFrom(Tests()).Draw(rt, "test")
		var args []string
		for _, k := range keysOf(test) {
			if k.need || rapid.Bool().Draw(rt, "give "+k.name) {
				args = append(args, k.name+"="+rapid.SampledFrom(texts).Draw(rt, k.name))
			}
		}
		q, err := ParseArgs(test, args)
		var v Verdict
		if err == nil {
			v, err = Judge(p, q)
		}
		if err != nil {
			if list, ok := err.(ArgErrors); !ok || list[0].Key == "" || list[0].Msg == "" {
				rt.Fatalf("%v: %v", args, err)
			}
			return
		}
		if v.Verdict.Rank() == 0 || len(v.Reasons) == 0 || len(v.Next) == 0 {
			rt.Fatalf("%v: %+v", args, v)
		}
		for _, r := range v.Reasons {
			params, ok := known[r.ID]
			if !ok {
				rt.Fatalf("%q is not listed", r.ID)
			}
			for name := range r.Params {
				if !slices.Contains(params, name) {
					rt.Fatalf("%q carries %q, listed are %v", r.ID, name, params)
				}
			}
			if text, err := c.Fill(r.ID, r.Params); err != nil {
				rt.Fatalf("%v: %v in %q", args, err, text)
			}
		}
		for _, n := range v.Next {
			if !slices.Contains(Steps(), n.ID) {
				rt.Fatalf("step %q is not listed", n.ID)
			}
		}
		for _, l := range v.Limits {
			if l.Source == "" || l.Status == "" || l.Edition != p.Name || l.Bound != "max" && l.Bound != "min" || !slices.Contains(limitNames, l.Name) {
				rt.Fatalf("a limit cannot be traced: %+v", l)
			}
			if math.IsNaN(l.Value) || math.IsInf(l.Value, 0) {
				rt.Fatalf("limit %+v", l)
			}
		}
		for _, e := range v.Expected {
			if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) || e.Formula == "" {
				rt.Fatalf("expected %+v", e)
			}
		}
	})
}
