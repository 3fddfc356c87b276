package coach

import (
	"strings"

	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// correct replaces what was typed wrongly, beside the first entry, and judges again
// whatever relied on it.
func (s *State) correct(ev Event, fb *Feedback) {
	part := s.pl.byID[ev.At]
	step := s.pl.parts[part].step
	st := &s.pl.p.Steps[step]
	raw := strings.TrimSpace(ev.Raw)
	test := s.pl.testName(step)
	switch {
	case s.class[part] == None, s.class[part] == SetUp:
		// It is due again, after a repair, a set-up put right or because it was mistyped:
		// it is measured again, and what was typed before is not put right instead.
		refuse(fb, "void", params("part", s.pl.parts[part].id))
		return
	case s.class[part] == Fail && s.early.has(part) && s.continuityStands(st.Circuit),
		test == safety.TestInsulation && ev.Type == Correct && !s.held && (s.class[part] == Limitation || s.class[part] == NotTested):
		// Its place is after continuity: it is measured when the gate asks for it.
		refuse(fb, "void", params("part", s.pl.parts[part].id))
		return
	case st.Form == sequence.Read && test != safety.TestSwitching:
		r, refusal, p := s.parsePart(part, raw)
		if refusal != "" {
			refuse(fb, refusal, p)
			return
		}
		s.enter(part, "correction", r, stateOf(r, test), "", fb)
	case test == safety.TestSwitching && raw != "reads" && raw != "open",
		st.Right.Say != "" && !answerOf(st, raw):
		refuse(fb, "no-such-answer", nil)
		return
	default:
		s.enterSeen(part, "correction", raw, fb)
	}
	s.rejudge(part, fb)
	if test == safety.TestInstrument && s.class[part] == SetUp {
		s.instrumentAgain(part, fb)
	}
	s.noteAct(step, fb)
	if s.dialog != askStop && s.dialogPart >= 0 && s.class[s.dialogPart].opens() {
		s.dialog, s.dialogPart = noDialog, -1
	}
}

func answerOf(st *sequence.Step, raw string) bool {
	if raw == st.Right.Say {
		return true
	}
	for _, w := range st.Wrong {
		if raw == w.Say {
			return true
		}
	}
	return false
}

// rejudge judges the corrected group, then every judged group that may have relied
// on it: those of its circuit, and all loop readings when the origin changed.
func (s *State) rejudge(part int, fb *Feedback) {
	step := s.pl.parts[part].step
	g := s.groupOf(part)
	for _, p := range g {
		if !judgeable(s.class[p]) {
			return
		}
	}
	s.judgeGroup(g, fb)
	s.rejudgeOthers(step, fb)
}

// rejudgeOthers judges again what may have relied on the readings of a step.
func (s *State) rejudgeOthers(step int, fb *Feedback) {
	circuit := s.pl.p.Steps[step].Circuit
	for i := range s.pl.p.Steps {
		st := &s.pl.p.Steps[i]
		if i == step || st.Test < 0 || st.Circuit < 0 || circuit >= 0 && st.Circuit != circuit {
			continue
		}
		for _, other := range s.pl.groups[i] {
			s.rejudgeGroup(other, fb)
		}
	}
}

// rejudgeGroup judges a group again and speaks up only if its class changed.
func (s *State) rejudgeGroup(g group, fb *Feedback) {
	for _, p := range g {
		switch s.class[p] {
		case Pass, Doubt, Accepted, Fail:
		default:
			return
		}
	}
	class, v, _ := s.verdict(g)
	if was := s.class[g[0]]; class == was || class == Doubt && was == Accepted {
		return // a doubt that was accepted stays accepted while it is no worse
	}
	for _, p := range g {
		s.setClass(p, class)
	}
	if class == Doubt {
		s.doubtReason = ""
	}
	fb.Judged = append(fb.Judged, s.judged(g, class, v))
	fb.Notes = append(fb.Notes, Note{"relied", params("part", s.pl.parts[g[0]].id, "class", class.String())})
}
