package judge

import (
	"fmt"
	"strings"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// rcd judges one timed test at a multiple of the rating by the band of the
// edition and, where the product standard is known, the stricter of the two.
// At half the rating staying on is the pass. ">300" or no trip is never a time.
func (r *run) rcd() error {
	q := r.q
	if q.Delay == "" {
		q.Delay = "general"
	}
	band, err := r.rcdBand(q)
	if err != nil {
		return err
	}
	if band.Min.Value > 0 {
		r.entryLimit("rcd_min", band.Min, quantity.Millisecond, "min")
	}
	if band.Max.Value > 0 {
		r.entryLimit("rcd_max", band.Max, quantity.Millisecond, "max")
	}
	if r.before {
		return nil
	}
	v := q.Value
	current := quantity.Format(float64(q.Rated.Value*q.Multiple), quantity.Milliampere)
	params := []string{"rated", q.Rated.String(), "current", current, "multiple", fmt.Sprintf("%g", q.Multiple), "delay", "@delay-" + q.Delay,
		"low", quantity.Format(band.Min.Value, quantity.Millisecond), "high", quantity.Format(band.Max.Value, quantity.Millisecond)}
	stayed := v.Mark == quantity.NoTrip || v.IsOver()
	switch {
	case band.NoTrip && stayed:
		r.find(Pass, "rcd-stayed-on", "next-record", params...)
	case band.NoTrip:
		r.find(Fail, "rcd-tripped-at-half", "next-rcd-leakage", params...)
	case stayed:
		r.find(Fail, "rcd-no-trip", "next-rcd-at-device", params...)
	default:
		r.judged(v.Value)
		r.rcdTime(band, params)
	}
	return nil
}

func (r *run) rcdTime(band edition.Band, params []string) {
	v := r.q.Value.Value
	switch {
	case above(band.Min.Value, v):
		r.find(Fail, "rcd-too-fast", "next-rcd-type", params...)
	case above(v, band.Max.Value) && r.q.Multiple > 1 && (r.q.Type == "A" || r.q.Type == "F" || r.q.Type == "B"):
		r.find(Fail, "rcd-slow-waveform", "next-rcd-waveform", append(params, "type", r.q.Type)...)
	case above(v, band.Max.Value):
		r.find(Fail, "rcd-slow", "next-rcd-at-device", params...)
	case band.Min.Value > 0:
		r.find(Pass, "rcd-in-band", "next-record-slowest", params...)
	default:
		r.find(Pass, "rcd-in-time", "next-record-slowest", params...)
	}
}

// rcdBand joins the edition's band with the product's, bound by bound.
func (r *run) rcdBand(q Query) (edition.Band, error) {
	band, ok := r.pack.RCDBand(q.Delay, q.Multiple, q.Rated.Value)
	if !ok {
		return band, argError("multiple", fmt.Sprintf("%g times IΔn has no limit in %s", q.Multiple, r.pack.Title), "give multiple=0.5, 1 or 5")
	}
	if strings.TrimSpace(q.Standard) == "" {
		return band, nil
	}
	if q.DelayMS > 0 {
		// A delay marked on the device stands for the general band.
		marked, err := r.pack.RCDMarkedDelay(q.Standard, q.DelayMS, q.Multiple)
		if err != nil {
			return band, limitError("standard", err)
		}
		return marked, nil
	}
	product, err := r.pack.RCDProductBand(q.Standard, q.Delay, q.Multiple, q.Rated.Value)
	if err != nil {
		return band, limitError("standard", err)
	}
	if band.NoTrip || product.NoTrip {
		return band, nil
	}
	if product.Max.Value < band.Max.Value {
		band.Max = product.Max
	}
	if product.Min.Value > band.Min.Value {
		band.Min = product.Min
	}
	return band, nil
}

// ramp judges the current at which a rising test tripped.
func (r *run) ramp() error {
	q := r.q
	waveform := q.Waveform
	if waveform == "" {
		waveform = "ac"
	}
	band, ok := r.pack.Ramp(waveform, q.Rated.Value)
	if !ok {
		return argError("waveform", fmt.Sprintf("%q has no limit in %s", waveform, r.pack.Title), "give waveform=ac or waveform=pulsating")
	}
	r.entryLimit("ramp_min", band.Min, quantity.Milliampere, "min")
	r.entryLimit("ramp_max", band.Max, quantity.Milliampere, "max")
	if r.before {
		return nil
	}
	v := q.Value
	params := []string{"rated", q.Rated.String(), "low", quantity.Format(band.Min.Value, quantity.Milliampere),
		"high", quantity.Format(band.Max.Value, quantity.Milliampere), "waveform", "@waveform-" + waveform}
	if !v.IsNumber() {
		r.find(Fail, "ramp-no-trip", "next-rcd-at-device", params...)
		return nil
	}
	r.judged(v.Value)
	switch edition.Cmp(v.Value, band.Min.Value) {
	case 0:
		r.find(Doubt, "ramp-at-lower-end", "next-rcd-leakage", params...)
		return nil
	case -1:
		r.find(Fail, "ramp-early", "next-rcd-leakage", params...)
		return nil
	}
	if above(v.Value, band.Max.Value) {
		r.find(Fail, "ramp-late", "next-rcd-at-device", params...)
		return nil
	}
	r.find(Pass, "ramp-in-band", "next-record", params...)
	return nil
}
