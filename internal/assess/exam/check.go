package exam

import (
	"fmt"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Problems are complaints about a paper on its rig and sequence, as one error.
type Problems []*content.Error

// Error prints one complaint a line, each with its place and hint.
func (ps Problems) Error() string { return content.Errors(ps).Error() }

// Problems checks what only shows once paper, sequence and rig are together: tasks that
// the sequence has, faults that the rig can have, pools of one difficulty, and that
// every fault of a pool shows in some marked reading.
func (e *Exam) Problems() Problems {
	var ps Problems
	add := func(v content.Value, hint, format string, args ...any) {
		ps = append(ps, v.Complaint(hint, format, args...))
	}
	for i := range e.Paper.Tasks {
		t := &e.Paper.Tasks[i]
		if _, ok := safety.TestKind(t.Test); !ok || t.Test == safety.TestInstrument {
			add(t.At, "a test whose reading is taken or seen: ends, insulation, zs, inspection …", "%q is no test that a task can mark", t.Test)
			continue
		}
		if len(truth.Steps(e.Program, t)) == 0 {
			add(t.At, "the circuit's or the RCD's id, or none for the board", "the sequence %s has no test %s of %q on %s", e.Paper.Sequence, t.Test, t.Circuit, e.Paper.Rig)
		}
	}
	levels, err := paper.LoadLevels(e.lib)
	if err != nil {
		add(e.Paper.At(), "", "the levels of difficulty do not load: %v", err)
		return ps
	}
	for _, f := range e.Paper.Fixed {
		e.faultProblems(f, 0, levels, add)
	}
	for _, pool := range e.Paper.Pools {
		for _, f := range pool.From {
			e.faultProblems(f, pool.Level, levels, add)
		}
	}
	if t := sitting.New(sitting.Setup{Content: e.Content, Setting: paper.Alone}); e.Paper.Allows(paper.Alone) && t.Err() != nil {
		add(e.Paper.At(), "leave out the setting alone", "the paper cannot be sat alone: %v", t.Err())
	}
	if len(ps) == 0 {
		e.drawProblems(add)
	}
	return ps
}

type adder func(v content.Value, hint, format string, args ...any)

func (e *Exam) faultProblems(f paper.Fault, level int, levels map[string]int, add adder) {
	if f.Kind == "" {
		add(f.At, fmt.Sprintf("one of the faults that %s lists", e.Paper.Rig), "the rig %s has no fault %q", e.Paper.Rig, f.ID)
		return
	}
	if err := faults.Fits(e.Program.Rig, f.Circuit, f.Kind); err != nil {
		add(f.At, "", "%v", err)
		return
	}
	if l := levels[f.Kind]; level > 0 && l != level {
		add(f.At, fmt.Sprintf("a fault of level %d, or another pool; marking/difficulty.yaml holds the levels", level), "%s is of level %d", f, l)
	}
	b, err := truth.NewBench(e.Content, []paper.Fault{f}, paper.Observed, 1)
	if err != nil {
		add(f.At, "", "%v", err)
		return
	}
	looked := false
	for i := range e.Paper.Tasks {
		for _, step := range truth.Steps(e.Program, &e.Paper.Tasks[i]) {
			st := &e.Program.Steps[step]
			if st.Want.Kind.Live() {
				continue // faults are cleared before anything goes on
			}
			for _, id := range e.partsOf(step) {
				switch {
				case st.Form == sequence.Read && b.Touched(id):
					return
				case st.Form != sequence.Read && b.Shows(e.Program, st, id, e.rightOf(st, id), []paper.Fault{f}):
					looked = looked || st.Form == sequence.Inspect
					if st.Form != sequence.Inspect {
						return
					}
				}
			}
		}
	}
	switch {
	case !looked:
		add(f.At, "a fault that one of the tasks shows, measured or seen while all is dead", "%s touches no reading that is marked", f)
	case e.Paper.Allows(paper.Alone):
		add(f.At, "leave out the setting alone, or the fault", "%s is found by looking only, and alone there is nothing to look at", f)
	}
}

// rightOf is the answer of the sound rig to what is seen.
func (e *Exam) rightOf(st *sequence.Step, id string) string {
	if st.Right.Say != "" {
		return st.Right.Say
	}
	c := coach.New(coach.Setup{Program: e.Program, Pack: e.Pack})
	part, ok := c.PartOf(id)
	if !ok {
		return ""
	}
	return c.RightReading(part)
}

func (e *Exam) partsOf(step int) []string {
	return coach.New(coach.Setup{Program: e.Program, Pack: e.Pack}).PartsOf(step)
}

// maxDraws bounds how many draws are built to see that their faults go together.
const maxDraws = 64

// drawProblems builds draws as candidates would get them.
func (e *Exam) drawProblems(add adder) {
	seen := map[string]bool{}
	for seed := uint64(0); seed < 8*maxDraws && len(seen) < min(maxDraws, e.Paper.Draws()); seed++ {
		draw := e.Paper.Draw(seed)
		name := fmt.Sprint(draw)
		if seen[name] {
			continue
		}
		seen[name] = true
		if _, err := truth.NewBench(e.Content, draw, paper.Observed, 1); err != nil {
			add(e.Paper.At(), "faults that can be in one rig together", "a draw cannot be planted: %v", err)
			return
		}
	}
}
