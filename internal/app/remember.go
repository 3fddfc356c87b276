package app

import (
	"path/filepath"
	"slices"
	"sync"

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
	lock    sync.Mutex // a signal may end the program while an event is seen
	session learner.Session
	ended   string
	given   bool
	book    func() *mistakes.Book
}

func newTally(st *study.State, record string, book func() *mistakes.Book) *tally {
	p := st.Setup().Program
	return &tally{book: book, session: learner.Session{Rig: p.Rig.ID, Sequence: p.Seq.ID, Record: record, Practised: map[string]learner.Practice{}}}
}

// take gives what was gathered, once; ok is false where there is nothing to remember.
func (t *tally) take() (s learner.Session, ok bool) {
	t.lock.Lock()
	defer t.lock.Unlock()
	ok = !t.given && (len(t.session.Practised) > 0 || t.session.Findings > 0)
	t.given = true
	s = t.session
	s.Ended = t.ended
	return s, ok
}

// see takes what came of one event, the record's so manieth.
func (t *tally) see(event int, before, after *study.State, fb study.Feedback) {
	t.lock.Lock()
	defer t.lock.Unlock()
	t.session.Events, t.ended = event, after.Ended()
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
	for _, n := range mistakes.Consistent(t.book().Name(mistakes.Of(st), focus...), fb.Moves) {
		if !n.Blameless {
			return []string{n.ID}
		}
	}
	return nil
}

// remember puts a session into its learner's memory: not of a script, unless a learner is named. What cannot be kept is
// said, and stops nothing.
func (r *studyRunner) remember() {
	name, noted, err := r.note()
	switch {
	case err != nil:
		r.front.Show("Not remembered: " + plainText(err.Error()) + ".")
	case noted:
		r.front.Show(r.view.wrap(r.view.text("progress.remembered", map[string]string{"learner": name}))...)
	}
}

// note is remember without a word: a signal leaves no time for one.
func (r *studyRunner) note() (name string, noted bool, err error) {
	a := r.a
	if r.script != nil && a.opt.learner == "" {
		return "", false, nil
	}
	s, ok := r.tally.take()
	if !ok {
		return "", false, nil
	}
	s.Day = a.today()
	name = or(a.opt.learner, learner.Usual)
	return name, true, a.learners().Note(name, s)
}

// noted is how many events of a record are remembered already, of whichever learner.
func (a *app) noted(record string) int {
	most := 0
	store := a.learners()
	names, err := store.Names()
	if err != nil {
		return 0
	}
	for _, n := range names {
		m, err := store.Load(n)
		if err != nil {
			continue // said when that learner practises
		}
		for _, s := range m.Sessions {
			if s.Record == record {
				most = max(most, s.Events)
			}
		}
	}
	return most
}
