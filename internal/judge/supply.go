package judge

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// pfc judges a prospective fault current: measured in kA, or U0 / Z from a loop
// impedance (without Cmin). With three phases the line-neutral value is doubled.
func (r *run) pfc() error {
	q := r.q
	if q.Breaking.Given() {
		r.limit("breaking_capacity", q.Breaking.Value, quantity.Kiloampere, "max", edition.Entry{Source: "marked on the device", Status: edition.AsGiven})
	}
	if q.Assembly.Given() {
		r.limit("assembly", q.Assembly.Value, quantity.Kiloampere, "max", edition.Entry{Source: "declared for the assembly", Status: edition.AsGiven})
	}
	if r.before {
		return nil
	}
	reading := q.Value
	if q.LoopOhm.Given() {
		reading = q.LoopOhm
	}
	r.q.Value = reading
	if reading.IsOver() {
		r.pfcOver(reading)
		return nil
	}
	ka, err := r.faultCurrent()
	if err != nil {
		return err
	}
	r.judged(ka)
	r.pfcAgainst(ka)
	return nil
}

// pfcOver judges what lies above the range: a current above n is above every
// limit up to n, and shows nothing about a higher one; a loop impedance above
// the range means that no fault current flows.
func (r *run) pfcOver(reading quantity.Reading) {
	if reading.Unit == quantity.Ohm {
		r.find(Fail, "pfc-loop-open", "next-zs-open")
		return
	}
	most := max(r.q.Breaking.Value, r.q.Assembly.Value)
	if most > 0 && atMost(most, float64(reading.Value*r.phaseFactor())) {
		r.find(Fail, "pfc-over-range-above", "next-stop-and-ask", "limit", quantity.Format(most, quantity.Kiloampere))
		return
	}
	r.find(Doubt, "pfc-over-range", "next-higher-range")
}

func (r *run) phaseFactor() float64 {
	if r.q.Phases == 3 {
		return r.pack.Num(edition.ThreePhaseFactor)
	}
	return 1
}

func (r *run) faultCurrent() (float64, error) {
	q := r.q
	ka := q.Value.Value
	if q.LoopOhm.Given() {
		if q.LoopOhm.Value <= 0 {
			return 0, argError("zs", fmt.Sprintf("%q is not above 0", q.LoopOhm.Raw), "a loop impedance of 0 has no fault current to compute")
		}
		u0 := r.pack.Num(edition.NominalVoltage)
		if q.Nominal.Given() {
			u0 = q.Nominal.Value
		}
		ka = u0 / q.LoopOhm.Value / 1000
		r.expect("pfc", ka, quantity.Kiloampere, fmt.Sprintf("U0 / Z / 1000 = %g / %g / 1000", u0, q.LoopOhm.Value), "")
	}
	if q.Phases == 3 {
		k := r.phaseFactor()
		r.expect("pfc_three_phase", float64(ka*k), quantity.Kiloampere, fmt.Sprintf("%g × %s", k, quantity.Format(ka, quantity.Kiloampere)), "")
		ka = float64(ka * k)
	}
	return ka, nil
}

func (r *run) pfcAgainst(ka float64) {
	b, a := r.q.Breaking, r.q.Assembly
	params := []string{"current", quantity.Format(ka, quantity.Kiloampere), "breaking", b.String(), "assembly", a.String(), "single", "", "factor", ""}
	next := "next-record-larger"
	if r.q.Phases == 3 {
		params[7], params[9] = quantity.Format(ka/r.phaseFactor(), quantity.Kiloampere), strconv.FormatFloat(r.phaseFactor(), 'g', -1, 64)
		next = "next-record-three-phase"
	}
	switch {
	case b.Given() && atMost(ka, b.Value):
		r.find(Pass, "pfc-within", next, params...)
	case a.Given() && atMost(ka, a.Value):
		r.find(Doubt, "pfc-within-assembly", "next-pfc-assembly", params...)
	case b.Given() || a.Given():
		r.find(Fail, "pfc-above", "next-stop-and-ask", params...)
	default:
		r.find(Doubt, "pfc-nothing-to-compare", "next-read-device-ka", params...)
	}
}

// voltage judges a supply or a dead circuit.
func (r *run) voltage() error {
	if r.q.Expect == "dead" {
		if !r.before {
			r.dead()
		}
		return nil
	}
	low, high := r.voltageLimits()
	if low.Value > 0 {
		r.entryLimit("voltage_min", low, quantity.Volt, "min")
	}
	r.entryLimit("voltage_max", high, quantity.Volt, "max")
	if r.before {
		return nil
	}
	v := r.q.Value
	if v.IsNumber() {
		r.judged(v.Value)
	}
	neutralEarth := r.q.Between == "N-E"
	params := []string{"low", quantity.Format(low.Value, quantity.Volt), "high", quantity.Format(high.Value, quantity.Volt)}
	switch {
	case v.IsOver():
		r.find(Fail, "voltage-over-range", "next-stop-and-ask", params...)
	case v.Mark == quantity.Nothing && neutralEarth:
		r.find(Pass, "voltage-neutral-earth", "next-record", params...)
	case v.Mark == quantity.Nothing:
		r.find(Fail, "voltage-nothing", "next-prove-indicator", params...)
	case neutralEarth && atMost(v.Value, high.Value):
		r.find(Pass, "voltage-neutral-earth", "next-record", params...)
	case neutralEarth:
		r.find(Fail, "voltage-neutral-earth-high", "next-supply-polarity", params...)
	case above(v.Value, high.Value), above(low.Value, v.Value):
		r.find(Fail, "voltage-outside", "next-supply-polarity", params...)
	default:
		r.find(Pass, "voltage-inside", "next-record", params...)
	}
	return nil
}

func (r *run) dead() {
	v := r.q.Value
	if v.Mark == quantity.Nothing || v.IsNumber() && v.Value == 0 {
		r.find(Pass, "voltage-dead", "next-prove-again")
		return
	}
	r.find(Fail, "voltage-not-dead", "next-stop-isolate")
}

// voltageLimits are those of the pair: a rig's commissioned voltage ± the
// allowance, N-E its own maximum, else the tolerance of a public supply.
func (r *run) voltageLimits() (low, high edition.Entry) {
	if g, ok := r.q.given("voltage"); ok {
		allow := r.pack.Entry(edition.VoltageCommission)
		source := fmt.Sprintf("%s reading of this rig ± %g V", g.From, allow.Value)
		low = edition.Entry{Value: math.Max(g.Value-allow.Value, 0), Source: source, Status: allow.Status}
		return low, edition.Entry{Value: g.Value + allow.Value, Source: source, Status: allow.Status}
	}
	if r.q.Between == "N-E" {
		return edition.Entry{}, r.pack.Entry(edition.VoltageNE)
	}
	u := r.pack.Num(edition.NominalVoltage)
	if left, right, _ := strings.Cut(r.q.Between, "-"); strings.HasPrefix(left, "L") && strings.HasPrefix(right, "L") {
		u = r.pack.Num(edition.LineLineVoltage)
	}
	if r.q.Nominal.Given() {
		u = r.q.Nominal.Value
	}
	low, high = r.pack.Entry(edition.VoltageBelow), r.pack.Entry(edition.VoltageAbove)
	low.Value, high.Value = u-r.pack.Part(edition.VoltageBelow, u), u+r.pack.Part(edition.VoltageAbove, u)
	return low, high
}
