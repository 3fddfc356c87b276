// Package meter says what an instrument shows when it is put on the terminals of an installation that stands in some
// condition. The value comes from the network; the instrument adds its leads, its ranges and its own errors, and refuses
// what instruments refuse.
//
// An instrument has one gain and one offset a function, and a digit of scatter a reading. All three are hashes, of the
// seed and of what was measured, never a stream: the same question gets the same answer whatever was asked before. Their
// sizes, within ±(2 % + 2 digits) for low resistance and ±(5 % + 5 digits) for loop and insulation, are common practice,
// no source.
package meter

import (
	"hash/fnv"
	"io"
	"math"
	"strconv"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// Bench is what the instrument is put on.
type Bench struct {
	Rig  *rig.Rig
	Plan *wiring.Plan
	Cond wiring.Condition
}

// Instrument is one instrument. Exact leaves out its errors, leads, ranges and rounding.
type Instrument struct {
	Seed  uint64
	Exact bool
}

// Refusal says why an instrument shows no reading.
type Refusal string

// The refusals.
const (
	Live           Refusal = "live"            // a dead range on a live circuit: it warns, shows the voltage and does not test
	NoSupply       Refusal = "no-supply"       // a live range finds no usable voltage between its leads
	Padding        Refusal = "padding"         // a high-current loop test on padding that is not rated for it
	Tripped        Refusal = "tripped"         // a device opened during the test
	ContactVoltage Refusal = "contact-voltage" // the test current would put 50 V or more on the earth connection
)

// Shown is what the instrument shows. Value is in Unit and rounded as displayed, unless the instrument is exact.
type Shown struct {
	Value   float64
	Unit    quantity.Unit
	Mark    quantity.Mark
	Text    string // as on the display: "0.42", ">299", "no-trip"; empty when refused
	Refusal Refusal
	VoltV   float64  // voltage found between the leads, when that is why it refused
	Opened  []string // devices that opened during the test
}

// Measured says whether a number is shown.
func (s Shown) Measured() bool { return s.Refusal == "" && s.Mark == quantity.Number }

// Where identifies a reading for its scatter: the circuit, the points, and how often it was taken before.
type Where struct {
	Circuit string
	Points  string
	Attempt int
}

// errors of one function: gain part, offset and scatter in digits.
type errorBand struct{ gain, offset float64 }

var bands = map[string]errorBand{
	"low-ohm": {0.015, 1.4}, "insulation": {0.04, 3}, "loop": {0.035, 3}, "no-trip": {0.04, 4}, "pfc": {0.04, 3},
	"rcd-time": {0.02, 1}, "rcd-ramp": {0.02, 0}, "volt": {0.005, 0.5},
}

// Within is how far either way a reading may be out by an instrument's own errors: a part
// of the reading and some digits of its display. ±(2 % + 2 digits) low resistance, ±(5 % + 5
// digits) loop and insulation; common practice, no source. 0: nothing is said about that
// function.
func Within(function string, value, digit float64) float64 {
	switch function {
	case "low-ohm":
		return float64(0.02*value) + float64(2*digit)
	case "insulation", "loop":
		return float64(0.05*value) + float64(5*digit)
	}
	return 0
}

// read gives a true value the errors of the instrument: gain and offset of the function, a digit of scatter of the
// reading.
func (m Instrument) read(value, digit float64, function, rang string, w Where) float64 {
	if m.Exact {
		return value
	}
	b := bands[function]
	gain := float64(b.gain * m.hash("gain", function))
	offset := float64(b.offset * digit * m.hash("offset", function))
	scatter := float64(0.8 * digit * m.hash(w.Circuit, w.Points, function, rang, strconv.Itoa(w.Attempt)))
	return float64(value*(1+gain)) + offset + scatter
}

// hash spreads the seed and some words over −1 to 1.
func (m Instrument) hash(words ...string) float64 {
	h := fnv.New64a()
	io.WriteString(h, strconv.FormatUint(m.Seed, 10))
	for _, w := range words {
		io.WriteString(h, "\x00"+w)
	}
	x := h.Sum64() // splitmix64's last steps: FNV alone leaves near words near each other
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	x ^= x >> 31
	return float64(float64(x>>11)/(1<<52)) - 1
}

// scale is a range of a display: up to a value, in digits of a size.
type scale struct {
	upTo  float64
	digit int // digits after the point
}

// show rounds a value to the first scale that holds it; above the last it is over range.
func (m Instrument) show(value float64, unit quantity.Unit, scales []scale) Shown {
	top := scales[len(scales)-1]
	if math.IsInf(value, 1) || !m.Exact && value > top.upTo {
		return Shown{Unit: unit, Mark: quantity.OverRange, Value: top.upTo, Text: ">" + strconv.FormatFloat(top.upTo, 'f', -1, 64)}
	}
	if m.Exact {
		return Shown{Unit: unit, Value: value, Text: strconv.FormatFloat(value, 'g', -1, 64)}
	}
	for _, s := range scales {
		if value <= s.upTo || s == top {
			text := strconv.FormatFloat(value, 'f', s.digit, 64)
			rounded, _ := strconv.ParseFloat(text, 64)
			if rounded == 0 {
				rounded, text = 0, strconv.FormatFloat(0, 'f', s.digit, 64)
			}
			return Shown{Unit: unit, Value: rounded, Text: text}
		}
	}
	return Shown{}
}

func digitOf(value float64, scales []scale) float64 {
	for _, s := range scales {
		if value <= s.upTo {
			return math.Pow10(-s.digit)
		}
	}
	return math.Pow10(-scales[len(scales)-1].digit)
}
