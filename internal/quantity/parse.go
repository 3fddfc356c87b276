package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Error is a reading that cannot be read: what was found, and what would be right.
type Error struct{ Msg, Hint string }

func (e *Error) Error() string { return e.Msg }

// MaxText is the longest raw reading accepted, in bytes.
const MaxText = 40

// A reading has at most nine digits before the point and six after it: no
// instrument shows more, and a bounded decimal converts to float64 in one
// correctly rounded step whatever its prefix.
var decimal = regexp.MustCompile(`^(?:[0-9]{1,9}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})$`)

func isDecimal(text string) bool { return decimal.MatchString(text) }

var minus = strings.NewReplacer("\u2212", "-", "\u2013", "-")

// Parse reads a reading and converts it to def, the unit meant when none is
// typed. It accepts "0.42", ".42", "0.42 Ω", "420mohm", ">299", "no-trip" for a
// time or a current, and "nothing" for a voltage. It refuses, each with a hint:
// empty text, a minus or plus sign, a comma, NaN, Inf and over-range words,
// exponents (1e3), "<n", more digits than an instrument shows, an unknown unit
// and a unit of another dimension. The error is an *Error.
func Parse(raw string, def Unit) (Reading, error) {
	return parse(raw, def, false)
}

// ParseSigned is Parse for a session: a small negative number, as a badly
// nulled instrument shows it, is kept as typed so that it can be taught.
func ParseSigned(raw string, def Unit) (Reading, error) {
	return parse(raw, def, true)
}

func parse(raw string, def Unit, signed bool) (Reading, error) {
	if len(raw) > MaxText {
		return Reading{}, &Error{fmt.Sprintf("reading of %d bytes", len(raw)), fmt.Sprintf("a reading has at most %d", MaxText)}
	}
	if !utf8.ValidString(raw) {
		return Reading{}, &Error{fmt.Sprintf("not text: %q", raw), "type it like " + example(def)}
	}
	text := strings.TrimSpace(plainOhm.Replace(raw))
	if text == "" {
		return Reading{}, &Error{"empty reading", "type the number the instrument shows, such as " + example(def)}
	}
	if mark, ok := word(text, def); ok {
		return Reading{Raw: raw, Unit: def, Mark: mark}, nil
	}
	r := Reading{Raw: raw, Unit: def}
	if rest, over := strings.CutPrefix(text, ">"); over {
		r.Mark, text = OverRange, strings.TrimSpace(rest)
	}
	number, unitText := splitNumber(text)
	number = minus.Replace(number)
	if err := checkNumber(raw, number, def, signed && r.Mark == Number); err != nil {
		return Reading{}, err
	}
	from := def
	if unitText != "" {
		u, err := ParseUnit(unitText)
		if err != nil {
			return Reading{}, err
		}
		from = u
	}
	if from.Dimension() != def.Dimension() {
		return Reading{}, wrongDimension(from, def)
	}
	value, err := convert(number, from, def)
	if err != nil {
		return Reading{}, &Error{fmt.Sprintf("not a number: %q", raw), "type it like " + example(def)}
	}
	r.Value = value
	return r, nil
}

// word reads the readings that are words: no trip, and nothing on an indicator.
func word(text string, def Unit) (Mark, bool) {
	switch strings.ToLower(text) {
	case "no-trip", "no trip":
		return NoTrip, def.Dimension() == "time" || def.Dimension() == "current"
	case "nothing":
		return Nothing, def.Dimension() == "voltage"
	}
	return Number, false
}

// splitNumber cuts "0.42 Ω" before the first character that belongs to no number.
func splitNumber(text string) (number, unit string) {
	cut := strings.IndexFunc(text, func(r rune) bool {
		return (r < '0' || r > '9') && !strings.ContainsRune(".,-+\u2212\u2013", r)
	})
	if cut < 0 {
		return text, ""
	}
	return strings.TrimSpace(text[:cut]), strings.TrimSpace(text[cut:])
}

func checkNumber(raw, number string, def Unit, signed bool) error {
	bare := number
	if signed {
		bare = strings.TrimPrefix(number, "-")
	}
	if isDecimal(bare) && !exponent.MatchString(raw) {
		return nil
	}
	low := strings.ToLower(strings.TrimSpace(raw))
	ex := "type it like " + example(def)
	switch {
	case strings.HasPrefix(number, "-"):
		return &Error{fmt.Sprintf("negative reading %q", raw), "null or zero the leads and read again; a reading here is 0 or more"}
	case strings.HasPrefix(number, "+"):
		return &Error{fmt.Sprintf("a plus sign in %q", raw), ex}
	case strings.Contains(number, ","):
		return &Error{fmt.Sprintf("a comma in %q", raw), "use a point for decimals: " + example(def)}
	case strings.HasPrefix(low, "nan"), strings.HasPrefix(low, "inf"), strings.HasPrefix(low, "∞"),
		strings.HasPrefix(low, ">inf"), low == "ol", low == "o.l", low == "or":
		return &Error{fmt.Sprintf("not a number: %q", raw), "over range is typed as > and the top of the range, such as >299"}
	case exponent.MatchString(raw):
		return &Error{fmt.Sprintf("an exponent in %q", raw), "write the number out: " + example(def)}
	case strings.HasPrefix(low, "<"):
		return &Error{fmt.Sprintf("%q is below the range", raw), "type the number the instrument shows, 0 if it shows zero"}
	case low == "no-trip" || low == "no trip":
		return &Error{fmt.Sprintf("%q is no reading in %s", raw, def), ex}
	case longNumber.MatchString(bare):
		return &Error{fmt.Sprintf("too many digits in %q", raw), "at most nine before the point and six after it"}
	}
	return &Error{fmt.Sprintf("not a number: %q", raw), ex}
}

var (
	exponent   = regexp.MustCompile(`^[^0-9]*[0-9.]+[eE][-+0-9]`)
	longNumber = regexp.MustCompile(`^[0-9]+(?:\.[0-9]+)?$|^\.[0-9]+$`)
)

func wrongDimension(from, def Unit) error {
	hint := fmt.Sprintf("give it in %s", def)
	if from == Metre && def.Dimension() == "resistance" {
		hint = "m is metre; milliohm is mΩ or mohm, megohm is MΩ or Mohm"
	}
	return &Error{fmt.Sprintf("%s is a unit of %s, not of %s", from, from.Dimension(), def.Dimension()), hint}
}

// convert shifts the decimal point in the text, so that 1000 mΩ and 1 Ω give
// the same float64, which a multiplication would not promise.
func convert(number string, from, to Unit) (float64, error) {
	shift := units[from].exponent - units[to].exponent
	v, err := strconv.ParseFloat(number+"e"+strconv.Itoa(shift), 64)
	if err != nil {
		return 0, err
	}
	if v == 0 {
		v = math.Abs(v) // "-0.00" is zero
	}
	return v, nil
}

func example(def Unit) string {
	switch def {
	case Megohm:
		return "200 or >299"
	case Millisecond:
		return "28"
	case Milliampere:
		return "22"
	case Volt:
		return "230"
	case Metre:
		return "25"
	case SquareMillimetre:
		return "2.5"
	case Celsius:
		return "20"
	case Kiloampere:
		return "0.77"
	}
	return "0.42"
}
