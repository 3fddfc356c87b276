package coach

import (
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// The questions a session puts of its own accord: after a reading that failed or is
// in doubt, and after `stop`.

// Answers to "the reading fails: what was it?".
const (
	decideTyped  = "typed-wrong"
	decideLead   = "lead"
	decideNull   = "null"
	decideSwitch = "switch"
	decideLoad   = "load"
	decideRepair = "repair"
	decideLeave  = "leave"
	decideRepeat = "repeat"
	decideGoOn   = "go-on"
)

func (s *State) dialogQuestion() Question {
	if s.dialog == askStop {
		q := Question{ID: "stop/what", Kind: Choice, Step: -1, TextID: "ask.stop"}
		for _, v := range stopAnswers {
			q.Options = append(q.Options, Option{Value: v, TextID: "option.stop." + v})
		}
		return q
	}
	if s.harmed {
		q := Question{ID: "stop/harm", Kind: Choice, Step: -1, Gate: true, TextID: "ask.harm"}
		q.Options = append(q.Options, notYet())
		for _, v := range harmAnswers {
			q.Options = append(q.Options, Option{Value: v, TextID: "option.harm." + v})
		}
		return q
	}
	part := s.pl.parts[s.dialogPart]
	q := Question{ID: part.id + "/decide", Kind: Choice, Step: part.step, Gate: true, Params: params("part", part.id)}
	values := []string{decideRepeat, decideTyped, decideGoOn}
	q.TextID = "ask.doubt"
	if s.dialog == askFailed {
		q.TextID = "ask.fail"
		values = s.failAnswers(part.step)
	}
	q.Options = append(q.Options, notYet())
	for _, v := range values {
		q.Options = append(q.Options, Option{Value: v, TextID: "option.decide." + v})
	}
	return q
}

// failAnswers are what a failing reading can have been. What was seen, not measured,
// has no lead or null to blame; the supply is not the learner's to repair.
func (s *State) failAnswers(step int) []string {
	switch st := &s.pl.p.Steps[step]; {
	case st.Form == sequence.Observe || st.Form == sequence.Inspect:
		return []string{decideTyped, decideRepair, decideLeave}
	case s.pl.testName(step) == safety.TestSupply || s.pl.testName(step) == safety.TestZe || s.pl.testName(step) == safety.TestElectrode:
		return []string{decideTyped, decideLead, decideNull, decideSwitch, decideLeave}
	}
	return []string{decideTyped, decideLead, decideNull, decideSwitch, decideLoad, decideRepair, decideLeave}
}

// stopAnswers are what can have happened, worst first.
var stopAnswers = []string{"harm", "voltage-found", "other-hands", "key-handed-over", "left-bay", "supervisor-left",
	"someone-joined", "pause", "leave"}

// harmAnswers are how work can go on, or not, after somebody was hurt.
var harmAnswers = []string{"supervisor-took-over", "leave"}
