package study

import "wanderlead/safety"

// hinted is how much has been said about a step on request.
type hinted struct{ step, times int }

// hint helps in three steps, one each time it is asked for: a question back, where to look, the answer. What was asked
// for stands in the record with its answer.
func (s *State) hint(fb *Feedback) {
	i, ok := s.Next()
	if !ok {
		fb.say("study.next.finish")
		return
	}
	if s.hints.step != i {
		s.hints = hinted{step: i}
	}
	s.hints.times++
	fb.Hint = min(s.hints.times, 3)
	st := &s.program().Steps[i]
	test := s.testName(i)
	number, circuit := "", ""
	if st.Circuit >= 0 {
		number, circuit = s.rig().Circuits[st.Circuit].Number, s.rig().Circuits[st.Circuit].ID
	}
	switch fb.Hint {
	case 1:
		fb.say("study.hint.ask."+hintTest(test), "number", number)
	case 2:
		fb.say("study.hint.look."+hintTest(test), "number", number, "circuit", circuit)
	default:
		fb.say("study.next.step", "step", st.ID)
	}
}

// hintTests are the tests that hints are written for; others share those of "other".
var hintTests = map[string]bool{
	safety.TestEarthing: true, safety.TestBonding: true, safety.TestBars: true, safety.TestEnds: true, safety.TestCrossedLN: true,
	safety.TestCrossedLE: true, safety.TestContinuity: true, safety.TestLongLead: true, safety.TestOwnBar: true, safety.TestSwitching: true,
	safety.TestInsulation: true, safety.TestPolarity: true, safety.TestSupply: true, safety.TestZe: true, safety.TestElectrode: true,
	safety.TestPFC: true, safety.TestZs: true, safety.TestZsCalculated: true, safety.TestRCD: true,
}

func hintTest(test string) string {
	if hintTests[test] {
		return test
	}
	return "other"
}
