package app

import (
	"testing"
	"time"

	"wanderlead/internal/content"
	"wanderlead/internal/exercise"
	"wanderlead/internal/learner"
	"wanderlead/sequences"
)

// TestOffered: with nothing remembered the exercises stand as listed; what went badly and is overdue comes first then,
// and every exercise stays on the list once.
func TestOffered(t *testing.T) {
	state := t.TempDir()
	a := &app{sys: Sys{Now: func() time.Time { return time.Date(2026, 3, 20, 9, 0, 0, 0, time.UTC) },
		Getenv: func(k string) string { return map[string]string{"XDG_STATE_HOME": state}[k] }}}
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	all, err := exercise.Load(lib)
	if err != nil {
		t.Fatal(err)
	}
	if got := a.offered(all); got[0].Name != all[0].Name {
		t.Errorf("first of a new learner: %s, want %s", got[0].Name, all[0].Name)
	}
	if err := a.learners().Note(learner.Usual, learner.Session{Day: "2026-03-01", Practised: map[string]learner.Practice{"rcd": {Right: 1, Wrong: 2}, "ends": {Right: 3}}}); err != nil {
		t.Fatal(err)
	}
	if err := a.learners().Note(learner.Usual, learner.Session{Day: "2026-03-19", Practised: map[string]learner.Practice{"ends": {Right: 3}}}); err != nil {
		t.Fatal(err)
	}
	got := a.offered(all)
	if got[0].Name != "rcd" {
		t.Errorf("first: %s, want rcd: judged wrongly and overdue", got[0].Name)
	}
	seen := map[string]int{}
	for _, e := range got {
		seen[e.Name]++
	}
	for _, e := range all {
		if seen[e.Name] != 1 {
			t.Errorf("%s is listed %d times", e.Name, seen[e.Name])
		}
	}
}
