package mistakes

import (
	"math"
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// predicate looks at the readings of a scope. It returns those that a clause holds for, and whether it holds.
type predicate func(v *View, owner string, c clause) ([]*Reading, bool)

// predicates is the closed set of looks a content file can ask for.
var predicates map[string]predicate

func init() { // broken up because a clause's name is checked against it while it is read
	predicates = map[string]predicate{
		"offset": offset, "over": over, "within": within, "ratio": ratio, "hump": hump, "slope": slope, "like": like,
		"factor": factor, "same": same, "jumps": jumps, "rises": rises, "refused": refused, "rig": hasRig, "sound": sound,
		"off": anyOff, "missing": missing, "written": written, "sum": sum, "gap": gap, "limit": limit, "said": said,
		"two-agree": twoAgree, "no-trip": noTrip, "quick": quick, "exact": exact, "share": share, "top": top,
		"equal-number": equalNumber, "below": below, "close-together": closeTogether, "ratio-rated": ratioRated, "not-passed": notPassed,
		"falls": falls, "thousandth": thousandth,
	}
}

// need applies `which` and `least`: all of the readings, any, or exactly one of at least three.
func need(all, hit []*Reading, c clause) ([]*Reading, bool) {
	switch c.which {
	case "any":
		return hit, len(hit) >= c.least && len(hit) > 0
	case "one":
		return hit, len(hit) == 1 && len(all) >= 3
	}
	return hit, len(all) >= c.least && len(all) > 0 && len(hit) == len(all)
}

func where(rs []*Reading, ok func(*Reading) bool) []*Reading {
	var out []*Reading
	for _, r := range rs {
		if ok(r) {
			out = append(out, r)
		}
	}
	return out
}

// offset: every reading is away from what is expected by about the same amount, between from and to.
func offset(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(v.pick(owner, c))
	if len(rs) < c.least {
		return nil, false
	}
	low, high, most := math.Inf(1), math.Inf(-1), 0.0
	for _, r := range rs {
		low, high, most = min(low, r.by()), max(high, r.by()), max(most, r.Expect.Value)
	}
	return rs, low >= c.from && high <= c.to && high-low <= 0.05+float64(0.05*most)
}

// over: readings over range where a number is expected.
func over(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := where(v.pick(owner, c), func(r *Reading) bool { return !r.Expect.IsOver() })
	return need(rs, where(rs, (*Reading).over), c)
}

// within: readings that are numbers between from and to, and away from what is expected.
func within(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, func(r *Reading) bool {
		return r.Refused == "" && r.Read.IsNumber() && r.Read.Value >= c.from && r.Read.Value <= c.to && (c.of == "even-if-expected" || r.off())
	}), c)
}

// ratio: readings that are from to to times what is expected, and away from it.
func ratio(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(v.pick(owner, c))
	return need(rs, where(rs, func(r *Reading) bool {
		k := r.Read.Value / r.Expect.Value
		return r.off() && k >= c.from && k <= c.to
	}), c)
}

// hump: along the ring the readings rise to the middle and fall again, their least from to to times their highest, and
// the highest is what is expected.
func hump(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.row(owner, c.tests[0])
	if len(rs) < 4 {
		return nil, false
	}
	val := func(i int) float64 { return rs[i].Read.Value }
	n := len(rs)
	least, most := math.Inf(1), math.Inf(-1)
	for _, r := range rs {
		least, most = min(least, r.Read.Value), max(most, r.Read.Value)
	}
	middle := max(val((n-1)/2), val(n/2))
	ends := max(val(0), val(n-1))
	k := least / most
	peak := rs[n/2].Expect.Value
	return rs, most-least >= 0.04 && middle >= most-0.03 && ends <= middle-0.03 && math.Abs(val(0)-val(n-1)) <= float64(0.4*(most-least))+0.02 &&
		k >= c.from && k <= c.to && math.Abs(most-peak) <= 0.03+float64(0.15*peak)
}

// slope: along the ring the readings fall or rise all the way.
func slope(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.row(owner, c.tests[0])
	if len(rs) < 4 {
		return nil, false
	}
	up, down := true, true
	for i := 1; i < len(rs); i++ {
		up = up && rs[i].Read.Value >= rs[i-1].Read.Value-0.015
		down = down && rs[i].Read.Value <= rs[i-1].Read.Value+0.015
	}
	return rs, (up || down) && math.Abs(rs[0].Read.Value-rs[len(rs)-1].Read.Value) >= 0.08
}

// like: readings that are what is expected of something else, and not of themselves.
func like(v *View, owner string, c clause) ([]*Reading, bool) {
	circuit := v.circuit(owner)
	if circuit == nil {
		return nil, false
	}
	rs := numbers(v.pick(owner, c))
	close := func(x, y float64) bool { return math.Abs(x-y) <= 0.03+float64(0.06*math.Abs(y)) }
	k := cpcShare(circuit)
	return need(rs, where(rs, func(r *Reading) bool {
		if !r.off() {
			return false
		}
		switch c.of {
		case "r2":
			return close(r.Read.Value, float64(r.Expect.Value*k))
		case "r1-rn":
			return close(r.Read.Value, float64(2*r.Expect.Value*(1-k)))
		case "r1":
			return close(r.Read.Value, v.value(owner, safety.TestEnds, "r1"))
		case "nearer":
			return v.loopOfNearer(owner, r) || slices.ContainsFunc(v.expects(owner, r), func(o *Reading) bool {
				return o.Expect.Value < r.Expect.Value && close(r.Read.Value, o.Expect.Value)
			})
		case "other-part", "other-circuit":
			return v.exchanged(r, c.of == "other-circuit", close)
		}
		return false
	}), c)
}

// loopOfNearer: a loop reading that is Ze and the R1+R2 expected at a nearer point, with what an RCD's coil may add.
func (v *View) loopOfNearer(owner string, r *Reading) bool {
	if r.Test != safety.TestZs {
		return false
	}
	own, nearer := math.Inf(1), false
	for i := range v.Readings {
		o := &v.Readings[i]
		if o.Owner != owner || o.Test != safety.TestContinuity || !o.Expect.IsNumber() {
			continue
		}
		if o.Part == r.Part {
			own = o.Expect.Value
		} else if d := r.Read.Value - v.ze() - o.Expect.Value; d >= -0.03 && d <= 0.35 {
			nearer = true
		}
	}
	return nearer && r.Read.Value < v.ze()+own-0.07
}

// cpcShare is the protective conductor's share of R1+R2 by size.
func cpcShare(c *rig.Circuit) float64 {
	if c.Cable.LineMM2 == 0 || c.Cable.CPCMM2 == 0 {
		return 0.5
	}
	return c.Cable.LineMM2 / (c.Cable.LineMM2 + c.Cable.CPCMM2)
}

// expects are the readings of the same test in a scope that have an expected number.
func (v *View) expects(owner string, r *Reading) []*Reading {
	return where(v.pick(owner, clause{tests: []string{r.Test}}), func(o *Reading) bool { return o.ID != r.ID && o.Expect.IsNumber() })
}

// exchanged: two readings that would each be right in the other's place.
func (v *View) exchanged(r *Reading, other bool, close func(x, y float64) bool) bool {
	for i := range v.Readings {
		o := &v.Readings[i]
		if o.Test != r.Test || o.ID == r.ID || (o.Owner != r.Owner) != other || !o.Read.IsNumber() || !o.Expect.IsNumber() || !o.off() {
			continue
		}
		if close(r.Read.Value, o.Expect.Value) && close(o.Read.Value, r.Expect.Value) {
			return true
		}
	}
	return false
}

// factor: a reading that is 10, 100, 1000 times what is expected, or a tenth and so on.
func factor(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(v.pick(owner, c))
	return need(rs, where(rs, func(r *Reading) bool {
		k := r.Read.Value / r.Expect.Value
		for _, f := range []float64{10, 100, 1000, 0.1, 0.01, 0.001} {
			if f < c.from || f > c.to {
				continue
			}
			if math.Abs(k/f-1) <= 0.12 && r.off() {
				return true
			}
		}
		return false
	}), c)
}

// same: all readings are the same text although what is expected of them differs by more than 0.08 Ω.
func same(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	if len(rs) < max(c.least, 2) {
		return nil, false
	}
	low, high := math.Inf(1), math.Inf(-1)
	differ := false
	for _, r := range rs {
		if r.Refused != "" || r.over() || r.Read.Raw != rs[0].Read.Raw {
			return nil, false
		}
		differ = differ || r.Expect.Raw != rs[0].Expect.Raw
		if r.Expect.IsNumber() {
			low, high = min(low, r.Expect.Value), max(high, r.Expect.Value)
		}
	}
	if math.IsInf(low, 1) { // words, as of switch positions
		return rs, differ
	}
	return rs, high-low > 0.08
}

// jumps: a place read again gives another value, by more than from and more than a fifth.
func jumps(v *View, owner string, c clause) ([]*Reading, bool) {
	hit := where(v.pick(owner, c), func(r *Reading) bool {
		for _, e := range r.Earlier {
			d := math.Abs(e.Value - r.Read.Value)
			if e.IsNumber() && r.Read.IsNumber() && d > c.from && d > 0.2*min(math.Abs(e.Value), math.Abs(r.Read.Value)) {
				return true
			}
		}
		return false
	})
	return hit, len(hit) > 0
}

// rises: a place read again reads higher, by a half and more, each time.
func rises(v *View, owner string, c clause) ([]*Reading, bool) {
	hit := where(v.pick(owner, c), func(r *Reading) bool {
		if len(r.Earlier) == 0 {
			return false
		}
		e := r.Earlier[len(r.Earlier)-1]
		return e.IsNumber() && (r.Read.IsOver() || r.Read.IsNumber() && r.Read.Value >= 1.5*e.Value && r.Read.Value > e.Value+0.5)
	})
	return hit, len(hit) > 0
}

// sound: these readings are as expected; with `of: if-read` also when there are none yet.
func sound(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := where(v.pick(owner, c), func(r *Reading) bool { return owner == everything || r.Owner == owner || v.circuit(owner) == nil })
	if len(rs) == 0 {
		rs = v.pick(owner, c)
	}
	if len(rs) == 0 && c.of == "if-read" {
		return nil, true
	}
	good := where(rs, func(r *Reading) bool {
		if r.Test == safety.TestInsulation {
			return r.Refused == "" && (r.over() || r.Read.Value >= 2)
		}
		return !r.off()
	})
	_, ok := need(rs, good, c)
	return nil, ok // what is sound is no sign of a mistake, only of what it is not
}

// anyOff: some of these readings are away from what is expected.
func anyOff(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, (*Reading).off), c)
}

// missing: parts of a test were recorded as not tested though another of them was read.
func missing(v *View, owner string, c clause) ([]*Reading, bool) {
	var hit []*Reading
	for i := range v.Readings {
		if r := &v.Readings[i]; r.Skipped && r.Owner == owner && has(c.tests, r.Test) && has(c.parts, r.Part) {
			hit = append(hit, r)
		}
	}
	read := where(v.pick(owner, clause{tests: c.tests}), func(r *Reading) bool { return r.Owner == owner })
	return hit, len(hit) >= c.least && len(hit) > 0 && len(read) > 0
}

// written: what was typed is one of these words.
func written(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, func(r *Reading) bool {
		return r.Refused == "" && slices.Contains(strings.Split(c.of, ","), strings.ToLower(r.Read.Raw))
	}), c)
}
