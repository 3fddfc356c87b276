package walk_test

import (
	"wanderlead/internal/checker"
	"wanderlead/internal/checker/told"
	"wanderlead/internal/coach"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/walk"
)

// watch runs the independent checker in lockstep with a walk: it is given the lines
// that the session would put on record, and nothing else.
type watch struct{ c checker.Checker }

func observer(r *rig.Rig, fromRecord bool) walk.Observer {
	x := told.Of(r)
	x.FromRecord = fromRecord
	return watch{checker.New(x).Strict()}
}

func (w watch) Observe(ev coach.Event, fb *coach.Feedback) (walk.Observer, string) {
	at := ev.At
	if at == "" {
		at = fb.At
	}
	l := checker.Line{Type: string(ev.Type), At: at, Raw: ev.Raw, Params: map[string]string{}}
	if ev.Type == coach.Check {
		// In an exam the assessor's reading is written in place of the held one. Records of
		// exams have lines of their own; to the checker it is what it comes to, a correction.
		l.Type = string(coach.Correct)
	}
	for _, g := range record.Given(*fb, "walk") {
		l.Give(g)
	}
	next, bad := w.c.Step(l)
	if len(bad) > 0 {
		return watch{next}, bad[0].String()
	}
	return watch{next}, ""
}

func (w watch) AppendKey(b []byte) []byte { return w.c.AppendKey(b) }
