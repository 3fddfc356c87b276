package judge

import "wanderlead/internal/quantity"

// The tests.
const (
	Continuity  = "continuity"
	Bonding     = "bonding"
	RingEnds    = "ring-ends"
	RingCrossed = "ring-crossed"
	Insulation  = "insulation"
	Ze          = "ze"
	Zs          = "zs"
	PFC         = "pfc"
	RCD         = "rcd"
	RCDRamp     = "rcd-ramp"
	Electrode   = "electrode"
	Voltage     = "voltage"
)

// Where an expected value comes from, best first. A rig's own commissioned
// reading is worth more than its computed network, and that more than length
// times mΩ/m, because a short rig is padded to stand for a longer circuit.
const (
	FromCommissioned = "commissioned"
	FromNetwork      = "network"
	FromEnds         = "ring-ends"
	FromLength       = "length"
)

// Given is an expected value that a session knows and a command line does not.
type Given struct {
	Name  string  // r1_plus_r2, r2, bonding, voltage
	Value float64 // in the test's own unit: Ω, V
	From  string  // FromCommissioned or FromNetwork
}

// Point is one point of a ring with its crossed reading.
type Point struct {
	Name    string // "socket 3"; "" takes the place in the row
	Reading quantity.Reading
	// SpurOhm is the reading expected at a known spur, Ω; 0 when the point is
	// on the ring.
	SpurOhm float64
}

// Query is one test: its readings and what they are compared with. A field that
// does not belong to the test is ignored; a Reading that is not given is zero.
// Readings are in the unit of the test (see ParseArgs): Ω, MΩ, ms, mA, kA, V.
type Query struct {
	Test string

	Value      quantity.Reading
	R1, RN, R2 quantity.Reading // Ω, end to end; with Continuity, the ring the point belongs to
	Points     []Point          // ring-crossed, in socket order

	Length, Temperature quantity.Reading // m, °C
	Line, CPC, CSA      quantity.Reading // mm²
	Method              string           // continuity "1", "2"; zs "high-current", "no-trip"
	Calculated          bool             // zs: a sum, not a reading
	Step                string           // ring-crossed "line-neutral", "line-cpc"

	System, Connected    string           // LV SELV PELV FELV; none spd equipment
	Between              string           // "L-N", "LN-E", "L1-L2" …
	Nominal, TestVoltage quantity.Reading // V: of the circuit or the pair; of the insulation test
	Circuits             int              // tested together; 0 is 1
	Earthing             string           // TN-S TN-C-S TT
	Declared, Rated      quantity.Reading // Ω; mA

	Device     string           // "B32", "BS 88-3 32"
	TimeS      float64          // disconnection time, s; 0 when not given
	At         string           // measured, operating
	Ze, R1R2   quantity.Reading // Ω
	RCDRated   quantity.Reading // mA, an RCD protects the circuit
	LoopOhm    quantity.Reading // pfc from a loop impedance, Ω
	Breaking   quantity.Reading // kA
	Assembly   quantity.Reading // kA, conditional rating of the assembly
	Phases     int              // 0 is 1
	Multiple   float64          // of the RCD's rating: 0.5, 1, 5
	Delay      string           // general, S
	Type       string           // AC A F B
	Standard   string           // of the RCD
	DelayMS    float64          // marked on a time-delayed BS 4293 device, ms; session only
	Angle      string           // 0, 180
	Waveform   string           // ac, pulsating
	Expect     string           // supply, dead
	Given      []Given          // session only
	Point      string           // where the reading was taken, for the sentences; session only
	OtherPairs []Pair           // insulation readings of the other pairs, same circuit; session only

	// UnearthedNeutral: the supply comes from an isolating transformer whose
	// secondary is not earthed. N-E voltage, loop and RCD are not applicable.
	UnearthedNeutral bool
}

// Pair is an insulation reading between two conductors.
type Pair struct {
	Between string
	Reading quantity.Reading // MΩ
}

func (q Query) given(name string) (Given, bool) {
	for _, from := range []string{FromCommissioned, FromNetwork} {
		for _, g := range q.Given {
			if g.Name == name && g.From == from {
				return g, true
			}
		}
	}
	return Given{}, false
}

// measured lists the readings an instrument gave, by their key names, as they
// are exported with a verdict.
func (q Query) measured() []Named {
	var out []Named
	add := func(name string, r quantity.Reading) {
		if r.Given() {
			out = append(out, Named{name, r})
		}
	}
	add("value", q.Value)
	switch q.Test {
	case RingEnds, RingCrossed, Continuity:
		add("r1", q.R1)
		add("rn", q.RN)
		add("r2", q.R2)
	case PFC:
		add("zs", q.LoopOhm)
	case Zs:
		add("ze", q.Ze)
		add("r1r2", q.R1R2)
	}
	if q.Test == RingCrossed {
		for i, p := range q.Points {
			add(p.name(i), p.Reading)
		}
	}
	return out
}

func (p Point) name(i int) string {
	if p.Name != "" {
		return p.Name
	}
	return "s" + quantity.FormatNumber(float64(i+1))
}
