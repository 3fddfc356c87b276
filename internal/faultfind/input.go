package faultfind

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// Typed is a reading as it was typed: the id, which may leave out the circuit, and the text.
type Typed struct{ ID, Raw string }

// ParseArgs reads readings given as test/point=value. The error holds every one that is not.
func ParseArgs(args []string) ([]Typed, error) {
	var out []Typed
	var bad []string
	for _, a := range args {
		id, raw, ok := strings.Cut(a, "=")
		if !ok || id == "" || raw == "" {
			bad = append(bad, fmt.Sprintf("%q is not test/point=value", a))
			continue
		}
		out = append(out, Typed{id, raw})
	}
	if len(bad) > 0 {
		return nil, fmt.Errorf("%s\nhint: as in ends/r1=0.40 or insulation/L-E=>299", strings.Join(bad, "\n"))
	}
	return out, nil
}

// ParseAnswers takes the readings out of an answers file: rig is the one it names, later answers replace earlier ones of
// the same id.
func ParseAnswers(name string, data []byte) (rigName string, out []Typed, err error) {
	r := content.NewReader(name, data)
	m := r.Root().Map("answers file", "rig", "sequence", "edition", "seed", "on_fail", "answers")
	rigName = m.OptName("rig", "")
	for _, v := range m.List("answers") {
		a := v.Map("answer", "at", "say", "correct", "do")
		at := a.OptName("at", "")
		for _, key := range []string{"say", "correct"} {
			if a.Has(key) && at != "" {
				raw, _ := a.Raw(key)
				out = append(out, Typed{at, raw})
			}
		}
	}
	return rigName, out, r.Err()
}

// pointTests are the tests that are read at points.
var pointTests = []string{safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead, safety.TestZs}

var pointName = regexp.MustCompile(`^[a-z]{1,2}[0-9]{1,3}$`)

// ExtraPoints are the points that typed readings name and the circuit does not have, in order: socket-outlets found on
// the wall.
func ExtraPoints(c *rig.Circuit, typed []Typed) []string {
	var out []string
	for _, t := range typed {
		id := strings.TrimPrefix(t.ID, c.ID+"/")
		test, point, ok := strings.Cut(id, "/")
		if !ok || !slices.Contains(pointTests, test) || !pointName.MatchString(point) || slices.Contains(out, point) {
			continue
		}
		if !slices.ContainsFunc(c.Points, func(p rig.Point) bool { return p.ID == point }) {
			out = append(out, point)
		}
	}
	slices.Sort(out)
	return out
}

// Readings makes readings of what was typed. With own set, ids that the circuit does not have are an error; else they are
// left out, as those of other circuits in a record are. The error holds everything that is wrong.
func (m *Model) Readings(typed []Typed, own bool) ([]Reading, error) {
	var out []Reading
	var bad []string
	at := map[string]int{}
	put := func(x *Measure, r quantity.Reading) {
		if i, ok := at[x.ID]; ok {
			out[i].Read = r
			return
		}
		at[x.ID] = len(out)
		out = append(out, Reading{x.ID, r})
	}
	for _, t := range typed {
		if i, ok := m.Find(t.ID); ok {
			x := m.Measures[i]
			r, err := parse(t.Raw, x.Unit)
			if err != nil {
				bad = append(bad, fmt.Sprintf("%s: %v", t.ID, err))
				continue
			}
			put(x, r)
			continue
		}
		group := m.groupOf(t.ID)
		if len(group) == 0 {
			if own {
				bad = append(bad, fmt.Sprintf("%s has no reading %q\nhint: %s", m.Circuit.ID, t.ID, content.DidYouMean(t.ID, m.ids())))
			}
			continue
		}
		row, err := quantity.ParseRow(t.Raw, group[0].Unit)
		if err != nil || len(row) != len(group) {
			if own {
				bad = append(bad, fmt.Sprintf("%s takes %d readings, found %q", t.ID, len(group), t.Raw))
			}
			continue
		}
		for k, x := range group {
			put(x, row[k])
		}
	}
	if len(bad) > 0 {
		return nil, fmt.Errorf("%s", strings.Join(bad, "\n"))
	}
	return out, nil
}

// parse takes a small negative low-resistance reading for what it is, a null that stored too much.
func parse(raw string, unit quantity.Unit) (quantity.Reading, error) {
	if unit == quantity.Ohm && strings.HasPrefix(strings.TrimSpace(raw), "-") {
		return quantity.ParseSigned(raw, unit)
	}
	return quantity.Parse(raw, unit)
}

// groupOf lists the measures of a test of the circuit, its board or its RCD, in order: one line of readings answers them.
func (m *Model) groupOf(id string) []*Measure {
	var out []*Measure
	for _, x := range m.Measures {
		owner := strings.TrimSuffix(strings.TrimSuffix(x.ID, "/"+x.Part), x.Test)
		if !x.Extra && !x.unknown && x.Part != "" && (owner+x.Test == id || x.Test == id && owner == m.Circuit.ID+"/") {
			out = append(out, x)
		}
	}
	return out
}

func (m *Model) ids() []string {
	var out []string
	for _, x := range m.Measures {
		out = append(out, strings.TrimPrefix(x.ID, m.Circuit.ID+"/"))
	}
	return out
}
