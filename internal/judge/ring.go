package judge

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// ringEnds judges the end-to-end readings of a ring: line against neutral, and
// the cpc against the line by the resistance of their sizes.
func (r *run) ringEnds() error {
	q := r.q
	e, err := r.endsExpected()
	if err != nil || r.before {
		return err
	}
	if r.openEnds() {
		return nil
	}
	var joined []string
	for _, m := range []Named{{"r1", q.R1}, {"rn", q.RN}, {"r2", q.R2}} {
		if atMost(m.Reading.Value, r.pack.Num(edition.EndsJoined)) {
			joined = append(joined, m.Name)
		}
	}
	if len(joined) > 0 {
		r.find(Doubt, "ring-ends-joined", "next-part-ends", "which", strings.Join(joined, ", "), "floor", shown(r.pack.Num(edition.EndsJoined)))
	}
	before := len(r.found)
	if r.lineAgainstNeutral() != Fail || e == nil { // with r1 itself in question there is nothing to hold r2 against
		r.cpcAgainstLine(e)
	}
	r.joinsLeftIn(e, before)
	return nil
}

// joinsLeftIn puts the likelier cause in the place of a loose terminal where the readings are those of a sound ring whose
// legs are still crossed: with line of each leg on another conductor of the other leg the two loops lie in parallel, so
// both read a·b/(a+b), and the third loop reads what it always does. The verdict stays what it was.
func (r *run) joinsLeftIn(e *Expected, before int) {
	worst := ofRank(r.worstRank(before))
	if e == nil || worst == Pass || r.q.R1.Value <= 0 {
		return
	}
	k := e.Value / r.q.R1.Value // of the cpc over the line, length by length
	r1, rn, r2 := r.q.R1.Value, r.q.RN.Value, r.q.R2.Value
	same := func(a, b float64) bool {
		return atMost(math.Abs(a-b), r.pack.Larger(edition.EndsWithin, edition.R2Part, max(a, b)))
	}
	for _, x := range []struct {
		pair       string
		a, b       float64 // read alike
		both, free float64 // what the loops in parallel give, from the third, and that
	}{
		{"L-E", r1, r2, float64(k / (1 + k) * rn), rn},
		{"L-N", r1, rn, r2 / k / 2, r2},
		{"N-E", rn, r2, float64(k / (1 + k) * r1), r1},
	} {
		if same(x.a, x.b) && same(x.a, x.both) && same(x.b, x.both) {
			r.found = r.found[:before]
			r.find(worst, "ring-ends-crossed", "next-part-joins", "pair", x.pair, "r1", r.q.R1.String(), "rn", r.q.RN.String(), "r2", r.q.R2.String(),
				"free", shown(x.free), "both", shown(x.both))
			return
		}
	}
}

// openEnds finds the loops that are open. All three together are one cut cable
// or ends of two rings, not three faults.
func (r *run) openEnds() bool {
	var open []string
	for _, m := range []Named{{"r1", r.q.R1}, {"rn", r.q.RN}, {"r2", r.q.R2}} {
		if m.Reading.IsOver() {
			open = append(open, m.Name)
		}
	}
	switch len(open) {
	case 0:
		return false
	case 3:
		r.find(Fail, "ring-ends-all-open", "next-pair-ends")
	default:
		r.find(Fail, "ring-ends-open", "next-find-open-leg", "which", strings.Join(open, ", "))
	}
	return true
}

// lineAgainstNeutral holds the two against each other, and says what came of that alone.
func (r *run) lineAgainstNeutral() Outcome {
	r1, rn := r.q.R1.Value, r.q.RN.Value
	larger, smaller := max(r1, rn), min(r1, rn)
	gap := larger - smaller
	allow := r.pack.Larger(edition.EndsWithin, edition.EndsPart, larger)
	higher := "r1"
	if rn > r1 {
		higher = "rn"
	}
	params := []string{"r1", r.q.R1.String(), "rn", r.q.RN.String(), "gap", shown(gap), "allowed", shown(allow), "higher", higher}
	switch {
	case atMost(gap, allow):
		r.find(Pass, "ring-ends-match", "next-record", params...)
		return Pass
	case above(gap, r.pack.Num(edition.EndsFail)) && above(gap, r.pack.Part(edition.EndsFailPart, larger)):
		r.find(Fail, "ring-ends-far-apart", "next-tighten-leg", params...)
		return Fail
	}
	r.find(Doubt, "ring-ends-apart", "next-null-and-repeat", params...)
	return Doubt
}

func (r *run) cpcAgainstLine(e *Expected) {
	if e == nil {
		r.find(Doubt, "ring-r2-nothing-to-compare", "next-give-sizes", "r2", r.q.R2.String())
		return
	}
	v := r.q.R2.Value
	params := []string{"r2", r.q.R2.String(), "expected", shown(e.Value), "ratio", fmt.Sprintf("%.2f", r.ratio())}
	switch {
	case r.fits(v, e.Value, edition.R2Within, edition.R2Part):
		r.find(Pass, "ring-r2-fits", "next-record", params...)
	case r.farAbove(v, e.Value, edition.R2Fail, edition.R2FailPart):
		r.find(Fail, "ring-r2-far-high", "next-tighten-leg", params...)
	case v > e.Value:
		r.find(Doubt, "ring-r2-high", "next-look-at-cpc", params...)
	default:
		r.find(Doubt, "ring-r2-low", "next-look-at-cpc", params...)
	}
}

// ratio is mΩ/m of the cpc over mΩ/m of the line: 1.63 for 2.5/1.5, not the
// ratio of the areas. It is called once both sizes were found.
func (r *run) ratio() float64 {
	line, _ := r.pack.Copper(r.q.Line.Value)
	cpc, _ := r.pack.Copper(r.q.CPC.Value)
	return cpc.Value / line.Value
}

func (r *run) endsExpected() (*Expected, error) {
	line, err := r.copper("line", r.q.Line)
	if err != nil {
		return nil, err
	}
	cpc, err := r.copper("cpc", r.q.CPC)
	if err != nil || line == 0 || cpc == 0 || !r.q.R1.IsNumber() {
		return nil, err
	}
	r.expect("r2_from_r1", r.q.R1.Value*cpc/line, quantity.Ohm, fmt.Sprintf("r1 × %g / %g = %g × %g / %g", cpc, line, r.q.R1.Value, cpc, line), "")
	return &r.v.Expected[0], nil
}

// band is what a crossed reading is expected between.
type band struct{ low, high float64 }

// ringCrossed judges the readings at the points of a ring whose legs are
// cross-connected: each lies between r1·rx/(r1+rx) at the board and (r1+rx)/4
// in the middle. What all points share above that, up to a contact's worth, is
// the adaptor's and is taken off.
func (r *run) ringCrossed() error {
	q := r.q
	rx, rxName := q.RN, "rn"
	if q.Step == "line-cpc" {
		rx, rxName = q.R2, "r2"
	}
	if q.R1.IsOver() || q.RN.IsOver() || q.R2.IsOver() {
		if !r.before {
			r.openEnds()
		}
		return nil
	}
	if !q.R1.Given() || !rx.Given() {
		return nil // only before measuring
	}
	ring := band{high: (q.R1.Value + rx.Value) / 4}
	if sum := q.R1.Value + rx.Value; sum > 0 {
		ring.low = q.R1.Value * rx.Value / sum
	}
	a, b := fmt.Sprintf("%g", q.R1.Value), fmt.Sprintf("%g", rx.Value)
	r.expect("crossed_min", ring.low, quantity.Ohm, fmt.Sprintf("r1 × %s / (r1 + %s) = %s × %s / (%s + %s)", rxName, rxName, a, b, a, b), "")
	r.expect("crossed_max", ring.high, quantity.Ohm, fmt.Sprintf("(r1 + %s) / 4 = (%s + %s) / 4", rxName, a, b), "")
	r.accept(ring, 0)
	if r.before {
		return nil
	}
	pair := map[string]string{"line-neutral": "L-N", "line-cpc": "L-E"}[q.Step]
	r.q.Between = pair
	if r.openPoints() {
		return nil
	}
	high := q.Points[0].Reading
	for _, p := range q.Points {
		if p.Reading.Value > high.Value {
			high = p.Reading
		}
	}
	r.v.Value, r.q.Value = high, high
	r.crossedPoints(ring)
	return nil
}

// openPoints finds points that read over range: all of them are the joins, one
// is that point.
func (r *run) openPoints() bool {
	var open []string
	for i, p := range r.q.Points {
		if p.Reading.IsOver() {
			open = append(open, p.name(i))
		}
	}
	switch {
	case len(open) == 0:
		return false
	case len(open) == len(r.q.Points) && len(open) > 1:
		r.find(Fail, "ring-crossed-all-open", "next-check-joins")
	default:
		r.find(Fail, "ring-crossed-open", "next-check-that-point", "which", strings.Join(open, ", "))
	}
	return true
}

func (r *run) crossedPoints(ring band) {
	shared := r.contacts(ring)
	r.accept(ring, shared)
	var outHigh, outLow, farLow []string
	highest, inARow := 0, 0
	for i, p := range r.q.Points {
		b := p.band(ring)
		v := p.Reading.Value - shared
		far := r.farAbove(v, b.high, edition.CrossedFail, edition.CrossedFailPart)
		if far {
			inARow++
		} else {
			inARow = 0
		}
		highest = max(highest, inARow)
		switch {
		case above(v, b.high+r.pack.Larger(edition.CrossedWithin, edition.CrossedPart, b.high)):
			outHigh = append(outHigh, p.name(i))
		case above(b.low-r.pack.Num(edition.CrossedFail), v) && above(b.low-r.pack.Part(edition.CrossedFailPart, b.low), v):
			farLow = append(farLow, p.name(i))
		case above(b.low-r.pack.Larger(edition.CrossedWithin, edition.CrossedPart, b.low), v):
			outLow = append(outLow, p.name(i))
		}
	}
	params := func(which []string) []string {
		return []string{"low", shown(ring.low), "high", shown(ring.high), "which", strings.Join(which, ", "), "shared", shown(shared)}
	}
	row := int(r.pack.Num(edition.CrossedInARow))
	switch {
	case highest >= row:
		r.find(Fail, "ring-crossed-row-high", "next-check-joins-then-legs", append(params(outHigh), "row", strconv.Itoa(row))...)
	case len(outHigh) == 1:
		r.find(Doubt, "ring-crossed-one-high", "next-spur-or-terminal", params(outHigh)...)
	case len(outHigh) > 1:
		r.find(Doubt, "ring-crossed-some-high", "next-spur-or-terminal", params(outHigh)...)
	}
	if len(farLow) > 0 {
		r.find(Fail, "ring-crossed-far-low", "next-swap-joins", params(append(farLow, outLow...))...)
	} else if len(outLow) > 0 {
		r.find(Doubt, "ring-crossed-low", "next-check-joins-then-legs", params(outLow)...)
	}
	if len(r.found) == 0 {
		if r.q.Step == "line-cpc" {
			r.find(Pass, "ring-crossed-flat-cpc", "next-record-highest", flat(ring, shared)...)
		} else {
			r.find(Pass, "ring-crossed-flat", "next-record", flat(ring, shared)...)
		}
	}
}

// accept notes between which readings a point of the ring itself is taken as fitting.
func (r *run) accept(ring band, shared float64) {
	low, high := CrossedBand(r.pack, ring.low, ring.high)
	r.v.InLow, r.v.InHigh = low+shared, high+shared
}

// CrossedBand is what the points of a crossed ring may read, Ω, when they are expected
// between low and high: with what the edition's thresholds leave to spare.
func CrossedBand(pack *edition.Pack, low, high float64) (from, to float64) {
	spare := func(v float64) float64 { return pack.Larger(edition.CrossedWithin, edition.CrossedPart, v) }
	return max(0, low-spare(low)), high + spare(high)
}

// flat are the values of a ring that reads as it should: one number where the two ends of
// its band show the same digits, and nothing of contacts that show none.
func flat(ring band, shared float64) []string {
	low, high, even, contacts := shown(ring.low), shown(ring.high), "", shown(shared)
	if low == high {
		low, high, even = "", "", low
	}
	if contacts == shown(0) {
		contacts = ""
	}
	return []string{"low", low, "high", high, "even", even, "shared", contacts}
}

// contacts is what all points share above their lower bound, up to a contact's worth.
func (r *run) contacts(ring band) float64 {
	shared := r.pack.Num(edition.CrossedContacts)
	for _, p := range r.q.Points {
		shared = min(shared, p.Reading.Value-p.band(ring).low)
	}
	return max(shared, 0)
}

// band is that of the ring, or for a known spur its own expected value.
func (p Point) band(ring band) band {
	if p.SpurOhm > 0 {
		return band{p.SpurOhm, p.SpurOhm}
	}
	return ring
}
