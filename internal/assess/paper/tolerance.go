package paper

import (
	"math"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// Range is a sort of reading with a tolerance of its own.
type Range string

// The ranges.
const (
	LowOhm      Range = "low-ohm"
	LoopHigh    Range = "loop-high-current"
	LoopNoTrip  Range = "loop-no-trip"
	Prospective Range = "prospective-current"
	Insulation  Range = "insulation"
	RCDTime     Range = "rcd-time"
	RCDRamp     Range = "rcd-ramp"
	Voltage     Range = "voltage"
)

var rangeUnits = map[Range]quantity.Unit{LowOhm: quantity.Ohm, LoopHigh: quantity.Ohm, LoopNoTrip: quantity.Ohm, Prospective: quantity.Kiloampere,
	Insulation: quantity.Megohm, RCDTime: quantity.Millisecond, RCDRamp: quantity.Milliampere, Voltage: quantity.Volt}

var ranges = []string{string(LowOhm), string(LoopHigh), string(LoopNoTrip), string(Prospective), string(Insulation), string(RCDTime), string(RCDRamp), string(Voltage)}

// RangeOf is the range a reading belongs to. A loop reading on a circuit behind an RCD
// is taken with the no-trip test.
func RangeOf(test, part string, behindRCD bool) Range {
	switch test {
	case safety.TestInsulation:
		return Insulation
	case safety.TestZs:
		if behindRCD {
			return LoopNoTrip
		}
		return LoopHigh
	case safety.TestZe, safety.TestElectrode, safety.TestZsCalculated:
		return LoopHigh
	case safety.TestPFC:
		return Prospective
	case safety.TestRCD:
		if strings.HasPrefix(part, "ramp") {
			return RCDRamp
		}
		return RCDTime
	case safety.TestSupply:
		return Voltage
	}
	return LowOhm
}

// Tolerance says how near a reading has to be: within the larger of Within and Percent
// of the reference reading, or within a Factor of it.
type Tolerance struct {
	For      Range
	Within   float64 // in the range's unit
	Percent  float64
	Factor   float64
	SameSide bool // and on the same side of the limit
	Why      string
	Status   string
}

// Tolerances are the rows of a file, one a range.
type Tolerances struct{ Rows []Tolerance }

const toleranceFile = "marking/tolerances.yaml"

// LoadTolerances reads the default rows. Every range has one.
func LoadTolerances(lib *content.Library) (Tolerances, error) {
	r, err := lib.Open(toleranceFile)
	if err != nil {
		return Tolerances{}, err
	}
	m := r.Root().Map("tolerances", "tolerances", "status", "rows")
	m.Name("tolerances")
	status := m.Name("status")
	var t Tolerances
	for _, v := range m.List("rows") {
		row := toleranceRow(v)
		row.Status = status
		if _, double := t.For(row.For); double {
			v.Errorf("", "the range %q has two rows", row.For)
		}
		t.Rows = append(t.Rows, row)
	}
	for _, name := range ranges {
		if _, ok := t.For(Range(name)); !ok && r.Err() == nil {
			m.Errorf("", "the range %q has no row", name)
		}
	}
	return t, r.Err()
}

func toleranceRow(v content.Value) Tolerance {
	m := v.Map("tolerance", "for", "within", "unit", "percent", "factor", "same_side", "why")
	t := Tolerance{For: Range(m.OneOf("for", ranges...)), Within: m.OptDecimal("within", 0), Percent: m.OptDecimal("percent", 0),
		Factor: m.OptDecimal("factor", 0), SameSide: m.OptBool("same_side", false), Why: m.OptName("why", "set for this paper"), Status: "set for this paper"}
	if m.Has("within") {
		raw := m.Name("unit")
		if u, err := quantity.ParseUnit(raw); err != nil || u != rangeUnits[t.For] {
			m.Opt("unit").Errorf("unit: "+rangeUnits[t.For].String(), "%q is not the unit of %s", raw, t.For)
		}
	}
	if m.Exists() && (t.Within < 0 || t.Percent < 0 || t.Percent > 100 || m.Has("factor") && t.Factor < 1) {
		v.Errorf("within and percent from 0 on, factor from 1 on", "a tolerance is no less than nothing")
	}
	if m.Exists() && m.Has("factor") == (m.Has("within") || m.Has("percent")) {
		v.Errorf("within and percent, or factor alone", "a tolerance is a distance or a factor")
	}
	return t
}

// For is the row of a range.
func (t Tolerances) For(r Range) (Tolerance, bool) {
	for _, row := range t.Rows {
		if row.For == r {
			return row, true
		}
	}
	return Tolerance{}, false
}

// With puts a paper's own rows over the defaults.
func (t Tolerances) With(own []Tolerance) Tolerances {
	out := Tolerances{Rows: append([]Tolerance(nil), own...)}
	for _, row := range t.Rows {
		if _, ok := out.For(row.For); !ok {
			out.Rows = append(out.Rows, row)
		}
	}
	return out
}

// Accepts reports whether a reading agrees with the reference reading, both in the
// unit of the range. limit is the limit of the test where it has an upper one, else
// NaN. Over range, no trip and nothing agree with themselves only: over one range's
// top and over another's are the same. A difference that equals the tolerance agrees;
// what binary arithmetic leaves behind a decimal number is rounded away first.
func (t Tolerance) Accepts(got, want quantity.Reading, limit float64) bool {
	if got.Mark != want.Mark {
		return t.For == Insulation && insulationTops(got, want, t.Factor)
	}
	if !want.IsNumber() {
		return true
	}
	if t.Factor > 0 {
		if want.Value == 0 || got.Value == 0 {
			return math.Abs(got.Value-want.Value) <= 0.01
		}
		ratio := quantity.Tidy(got.Value / want.Value)
		return ratio <= t.Factor && quantity.Tidy(1/ratio) <= t.Factor
	}
	if t.SameSide && !math.IsNaN(limit) && (got.Value <= limit) != (want.Value <= limit) {
		return false
	}
	share := float64(math.Abs(want.Value) * t.Percent / 100)
	return quantity.Tidy(math.Abs(got.Value-want.Value)) <= quantity.Tidy(max(t.Within, share))
}

// insulationTops compares a number with an over-range reading: instruments end at
// different tops, so a number not below the top, or within the factor of it, agrees.
func insulationTops(a, b quantity.Reading, factor float64) bool {
	if b.IsNumber() && a.IsOver() {
		a, b = b, a
	}
	return a.IsNumber() && b.IsOver() && factor > 0 && quantity.Tidy(a.Value*factor) >= b.Value
}
