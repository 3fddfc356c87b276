package faultfind

import (
	"testing"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
)

// TestCommissionedReadingsAreNotAccused: the commissioned readings of the built-in rigs, written down by hand with
// cables a little below their table and contacts of a few hundredths of an ohm, are those of sound circuits. With the
// rig's own record to go by nothing wrong comes first; without it, none is called certain to be faulty.
func TestCommissionedReadingsAreNotAccused(t *testing.T) {
	asked := 0
	for _, name := range testRigs {
		r := builtin(t, name)
		plain := *r
		plain.Reference = rig.Reference{}
		for _, c := range r.Circuits {
			for _, on := range []*rig.Rig{r, &plain} {
				m, err := New(on, copper(t), c.ID, nil)
				if err != nil {
					t.Fatal(err)
				}
				var readings []Reading
				for _, x := range m.Measures {
					for _, ref := range r.Reference.Readings {
						if ref.At != x.ID {
							continue
						}
						if q, err := quantity.Parse(ref.Values[0], x.Unit); err == nil {
							readings = append(readings, Reading{x.ID, q})
						}
					}
				}
				if len(readings) < 3 {
					continue
				}
				asked++
				res, err := m.Rank(readings)
				if err != nil {
					t.Fatal(err)
				}
				a := res.Answers[0]
				if on == r && (a.Causes[0].Kind != None || !a.Fits) || !a.innocent && !a.Untested && a.Share > 0.9 && a.Fits {
					t.Errorf("%s %s, own record %t: %s of %.2g at %s with %.2f, fits %t, leads %v, worst %s %.3g for %.3g", name, c.ID, on == r, a.Causes[0].Kind, a.Causes[0].Size,
						a.Causes[0].place(), a.Share, a.Fits, a.LeadsOhm, res.worst.Measure.ID, res.worst.Read, res.worst.Predicted)
				}
				if on != r {
					t.Logf("%s %s: %s %.2f fits %t leads %v", name, c.ID, a.Causes[0].Kind, a.Share, a.Fits, a.LeadsOhm)
				}
			}
		}
	}
	if asked < 20 {
		t.Errorf("only %d circuits asked", asked)
	}
}
