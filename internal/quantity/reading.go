package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Mark says that a reading is not a plain number.
type Mark string

// The marks. Only over range and no trip are marks in exported JSON; "nothing"
// is what a voltage indicator without digits shows and exports as no number.
const (
	Number    Mark = ""
	OverRange Mark = ">"
	NoTrip    Mark = "no-trip"
	Nothing   Mark = "nothing"
)

// Reading is one reading as typed. Value is in Unit and means something only
// for a Number; for OverRange it is the top of the instrument's range, which
// the quantity lies above, and is never to be used as the quantity itself.
// The zero Reading means "not given".
type Reading struct {
	Raw   string
	Value float64
	Unit  Unit
	Mark  Mark
}

// Of makes a reading from a value that nobody typed (a length from a rig, a
// rating from a board). Raw is its printed number.
func Of(value float64, unit Unit) Reading {
	return Reading{Raw: FormatNumber(value), Value: value, Unit: unit}
}

// Given reports whether there is a reading at all.
func (r Reading) Given() bool { return r.Unit != None }

// IsNumber reports whether the reading is a number (not over range, no trip or nothing).
func (r Reading) IsNumber() bool { return r.Given() && r.Mark == Number }

// IsOver reports whether the reading is above the instrument's range.
func (r Reading) IsOver() bool { return r.Mark == OverRange }

// String prints the reading with its unit and the digits as typed: "0.40 Ω",
// ">299 MΩ", "no trip", "nothing".
func (r Reading) String() string {
	switch {
	case !r.Given():
		return ""
	case r.Mark == NoTrip:
		return "no trip"
	case r.Mark == Nothing:
		return "nothing"
	}
	number, unit := splitNumber(strings.TrimLeft(strings.TrimSpace(plainOhm.Replace(r.Raw)), "> "))
	if !isDecimal(strings.TrimPrefix(minus.Replace(number), "-")) {
		number, unit = FormatNumber(r.Value), ""
	}
	symbol := r.Unit
	if u, err := ParseUnit(unit); unit != "" && err == nil {
		symbol = u
	}
	return string(r.Mark) + number + " " + symbol.String()
}

// Format prints a computed value with its unit: "0.755 Ω".
func Format(value float64, unit Unit) string { return FormatNumber(value) + " " + unit.String() }

// Tidy rounds away what binary arithmetic leaves behind a decimal number: it keeps
// twelve significant digits, far more than any instrument shows.
func Tidy(value float64) float64 {
	v, err := strconv.ParseFloat(strconv.FormatFloat(value, 'g', 12, 64), 64)
	if err != nil {
		return value
	}
	return v
}

// FormatNumber prints a computed value with at most four decimals and about
// five digits, without trailing zeros but with two decimals below 10 unless it
// is whole, so that a limit can be seen unrounded (1.0925) beside a reading (1.09).
func FormatNumber(value float64) string {
	decimals := 4
	for limit := 10.0; limit <= 10000 && math.Abs(value) >= limit; limit *= 10 {
		decimals--
	}
	text := strconv.FormatFloat(value, 'f', decimals, 64)
	if !strings.Contains(text, ".") {
		return text
	}
	text = strings.TrimRight(text, "0")
	if cut := strings.TrimSuffix(text, "."); cut != text {
		return negativeZero(cut)
	}
	if point := strings.Index(text, "."); len(text)-point == 2 && math.Abs(value) < 10 {
		text += "0"
	}
	return negativeZero(text)
}

func negativeZero(text string) string {
	if text == "-0" {
		return "0"
	}
	return text
}
