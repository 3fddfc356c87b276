package report

import (
	"strconv"

	"wanderlead/internal/quantity"
)

// Column is one item of the schedule: its key, the unit it is given in, and which
// readings or facts it comes from.
type Column struct {
	Key  string
	Unit string // ohm, Mohm, ms, mA, A, kA, mm2, s, V; empty for text
	From string

	detail func(*Circuit) string
	result func(*Circuit) *Result
}

// Columns lists the items of a circuit in the order of the schedule (BS 7671:2018
// Appendix 6, model forms, with the items of A2:2022), and after them what the
// program adds to tell states apart.
func Columns() []Column { return append([]Column(nil), columns...) }

func text(f func(*Circuit) string) func(*Circuit) string { return f }

func num(f func(*Circuit) *float64) func(*Circuit) string {
	return func(c *Circuit) string { return figure(f(c)) }
}

func figure(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

var columns = []Column{
	{Key: "circuit_number", From: "rig: number, with the phase", detail: text(func(c *Circuit) string { return c.CircuitNumber })},
	{Key: "description", From: "rig", detail: text(func(c *Circuit) string { return c.Description })},
	{Key: "wiring_type_code", From: "rig: cable", detail: text(func(c *Circuit) string { return c.WiringTypeCode })},
	{Key: "reference_method", From: "rig: cable", detail: text(func(c *Circuit) string { return c.ReferenceMethod })},
	{Key: "points_served", From: "rig: points but for switches, counted", detail: num(func(c *Circuit) *float64 { return c.PointsServed })},
	{Key: "live_csa", Unit: "mm2", From: "rig: cable", detail: num(func(c *Circuit) *float64 { return c.LiveCSA })},
	{Key: "cpc_csa", Unit: "mm2", From: "rig: cable", detail: num(func(c *Circuit) *float64 { return c.CPCCSA })},
	{Key: "ocpd_standard", From: "rig: device", detail: text(func(c *Circuit) string { return c.OCPDStandard })},
	{Key: "ocpd_type", From: "rig: device", detail: text(func(c *Circuit) string { return c.OCPDType })},
	{Key: "ocpd_rating", Unit: "A", From: "rig: device", detail: num(func(c *Circuit) *float64 { return c.OCPDRating })},
	{Key: "ocpd_breaking_capacity", Unit: "kA", From: "rig: device", detail: num(func(c *Circuit) *float64 { return c.OCPDBreakingCapacity })},
	{Key: "max_permitted_zs", Unit: "ohm", From: "edition pack: the device's table value, corrected for a reading taken cold; on TT the printed limit of the RCD",
		result: func(c *Circuit) *Result { return &c.MaxPermittedZs.Result }},
	{Key: "rcd_standard", From: "rig: RCD of the circuit or its section", detail: text(func(c *Circuit) string { return c.RCDStandard })},
	{Key: "rcd_type", From: "rig: RCD, with S when time-delayed", detail: text(func(c *Circuit) string { return c.RCDType })},
	{Key: "rcd_idn", Unit: "mA", From: "rig: RCD", detail: num(func(c *Circuit) *float64 { return c.RCDIdn })},
	{Key: "rcd_rating", Unit: "A", From: "rig: RCD", detail: num(func(c *Circuit) *float64 { return c.RCDRating })},
	{Key: "max_disconnection_time", Unit: "s", From: "edition pack: disconnection times", detail: num(func(c *Circuit) *float64 { return c.MaxDisconnectionTime })},
	{Key: "ring_r1", Unit: "ohm", From: "ends/r1", result: func(c *Circuit) *Result { return &c.RingR1 }},
	{Key: "ring_rn", Unit: "ohm", From: "ends/rn", result: func(c *Circuit) *Result { return &c.RingRN }},
	{Key: "ring_r2", Unit: "ohm", From: "ends/r2", result: func(c *Circuit) *Result { return &c.RingR2 }},
	{Key: "r1_plus_r2", Unit: "ohm", From: "highest of continuity; on a ring the highest of crossed-line-cpc", result: func(c *Circuit) *Result { return &c.R1PlusR2 }},
	{Key: "r2", Unit: "ohm", From: "highest of long-lead", result: func(c *Circuit) *Result { return &c.R2 }},
	{Key: "ir_test_voltage", Unit: "V", From: "voltage set for insulation", result: func(c *Circuit) *Result { return &c.IRTestVoltage }},
	{Key: "ir_live_live", Unit: "Mohm", From: "lowest of insulation between live conductors", result: func(c *Circuit) *Result { return &c.IRLiveLive }},
	{Key: "ir_live_earth", Unit: "Mohm", From: "lowest of insulation to earth", result: func(c *Circuit) *Result { return &c.IRLiveEarth }},
	{Key: "polarity", From: "polarity, as seen", result: func(c *Circuit) *Result { return &c.Polarity }},
	{Key: "zs_measured_max", Unit: "ohm", From: "highest of zs; else zs-calculated, state calculated", result: func(c *Circuit) *Result { return &c.ZsMeasuredMax }},
	{Key: "rcd_time", Unit: "ms", From: "slower of rcd/one-0 and one-180, or of five-0 and five-180 where the edition asks for five times", result: func(c *Circuit) *Result { return &c.RCDTime }},
	{Key: "rcd_test_button", From: "rcd-button of the device, as seen", result: func(c *Circuit) *Result { return &c.RCDButton }},
	{Key: "afdd_test_button", From: "nothing: no rig describes an arc fault detection device", result: func(c *Circuit) *Result { return &c.AFDDButton }},
	{Key: "remarks", From: "rig, tests without a column, readings that are no plain pass", detail: text(func(c *Circuit) string { return c.Remarks })},
}

// cell is a result's value as it stands in a table of one unit: the digits as typed
// when they are in that unit, the sign kept when it is above the range, nothing when
// there is no value.
func (r *Result) cell() string {
	switch r.State {
	case OverRange:
		q, err := quantity.Parse(r.Raw, r.unit())
		if err != nil {
			return r.Raw
		}
		if digits, ok := bare(r.Raw); ok {
			return digits
		}
		return ">" + quantity.FormatNumber(q.Value)
	case Measured, Calculated:
		if r.Value == nil {
			return r.Raw
		}
		if digits, ok := bare(r.Raw); ok {
			return digits
		}
		return quantity.FormatNumber(*r.Value)
	}
	return ""
}

func (r *Result) unit() quantity.Unit {
	u, err := quantity.ParseUnit(r.Unit)
	if err != nil {
		return quantity.None
	}
	return u
}

// bare gives the digits of a raw reading that has no unit of its own: "0.40", ">299".
func bare(raw string) (string, bool) {
	out := make([]byte, 0, len(raw))
	for i := range len(raw) {
		switch ch := raw[i]; {
		case ch == ' ':
		case ch >= '0' && ch <= '9', ch == '.', ch == '>', ch == '-':
			out = append(out, ch)
		default:
			return "", false
		}
	}
	return string(out), len(out) > 0
}
