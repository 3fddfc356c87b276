//go:build linux || darwin

package e2e

import (
	"encoding/json"
	"syscall"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/learner"
	"wanderlead/internal/ptytest"
)

// TestPractisedIsRemembered: whatever ends a study session at a terminal, what was practised is in the learner's memory
// once: at once after a signal, at the next resume where the program had no say. The symptom is told again there.
func TestPractisedIsRemembered(t *testing.T) {
	for name, c := range map[string]struct {
		signal syscall.Signal
		code   int
		hints  int // remembered before it is gone on with
	}{
		"terminated": {syscall.SIGTERM, 130, 2},
		"hung-up":    {syscall.SIGHUP, 130, 2},
		"killed":     {syscall.SIGKILL, -1, 0},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			set := studySetup(t, "lesson-ring", "ring-1", 7, "F07")
			hint := coach.Event{Type: coach.Answer, At: "study/bench", Raw: "hint"}
			w := newWorld(t)
			x := ptytest.Start(t, w.command("study", "--exercise", "find-warm-plug", "--seed", "7", "--journal", "out.jsonl"), 80, 40)
			atTerminal(t, x, set, []coach.Event{hint, hint})
			x.Answer(":: Circuit 1 in view: what next?", "") // the last hint is shown
			if err := x.Process().Signal(c.signal); err != nil {
				t.Fatal(err)
			}
			if got := x.Exit(); got != c.code {
				t.Fatalf("exit code %d, want %d", got, c.code)
			}
			if got := remembered(t, w); got != c.hints {
				t.Errorf("%d hints remembered, want %d", got, c.hints)
			}
			again := ptytest.Start(t, w.command("resume", "out.jsonl"), 80, 40)
			again.Expect("What was reported: The heater")
			atTerminal(t, again, set, []coach.Event{hint, {Type: coach.Answer, At: "study/bench", Raw: "leave"}})
			if got := again.Exit(); got != 0 {
				t.Fatalf("exit code %d, want 0", got)
			}
			if got := remembered(t, w); got != 3 {
				t.Errorf("after resume %d hints remembered, want 3", got)
			}
		})
	}
}

// remembered is how many hints the usual learner's memory has.
func remembered(t *testing.T, w *world) int {
	t.Helper()
	var m learner.Memory
	if err := json.Unmarshal([]byte(w.run(nil, "progress", "--json").must(t, 0).out), &m); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, topic := range m.Topics {
		n += topic.Hints
	}
	return n
}
