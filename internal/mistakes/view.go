package mistakes

import (
	"math"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// Reading is one reading as it stands on the schedule, or as a display showed it.
type Reading struct {
	ID      string // "ring-1/ends/r1"
	Owner   string // circuit or RCD, empty for the board and the supply
	Test    string // names of package safety
	Part    string // "r1", "s4", "L-E", "one-0"
	Read    quantity.Reading
	Earlier []quantity.Reading // read before at the same place
	Expect  quantity.Reading   // what the rig as described would give
	Refused string             // why the instrument showed none: "live", "no-supply", "tripped", "contact-voltage"
	Verdict string             // "pass", "doubt", "fail" or empty
	LimitHi float64            // the upper limit that bears on it; 0 for none
	Skipped bool               // recorded as not tested
	Claimed string             // what the learner made of it, where that is known
}

// View is everything that recognition may look at.
type View struct {
	Rig      *rig.Rig
	Readings []Reading

	owners []string
	by     map[string]*Reading
}

// everything is the scope that holds all readings at once.
const everything = "*"

func (v *View) index() {
	v.by, v.owners = map[string]*Reading{}, []string{""}
	for i := range v.Rig.Circuits {
		v.owners = append(v.owners, v.Rig.Circuits[i].ID)
	}
	for i := range v.Readings {
		r := &v.Readings[i]
		v.by[r.ID] = r
		known := false
		for _, o := range v.owners {
			known = known || o == r.Owner
		}
		if !known {
			v.owners = append(v.owners, r.Owner)
		}
	}
	v.owners = append(v.owners, everything)
}

// circuit is the circuit a scope is about: an RCD's is the first it protects.
func (v *View) circuit(owner string) *rig.Circuit {
	if c, ok := v.Rig.Circuit(owner); ok {
		return c
	}
	for i := range v.Rig.Circuits {
		if d := v.Rig.RCDOf(&v.Rig.Circuits[i]); d != nil && d.ID == owner {
			return &v.Rig.Circuits[i]
		}
	}
	return nil
}

// rcd is the RCD of a scope, nil for none.
func (v *View) rcd(owner string) *rig.RCD {
	if c := v.circuit(owner); c != nil {
		return v.Rig.RCDOf(c)
	}
	return nil
}

// belongs reports whether a reading can be seen from a scope: its own, the board's, and an RCD's circuits from the RCD.
func (v *View) belongs(r *Reading, owner string) bool {
	if owner == everything || r.Owner == owner {
		return true
	}
	if owner == "" {
		return false
	}
	if r.Owner == "" {
		return true
	}
	if _, ok := v.Rig.Circuit(owner); ok {
		return false
	}
	c, ok := v.Rig.Circuit(r.Owner)
	if !ok {
		return false
	}
	d := v.Rig.RCDOf(c)
	return d != nil && d.ID == owner
}

// pick are the readings of a scope that a clause is about.
func (v *View) pick(owner string, c clause) []*Reading {
	var out []*Reading
	for i := range v.Readings {
		r := &v.Readings[i]
		if r.Skipped || !has(c.tests, r.Test) || !has(c.parts, r.Part) || !v.belongs(r, owner) {
			continue
		}
		out = append(out, r)
	}
	return out
}

func has(list []string, x string) bool {
	if len(list) == 0 {
		return true
	}
	for _, y := range list {
		if y == x || strings.HasSuffix(y, "-*") && strings.HasPrefix(x, strings.TrimSuffix(y, "*")) {
			return true
		}
	}
	return false
}

// numbers are those of the readings that are numbers where a number is expected.
func numbers(rs []*Reading) []*Reading {
	var out []*Reading
	for _, r := range rs {
		if r.Refused == "" && r.Read.IsNumber() && r.Expect.IsNumber() {
			out = append(out, r)
		}
	}
	return out
}

func (r *Reading) over() bool { return r.Refused == "" && r.Read.IsOver() }

// noTrip reports whether a device did not open.
func (r *Reading) noTrip() bool { return r.Refused == "" && r.Read.Mark == quantity.NoTrip }

// by is how far a reading lies above what is expected.
func (r *Reading) by() float64 { return r.Read.Value - r.Expect.Value }

// off reports whether a reading lies clearly away from what is expected: more than 0.05 Ω and 12 % (the tolerance of
// continuity readings with a little to spare; common practice, no source).
func (r *Reading) off() bool {
	if r.Refused != "" || r.Expect.Given() && r.Read.Mark != r.Expect.Mark {
		return true
	}
	if !r.Read.IsNumber() || !r.Expect.IsNumber() {
		return false
	}
	return math.Abs(r.by()) > margin(r)
}

// margin is how far from the expected value a sound reading may lie.
func margin(r *Reading) float64 {
	least := 0.05
	switch r.Test {
	case safety.TestRCD:
		return max(10, float64(0.4*r.Expect.Value))
	case safety.TestCrossedLN, safety.TestCrossedLE:
		least = 0.035
	case safety.TestZs:
		if r.by() < 0 {
			return max(0.1, float64(0.12*r.Expect.Value))
		}
		return max(0.35, float64(0.2*r.Expect.Value)) // the coil of an RCD adds to a no-trip reading
	case safety.TestZe, safety.TestElectrode:
		return max(0.06, float64(0.15*r.Expect.Value))
	case safety.TestPFC:
		return float64(0.25 * r.Expect.Value)
	}
	return max(least, float64(0.12*r.Expect.Value))
}

// value is a number of a test and part in a scope, NaN when there is none.
func (v *View) value(owner, test, part string) float64 {
	for i := range v.Readings {
		if r := &v.Readings[i]; r.Owner == owner && r.Test == test && r.Part == part && !r.Skipped && r.Refused == "" && r.Read.IsNumber() {
			return r.Read.Value
		}
	}
	return math.NaN()
}

// ze is the external impedance as read, else as declared.
func (v *View) ze() float64 {
	for i := range v.Readings {
		if r := &v.Readings[i]; (r.Test == safety.TestZe || r.Test == safety.TestElectrode) && r.Read.IsNumber() {
			return r.Read.Value
		}
	}
	return v.Rig.Supply.Declared.ZeOhm
}

// row are a ring's readings at its own sockets, spurs left out, in the order of the ring.
func (v *View) row(owner, test string) []*Reading {
	c := v.circuit(owner)
	if c == nil {
		return nil
	}
	var out []*Reading
	for _, p := range c.Points {
		if p.From != "" && c.Shape == rig.Ring {
			continue
		}
		for i := range v.Readings {
			r := &v.Readings[i]
			if r.Owner == owner && r.Test == test && r.Part == p.ID && !r.Skipped && r.Refused == "" && r.Read.IsNumber() {
				out = append(out, r)
			}
		}
	}
	return out
}
