package judge

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/quantity"
)

// key is one key of a test: a reading in a unit, or a word set by its own rule.
type key struct {
	name    string
	unit    quantity.Unit
	reading func(*Query) *quantity.Reading
	marks   []quantity.Mark // accepted besides numbers
	above0  bool
	set     func(*Query, string) error
	need    bool
	words   []string // the closed list of what may be said, if there is one
}

func (k key) allows(m quantity.Mark) bool {
	return m == quantity.Number || slices.Contains(k.marks, m)
}

func (k key) required() key { k.need = true; return k }

// reads is a key that holds what an instrument showed; over range may stand there.
func reads(name string, u quantity.Unit, f func(*Query) *quantity.Reading, more ...quantity.Mark) key {
	return key{name: name, unit: u, reading: f, marks: append(more, quantity.OverRange)}
}

// fact is a key that holds a number above 0: a length, a rating, a declared value.
func fact(name string, u quantity.Unit, f func(*Query) *quantity.Reading) key {
	return key{name: name, unit: u, reading: f, above0: true}
}

// oneOf is a key with a closed list of words, in any case.
func oneOf(name string, set func(*Query, string), words ...string) key {
	return key{name: name, words: words, set: func(q *Query, raw string) error {
		for _, w := range words {
			if strings.EqualFold(strings.TrimSpace(raw), w) {
				set(q, w)
				return nil
			}
		}
		return ArgError{name, fmt.Sprintf("unknown value %q", raw), "one of " + strings.Join(words, ", ")}
	}}
}

func value(u quantity.Unit, more ...quantity.Mark) key {
	return reads("value", u, func(q *Query) *quantity.Reading { return &q.Value }, more...).required()
}

var (
	keyR1     = reads("r1", quantity.Ohm, func(q *Query) *quantity.Reading { return &q.R1 })
	keyRN     = reads("rn", quantity.Ohm, func(q *Query) *quantity.Reading { return &q.RN })
	keyR2     = reads("r2", quantity.Ohm, func(q *Query) *quantity.Reading { return &q.R2 })
	keyLength = fact("length", quantity.Metre, func(q *Query) *quantity.Reading { return &q.Length })
	keyLine   = fact("line", quantity.SquareMillimetre, func(q *Query) *quantity.Reading { return &q.Line })
	keyCPC    = fact("cpc", quantity.SquareMillimetre, func(q *Query) *quantity.Reading { return &q.CPC })
	keyCSA    = fact("csa", quantity.SquareMillimetre, func(q *Query) *quantity.Reading { return &q.CSA })
	keyTemp   = key{name: "temperature", unit: quantity.Celsius, reading: func(q *Query) *quantity.Reading { return &q.Temperature }}
	keyRated  = fact("rated", quantity.Milliampere, func(q *Query) *quantity.Reading { return &q.Rated })
	keyEarth  = oneOf("earthing", func(q *Query, w string) { q.Earthing = w }, "TN-S", "TN-C-S", "TT")
	keyRCD    = fact("rcd", quantity.Milliampere, func(q *Query) *quantity.Reading { return &q.RCDRated })
	keyZe     = key{name: "ze", unit: quantity.Ohm, reading: func(q *Query) *quantity.Reading { return &q.Ze }}
	keyR1R2   = key{name: "r1r2", unit: quantity.Ohm, reading: func(q *Query) *quantity.Reading { return &q.R1R2 }}
)

func volts(name string, f func(*Query) *quantity.Reading) key { return fact(name, quantity.Volt, f) }

func nominal(name string) key {
	return volts(name, func(q *Query) *quantity.Reading { return &q.Nominal })
}

var keyTable = map[string][]key{
	Continuity: {value(quantity.Ohm), keyLength, keyLine, keyCPC,
		oneOf("method", func(q *Query, w string) { q.Method = w }, "1", "2"), keyTemp},
	Bonding:  {value(quantity.Ohm), keyLength, keyCSA},
	RingEnds: {keyR1.required(), keyRN.required(), keyR2.required(), keyLine, keyCPC},
	RingCrossed: {oneOf("step", func(q *Query, w string) { q.Step = w }, "line-neutral", "line-cpc").required(),
		keyR1.required(), keyRN, keyR2, {name: "readings", set: setReadings, need: true}},
	Insulation: {value(quantity.Megohm),
		oneOf("system", func(q *Query, w string) { q.System = w }, "LV", "SELV", "PELV", "FELV"),
		nominal("voltage"), volts("test_voltage", func(q *Query) *quantity.Reading { return &q.TestVoltage }),
		{name: "between", set: setBetween}, {name: "circuits", set: setCircuits},
		oneOf("connected", func(q *Query, w string) { q.Connected = w }, "none", "spd", "equipment")},
	Ze: {value(quantity.Ohm), keyEarth, fact("declared", quantity.Ohm, func(q *Query) *quantity.Reading { return &q.Declared }), keyRated},
	Zs: {value(quantity.Ohm), {name: "device", set: func(q *Query, raw string) error { q.Device = raw; return nil }, need: true},
		{name: "time", set: setTime}, oneOf("at", func(q *Query, w string) { q.At = w }, "measured", "operating"),
		oneOf("method", func(q *Query, w string) { q.Method = w }, "high-current", "no-trip"), keyEarth, keyZe, keyR1R2, keyRCD},
	PFC: {reads("value", quantity.Kiloampere, func(q *Query) *quantity.Reading { return &q.Value }),
		reads("zs", quantity.Ohm, func(q *Query) *quantity.Reading { return &q.LoopOhm }), {name: "between", set: setBetween},
		fact("breaking_capacity", quantity.Kiloampere, func(q *Query) *quantity.Reading { return &q.Breaking }),
		fact("assembly", quantity.Kiloampere, func(q *Query) *quantity.Reading { return &q.Assembly }),
		oneOf("phases", func(q *Query, w string) { q.Phases, _ = strconv.Atoi(w) }, "1", "3")},
	RCD: {keyRated.required(), oneOf("multiple", func(q *Query, w string) { q.Multiple, _ = strconv.ParseFloat(w, 64) }, "0.5", "1", "5").required(),
		value(quantity.Millisecond, quantity.NoTrip), oneOf("delay", func(q *Query, w string) { q.Delay = w }, "general", "S"),
		oneOf("type", func(q *Query, w string) { q.Type = w }, "AC", "A", "F", "B"),
		{name: "standard", set: func(q *Query, raw string) error { q.Standard = raw; return nil }},
		oneOf("angle", func(q *Query, w string) { q.Angle = w }, "0", "180")},
	RCDRamp: {keyRated.required(), value(quantity.Milliampere, quantity.NoTrip),
		oneOf("waveform", func(q *Query, w string) { q.Waveform = w }, "ac", "pulsating")},
	Electrode: {value(quantity.Ohm), keyRated},
	Voltage: {key{name: "between", set: setBetween, need: true}, value(quantity.Volt, quantity.Nothing), nominal("nominal"),
		oneOf("expect", func(q *Query, w string) { q.Expect = w }, "supply", "dead")},
}

func keysOf(test string) []key { return keyTable[test] }

// Key is a key of a test as the command line takes it.
type Key struct {
	Name     string
	Unit     string // empty: a word
	Required bool
	Words    []string // the closed list of what may be said, if there is one
}

// Keys lists the keys of a test, the required ones first; none for an unknown test.
func Keys(test string) []Key {
	var first, rest []Key
	for _, k := range keysOf(test) {
		out := Key{Name: k.name, Unit: k.unit.String(), Required: k.need, Words: slices.Clone(k.words)}
		if k.need {
			first = append(first, out)
		} else {
			rest = append(rest, out)
		}
	}
	return append(first, rest...)
}

func testList() string { return strings.Join(Tests(), ", ") }

// conductors names a pair: L-N, LN-E, L1-L2, L1L2L3N-E.
var conductors = regexp.MustCompile(`^(L|N|LN|L[123]|L1L2L3N?)-(N|E|L[123])$`)

func setBetween(q *Query, raw string) error {
	pair := strings.ToUpper(strings.TrimSpace(raw))
	left, right, _ := strings.Cut(pair, "-")
	allowed := conductors.MatchString(pair) && left != right
	hint := "a pair such as L-N, L-E, N-E, LN-E, L1-L2"
	switch q.Test {
	case PFC:
		allowed, hint = pair == "L-N" || pair == "L-E", "one of L-N, L-E"
	case Voltage:
		allowed = allowed && len(pair) <= len("L1-L2") && !strings.HasPrefix(pair, "LN")
		hint = "a pair such as L-N, L-E, N-E, L1-L2"
	}
	if !allowed {
		return ArgError{"between", fmt.Sprintf("unknown pair %q", raw), hint}
	}
	q.Between = pair
	return nil
}

func setCircuits(q *Query, raw string) error {
	n, err := strconv.Atoi(strings.TrimSpace(raw))
	if err != nil || n < 1 || n > 999 || strings.TrimSpace(raw) != strconv.Itoa(n) {
		return ArgError{"circuits", fmt.Sprintf("not a number of circuits: %q", raw), "how many circuits were tested together: 1 or more"}
	}
	q.Circuits = n
	return nil
}

func setTime(q *Query, raw string) error {
	r, err := quantity.Parse(raw, quantity.Second)
	if err != nil {
		return fromQuantity("time", err)
	}
	if !r.IsNumber() || !slices.Contains([]float64{0.2, 0.4, 1, 5}, r.Value) {
		return ArgError{"time", fmt.Sprintf("unknown disconnection time %q", raw), "one of 0.2, 0.4, 1, 5 (s)"}
	}
	q.TimeS = r.Value
	return nil
}

func setReadings(q *Query, raw string) error {
	parts, err := quantity.SplitList(raw)
	if err != nil {
		return fromQuantity("readings", err)
	}
	for i, part := range parts {
		r, err := quantity.Parse(part, quantity.Ohm)
		if err != nil {
			e := fromQuantity("readings", err).(ArgError)
			e.Msg = fmt.Sprintf("reading %d: %s", i+1, e.Msg)
			return e
		}
		q.Points = append(q.Points, Point{Reading: r})
	}
	return nil
}

func fromQuantity(name string, err error) error {
	if e, ok := err.(*quantity.Error); ok {
		return ArgError{name, e.Msg, e.Hint}
	}
	return ArgError{name, err.Error(), ""}
}
