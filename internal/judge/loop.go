package judge

import (
	"fmt"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// ze judges the external loop impedance, or on TT the earthing as a whole.
func (r *run) ze() error {
	if r.q.Earthing == "TT" {
		return r.earthing("ze")
	}
	var limit edition.Entry
	name := "ze_declared"
	switch {
	case r.q.Declared.Given():
		limit = edition.Entry{Value: r.q.Declared.Value, Source: "declared for this supply", Status: edition.AsGiven}
	case r.q.Earthing != "":
		name = "ze_typical"
		limit, _ = r.pack.ZeTypical(r.q.Earthing)
	}
	known := limit.Value > 0
	if known {
		r.entryLimit(name, limit, quantity.Ohm, "max")
	}
	if r.before {
		return nil
	}
	v := r.q.Value
	if v.IsOver() {
		r.find(Fail, "ze-open", "next-ze-connections")
		return nil
	}
	r.judged(v.Value)
	params := []string{"limit", ohm(limit.Value), "kind", "@kind-" + name, "system", r.q.Earthing, "gap", shown(v.Value - limit.Value)}
	switch {
	case !known:
		r.find(Doubt, "ze-nothing-to-compare", "next-ask-distributor", params...)
	case atMost(v.Value, limit.Value):
		r.find(Pass, "ze-within", "next-reconnect-earthing", params...)
	case r.farAbove(v.Value, limit.Value, edition.ZeFail, edition.ZeFailPart):
		r.find(Fail, "ze-far-high", "next-ze-connections", params...)
	default:
		r.find(Doubt, "ze-high", "next-ask-distributor", params...)
	}
	return nil
}

// electrode judges the resistance of an earth electrode with its conductor.
func (r *run) electrode() error { return r.earthing("electrode") }

// earthing judges what a TT system rests on, RA, by the rating of the RCD that
// relies on it: an electrode reading, Ze, or Zs of a circuit behind an RCD (what
// names the three in texts). A reading is compared with the printed limit, not
// as RA × IΔn with 50 V.
func (r *run) earthing(what string) error {
	rated := r.q.Rated
	if r.q.Test == Zs {
		rated = r.q.RCDRated
	}
	var limit edition.Entry
	if rated.Given() {
		limit = r.pack.Electrode(rated.Value)
		r.entryLimit("ra_max", limit, quantity.Ohm, "max")
	}
	advice := r.pack.Num(edition.ElectrodeAdvice)
	r.entryLimit("electrode_advice", r.pack.Entry(edition.ElectrodeAdvice), quantity.Ohm, "max")
	if r.before {
		return nil
	}
	v := r.q.Value
	params := []string{"what", "@what-" + what, "limit", ohm(limit.Value), "rated", rated.String(), "advice", ohm(advice),
		"low", ohm(r.pack.Num(edition.ElectrodeLow))}
	if v.IsOver() && r.q.Test == Zs {
		r.find(Fail, "zs-open", "next-zs-open", "device", r.q.Device)
		return nil
	}
	if v.IsOver() {
		r.find(Fail, "earthing-open", "next-electrode-connection", params...)
		return nil
	}
	r.judged(v.Value)
	if rated.Given() && above(v.Value, limit.Value) {
		r.find(Fail, "earthing-above", r.earthingNext("next-electrode-connection", "next-zs-earthing"), params...)
		return nil
	}
	if !rated.Given() {
		r.find(Doubt, "earthing-no-rating", "next-name-largest-rcd", params...)
	}
	if above(v.Value, advice) {
		r.find(Doubt, "earthing-unstable", "next-improve-electrode", params...)
	}
	if above(r.pack.Num(edition.ElectrodeLow), v.Value) {
		r.find(Doubt, "earthing-too-good", r.earthingNext("next-lift-earthing", "next-zs-check-path"), params...)
	}
	if len(r.found) == 0 {
		r.find(Pass, "earthing-within", r.earthingNext("next-record-earthing", "next-record-highest"), params...)
	}
	return nil
}

// earthingNext is what to do about an electrode, or about a circuit that rests on one.
func (r *run) earthingNext(electrode, circuit string) string {
	if r.q.Test == Zs {
		return circuit
	}
	return electrode
}

// zs judges the loop impedance of a circuit.
func (r *run) zs() error {
	q := r.q
	sum, err := r.zsSum()
	if err != nil {
		return err
	}
	d, err := r.pack.ParseDevice(q.Device)
	if err != nil {
		return limitError("device", err)
	}
	if q.Earthing == "TT" && q.RCDRated.Given() {
		if err := r.earthing("zs"); err != nil || r.before || !q.Value.IsNumber() {
			return err
		}
		r.againstSum(sum)
		return nil
	}
	z, err := r.pack.Zs(d, q.TimeS, r.nominal())
	if err != nil {
		return limitError("device", err)
	}
	r.zsLimits(z, d.Breaker)
	if r.before {
		return nil
	}
	r.zsRemarks(d, z)
	v := q.Value
	if v.IsOver() {
		r.find(Fail, "zs-open", "next-zs-open", "device", d.String())
		return nil
	}
	r.judged(v.Value)
	r.zsAgainstLimit(d, z, sum)
	r.againstSum(sum)
	return nil
}

func (r *run) nominal() float64 {
	if r.q.Nominal.Given() {
		return r.q.Nominal.Value
	}
	return 0 // the pack's
}

// zsLimits lists the table's limit, which is for hot conductors, and for a
// reading taken cold the limits that follow from it.
func (r *run) zsLimits(z edition.ZsLimit, breaker bool) {
	table := z.Table
	table.Source = fmt.Sprintf("%s, %s", z.Formula, table.Source)
	r.entryLimit("zs_table", table, quantity.Ohm, "max")
	if r.q.At == "operating" {
		return
	}
	r.v.Limits[len(r.v.Limits)-1].idle = true
	factor := r.pack.Entry(edition.MeasuredFactor)
	status := z.Table.Status
	if breaker && z.Printed {
		status = r.pack.BreakerStatus() // rests on the formula, not on printed digits
	}
	cold := edition.Entry{Source: fmt.Sprintf("%g × %s (%s)", factor.Value, table.Source, factor.Source), Status: status}
	r.limit("zs_measured", z.Measured, quantity.Ohm, "max", cold)
	if above(z.Rounded, z.Measured) {
		cold.Source = "largest published rounding of " + cold.Source
		r.limit("zs_measured_rounded", z.Rounded, quantity.Ohm, "max", cold)
	}
}

func (r *run) zsRemarks(d edition.Device, z edition.ZsLimit) {
	if !z.Printed {
		r.remark("zs-computed", "device", d.String())
	}
	wanted := r.q.TimeS
	if wanted == 0 {
		wanted = 0.4
	}
	if d.Breaker || edition.Cmp(z.TimeS, wanted) == 0 {
		return
	}
	how := "@zs-read"
	if r.q.Calculated {
		how = "@zs-works-out"
	}
	params := []string{"device", d.String(), "row", fmt.Sprintf("%g s", z.TimeS), "wanted", fmt.Sprintf("%g s", wanted), "how", how}
	switch {
	case z.TimeS < wanted:
		r.remark("zs-stricter-row", params...)
	case r.q.TimeS == 0:
		r.remark("zs-only-5s-row", params...)
	default:
		// A limit for 5 s shows nothing about the shorter time asked for.
		r.find(Doubt, "zs-row-too-slow", "next-ask-supervisor", params...)
	}
}

func (r *run) zsAgainstLimit(d edition.Device, z edition.ZsLimit, sum *Expected) {
	q, v := r.q, r.q.Value.Value
	limit, rounded, kind := z.Measured, z.Rounded, "measured"
	if q.At == "operating" {
		limit, rounded, kind = z.Table.Value, z.Table.Value, "operating"
	}
	params := []string{"device", d.String(), "limit", ohm(limit), "rounded", ohm(rounded), "table", ohm(z.Table.Value),
		"kind", "@zs-kind-" + kind, "gap", shown(v - limit), "rcd", q.RCDRated.String(), "how", "@zs-read"}
	high, next, record := "zs-above", "next-zs-device", "next-record-highest"
	if q.Calculated {
		high, next, record = "zs-calculated-above", "next-zs-parts", "next-record"
		params[len(params)-1] = "@zs-works-out"
	}
	uplift := q.Method == "no-trip" && sum != nil && atMost(sum.Value, limit) && atMost(v, sum.Value+r.pack.Num(edition.ZsNoTripGap))
	switch {
	case atMost(v, limit):
		r.find(Pass, "zs-within", record, params...)
	case atMost(v, rounded):
		r.find(Doubt, "zs-between-roundings", "next-repeat-zs", params...)
	case uplift:
		r.find(Doubt, "zs-no-trip-uplift", "next-zs-another-way", append(params, "sum", shown(sum.Value))...)
	case q.RCDRated.Given() && atMost(v, float64(limit*r.pack.Num(edition.ZsRCDTimes))):
		r.find(Doubt, "zs-above-rcd-named", next, params...)
	default:
		r.find(Fail, high, next, params...)
	}
}

// zsSum is Ze + (R1+R2), with the factor to operating temperature on R1+R2
// alone when the value judged is one.
func (r *run) zsSum() (*Expected, error) {
	q := r.q
	if !q.Ze.IsNumber() || !q.R1R2.IsNumber() {
		return nil, nil
	}
	sum, formula := q.Ze.Value+q.R1R2.Value, fmt.Sprintf("Ze + (R1+R2) = %g + %g", q.Ze.Value, q.R1R2.Value)
	if q.At == "operating" {
		k := r.pack.Num(edition.OperatingFactor)
		sum = q.Ze.Value + float64(k*q.R1R2.Value)
		formula = fmt.Sprintf("Ze + %g × (R1+R2) = %g + %g × %g", k, q.Ze.Value, k, q.R1R2.Value)
	}
	r.expect("zs_sum", sum, quantity.Ohm, formula, "")
	return &r.v.Expected[len(r.v.Expected)-1], nil
}

// againstSum holds a reading against Ze + (R1+R2): a little lower is normal
// (parallel paths, on TT any amount), higher may be the instrument's no-trip method.
func (r *run) againstSum(sum *Expected) {
	if sum == nil {
		return
	}
	v := r.q.Value.Value
	up := r.pack.Larger(edition.ZsAbove, edition.ZsAbovePart, sum.Value)
	if r.q.Method == "high-current" {
		up = r.pack.Larger(edition.ZsAboveHigh, edition.ZsAboveHighPart, sum.Value)
	}
	down := r.pack.Larger(edition.ZsBelow, edition.ZsBelowPart, sum.Value)
	switch {
	case above(v, sum.Value+up):
		r.find(Doubt, "zs-above-sum", "next-zs-check-sum", "sum", shown(sum.Value), "gap", shown(v-sum.Value), "allowed", shown(up))
	case r.q.Earthing == "TT":
		// The electrode was read with the bonding off it; the bonded parts, back in
		// place, are electrodes beside it and may take far more off than a fifth.
	case above(sum.Value-down, v):
		r.find(Doubt, "zs-below-sum", "next-zs-check-path", "sum", shown(sum.Value), "gap", shown(sum.Value-v), "allowed", shown(down))
	}
}
