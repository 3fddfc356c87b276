package mark

import (
	"slices"
	"sort"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// before lists, for a test, the tests that it rests on. The order is that of BS 7671 643.1 and IEC 60364-6 6.4.3.1, as far
// as one test's result hangs on another's: continuity of protective conductors and rings, then insulation resistance; with
// the supply on, the loop, then the residual current devices. Where both orders give the same (which of the two cross
// connections comes first, polarity seen while reading R1+R2), none is asked for.
var before = map[string][]string{
	safety.TestCrossedLN: {safety.TestEnds},
	safety.TestCrossedLE: {safety.TestEnds},
	safety.TestInsulation: {safety.TestEarthing, safety.TestBonding, safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE,
		safety.TestContinuity, safety.TestLongLead},
	safety.TestZs:  {safety.TestSupply, safety.TestZe},
	safety.TestRCD: {safety.TestZs},
}

// order fills in for each marked step which marked steps have to come before it: of its own circuit, or of the board.
func (p *Plan) order() {
	prog := p.Content.Program
	circuit := func(sp *stepPlan) int { return prog.Steps[sp.step].Circuit }
	behind := func(sp *stepPlan, c int) bool { // an RCD's test, and a circuit behind that RCD
		rcd := prog.Steps[sp.step].RCD
		return rcd >= 0 && c >= 0 && prog.Rig.RCDOf(&prog.Rig.Circuits[c]) != nil && prog.Rig.RCDOf(&prog.Rig.Circuits[c]).ID == prog.RCDs[rcd].ID
	}
	p.each(func(sp *stepPlan) {
		p.each(func(first *stepPlan) {
			c := circuit(first)
			if slices.Contains(before[sp.test], first.test) && (c < 0 || c == circuit(sp) || behind(sp, c)) {
				sp.after = append(sp.after, first)
			}
		})
	})
}

// each calls do for every marked step that is measured.
func (p *Plan) each(do func(*stepPlan)) {
	for i := range p.tasks {
		for s := range p.tasks[i] {
			if sp := &p.tasks[i][s]; !sp.observed {
				do(sp)
			}
		}
	}
}

// notMarked is what a paper's record cannot show in a setting.
func (p *Plan) notMarked(s paper.Setting) []NotMarked {
	out := []NotMarked{}
	worth := slices.ContainsFunc(p.Content.Paper.Tasks, func(t paper.Task) bool { return t.Marks[paper.Order] > 0 })
	if worth && s != paper.Alone {
		out = append(out, NotMarked{"order", "sequence"})
	}
	inspects := slices.ContainsFunc(p.Content.Program.Steps, func(st sequence.Step) bool { return st.Form == sequence.Inspect })
	task := slices.ContainsFunc(p.Content.Paper.Tasks, func(t paper.Task) bool { return t.Test == safety.TestInspection })
	switch {
	case inspects && s == paper.Alone:
		out = append(out, NotMarked{"inspection", "bench"})
	case inspects && !task:
		out = append(out, NotMarked{"inspection", "paper"})
	}
	return out
}

// order marks, for one step, whether each test that it rests on came before it.
func (w *work) order(sp *stepPlan, got map[string]*typed) []Item {
	var out []Item
	own, late := w.began(sp, got)
	for _, first := range sp.after {
		it := Item{ID: "order/" + sp.id, Entries: []int{}, Reference: "after " + first.id, Why: "missing"}
		done, known := w.done(first)
		if !known {
			continue
		}
		for _, seq := range []int{done, own} {
			if seq > 0 {
				it.Entries = append(it.Entries, seq)
			}
		}
		sort.Ints(it.Entries)
		switch {
		case own == 0:
		case late:
			it.Why = "late"
		case done == 0:
			it.Given, it.Why = "without "+first.id, "wrong"
		case done < own:
			it.Given, it.Right, it.Why = "after "+first.id, true, "right"
		default:
			it.Given, it.Why = "before "+first.id, "wrong"
		}
		out = append(out, it)
	}
	return out
}

// began is the first of the measurements that the readings of a step rest on, 0 for none, and whether one of them was
// entered after the time was over.
func (w *work) began(sp *stepPlan, got map[string]*typed) (seq int, late bool) {
	for _, r := range sp.parts {
		on, t := w.rests[r.id], got[r.id]
		if !on.ok || on.done == 0 {
			continue
		}
		if seq == 0 || on.seq < seq {
			seq = on.seq
		}
		late = late || t.late
	}
	return seq, late
}

// done is the entry by which every reading of a step had been measured, 0 where one never was. known is false for a step
// whose readings have no set-up that moves could be held against.
func (w *work) done(first *stepPlan) (last int, known bool) {
	for _, r := range first.parts {
		on, marked := w.rests[r.id]
		switch {
		case !marked:
			continue
		case on.done == 0:
			return 0, true
		}
		last, known = max(last, on.done), true
	}
	return last, known
}
