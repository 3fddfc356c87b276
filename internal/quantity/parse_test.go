package quantity

import (
	"math"
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	cases := []struct {
		raw   string
		def   Unit
		value float64
		mark  Mark
		shown string
	}{
		{"0.42", Ohm, 0.42, Number, "0.42 Ω"},
		{" 0.40 ", Ohm, 0.4, Number, "0.40 Ω"},
		{".5", Ohm, 0.5, Number, ".5 Ω"},
		{"0", Ohm, 0, Number, "0 Ω"},
		{"420 mΩ", Ohm, 0.42, Number, "420 mΩ"},
		{"420mohm", Ohm, 0.42, Number, "420 mΩ"},
		{"0.42\u2126", Ohm, 0.42, Number, "0.42 Ω"}, // the ohm sign
		{"0.42\u03a9", Ohm, 0.42, Number, "0.42 Ω"}, // the Greek letter
		{"0.42 ohm", Ohm, 0.42, Number, "0.42 Ω"},
		{"1.2kΩ", Ohm, 1200, Number, "1.2 kΩ"},
		{"1.2kohm", Ohm, 1200, Number, "1.2 kΩ"},
		{"1 MΩ", Ohm, 1e6, Number, "1 MΩ"},
		{"1 Mohm", Ohm, 1e6, Number, "1 MΩ"},
		{"1 mohm", Ohm, 0.001, Number, "1 mΩ"},
		{"200", Megohm, 200, Number, "200 MΩ"},
		{"500 kΩ", Megohm, 0.5, Number, "500 kΩ"},
		{">299", Megohm, 299, OverRange, ">299 MΩ"},
		{"> 299 MΩ", Megohm, 299, OverRange, ">299 MΩ"},
		{">1999", Millisecond, 1999, OverRange, ">1999 ms"},
		{"no-trip", Millisecond, 0, NoTrip, "no trip"},
		{"No Trip", Milliampere, 0, NoTrip, "no trip"},
		{"0.18 s", Millisecond, 180, Number, "0.18 s"},
		{"0.03 A", Milliampere, 30, Number, "0.03 A"},
		{"770 A", Kiloampere, 0.77, Number, "770 A"},
		{"0.77 kA", Kiloampere, 0.77, Number, "0.77 kA"},
		{"nothing", Volt, 0, Nothing, "nothing"},
		{"230V", Volt, 230, Number, "230 V"},
		{"54 m", Metre, 54, Number, "54 m"},
		{"2.5 mm2", SquareMillimetre, 2.5, Number, "2.5 mm²"},
		{"2.5mm²", SquareMillimetre, 2.5, Number, "2.5 mm²"},
		{"20°C", Celsius, 20, Number, "20 °C"},
	}
	for _, c := range cases {
		r, err := Parse(c.raw, c.def)
		if err != nil {
			t.Errorf("Parse(%q, %s): %v", c.raw, c.def, err)
			continue
		}
		if r.Value != c.value || r.Mark != c.mark || r.Unit != c.def || r.Raw != c.raw {
			t.Errorf("Parse(%q, %s) = %+v, want value %v mark %q", c.raw, c.def, r, c.value, c.mark)
		}
		if r.String() != c.shown {
			t.Errorf("Parse(%q).String() = %q, want %q", c.raw, r.String(), c.shown)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	cases := []struct {
		raw      string
		def      Unit
		msg, tip string // words that the error and its hint must hold
	}{
		{"", Ohm, "empty", "0.42"},
		{"   ", Megohm, "empty", ">299"},
		{"0,42", Ohm, "comma", "point"},
		{">0,42", Ohm, "comma", "point"},
		{"1,000", Ohm, "comma", "point"},
		{"-0.02", Ohm, "negative", "null"},
		{"\u22120.02", Ohm, "negative", "null"},
		{">-1", Ohm, "negative", "null"},
		{"+0.42", Ohm, "plus", "0.42"},
		{"NaN", Ohm, "not a number", ">299"},
		{"nan", Ohm, "not a number", ">299"},
		{"Inf", Megohm, "not a number", ">299"},
		{"-Inf", Megohm, "negative", "null"},
		{"infinity", Megohm, "not a number", ">299"},
		{">Inf", Megohm, "not a number", ">299"},
		{"∞", Megohm, "not a number", ">299"},
		{"OL", Megohm, "not a number", ">299"},
		{"1e3", Ohm, "exponent", "write"},
		{">1e3", Ohm, "exponent", "write"},
		{"1E-3 Ω", Ohm, "exponent", "write"},
		{"<0.01", Ohm, "below the range", "0"},
		{">", Ohm, "not a number", "0.42"},
		{">>5", Ohm, "not a number", "0.42"},
		{">no-trip", Millisecond, "not a number", "28"},
		{"no-trip", Ohm, "no-trip", "0.42"},
		{"nothing", Ohm, "not a number", "0.42"},
		{"0x10", Ohm, `"x10"`, "known units"},
		{"5.", Ohm, "not a number", ""},
		{"0.4\xd9", Ohm, "not text", ""},
		{"1.2.3", Ohm, "not a number", ""},
		{"0.1234567", Ohm, "too many digits", "six"},
		{"1234567890", Ohm, "too many digits", "nine"},
		{"0.42 mV", Ohm, "unknown unit", "V"},
		{"0.5 m", Ohm, "m is a unit of length", "milliohm"},
		{"20 MS", Millisecond, `unknown unit "MS"`, "ms"},
		{"20 M", Megohm, `unknown unit "M"`, "Mohm"},
		{"20 K", Ohm, `unknown unit "K"`, "kohm"},
		{"20 MOHM", Megohm, `unknown unit "MOHM"`, "mohm for milliohm or Mohm for megohm"},
		{"20 ma", Milliampere, `unknown unit "ma"`, "mA"},
		{"0.42 V", Ohm, "V is a unit of voltage", "Ω"},
		{"28 ms", Ohm, "ms is a unit of time", "Ω"},
		{"0.4\x00", Ohm, "unknown unit", ""},
		{strings.Repeat("9", 41), Ohm, "41 bytes", "40"},
	}
	for _, c := range cases {
		r, err := Parse(c.raw, c.def)
		e, ok := err.(*Error)
		if !ok {
			t.Errorf("Parse(%q, %s) = %+v, %v; want an *Error", c.raw, c.def, r, err)
			continue
		}
		if !strings.Contains(e.Msg, c.msg) || !strings.Contains(e.Hint, c.tip) {
			t.Errorf("Parse(%q, %s): %q / hint %q; want %q / %q", c.raw, c.def, e.Msg, e.Hint, c.msg, c.tip)
		}
	}
}

func TestParseSignedKeepsASmallNegative(t *testing.T) {
	for _, raw := range []string{"-0.02", "\u22120.02"} {
		r, err := ParseSigned(raw, Ohm)
		if err != nil || r.Value != -0.02 || r.Mark != Number {
			t.Errorf("ParseSigned(%q) = %+v, %v", raw, r, err)
		}
	}
	if r, err := ParseSigned("-0.00", Ohm); err != nil || math.Signbit(r.Value) {
		t.Errorf("ParseSigned(-0.00) = %+v, %v; want plain zero", r, err)
	}
	if _, err := ParseSigned(">-1", Ohm); err == nil {
		t.Error("ParseSigned(>-1) gives no error")
	}
	if _, err := ParseSigned("--1", Ohm); err == nil {
		t.Error("ParseSigned(--1) gives no error")
	}
}

// A prefix moves the point; it never changes the digits.
func TestPrefixIsExact(t *testing.T) {
	for _, pair := range [][2]string{{"1092.5 mΩ", "1.0925"}, {"55 mΩ", "0.055"}, {"0.3 kΩ", "300"}, {"546.25mohm", "0.54625"}} {
		a, err1 := Parse(pair[0], Ohm)
		b, err2 := Parse(pair[1], Ohm)
		if err1 != nil || err2 != nil || a.Value != b.Value {
			t.Errorf("%s = %v, %s = %v (%v %v)", pair[0], a.Value, pair[1], b.Value, err1, err2)
		}
	}
}

func TestFormatNumber(t *testing.T) {
	cases := map[float64]string{
		0: "0", 1: "1", 0.4: "0.40", 0.755: "0.755", 1.0925: "1.0925", 0.34682539: "0.3468", 2: "2",
		16.24: "16.24", 216.2: "216.2", 1666.6667: "1666.7", 5000: "5000", -0.02: "-0.02", -0.000001: "0", 23529: "23529",
		25.5: "25.5", 9.96: "9.96",
	}
	for v, want := range cases {
		if got := FormatNumber(v); got != want {
			t.Errorf("FormatNumber(%v) = %q, want %q", v, got, want)
		}
	}
	if got := Of(54, Metre).String(); got != "54 m" {
		t.Errorf("Of(54, Metre) prints %q", got)
	}
	if got := (Reading{}).String(); got != "" {
		t.Errorf("no reading prints %q", got)
	}
}

func TestSplitRow(t *testing.T) {
	cases := []struct {
		line string
		want []string
	}{
		{"0.20 0.21 >299", []string{"0.20", "0.21", ">299"}},
		{"  0.20\t0.21 ; 0.22 ", []string{"0.20", "0.21", "0.22"}},
		{"0.20, 0.21, > 299", []string{"0.20", "0.21", "> 299"}},
		{"0.20,0.21,>299", []string{"0.20", "0.21", ">299"}},
		{"0.20 Ω 0.21 Ω", []string{"0.20 Ω", "0.21 Ω"}},
		{"28 no trip 31 ms", []string{"28", "no trip", "31 ms"}},
		{"0,20 0,21", []string{"0,20", "0,21"}},
		{"12", []string{"12"}},
		{"> 299 MΩ > 299", []string{"> 299 MΩ", "> 299"}},
	}
	for _, c := range cases {
		got, err := SplitRow(c.line)
		if err != nil || strings.Join(got, "|") != strings.Join(c.want, "|") {
			t.Errorf("SplitRow(%q) = %q, %v; want %q", c.line, got, err, c.want)
		}
	}
	for _, bad := range []string{"", "  ", ",", strings.Repeat("0.2 ", 61), strings.Repeat("x", 5000)} {
		if got, err := SplitRow(bad); err == nil {
			t.Errorf("SplitRow(%.20q) = %q, want an error", bad, got)
		}
	}
	if _, err := ParseRow("0.20 0,21", Ohm); err == nil || !strings.Contains(err.Error(), "reading 2: a comma") {
		t.Errorf("ParseRow names no place: %v", err)
	}
	if rs, err := ParseRow("0.20 >299", Ohm); err != nil || len(rs) != 2 || !rs[1].IsOver() {
		t.Errorf("ParseRow = %v, %v", rs, err)
	}
}

func TestSplitList(t *testing.T) {
	got, err := SplitList("0.20, 0.21,>299")
	if err != nil || strings.Join(got, "|") != "0.20|0.21|>299" {
		t.Errorf("SplitList = %q, %v", got, err)
	}
	if got, err := SplitList("0,20,0,21"); err == nil {
		t.Errorf("decimal commas read as %q", got)
	}
	if _, err := SplitList(strings.Repeat("1,", 60) + "1"); err == nil {
		t.Error("61 readings accepted")
	}
	if _, err := SplitList(strings.Repeat("1,", 59) + "1"); err != nil {
		t.Errorf("60 readings refused: %v", err)
	}
}
