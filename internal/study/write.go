package study

import (
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/safety"
)

// takenWith are the functions a test is read with.
func takenWith(test string) []signature.Function {
	switch test {
	case safety.TestInsulation:
		return []signature.Function{signature.Insulating}
	case safety.TestSupply:
		return []signature.Function{signature.Volts}
	case safety.TestZe, safety.TestElectrode, safety.TestZs:
		return []signature.Function{signature.LoopNoTrip, signature.LoopHigh}
	case safety.TestPFC:
		return []signature.Function{signature.FaultAmps}
	case safety.TestRCD:
		return []signature.Function{signature.RCDTime}
	case safety.TestZsCalculated:
		return nil
	}
	return []signature.Function{signature.LowOhm}
}

// writable lists the places of the schedule that what the display shows can be written in: the likeliest first.
func (s *State) writable() []Option {
	type place struct {
		say   string
		score int
	}
	var found []place
	for i, st := range s.program().Steps {
		if st.Form != sequence.Read || !slices.Contains(takenWith(s.testName(i)), s.last.Function) {
			continue
		}
		if s.rowFits(i) {
			found = append(found, place{st.ID, s.score(i, st.ID)})
		}
		if len(s.last.At) > 1 && s.testName(i) != safety.TestRCD {
			continue
		}
		for _, id := range s.idsOf(i) {
			if len(s.last.At) == 1 {
				found = append(found, place{id, s.score(i, id)})
			}
		}
	}
	slices.SortStableFunc(found, func(a, b place) int { return b.score - a.score })
	var o []Option
	for _, p := range found {
		if !slices.ContainsFunc(o, func(x Option) bool { return x.Say == p.say }) {
			o = append(o, as(p.say, "write-at", "at", p.say))
		}
	}
	return o
}

// idsOf are the ids of a step's readings.
func (s *State) idsOf(step int) []string {
	st := &s.program().Steps[step]
	var ids []string
	for _, p := range st.Parts {
		if p.ID == "seen" || p.ID == "value" {
			ids = append(ids, st.ID)
		} else {
			ids = append(ids, st.ID+"/"+p.ID)
		}
	}
	return ids
}

// rowFits reports whether a row of readings fits the row of a step: as many, at the same points or tests.
func (s *State) rowFits(step int) bool {
	st := &s.program().Steps[step]
	if len(s.last.At) < 2 {
		return false
	}
	return len(s.rowIDs(step)) == len(s.last.At) && len(st.Parts) >= len(s.last.At)
}

// rowIDs are the readings of a step that a row on the display gives, in the display's order.
func (s *State) rowIDs(step int) []string {
	st, ids := &s.program().Steps[step], s.idsOf(step)
	var out []string
	for _, at := range s.last.At {
		for n, p := range st.Parts {
			same := at.Point != "" && (p.ID == at.Point || strings.HasPrefix(p.ID, at.Point+"-"+coreOf(at.A)))
			if same || at.RCDTest != "" && p.ID == at.RCDTest {
				out = append(out, ids[n])
				break
			}
		}
	}
	return out
}

func coreOf(terminal string) string { return terminal[strings.LastIndex(terminal, "/")+1:] }

// score says how likely a place of the schedule is meant: taken at its terminals, next in order, of the circuit in view.
func (s *State) score(step int, id string) int {
	score := 0
	at := s.last.At[0]
	if u, ok := s.right(id); ok && at.A != "" {
		if sameEnds(u, at) {
			score += 8
		}
		if at.RCDTest != "" && strings.HasSuffix(id, "/"+at.RCDTest) {
			score += 8
		}
	}
	if next, ok := s.Next(); ok && next == step {
		score += 4
	}
	if st := &s.program().Steps[step]; st.Circuit == s.focus || st.Circuit < 0 && s.wantAt(at.A, at.B).Circuit < 0 {
		score += 2
	}
	if !opens(s.sheet.ClassOf(id)) {
		score++
	}
	return score
}

func sameEnds(u signature.SetUp, at At) bool {
	return u.A == at.A && u.B == at.B || u.A == at.B && u.B == at.A
}

func opens(c coach.Class) bool {
	return c == coach.Pass || c == coach.Accepted || c == coach.NotApplicable
}
func fails(c coach.Class) bool { return c == coach.Fail || c == coach.SetUp }

// write puts what the display shows into the schedule, as shown.
func (s *State) write(where string, fb *Feedback) {
	var ids []string
	ats := s.last.At
	if step, ok := s.program().Step(where); ok && len(ats) > 1 {
		ids = s.rowIDs(step)
	} else {
		ids = []string{where}
	}
	var raws []string
	for _, at := range ats[:min(len(ids), len(ats))] {
		if at.Shown.Refusal != "" {
			fb.refuse("no-number")
			return
		}
		raws = append(raws, s.rawFor(where, at))
	}
	sheet, w, err := s.sheet.Write(ids, raws)
	if err != nil || w.Refused != "" {
		fb.refuse("not-written", "at", where)
		return
	}
	s.sheet = sheet
	s.owed = append(s.owed, writtenAt(ids, ats)...)
	s.last = nil
	fb.say("study.written", "at", where, "value", strings.Join(raws, ", "))
	s.afterWriting(w, fb)
}

// written is a reading on the schedule with how it was taken.
type written struct {
	ID string
	At At
}

func writtenAt(ids []string, ats []At) []written {
	var out []written
	for i := range min(len(ids), len(ats)) {
		out = append(out, written{ID: ids[i], At: ats[i]})
	}
	return out
}

// rawFor is what is written for a reading: as shown, but for switch positions, where only whether it reads counts.
func (s *State) rawFor(where string, at At) string {
	if strings.Contains(where, "/"+safety.TestSwitching) {
		if at.Shown.Mark == quantity.OverRange {
			return "open"
		}
		return "reads"
	}
	return at.Shown.Text
}

// afterWriting asks for the learner's own judgement once a group can be judged; the verdict waits for it.
func (s *State) afterWriting(w coach.Feedback, fb *Feedback) {
	if len(w.Judged) == 0 {
		fb.say("study.more-in-group")
		return
	}
	s.claim = nil
	for _, j := range w.Judged {
		s.claim = append(s.claim, j.Part)
	}
	s.verdict = &w
	s.ask = atClaim
}

// judge compares the learner's judgement with the verdict, and says what in the set-up made a reading differ from what
// the test shows when it is set up right.
func (s *State) judge(raw string, fb *Feedback) {
	w := s.verdict
	worst := coach.Pass
	for _, j := range w.Judged {
		switch {
		case fails(j.Class):
			worst = coach.Fail
		case j.Class == coach.Doubt && worst != coach.Fail:
			worst = coach.Doubt
		}
	}
	fb.Written, fb.Claimed = w, raw
	if raw == worst.String() {
		fb.say("study.claim.right", "verdict", worst.String())
	} else {
		fb.say("study.claim.wrong", "said", raw, "verdict", worst.String())
	}
	s.explainAll(s.owed, fb)
	s.owed, s.claim, s.verdict = nil, nil, nil
}

// writeSum writes a calculated loop impedance.
func (s *State) writeSum(raw string, fb *Feedback) {
	id := ""
	for i := range s.program().Steps {
		st := &s.program().Steps[i]
		if s.testName(i) == safety.TestZsCalculated && (st.Circuit == s.focus || id == "") {
			id = s.idsOf(i)[0]
			if st.Circuit == s.focus {
				break
			}
		}
	}
	if raw == "" || id == "" {
		return
	}
	sheet, w, err := s.sheet.Write([]string{id}, []string{raw})
	if err != nil || w.Refused != "" {
		fb.refuse("not-written", "at", id)
		fb.Written = &w
		return
	}
	s.sheet = sheet
	fb.say("study.written", "at", id, "value", raw)
	s.afterWriting(w, fb)
}
