package quantity

import (
	"math"
	"strings"
	"testing"
)

func FuzzParse(f *testing.F) {
	for _, s := range []string{"0.42", "420 mΩ", ">299", "no-trip", "-0.02", "0,42", "1e3", "NaN", "nothing", "0.42\u2126", ">", "5 m"} {
		for u := Ohm; u <= Celsius; u++ {
			f.Add(s, uint8(u))
		}
	}
	f.Fuzz(func(t *testing.T, raw string, unit uint8) {
		def := Unit(unit%uint8(Celsius)) + 1
		r, err := Parse(raw, def)
		if err != nil {
			if r.Given() {
				t.Fatalf("Parse(%q) gives both %+v and %v", raw, r, err)
			}
			return
		}
		if r.Raw != raw || r.Unit != def {
			t.Fatalf("Parse(%q, %s) = %+v changes what was typed", raw, def, r)
		}
		if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || r.Value < 0 || math.Signbit(r.Value) {
			t.Fatalf("Parse(%q) = %v", raw, r.Value)
		}
		if (r.Mark == OverRange) != strings.HasPrefix(strings.TrimSpace(raw), ">") {
			t.Fatalf("Parse(%q) marks %q", raw, r.Mark)
		}
		again, err := Parse(r.String(), def)
		if err != nil || again.Value != r.Value || again.Mark != r.Mark {
			t.Fatalf("Parse(%q) prints as %q and reads back as %+v, %v", raw, r.String(), again, err)
		}
	})
}

func FuzzSplitRow(f *testing.F) {
	f.Add("0.20 0.21, >299 Ω; no trip")
	f.Add("0,20 0,21")
	f.Fuzz(func(t *testing.T, line string) {
		row, err := SplitRow(line)
		if err != nil {
			return
		}
		// Nothing typed is lost and nothing is made up.
		squeeze := func(s string) string {
			return strings.Map(func(r rune) rune {
				if strings.ContainsRune(" \t\n\r;,\u00a0", r) {
					return -1
				}
				return r
			}, s)
		}
		if got, want := squeeze(strings.Join(row, "")), squeeze(line); got != want {
			t.Fatalf("SplitRow(%q) = %q", line, row)
		}
	})
}

// FuzzUnit: a text is a unit in one way or in none; m and M are never taken for each other.
func FuzzUnit(f *testing.F) {
	for _, s := range []string{"Ω", "\u2126", "ohm", "mΩ", "MΩ", "Mohm", "kΩ", "mm2", "mm²", "ms", "s", "kA", "°C", " Ω ", "m", "M", "", "\x1b", "ΩΩ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		u, err := ParseUnit(text)
		if err != nil {
			return
		}
		if again, err := ParseUnit(u.String()); err != nil || again != u {
			t.Fatalf("ParseUnit(%q) is %s, which reads back as %v, %v", text, u, again, err)
		}
	})
}
