package study

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/safety"
)

// Feedback is what came of an event.
type Feedback struct {
	At      string
	Refused bool         // the notes say why; nothing has changed
	Notes   []coach.Note // in the catalogue of words
	Shown   *Taken       // what the display shows, when something was measured
	Written *coach.Feedback
	Claimed string // what the learner made of it, once the verdict is out
	// Moves names what in the set-up made a reading differ that was just judged: none when it is what the test shows.
	Moves []string
	Ended string
	Hint  int      // 1, 2, 3: a question back, where to look, the answer; 0 when none was asked for
	Found *Finding // the learner's answer to what is wrong, once it is whole

	// In an exam only. Form is the rule by which an answer was not taken for its form. Wanted is an act that was refused, or
	// else stopped, and Lacked what was missing for it (facts of package safety); Stays, that it changed things all the same.
	Form, Wanted string
	Lacked       []string
	Stays        bool
	Filled       string // the step of which everything is now on the schedule
}

func (fb *Feedback) say(id string, params ...string) {
	fb.Notes = append(fb.Notes, note(id, params...))
}

func (fb *Feedback) refuse(id string, params ...string) {
	fb.Refused = true
	fb.say("study.refused."+id, params...)
}

// Check reports whether an event fits: an answer to the question that is asked, with one of its options. Hints, looks,
// pauses and what is said besides always fit.
func (s *State) Check(ev coach.Event) error {
	if s.ended != "" {
		return coach.ErrEnded
	}
	switch ev.Type {
	case coach.Paused, coach.Resumed, coach.Remark, coach.Stop:
		return nil
	case coach.Answer:
	default:
		return fmt.Errorf("an event of type %q has no place in a study session", ev.Type)
	}
	q, _ := s.Question()
	if ev.At != "" && ev.At != q.ID {
		return &coach.NotDueError{At: ev.At, Due: []string{q.ID}}
	}
	if len(q.Options) == 0 {
		return nil
	}
	var says []string
	for _, o := range q.Options {
		if o.Say == strings.TrimSpace(ev.Raw) {
			return nil
		}
		says = append(says, o.Say)
	}
	return &NoSuchAnswerError{At: q.ID, Raw: ev.Raw, Options: says}
}

// NoSuchAnswerError is an answer that is none of the options.
type NoSuchAnswerError struct {
	At, Raw string
	Options []string
}

func (e *NoSuchAnswerError) Error() string {
	return fmt.Sprintf("%q is no answer to %q; it takes %s", e.Raw, e.At, strings.Join(e.Options, ", "))
}

// Apply takes one event and gives the next state. The state itself does not change. An error is an event that does not
// fit, see [State.Check].
func (s *State) Apply(ev coach.Event) (*State, Feedback, error) {
	if err := s.Check(ev); err != nil {
		return s, Feedback{}, err
	}
	q, _ := s.Question()
	c, fb := s.clone(), Feedback{At: q.ID}
	if ev.Type == coach.Answer {
		c.answer(strings.TrimSpace(ev.Raw), &fb)
	} else if ev.Type == coach.Stop {
		c.ask = atBench
		if s.ask == atClaim {
			c.ask = atClaim
		}
		fb.say("study.stop", "emergency", s.rig().Isolation.EmergencySwitch)
	}
	if s.set.Exam {
		c = s.examAfter(c, &fb)
	} else if fb.Refused { // nothing has changed; a wrong word is asked for again
		c = s.clone()
		if s.ask != atSeen && s.ask != atLock && s.ask != atProve || !again(fb.Notes[0].ID) {
			c.ask = atBench
		}
	}
	was, _ := s.Next()
	now, _ := c.Next()
	c.turned = was != now || ev.Type == coach.Resumed
	fb.Ended = c.ended
	return c, fb, nil
}

// again reports whether a refusal is about the word answered, not about the rig.
func again(id string) bool {
	for _, p := range []string{"lock.", "prove.", "not-seen"} {
		if strings.HasPrefix(id, "study.refused."+p) {
			return true
		}
	}
	return false
}

func (s *State) answer(raw string, fb *Feedback) {
	was := s.ask
	if raw == back && was != atBench {
		s.ask = atBench
		return
	}
	s.ask = atBench // most answers lead back there
	if s.set.Exam && s.examAnswer(was, raw, fb) {
		return
	}
	switch was {
	case atBench:
		s.bench(raw, fb)
	case atVoltage:
		s.pick.testV = map[string]float64{"250": 250, "500": 500, "1000": 1000}[raw]
		s.ask = atPlace
	case atLoop:
		s.pick.function = signature.LoopNoTrip
		if raw == "high-current" {
			s.pick.function = signature.LoopHigh
		}
		s.ask = atPlace
	case atRCDTest:
		s.pick.rcdTest, s.ask = raw, atPlace
	case atPlace:
		s.pick.place, s.ask = raw, atPair
	case atPair:
		s.measure(raw, fb)
	case atChange:
		s.change(raw, fb)
	case atHome:
		s.putBack(s.pick.end, raw, fb)
	case atSwitch:
		s.operate(raw, fb)
	case atIsolate:
		s.isolate(raw, fb)
	case atLock:
		s.lock(raw, fb)
	case atProve:
		s.prove(raw, fb)
	case atLeads:
		s.changeLeads(raw, fb)
	case atCircuit:
		s.focusOn(raw)
	case atWrite:
		s.write(raw, fb)
	case atClaim:
		s.judge(raw, fb)
	case atSee:
		s.see(raw, fb)
	case atSeen:
		s.answerSeen(raw, fb)
	case atSum:
		s.writeSum(raw, fb)
	case atName:
		s.naming, s.ask = named{where: raw}, atCores
	case atCores:
		s.naming.cores, s.ask = raw, atKind
	case atKind:
		s.naming.kind = raw
		s.answerNamed(fb)
	}
}

func (s *State) focusOn(id string) {
	i := slices.IndexFunc(s.rig().Circuits, func(c rig.Circuit) bool { return c.ID == id })
	if i >= 0 && i != s.focus {
		s.focus = i
		s.facts = s.facts.Leave(safety.CircuitPlace(i))
	}
}

func (s *State) bench(raw string, fb *Feedback) {
	switch raw {
	case "write":
		s.ask = atWrite
	case string(signature.Insulating):
		s.pick = picked{function: signature.Insulating}
		s.ask = atVoltage
	case "loop":
		s.pick = picked{}
		s.ask = atLoop
	case "rcd":
		s.pick = picked{function: signature.RCDTime}
		s.ask = atRCDTest
	case string(signature.LowOhm), string(signature.Volts), string(signature.FaultAmps):
		s.pick = picked{function: signature.Function(raw)}
		s.ask = atPlace
	case "see", "change", "switch", "isolate", "leads", "circuit", "sum", "name":
		s.ask = menu(raw)
	case "look":
		s.look(fb)
	case "hint":
		s.hint(fb)
	case "finish":
		s.finish(fb)
	case "leave":
		s.ended = "left"
		s.sheet = s.sheet.End("left")
		fb.say("study.left")
	}
}

// finish ends the session when nothing is left open.
func (s *State) finish(fb *Feedback) {
	if len(s.Ledger()) > 0 {
		fb.refuse("open")
		fb.Notes = append(fb.Notes, s.openNotes("study.standing.item.", func(OpenItem) bool { return true })...)
		return
	}
	s.ended = "complete"
	s.sheet = s.sheet.End("complete")
	fb.say("study.complete")
}
