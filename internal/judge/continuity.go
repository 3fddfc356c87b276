package judge

import (
	"fmt"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// above reports whether a > b as decimals, atMost whether a <= b.
func above(a, b float64) bool  { return edition.Cmp(a, b) > 0 }
func atMost(a, b float64) bool { return edition.Cmp(a, b) <= 0 }

// fits reports whether a reading lies within the larger of an absolute
// allowance and a part of what was expected, on either side.
func (r *run) fits(reading, expected float64, absolute, part edition.Key) bool {
	allow := r.pack.Larger(absolute, part, expected)
	return atMost(reading, expected+allow) && atMost(expected-allow, reading)
}

// farAbove reports whether a reading exceeds a value by more than an absolute
// allowance and by more than a part of it: both have to be broken.
func (r *run) farAbove(reading, than float64, absolute, part edition.Key) bool {
	return above(reading, than+r.pack.Num(absolute)) && above(reading, than+r.pack.Part(part, than))
}

// continuity judges the protective conductor of one point: R1+R2 by method 1
// (line and cpc linked at the board) or R2 by method 2 (long lead).
func (r *run) continuity() error {
	e, err := r.continuityExpected()
	if err != nil || r.before {
		return err
	}
	v, path := r.q.Value, "@path-1"
	if r.q.Method == "2" {
		path = "@path-2"
		r.remark("continuity-method-2")
	}
	if v.IsOver() {
		r.find(Fail, "continuity-open", r.openPath(), "path", path)
		return nil
	}
	if e == nil {
		r.find(Doubt, "continuity-nothing-to-compare", "next-give-length", "path", path)
		return nil
	}
	params := func(gap float64) []string {
		return []string{"path", path, "expected", shown(e.Value), "basis", "@basis-" + e.From, "gap", shown(gap)}
	}
	switch {
	case r.fits(v.Value, e.Value, edition.ContinuityWithin, edition.ContinuityPart):
		r.find(Pass, "continuity-fits", "next-record-highest", params(0)[:6]...)
	case above(v.Value-e.Value, noJoint):
		r.find(Fail, "continuity-no-path", r.openPath(), params(v.Value-e.Value)...)
	case r.farAbove(v.Value, e.Value, edition.ContinuityFail, edition.ContinuityFailPart):
		r.find(Fail, "continuity-far-high", "next-find-high-joint", params(v.Value-e.Value)...)
	case v.Value > e.Value:
		r.find(Doubt, "continuity-high", "next-null-and-repeat", params(v.Value-e.Value)...)
	default:
		r.find(Doubt, "continuity-low", "next-check-point", params(e.Value-v.Value)...)
	}
	return nil
}

// noJoint is how far in Ω above what was expected a reading is likelier to be no path at
// all, or another one, than a joint with a high resistance. It picks words, never a
// verdict. Common practice, no source.
const noJoint = 20

// openPath is what to do where no path shows.
func (r *run) openPath() string {
	if r.q.Method == "2" {
		return "next-find-open-cpc"
	}
	return "next-find-open-path"
}

// continuityExpected is the expected R1+R2 (method 1) or R2 (method 2), nil
// when nothing is known: the rig's own reading, the network, the ends of the
// ring, or length × mΩ/m brought from 20 °C to the temperature given.
func (r *run) continuityExpected() (*Expected, error) {
	q := r.q
	name := "r1_plus_r2"
	if q.Method == "2" {
		name = "r2"
	}
	perMetre, formula, err := r.perMetre(q.Method)
	if err != nil {
		return nil, err
	}
	switch g, ok := q.given(name); {
	case ok:
		r.expect(name, g.Value, quantity.Ohm, g.From, g.From)
	case name == "r1_plus_r2" && q.R1.IsNumber() && q.R2.IsNumber():
		r.expect(name, (q.R1.Value+q.R2.Value)/4, quantity.Ohm, fmt.Sprintf("(r1 + r2) / 4 = (%g + %g) / 4", q.R1.Value, q.R2.Value), FromEnds)
	case perMetre > 0 && q.Length.Given():
		at, factor := r.warm()
		r.expect(name, float64(q.Length.Value*perMetre/1000*factor), quantity.Ohm, fmt.Sprintf("%g m × %s mΩ/m / 1000%s", q.Length.Value, formula, at), FromLength)
	default:
		return nil, nil
	}
	return &r.v.Expected[len(r.v.Expected)-1], nil
}

// perMetre gives mΩ/m of the conductors in the path, 0 when a size is not given.
func (r *run) perMetre(method string) (float64, string, error) {
	cpc, err := r.copper("cpc", r.q.CPC)
	if err != nil {
		return 0, "", err
	}
	line, err := r.copper("line", r.q.Line)
	switch {
	case err != nil:
		return 0, "", err
	case cpc == 0:
		return 0, "", nil
	case method == "2":
		return cpc, fmt.Sprintf("%g", cpc), nil
	case line == 0:
		return 0, "", nil
	}
	return line + cpc, fmt.Sprintf("(%g + %g)", line, cpc), nil
}

func (r *run) copper(name string, size quantity.Reading) (float64, error) {
	if !size.Given() {
		return 0, nil
	}
	e, ok := r.pack.Copper(size.Value)
	if !ok {
		return 0, argError(name, fmt.Sprintf("no resistance for %s in %s", size, r.pack.Title), "sizes held: "+r.pack.SizesText())
	}
	return e.Value, nil
}

// warm is the factor from 20 °C to the temperature given, 1 + 0.004 × (t − 20)
// (On-Site Guide Table I2).
func (r *run) warm() (string, float64) {
	if !r.q.Temperature.Given() {
		return "", 1
	}
	t, t0, k := r.q.Temperature.Value, r.pack.Num(edition.ReferenceTemp), r.pack.Num(edition.CopperPerDegree)
	return fmt.Sprintf(" × (1 + %g × (%g − %g))", k, t, t0), 1 + float64(k*(t-t0))
}

// bonding judges a bonding conductor by its length.
func (r *run) bonding() error {
	e, err := r.bondingExpected()
	if err != nil || r.before {
		return err
	}
	v := r.q.Value
	if v.IsOver() {
		r.find(Fail, "bonding-open", "next-find-open-bond")
		return nil
	}
	allowed := r.pack.Num(edition.BondingFloor)
	if e == nil {
		if atMost(v.Value, allowed) {
			r.find(Pass, "bonding-small", "next-record", "allowed", shown(allowed))
		} else {
			r.find(Doubt, "bonding-nothing-to-compare", "next-give-length")
		}
		return nil
	}
	allowed = max(e.Value+r.pack.Num(edition.BondingAbove), allowed)
	params := []string{"expected", shown(e.Value), "basis", "@basis-" + e.From, "allowed", shown(allowed)}
	switch {
	case atMost(v.Value, allowed):
		r.find(Pass, "bonding-fits", "next-record", params...)
	case r.farAbove(v.Value, e.Value, edition.BondingFail, edition.BondingFailPart):
		r.find(Fail, "bonding-far-high", "next-find-open-bond", params...)
	default:
		r.find(Doubt, "bonding-high", "next-clean-clamp", params...)
	}
	return nil
}

func (r *run) bondingExpected() (*Expected, error) {
	perMetre, err := r.copper("csa", r.q.CSA)
	if err != nil {
		return nil, err
	}
	switch g, ok := r.q.given("bonding"); {
	case ok:
		r.expect("bonding", g.Value, quantity.Ohm, g.From, g.From)
	case perMetre > 0 && r.q.Length.Given():
		r.expect("bonding", r.q.Length.Value*perMetre/1000, quantity.Ohm, fmt.Sprintf("%g m × %g mΩ/m / 1000", r.q.Length.Value, perMetre), FromLength)
	default:
		return nil, nil
	}
	return &r.v.Expected[len(r.v.Expected)-1], nil
}
