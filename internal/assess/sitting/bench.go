package sitting

import (
	"maps"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/study"
)

// newBench is the rig as found, everything on and in. There are no faults in it: those
// of the draw are in what the desk shows, never here.
func newBench(s Setup) (*study.State, error) {
	return study.New(study.Setup{Program: s.Program, Pack: s.Pack, Start: study.AsFound, Help: study.Alone, Exam: true})
}

// Bench is the bench of a candidate who sits alone, nil in the other settings.
func (t *Sitting) Bench() *study.State { return t.bench }

// Err says why the paper cannot be sat in this setting, nil when it can.
func (t *Sitting) Err() error { return t.err }

// benchQuestion is what the bench asks now.
func (t *Sitting) benchQuestion() (Question, bool) {
	sq, ok := t.bench.Question()
	if !ok {
		return Question{}, false
	}
	q := Question{ID: sq.ID, Bench: true, Kind: coach.Line, TextID: sq.Text.ID, Params: sq.Text.Params, Step: -1, Parts: sq.Parts}
	for _, o := range sq.Options {
		q.Kind = coach.Choice
		q.Options = append(q.Options, coach.Option{Value: o.Say, TextID: o.Text.ID, Params: o.Text.Params})
	}
	if len(sq.Parts) > 0 {
		q.Step = t.stepOf(sq.Parts[0])
	}
	return q, true
}

// move hands an answer to the bench. What it refuses for its form is asked again,
// anything else it refuses stops the candidate.
func (t *Sitting) move(ev journal.Event, fb *Feedback) {
	before := t.bench
	next, bf, err := before.Apply(coach.Event{Type: coach.Answer, Raw: ev.Raw})
	if err != nil {
		fb.Taken, fb.Rule = false, "no-such-answer"
		return
	}
	t.bench, fb.Bench = next, &bf
	switch {
	case bf.Refused && len(bf.Lacked) > 0:
		t.halt(fb)
		fb.Params = map[string]string{"lacked": strings.Join(bf.Lacked, " "), "wanted": bf.Wanted}
		return
	case bf.Refused:
		fb.Taken, fb.Rule = false, plainRule(bf.Form)
		return
	}
	fb.Params = moved(before, next, bf.Shown)
	if bf.Filled == "" {
		return
	}
	step, ok := t.set.Program.Step(bf.Filled)
	if ok && t.tasks[step] != nil && !Looked(&t.set.Program.Steps[step]) {
		t.stageStep, t.stage = step, stageState
	}
}

// moved says in a record's words what a move changed or how a measurement was set up.
// Of a measurement it is how the rig stood before: a test may open a device.
func moved(before, after *study.State, shown *study.Taken) map[string]string {
	was, is := before.Stand().Params(), after.Stand().Params()
	if shown != nil {
		maps.Copy(was, shown.Params())
		return was
	}
	if maps.Equal(was, is) {
		return nil
	}
	return is
}

// correctBench puts another reading in place of one on the schedule.
func (t *Sitting) correctBench(ev journal.Event, fb *Feedback) {
	next, rule := t.bench.Corrected(ev.At, strings.TrimSpace(ev.Raw))
	if rule != "" {
		fb.Taken, fb.Rule = false, plainRule(rule)
		return
	}
	t.bench = next
}
