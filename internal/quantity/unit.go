// Package quantity holds a reading as a person types it: the raw text, the
// number in one unit, and the marks that are not numbers (over range, no trip,
// nothing shown). It parses and prints; it judges nothing.
package quantity

import (
	"fmt"
	"strings"
)

// Unit is a unit of a reading. The zero Unit means that there is no reading.
type Unit uint8

// The units a reading can be given in. A multiple is its own Unit, so that a
// value never stands without the factor it was stored with.
const (
	None Unit = iota
	Ohm
	Milliohm
	Kilohm
	Megohm
	Millisecond
	Second
	Milliampere
	Ampere
	Kiloampere
	Volt
	Metre
	SquareMillimetre
	Celsius
)

type unitInfo struct {
	symbol    string
	dimension string
	exponent  int      // the power of ten to the unit of the dimension with exponent 0
	spellings []string // accepted besides the symbol; exact, case counts
}

// units lists every unit once. m and M are never folded: mΩ and MΩ differ by
// nine decades, m is metre, and ms and MS are not the same word.
var units = map[Unit]unitInfo{
	Ohm:              {"Ω", "resistance", 0, []string{"ohm", "ohms", "Ohm", "Ohms"}},
	Milliohm:         {"mΩ", "resistance", -3, []string{"mohm", "mohms", "mOhm", "mOhms"}},
	Kilohm:           {"kΩ", "resistance", 3, []string{"kohm", "kohms", "kOhm", "kOhms"}},
	Megohm:           {"MΩ", "resistance", 6, []string{"Mohm", "Mohms", "MOhm", "MOhms"}},
	Millisecond:      {"ms", "time", -3, nil},
	Second:           {"s", "time", 0, nil},
	Milliampere:      {"mA", "current", -3, nil},
	Ampere:           {"A", "current", 0, nil},
	Kiloampere:       {"kA", "current", 3, nil},
	Volt:             {"V", "voltage", 0, nil},
	Metre:            {"m", "length", 0, nil},
	SquareMillimetre: {"mm²", "area", 0, []string{"mm2"}},
	Celsius:          {"°C", "temperature", 0, []string{"C", "degC"}},
}

// String is the symbol: "Ω", "MΩ", "ms", "mm²".
func (u Unit) String() string { return units[u].symbol }

// Dimension is "resistance", "time", "current", "voltage", "length", "area" or "temperature".
func (u Unit) Dimension() string { return units[u].dimension }

// MarshalText gives the symbol, so that a Unit stands in JSON as its symbol.
func (u Unit) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// plainOhm turns the ohm sign U+2126 into the Greek capital omega U+03A9, and
// the micro-width degree forms are left alone: only these two look the same.
var plainOhm = strings.NewReplacer("\u2126", "\u03a9")

// ParseUnit reads a unit: its symbol or an ASCII spelling (ohm, mohm, kohm, Mohm, mm2, degC).
func ParseUnit(text string) (Unit, error) {
	text = plainOhm.Replace(strings.TrimSpace(text))
	for u, info := range units {
		if text == info.symbol {
			return u, nil
		}
		for _, s := range info.spellings {
			if text == s {
				return u, nil
			}
		}
	}
	return None, unknownUnit(text)
}

// folded maps what people write when case or prefix slips to what they may mean.
var folded = map[string]string{
	"mω": "mΩ for milliohm or MΩ for megohm (also mohm, Mohm)",
	"kω": "kΩ, with a small k", "ω": "Ω or ohm",
	"mohm": "mohm for milliohm or Mohm for megohm", "mohms": "mohm for milliohm or Mohm for megohm",
	"kohm": "kohm, with a small k", "ohm": "ohm, in small letters", "k": "kΩ or kohm",
	"m":  "m for metre, mΩ or mohm for milliohm, MΩ or Mohm for megohm",
	"ms": "ms, in small letters", "s": "s, a small letter", "sec": "s", "msec": "ms",
	"ma": "mA", "a": "A", "ka": "kA", "v": "V", "mm": "mm2 for an area, m for a length",
	"mm2": "mm2, in small letters", "c": "°C", "mv": "V", "kv": "V", "volt": "V", "volts": "V", "amp": "A", "amps": "A",
}

func unknownUnit(text string) error {
	hint := "known units: Ω mΩ kΩ MΩ (ohm mohm kohm Mohm), ms s, mA A kA, V, m, mm2, °C"
	if h, ok := folded[strings.ToLower(text)]; ok {
		hint = "write " + h
	}
	return &Error{Msg: fmt.Sprintf("unknown unit %q", text), Hint: hint}
}
