package coach

import (
	"errors"
	"fmt"
	"strings"

	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// ErrEnded is returned for an event after the session has ended.
var ErrEnded = errors.New("the session has ended")

// NotDueError is an answer to a question that is not being asked.
type NotDueError struct {
	At  string
	Due []string // ids that may be answered now
}

func (e *NotDueError) Error() string {
	return fmt.Sprintf("answer for %q, but %q is asked now", e.At, strings.Join(e.Due, "\" or \""))
}

// UnknownReadingError is a correction of something that was never recorded.
type UnknownReadingError struct{ At string }

func (e *UnknownReadingError) Error() string {
	return fmt.Sprintf("no reading %q has been recorded, so there is nothing to correct", e.At)
}

// Check reports whether an event fits the session as it stands, before anything is
// written down. It returns ErrEnded, a *NotDueError or an *UnknownReadingError.
func (s *State) Check(ev Event) error {
	if s.ended != "" {
		return ErrEnded
	}
	switch ev.Type {
	case Answer:
		q, _ := s.Question()
		if ev.At == "" || ev.At == q.ID {
			return nil
		}
		for _, id := range q.PartIDs {
			if id == ev.At {
				return nil
			}
		}
		return &NotDueError{At: ev.At, Due: append([]string{q.ID}, q.PartIDs...)}
	case Correct, Check:
		if part, ok := s.pl.byID[ev.At]; !ok || s.latest[part] == nil {
			return &UnknownReadingError{At: ev.At}
		}
	case Stop, Remark, Paused, Resumed:
	default:
		return fmt.Errorf("unknown event type %q", ev.Type)
	}
	return nil
}

// Apply takes one event and gives the next state with what there is to say about
// it. The state itself does not change. An error means that the event does not fit
// (see [State.Check]); a refusal is feedback, not an error.
func (s *State) Apply(ev Event) (*State, Feedback, error) {
	if err := s.Check(ev); err != nil {
		return s, Feedback{}, err
	}
	c := s.clone()
	fb := Feedback{At: ev.At}
	switch ev.Type {
	case Stop:
		c.stopped, c.dialog = s.dialogBelow(), askStop
		fb.Notes = append(fb.Notes, Note{"stop.first", params("emergency", s.pl.r.Isolation.EmergencySwitch)})
		return c, fb, nil
	case Remark:
		return c, fb, nil
	case Paused:
		c.perish(safety.Pause, &fb)
	case Resumed:
		c.perish(safety.Resume, &fb)
	case Correct:
		c.correct(ev, &fb)
	case Check:
		c.check(ev, &fb)
	case Answer:
		c.answer(ev, &fb)
	}
	c.shaken = c.mustIsolate()
	c.settle()
	fb.Ended = c.ended
	return c, fb, nil
}

func (s *State) dialogBelow() dialog {
	if s.dialog == askStop {
		return s.stopped
	}
	return s.dialog
}

// perish lets facts fall after something happened to people or rig.
func (s *State) perish(c safety.Cause, fb *Feedback) {
	s.facts = s.facts.After(c)
	s.doubtReason = ""
	if s.facts.Supply == safety.Found {
		s.on = newBits(len(s.pl.r.Circuits))
		s.padlock, s.mainPadlock = "", ""
	}
	fb.Done = &Done{Fact: "perished/" + c.String()}
	fb.Notes = append(fb.Notes, Note{"perished." + c.String(), nil})
}

func (s *State) answer(ev Event, fb *Feedback) {
	d := s.due()
	raw := strings.TrimSpace(ev.Raw)
	q, _ := s.Question()
	if fb.At == "" {
		fb.At = q.ID
	}
	if raw == "" || strings.EqualFold(raw, NotYet) || strings.EqualFold(raw, "not yet") {
		fb.Refused = "not-yet"
		return
	}
	if q.Kind == Choice && !offers(q, raw) {
		fb.Refused = "no-such-answer"
		return
	}
	switch d.kind {
	case dueSupervisorName:
		s.answerName(raw, fb)
	case dueSupervisorCode:
		s.codeHash = raw
		fb.Done = &Done{Fact: "supervisor/code-set"}
	case dueDialog:
		s.answerDialog(raw, fb)
	case dueTests:
		s.answerTests(d, raw, fb)
	case dueBarred:
		s.answerBarred(raw, fb)
	case dueFact:
		s.answerFact(d, raw, fb)
	case dueStep:
		s.answerStep(d.step, ev.At, raw, fb)
		if fb.Refused == "" {
			s.facts = s.facts.Worked(d.want.Kind)
		}
	}
}

func offers(q Question, raw string) bool {
	for _, o := range q.Options {
		if o.Value == raw {
			return true
		}
	}
	return false
}

func (s *State) answerName(raw string, fb *Feedback) {
	if !isName(raw) {
		fb.Refused = "name"
		return
	}
	s.supervisor = raw
	fb.Done = &Done{Fact: "supervisor/name"}
}

// notNames are what gets typed to be rid of the question.
var notNames = map[string]bool{"yes": true, "yep": true, "yeah": true, "yess": true, "no": true, "ok": true, "okay": true,
	"none": true, "nobody": true, "noone": true, "nil": true, "null": true, "na": true, "n/a": true, "done": true, "sure": true,
	"me": true, "myself": true, "i": true, "self": true, "asdf": true, "qwerty": true, "test": true, "xx": true, "xxx": true}

// isName accepts what can be a person's name or role: letters, not a yes.
func isName(raw string) bool {
	letters := 0
	for _, r := range raw {
		if r >= '0' && r <= '9' {
			return false
		}
		if r > 127 || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			letters++
		}
	}
	low := strings.Trim(strings.ToLower(raw), " .,!?'\"")
	if notNames[strings.ReplaceAll(low, " ", "")] {
		return false
	}
	return letters >= 2
}

func (s *State) answerBarred(raw string, fb *Feedback) {
	if raw == decideLeave {
		s.barred = true
		s.leave(fb)
	}
}

// leave ends the session where it stands. What is open and live is told by the
// feedback of the front, from the state.
func (s *State) leave(fb *Feedback) {
	s.ended = "left"
	fb.Notes = append(fb.Notes, Note{"left", nil})
}

func (s *State) answerTests(d due, raw string, fb *Feedback) {
	if raw == decideLeave {
		s.barred = true
		s.leave(fb)
		return
	}
	_, step := s.firstMissing(d.want)
	if step < 0 {
		fb.Refused = "no-such-answer"
		return
	}
	for _, p := range s.allParts(step) {
		if !s.class[p].opens() {
			s.redo(p, None)
		}
	}
}

func (s *State) allParts(step int) []int {
	off := s.pl.partOff[step]
	parts := make([]int, len(s.pl.p.Steps[step].Parts))
	for n := range parts {
		parts[n] = off + n
	}
	return parts
}

// redo asks for a part again: the part loses its class, its step is no longer done,
// and what the step relies on in its block is opened again and closed after it.
func (s *State) redo(part int, c Class) {
	for _, p := range s.groupOf(part) {
		s.setClass(p, c)
	}
	step := s.pl.parts[part].step
	s.done = s.done.without(step)
	s.replay(step)
}

func (s *State) groupOf(part int) group {
	for _, g := range s.pl.groups[s.pl.parts[part].step] {
		for _, p := range g {
			if p == part {
				return g
			}
		}
	}
	return group{part}
}

// replay marks the openings that a step relies on, and their closings, as to be
// done again: those of its block that stood open when the step was due, and in turn
// what each of those acts relied on.
func (s *State) replay(step int) { s.replayOnce(step, map[int]bool{}) }

func (s *State) replayOnce(step int, seen map[int]bool) {
	if seen[step] {
		return
	}
	seen[step] = true
	steps := s.pl.p.Steps
	for it, by := range s.pl.relied[step] {
		if by < 0 {
			continue
		}
		if !s.open.has(it) {
			s.done = s.done.without(by)
			s.replayOnce(by, seen)
		}
		for j := step + 1; j < len(steps) && steps[j].Block == steps[step].Block; j++ {
			if steps[j].Closes == it {
				s.done = s.done.without(j)
				s.replayOnce(j, seen)
				break
			}
		}
	}
}

func (s *State) answerDialog(raw string, fb *Feedback) {
	if s.dialog == askStop {
		s.answerStop(raw, fb)
		return
	}
	part := s.dialogPart
	s.dialog, s.dialogPart = noDialog, -1
	fb.Done = &Done{Fact: "decide/" + raw, Test: s.pl.testName(s.pl.parts[part].step)}
	switch raw {
	case decideLeave:
		s.leave(fb)
	case decideGoOn:
		fb.Notes = append(fb.Notes, Note{"doubt.open", nil})
	case decideTyped, decideRepeat:
		s.redo(part, None)
	case decideLead, decideNull, decideSwitch, decideLoad:
		s.redo(part, SetUp)
		fb.Notes = append(fb.Notes, Note{"set-up." + raw, nil})
	case decideRepair:
		s.repair(part)
		fb.Notes = append(fb.Notes, Note{"repair", nil})
	}
}

func (s *State) answerStop(raw string, fb *Feedback) {
	s.dialog, s.stopped = s.stopped, noDialog
	if raw == decideLeave {
		s.leave(fb)
		return
	}
	if c, ok := safety.ParseCause(raw); ok {
		s.perish(c, fb)
	}
}

// repair sends every dead test of the circuit back to the start, from continuity
// on, and insulation of its section: a repair can disturb what was proved before. An
// RCD that was put right or replaced is tested again as a whole.
func (s *State) repair(part int) {
	step := s.pl.parts[part].step
	st := &s.pl.p.Steps[step]
	s.retest(st.Circuit)
	s.redo(part, None)
	if st.RCD < 0 {
		return
	}
	for i := range s.pl.p.Steps {
		if o := &s.pl.p.Steps[i]; o.RCD == st.RCD && o.Test >= 0 {
			for _, p := range s.allParts(i) {
				s.redo(p, None)
			}
		}
	}
}

// retest asks again for every dead test of a circuit (-1: the board) that has been
// taken, and for insulation of the circuits that share its section.
func (s *State) retest(circuit int) {
	section := ""
	if circuit >= 0 {
		section = s.pl.r.Circuits[circuit].Section
	}
	for i := range s.pl.p.Steps {
		st := &s.pl.p.Steps[i]
		if st.Test < 0 || len(st.Parts) == 0 {
			continue
		}
		name := s.pl.p.Tests[st.Test].Name
		mine := st.Circuit == circuit && st.Want.Kind.OnDead() && name != safety.TestInspection
		shared := circuit >= 0 && name == safety.TestInsulation && st.Circuit >= 0 && s.pl.r.Circuits[st.Circuit].Section == section
		if !mine && !shared {
			continue
		}
		for _, p := range s.allParts(i) {
			if s.class[p] != None {
				s.redo(p, None)
			}
		}
	}
}

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

// Barred reports whether the session was left at a gate that stayed shut.
func (s *State) Barred() bool { return s.barred }
