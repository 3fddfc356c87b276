package coach

import (
	"fmt"

	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Sheet is the schedule of a session that decides for itself what comes next, on a rig
// that is only computed: the same readings, verdicts and needs as in a session that is
// led, without its questions. It asks nothing and opens no gate of its own.
type Sheet struct{ st *State }

// NewSheet makes an empty schedule. With recordGiven a sequence that starts from an
// accepted record of dead tests has it, with originGiven the origin is declared.
func NewSheet(s Setup, recordGiven, originGiven bool) *Sheet {
	st := New(s)
	st.facts.RecordGiven, st.facts.OriginGiven = recordGiven, originGiven
	return &Sheet{st}
}

// State is the session that the schedule stands for, for reports.
func (s *Sheet) State() *State { return s.st }

// End marks the session as ended: "complete" or "left".
func (s *Sheet) End(how string) *Sheet {
	c := s.st.clone()
	c.ended = how
	return &Sheet{c.handed()}
}

// UnknownPartError is a reading that the sequence has no place for.
type UnknownPartError struct{ ID string }

func (e *UnknownPartError) Error() string {
	return fmt.Sprintf("the sequence has no reading %q", e.ID)
}

// Write records readings, each for the part of that id, and judges every group that
// is complete with them. A reading written a second time is a repeat. What cannot be
// a reading is refused, with nothing recorded.
func (s *Sheet) Write(ids, raws []string) (*Sheet, Feedback, error) {
	if len(ids) != len(raws) || len(ids) == 0 {
		return s, Feedback{}, fmt.Errorf("%d readings for %d places", len(raws), len(ids))
	}
	c := s.st.clone()
	fb := Feedback{At: ids[0]}
	var steps []int
	for i, id := range ids {
		p, ok := c.pl.byID[id]
		if !ok {
			return s, Feedback{}, &UnknownPartError{id}
		}
		step := c.pl.parts[p].step
		if n := len(steps); n == 0 || steps[n-1] != step {
			steps = append(steps, step)
		}
		st := &c.pl.p.Steps[step]
		if c.pl.testName(step) == safety.TestSwitching || st.Form == sequence.Observe {
			c.enterSeen(p, c.how(p), raws[i], &fb)
			continue
		}
		r, refusal, params := c.parsePart(p, raws[i])
		if refusal != "" {
			refuse(&fb, refusal, params)
			return s, fb, nil
		}
		c.enter(p, c.how(p), r, stateOf(r, c.pl.testName(step)), "", &fb)
	}
	for _, step := range steps {
		c.judgeStep(step, &fb)
	}
	c.dialog, c.dialogPart = noDialog, -1
	return &Sheet{c.handed()}, fb, nil
}

// Again makes every dead test of a circuit due again, as after a repair: its readings
// stay on record and no longer count.
func (s *Sheet) Again(circuit int) *Sheet {
	c := s.st.clone()
	for p, ref := range c.pl.parts {
		st := &c.pl.p.Steps[ref.step]
		if st.Circuit == circuit && st.Want.Kind.OnDead() && c.latest[p] != nil {
			c.setClass(p, None)
			c.done = c.done.without(ref.step)
		}
	}
	return &Sheet{c.handed()}
}

// Tests is what the interlock has to know of the readings before an act; ledger,
// devices and faults are the caller's to fill in.
func (s *Sheet) Tests(w safety.Want) safety.Record {
	r := s.st.record(w)
	return safety.Record{TestsPassed: r.TestsPassed, DoubtsOpen: r.DoubtsOpen, OriginPassed: r.OriginPassed, CircuitPassed: r.CircuitPassed}
}

// ClassOf is what a reading counts as now, None when it is not taken.
func (s *Sheet) ClassOf(id string) Class {
	if p, ok := s.st.pl.byID[id]; ok {
		return s.st.class[p]
	}
	return None
}

// Group lists the ids of the readings that are judged together with one.
func (s *Sheet) Group(id string) []string {
	p, ok := s.st.pl.byID[id]
	if !ok {
		return nil
	}
	var ids []string
	for _, q := range s.st.groupOf(p) {
		ids = append(ids, s.st.pl.parts[q].id)
	}
	return ids
}
