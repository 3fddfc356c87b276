package sequence

import (
	"slices"

	"wanderlead/safety"
)

// needsOf lists the dead tests that must have passed before a gate opens, from the
// rig's shapes. The sequence has no say: a test it leaves out stays a need without
// anything that meets it, and the gate stays shut.
func needsOf(p *Program) []Need {
	var needs []Need
	add := func(n safety.Need, circuit int) {
		need := Need{Need: n, Circuit: circuit}
		for i, t := range p.Tests {
			if t.Circuit == circuit && (t.Name == n.Test || (n.Or != "" && t.Name == n.Or)) {
				need.Tests = append(need.Tests, i)
			}
		}
		needs = append(needs, need)
	}
	if p.Seq.FromRecord {
		for i := range p.Rig.Circuits {
			if !usedLive(p, i) {
				continue
			}
			for _, n := range safety.TodayNeeds(safetyCircuit(p.Rig, &p.Rig.Circuits[i])) {
				if n.Test == safety.TestContinuity {
					n.Parts = pointsUsed(p, i)
				}
				add(n, i)
			}
		}
		return needs
	}
	var bonds []string
	for _, b := range p.Rig.Earthing.Bonds {
		bonds = append(bonds, b.ID)
	}
	board := safety.Board{Bars: p.Rig.Bars(), Bonds: bonds, SupplyCable: p.Rig.Earthing.SupplyCable != ""}
	for _, n := range safety.BoardNeeds(board) {
		add(n, -1)
	}
	if len(p.Rig.Circuits) == 0 {
		// A board without circuits has nothing that could pass: its needs of its own must not be enough to go on.
		needs = append(needs, Need{Need: safety.Need{Test: safety.TestInsulation}, Circuit: -1})
	}
	for i := range p.Rig.Circuits {
		for _, n := range safety.CircuitNeeds(safetyCircuit(p.Rig, &p.Rig.Circuits[i])) {
			add(n, i)
		}
	}
	return needs
}

func usedLive(p *Program, circuit int) bool {
	for i := range p.Steps {
		if s := &p.Steps[i]; s.Circuit == circuit && s.Want.Kind.Live() {
			return true
		}
	}
	return false
}

// pointsUsed lists the points of a circuit at which something is measured live: the cpc has to be read today at each of
// them. RCDs are tested at the first plug-in point.
func pointsUsed(p *Program, circuit int) []string {
	c := &p.Rig.Circuits[circuit]
	used := map[int]bool{}
	for i := range p.Steps {
		st := &p.Steps[i]
		if st.Circuit != circuit || st.Want.Kind != safety.LiveTest {
			continue
		}
		if st.RCD >= 0 {
			for _, n := range pluggable(c)[:min(1, len(pluggable(c)))] {
				used[n] = true
			}
		}
		for _, part := range st.Parts {
			used[part.Point] = true
		}
	}
	var ids []string
	for i := range c.Points {
		if used[i] {
			ids = append(ids, c.Points[i].ID)
		}
	}
	return ids
}

// Step returns the index of the step with that id.
func (p *Program) Step(id string) (int, bool) { i, ok := p.steps[id]; return i, ok }

// Item returns the index of the ledger item with that id.
func (p *Program) Item(id string) (int, bool) { i, ok := p.items[id]; return i, ok }

// TestOf returns the index of a test of a circuit (-1: the board) and RCD (-1: none).
func (p *Program) TestOf(name string, circuit, rcd int) (int, bool) {
	i, ok := p.tests[testKey{name, circuit, rcd}]
	return i, ok
}

// Lean returns the program without the readings and inspection items that have nothing to be read on its rig, which
// nobody could answer. It is for finding out what a sequence does on a rig it was not written for.
func (p *Program) Lean() *Program {
	q := *p
	q.Steps, q.steps = nil, map[string]int{}
	moved := map[int]int{}
	for i := range p.Steps {
		st := p.Steps[i]
		if len(st.Parts) == 0 && (st.Form == Read || st.Form == Inspect) {
			continue
		}
		moved[i] = len(q.Steps)
		q.steps[st.ID] = len(q.Steps)
		q.Steps = append(q.Steps, st)
	}
	q.Items = slices.Clone(p.Items)
	for i := range q.Items {
		for _, at := range []*int{&q.Items[i].OpenBy, &q.Items[i].CloseBy} {
			if n, ok := moved[*at]; ok {
				*at = n
			}
		}
	}
	return &q
}
