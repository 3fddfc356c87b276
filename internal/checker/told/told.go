// Package told is what the independent checker is told of a rig: what there is on it, and
// nothing of what has to be done there. For tests only.
package told

import (
	"wanderlead/internal/checker"
	"wanderlead/internal/rig"
)

// Of describes a rig for the checker.
func Of(r *rig.Rig) *checker.Rig {
	out := &checker.Rig{Upstream: r.Isolation.At == rig.Upstream, Shrouded: r.Isolation.Incoming == rig.ShroudedPoints,
		Phases: r.Supply.Phases, Bars: r.Bars(), SupplyCable: r.Earthing.SupplyCable != ""}
	for _, b := range r.Earthing.Bonds {
		out.Bonds = append(out.Bonds, b.ID)
	}
	for _, c := range r.Circuits {
		x := checker.Circuit{ID: c.ID, Shape: string(c.Shape), Section: c.Section, Lines: len(c.Lines), AllPoints: len(c.Points),
			Electronics: c.Electronics != "", Switches: len(c.Switches) > 0}
		for _, p := range c.Points {
			if p.Kind != rig.Switchbox {
				x.Points = append(x.Points, p.ID)
			}
		}
		out.Circuits = append(out.Circuits, x)
	}
	return out
}
