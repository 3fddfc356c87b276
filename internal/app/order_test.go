package app

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/prompt"
	"wanderlead/internal/record"
)

// watchful is a front that answers rightly and looks into the record's file: whenever
// it is shown something after an answer, and whenever it is asked.
type watchful struct {
	t        *testing.T
	r        *runner
	path     string
	answered int // answers given
	shown    int // answers after which something was shown
	fresh    bool
}

// lines counts the events in the file and the answers to the last one.
func (f *watchful) lines() (said, gave int) {
	f.t.Helper()
	lines, err := journal.ReadFile(f.path)
	if err != nil {
		f.t.Fatal(err)
	}
	for _, l := range lines {
		switch {
		case l.Said != nil:
			said, gave = said+1, 0
		case l.Gave != nil:
			gave++
		}
	}
	return said, gave
}

func (f *watchful) Show(...string) {
	f.t.Helper()
	said, gave := f.lines()
	if f.fresh {
		f.fresh = false
		f.shown++
	}
	if said != f.answered || said > 0 && gave == 0 {
		f.t.Errorf("something is shown after answer %d, and the record has %d events with %d lines to the last", f.answered, said, gave)
	}
}

func (f *watchful) Ask(prompt.Question) (prompt.Reply, error) {
	f.t.Helper()
	said, gave := f.lines()
	if said != f.answered || said > 0 && gave == 0 {
		f.t.Errorf("a question is put after answer %d, and the record has %d events with %d lines to the last", f.answered, said, gave)
	}
	raw := f.r.st.RightAnswer(coach.Cast{Supervisor: "B. Rowan", Code: testCode, Padlock: "4417", MainPadlock: "5520", People: "the bay"})
	f.answered++
	f.fresh = true
	return prompt.Reply{Raw: raw}, nil
}

func (f *watchful) Close() error { return nil }

// What is shown stands in the record already, whatever happens to the process next.
func TestFeedbackIsShownAfterItIsWritten(t *testing.T) {
	null, err := os.OpenFile(os.DevNull, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	a := &app{sys: Sys{In: null, Out: null, Err: null, Getenv: func(string) string { return "" },
		Now: func() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) }, Random: cryptoRandom{}, Version: "test"}}
	a.opt.coaching = "full"
	lib := builtin(t)
	kit, err := record.Gather(lib, "lesson-isolation", "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	h := kit.Header()
	h.Version, h.Created, h.Session, h.Mode = "test", a.now(), "0011223344556677", "practise"
	path := filepath.Join(t.TempDir(), "out.jsonl")
	j, err := journal.Create(path, h)
	if err != nil {
		t.Fatal(err)
	}
	r := a.runner(lib, kit, coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack}), j, path, h.Session, nil)
	defer r.close()
	f := &watchful{t: t, r: r, path: path}
	r.front = f
	if err := r.run(); err != nil {
		t.Fatal(err)
	}
	if f.answered < 10 || f.shown < 10 {
		t.Errorf("%d answers, %d of them with feedback: too few to show anything", f.answered, f.shown)
	}
}
