package faultfind

import (
	"math"
	"testing"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// readAll takes the usual readings of a circuit on an installation.
func readAll(t *testing.T, m *Model, b *faults.Built, seed uint64, l meter.Leads, dead bool, change func(*Measure, *wiring.Condition)) []Reading {
	t.Helper()
	var out []Reading
	for _, x := range m.Measures {
		if !x.usualRun() || dead && x.Live {
			continue
		}
		u := x.setUp
		u.Conds = append([]wiring.Condition{}, u.Conds...)
		for i := range u.Conds {
			u.Conds[i] = u.Conds[i].Clone()
			if change != nil {
				change(x, &u.Conds[i])
			}
		}
		s, err := u.Read(b, signature.Options{Wiring: m.o, Instrument: meter.Instrument{Seed: seed}, Leads: l}, 0)
		if err != nil {
			t.Fatal(x.ID, err)
		}
		r := quantity.Reading{Raw: s.Text, Value: s.Value, Unit: s.Unit, Mark: s.Mark}
		if s.Refusal != "" {
			r.Mark = quantity.Nothing
		}
		out = append(out, Reading{x.ID, r})
	}
	return out
}

// TestSoundCircuitsAreNotAccused: a sound circuit read with instruments of many seeds, within the accuracy usual for
// them, is never said to have a fault: nothing wrong comes first, fits, and no fault that a reading bears on reaches one
// in ten.
func TestSoundCircuitsAreNotAccused(t *testing.T) {
	for _, name := range []string{"reference", "training-bay", "slip-outbuilding"} {
		r := builtin(t, name)
		plain := *r
		plain.Reference = rig.Reference{} // the network's own values are what is read here
		for _, c := range r.Circuits {
			if len(c.Lines) > 1 || c.Shape == rig.Fixed {
				continue
			}
			m, err := New(&plain, copper(t), c.ID, nil)
			if err != nil {
				t.Fatal(err)
			}
			b, err := faults.Build(m.Rig, m.o)
			if err != nil {
				t.Fatal(err)
			}
			for seed := range uint64(12) {
				res, err := m.Rank(readAll(t, m, b, seed+1, meter.Nulled(0.08), false, nil))
				if err != nil {
					t.Fatal(err)
				}
				a := res.Answers[0]
				if a.Causes[0].Kind != None || !a.Fits || a.LeadsOhm != nil {
					t.Errorf("%s %s seed %d: %s of %.3g at %s with %.2f, fits %t", name, c.ID, seed+1, a.Causes[0].Kind, a.Causes[0].Size, a.Causes[0].place(), a.Share, a.Fits)
				}
				for _, o := range res.Answers[1:] {
					if !o.innocent && !o.Untested && o.Share > 0.1 {
						t.Errorf("%s %s seed %d: %s of %.3g with %.2f", name, c.ID, seed+1, o.Causes[0].Kind, o.Causes[0].Size, o.Share)
					}
				}
			}
		}
	}
}

// TestLeadsNotNulled: leads left in every continuity reading are named, with their resistance, and no fault is.
func TestLeadsNotNulled(t *testing.T) {
	for _, circuit := range []string{"ring", "radial", "lighting"} {
		m, b := model(t, circuit), sound(t, circuit)
		for i, leads := range []float64{0.12, 0.3, 0.8} {
			res, err := m.Rank(readAll(t, m, b, uint64(i+1), meter.Leads{Ohm: leads}, true, nil))
			if err != nil {
				t.Fatal(err)
			}
			a := res.Answers[0]
			if a.Causes[0].Kind != None || a.LeadsOhm == nil || math.Abs(*a.LeadsOhm-leads) > 0.04 {
				t.Errorf("%s, leads of %g: %s at %s, leads %v", circuit, leads, a.Causes[0].Kind, a.Causes[0].place(), a.LeadsOhm)
			}
		}
	}
}

// TestAnOffsetDoesNotHideAFault: with leads not nulled a fault is still found.
func TestAnOffsetDoesNotHideAFault(t *testing.T) {
	m := model(t, "ring")
	for _, kind := range []string{"F01", "F02", "F05", "F11"} {
		p, err := faults.Lookup(m.Rig, "ring", kind)
		if err != nil {
			t.Fatal(err)
		}
		b, err := faults.Build(m.Rig, m.o, p)
		if err != nil {
			t.Fatal(err)
		}
		res, err := m.Rank(readAll(t, m, b, 3, meter.Leads{Ohm: 0.25}, true, nil))
		if err != nil {
			t.Fatal(err)
		}
		if a := res.Answers[0]; a.Causes[0].Kind != kind || a.LeadsOhm == nil {
			t.Errorf("%s: %s came first with %.2f, leads %v", kind, a.Causes[0].Kind, a.Share, a.LeadsOhm)
		}
	}
}

// TestSomethingLeftIn: a lamp or appliance left in comes before a short or a nail.
func TestSomethingLeftIn(t *testing.T) {
	for _, circuit := range []string{"ring", "radial"} {
		m, b := model(t, circuit), sound(t, circuit)
		in := func(x *Measure, c *wiring.Condition) {
			if !x.Live {
				c.In = wiring.Set(circuit + "/s2/load")
			}
		}
		res, err := m.Rank(readAll(t, m, b, 2, meter.Nulled(0.08), true, in))
		if err != nil {
			t.Fatal(err)
		}
		if a := res.Answers[0]; a.Causes[0].Kind != LoadIn {
			t.Errorf("%s: %s came first with %.2f", circuit, a.Causes[0].Kind, a.Share)
		}
	}
}

// TestASwitchIsOff: one socket-outlet that reads open in both steps may have its switch off, and that is said before
// neutral and cpc are said to be exchanged; the next measurement is to look at the switch.
func TestASwitchIsOff(t *testing.T) {
	m, b := model(t, "ring"), sound(t, "ring")
	readings := readAll(t, m, b, 5, meter.Nulled(0.08), true, nil)
	for i := range readings {
		if id := readings[i].ID; id == "ring/crossed-line-neutral/s3" || id == "ring/crossed-line-cpc/s3" {
			readings[i].Read = quantity.Reading{Mark: quantity.OverRange}
		}
	}
	res, err := m.Rank(readings)
	if err != nil {
		t.Fatal(err)
	}
	if a := res.Answers[0]; a.Causes[0].Kind != SwitchOff || a.Causes[0].Point != "s3" {
		t.Errorf("%s at %s came first", a.Causes[0].Kind, a.Causes[0].place())
	}
	if next := m.Next(res, readings); next == nil || next.Measure.Live || next.Measure.Point != "s3" {
		t.Errorf("next: %+v", next)
	}
}

// TestNothingFits: readings that no cause known here gives are said not to fit.
func TestNothingFits(t *testing.T) {
	m := model(t, "ring")
	var readings []Reading
	for i, v := range []float64{0.9, 0.1, 1.7, 0.3, 1.2, 0.05, 2.4, 0.6} {
		readings = append(readings, Reading{"ring/" + safety.TestCrossedLN + "/" + m.Circuit.Points[i].ID, quantity.Reading{Value: v}})
	}
	res, err := m.Rank(readings)
	if err != nil {
		t.Fatal(err)
	}
	if res.Fits {
		t.Errorf("%s fits", res.Answers[0].Causes[0].Kind)
	}
}

// TestPairs: two faults at once are found when no single one gives the readings, each pair of a list of what is met
// together.
func TestPairs(t *testing.T) {
	m := model(t, "ring")
	for _, pair := range [][2]string{{"F01", "F25"}, {"F07", "F15"}, {"F02", "F26"}, {"F01", "F39"}, {"F05", "F08"}, {"F35", "F03"}} {
		var p []faults.Planting
		for _, k := range pair {
			q, err := faults.Lookup(m.Rig, "ring", k)
			if err != nil {
				t.Fatal(err)
			}
			p = append(p, q)
		}
		b, err := faults.Build(m.Rig, m.o, p...)
		if err != nil {
			t.Fatal(err)
		}
		res, err := m.Rank(readAll(t, m, b, 4, meter.Nulled(0.08), false, nil))
		if err != nil {
			t.Fatal(err)
		}
		a := res.Answers[0]
		if a.Second == nil || !(a.Causes[0].Kind == pair[0] && a.Second.Kind == pair[1] || a.Causes[0].Kind == pair[1] && a.Second.Kind == pair[0]) {
			t.Errorf("%v: %s, %+v with %.2f, fits %t", pair, a.Causes[0].Kind, a.Second, a.Share, a.Fits)
		}
	}
}

func model(t testing.TB, circuit string) *Model {
	t.Helper()
	m, err := New(builtin(t, "reference"), copper(t), circuit, nil)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func sound(t *testing.T, circuit string) *faults.Built {
	t.Helper()
	m := model(t, circuit)
	b, err := faults.Build(m.Rig, m.o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
