package coach

import (
	"errors"
	"fmt"
	"strings"

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
	return c.handed(), fb, nil
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

func (s *State) answerDialog(raw string, fb *Feedback) {
	if s.dialog == askStop {
		s.answerStop(raw, fb)
		return
	}
	if s.harmed {
		if raw == decideLeave {
			s.leave(fb)
			return
		}
		s.harmed = false
		fb.Done = &Done{Fact: "stop/" + raw}
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
		s.harmed = s.harmed || c == safety.Harm
		s.perish(c, fb)
	}
}

// Barred reports whether the session was left at a gate that stayed shut.
func (s *State) Barred() bool { return s.barred }
