package coach

import (
	"strings"

	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

func (s *State) answerStep(step int, at, raw string, fb *Feedback) {
	st := &s.pl.p.Steps[step]
	switch st.Form {
	case sequence.Read:
		s.answerRead(step, at, raw, fb)
	case sequence.Inspect, sequence.Observe:
		s.answerObserve(step, at, raw, fb)
	case sequence.Note:
		if fb.Refused = s.noteWrong(st.ID, raw); fb.Refused != "" {
			return
		}
		s.enterSeen(s.pl.partOff[step], s.how(s.pl.partOff[step]), raw, fb)
		s.judgeStep(step, fb)
	case sequence.Declare:
		if !isReason(raw) {
			fb.Refused = "reason"
			return
		}
		s.originSource = raw
		s.facts.OriginGiven = true
		s.finishStep(step, fb)
		fb.Done.Fact = "origin/declared"
	case sequence.Accept:
		if raw != s.codeHash {
			fb.Refused = "code"
			return
		}
		s.facts.RecordGiven = true
		s.finishStep(step, fb)
		fb.Done.Fact = "record/accepted"
	case sequence.Gate:
		s.answerGate(step, raw, fb)
	default:
		s.answerAct(step, raw, fb)
	}
}

// isNote accepts a name, number or date: two letters or digits at least, not a yes.
func isNote(raw string) bool {
	n := 0
	for _, r := range raw {
		if r > 127 || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			n++
		}
	}
	return n >= 2 && strings.Trim(strings.ToLower(raw), "yesok.! ") != ""
}

// isReason accepts a sentence that says something, not a yes.
func isReason(raw string) bool {
	letters := 0
	for _, r := range raw {
		if r > 127 || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			letters++
		}
	}
	return letters >= 6 && strings.Trim(strings.ToLower(raw), "yes ok.!") != ""
}

func (s *State) answerAct(step int, raw string, fb *Feedback) {
	st := &s.pl.p.Steps[step]
	right := st.Right.Say
	if st.Choose != "" {
		right, _ = s.drawnAnswers(st)
	}
	if raw != right && s.held && st.Form == sequence.Ask {
		// Only what was known is asked, and nothing is done yet: whoever marks it sees it.
		s.finishStep(step, fb)
		return
	}
	if raw != right {
		fb.Refused = "wrong-answer"
		fb.Notes = append(fb.Notes, Note{"step.because", params("step", st.ID, "answer", raw)})
		for _, w := range st.Wrong {
			if w.Say == raw && w.Retest {
				s.retest(st.Circuit)
			}
		}
		return
	}
	if st.Opens >= 0 {
		s.open = s.open.with(st.Opens)
		// Its next closing is due again, even where an earlier one was done early.
		for _, c := range s.pl.closers[st.Opens] {
			if c > step {
				s.done = s.done.without(c)
				break
			}
		}
	}
	if st.Closes >= 0 {
		s.open = s.open.without(st.Closes)
	}
	if st.Form == sequence.Switch {
		s.on = s.on.with(st.Circuit)
	}
	s.finishStep(step, fb)
}

// finishStep marks a step done, notes the act for the record, and lapses the proof
// of a circuit's points when work has moved on.
func (s *State) finishStep(step int, fb *Feedback) {
	st := &s.pl.p.Steps[step]
	s.done = s.done.with(step)
	s.noteAct(step, fb)
	to := safety.NoPlace
	if st.Circuit >= 0 {
		to = safety.CircuitPlace(st.Circuit)
	}
	s.facts = s.facts.Leave(to)
}

func (s *State) noteAct(step int, fb *Feedback) {
	st := &s.pl.p.Steps[step]
	d := &Done{Kind: st.Want.Kind, Board: st.Want.Board, Points: st.Want.Points != safety.NoPlace, Test: s.pl.testName(step)}
	if st.Circuit >= 0 {
		d.Circuit = s.pl.r.Circuits[st.Circuit].ID
	}
	if it := max(st.Opens, st.Closes); it >= 0 {
		d.Item, d.Class = s.pl.p.Items[it].ID, s.pl.p.Items[it].Class.String()
		d.Opened, d.Closed = st.Opens >= 0, st.Closes >= 0
	}
	if fb.Done != nil {
		d.Parts = fb.Done.Parts
	}
	fb.Done = d
}

func (s *State) answerGate(step int, raw string, fb *Feedback) {
	st := &s.pl.p.Steps[step]
	if raw != "on" {
		// More is on than the gate allows, or something else is: nothing is known any
		// more, and isolation comes next.
		fb.Refused = "wrong-switch"
		s.nothingKnown(fb)
		return
	}
	// A doubt that the supervisor accepted at this gate takes effect with the code,
	// which was given before this question came up.
	s.acceptDoubts()
	s.facts = s.facts.Energised(st.Want.Kind)
	s.padlock = ""
	if st.Want.Kind == safety.EnergiseInstallation {
		s.mainPadlock = ""
		s.on = newBits(len(s.pl.r.Circuits))
	}
	s.finishStep(step, fb)
}

func (s *State) acceptDoubts() {
	if s.doubtReason == "" {
		return
	}
	for p, c := range s.class {
		if c == Doubt {
			s.setClass(p, Accepted)
		}
	}
	s.doubtReason = ""
}
