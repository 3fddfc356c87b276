package app

import (
	"path/filepath"
	"slices"

	"wanderlead/internal/coach"
	"wanderlead/internal/learner"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/study"
)

// learners is where memories are kept, beside the records.
func (a *app) learners() learner.Store {
	return learner.Store{Dir: filepath.Join(filepath.Dir(a.sys.recordsDir()), "learners")}
}

// today is the day on the wall.
func (a *app) today() string { return a.sys.Now().Format("2006-01-02") }

// tally gathers, while a study session runs, what its learner's memory keeps of it.
type tally struct {
	session learner.Session
	book    *mistakes.Book
}

func newTally(st *study.State, book *mistakes.Book) *tally {
	p := st.Setup().Program
	return &tally{book: book, session: learner.Session{Rig: p.Rig.ID, Sequence: p.Seq.ID, Practised: map[string]learner.Practice{}}}
}

// see takes what came of one event.
func (t *tally) see(before, after *study.State, fb study.Feedback) {
	if fb.Hint > 0 {
		if i, ok := before.Next(); ok {
			prog := before.Sheet().State().Program()
			test := prog.Tests[prog.Steps[i].Test].Name
			p := t.session.Practised[test]
			if p.Hints++; fb.Hint == 3 {
				p.Answers++
			}
			t.session.Practised[test] = p
		}
	}
	if fb.Found != nil && fb.Found.Right() && fb.Found.Fault != nil {
		t.session.Findings++
	}
	if fb.Written == nil || fb.Claimed == "" {
		return
	}
	worst, tests := coach.Pass, []string{}
	for _, j := range fb.Written.Judged {
		if j.Class == coach.Doubt && worst == coach.Pass || j.Class == coach.Fail || j.Class == coach.SetUp {
			if worst = coach.Fail; j.Class == coach.Doubt {
				worst = coach.Doubt
			}
		}
		if !slices.Contains(tests, j.Test) {
			tests = append(tests, j.Test)
		}
	}
	named := t.named(after, fb)
	for _, test := range tests {
		p := t.session.Practised[test]
		if fb.Claimed == worst.String() {
			p.Right++
		} else {
			p.Wrong++
		}
		if len(named) > 0 {
			p.Mistakes++
		}
		t.session.Practised[test] = p
	}
	t.session.Mistakes = append(t.session.Mistakes, named...)
}

// named is the likeliest usual mistake that the moves bear out.
func (t *tally) named(after *study.State, fb study.Feedback) []string {
	if t.book == nil || len(fb.Moves) == 0 {
		return nil
	}
	st := after.Sheet().State()
	var focus []string
	for _, j := range fb.Written.Judged {
		focus = append(focus, after.Sheet().Group(j.Part)...)
	}
	for _, n := range mistakes.Consistent(t.book.Name(mistakes.Of(st), focus...), fb.Moves) {
		if !n.Blameless {
			return []string{n.ID}
		}
	}
	return nil
}

// remember puts a session into its learner's memory: not of a script, unless a learner is named. What cannot be kept is
// said, and stops nothing.
func (r *studyRunner) remember() {
	a := r.a
	if r.tally == nil || r.script != nil && a.opt.learner == "" {
		return
	}
	s := r.tally.session
	s.Day, s.Ended = a.today(), r.st.Ended()
	r.tally = nil
	if len(s.Practised) == 0 && s.Findings == 0 {
		return
	}
	name := or(a.opt.learner, learner.Usual)
	if err := a.learners().Note(name, s); err != nil {
		r.front.Show("Not remembered: " + plainText(err.Error()) + ".")
		return
	}
	r.front.Show(r.view.wrap(r.view.text("progress.remembered", map[string]string{"learner": name}))...)
}
