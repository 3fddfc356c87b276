//go:build linux || darwin

package e2e

import (
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"wanderlead/internal/coach"
	"wanderlead/internal/ptytest"
)

// person sits at a terminal with the program on it, and a player at hand who knows
// what is asked and what to answer.
type person struct {
	*player
	term  *ptytest.Terminal
	plain bool // it is the plain front, which is answered by numbers
}

func sit(w *world, p *player, args ...string) *person {
	w.t.Helper()
	return &person{player: p, term: ptytest.Start(w.t, w.command(args...), 80, 40)}
}

// keys are what a person presses for an answer: a line and Enter, or the arrow down to
// an option and Enter; on the plain front the option's number.
func (x *person) keys(q coach.Question, text string) string {
	if q.Kind != coach.Choice {
		return text + ptytest.Enter
	}
	for i, o := range q.Options {
		if o.Value == text && x.plain {
			return string(rune('1'+i)) + ptytest.Enter
		}
		if o.Value == text {
			return strings.Repeat(ptytest.Down, i) + ptytest.Enter
		}
	}
	x.t.Fatalf("%s has no answer %q", q.ID, text)
	return ""
}

// mark is what stands before a question that takes keys.
func mark(q coach.Question) string {
	if q.Gate {
		return "!!"
	}
	return "::"
}

// work answers rightly, at the terminal and beside it, until a question is due or the
// session has ended; it reports whether the question came up.
func (x *person) work(until string) bool {
	x.t.Helper()
	for n := 0; x.st.Ended() == "" && n < most; n++ {
		q := x.due()
		if q.ID == until {
			return true
		}
		if x.plain {
			x.expectPrompt()
			x.term.Send(x.keys(q, x.right()))
		} else {
			x.term.Answer(mark(q), x.keys(q, x.right()))
		}
		if q.ID == "supervisor/code" {
			x.term.Answer("once more", x.keys(q, x.right())) // what is not shown is typed twice
		}
		x.step()
	}
	return false
}

// resumed tells the player that the session was taken up again.
func (x *person) resumed() {
	x.t.Helper()
	next, _, err := x.st.Apply(coach.Event{Type: coach.Resumed})
	if err != nil {
		x.t.Fatal(err)
	}
	x.st = next
}

// sameAnswers compares what the record has with what was typed.
func (x *person) sameAnswers(path string) []turn {
	x.t.Helper()
	list, _ := turns(x.t, path)
	n := 0
	for _, u := range list {
		if u.Type == "resume" {
			continue
		}
		if n >= len(x.answers) {
			x.t.Fatalf("the record has %s %q, which nobody typed", u.At, u.Raw)
		}
		a := x.answers[n]
		n++
		if u.At != a.at || u.Raw != a.text && a.text != code {
			x.t.Fatalf("event %d of the record is %s %q, typed was %s %q", u.Seq, u.At, u.Raw, a.at, a.text)
		}
	}
	if n != len(x.answers) {
		x.t.Errorf("%d answers were typed, %d are in the record", len(x.answers), n)
	}
	return list
}

// TestWizardOnTerminal works the real wizard through the whole board at a terminal,
// from the menu to the schedule, each answer typed as a person would.
func TestWizardOnTerminal(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	x := sit(w, play(t, "", "whole-board", "training-bay", ""), "--journal", "out.jsonl")
	x.term.Answer("::", ptytest.Enter) // the menu: at a practice rig
	x.term.Answer("::", ptytest.Enter) // the whole board
	x.term.Answer("::", ptytest.Enter) // and the training bay
	x.work("")
	if got := x.term.Exit(); got != 0 {
		t.Fatalf("exit code %d, want 0", got)
	}
	if !x.term.Restored() {
		t.Error("the terminal is not set as before")
	}
	x.sameAnswers(w.path("out.jsonl"))
	if _, closed := turns(t, w.path("out.jsonl")); closed != "complete" {
		t.Errorf("the record is closed %q, want complete", closed)
	}
	if strings.Contains(x.term.Raw(), code) {
		t.Error("the supervisor's code was shown")
	}
	r := w.run(nil, "report", "out.jsonl").must(t, 0)
	if !strings.Contains(r.out, "TB1") || strings.Contains(r.out, "scripted") {
		t.Errorf("this is no schedule of a session at a terminal:\n%s", r.out)
	}
	w.run(nil, "verify", "out.jsonl").must(t, 0)
}

// TestInterruptedOnTerminal ends a session in the middle, in each way there is. What
// was acknowledged is in the record, the terminal is as before where the program had a
// say, and resume goes on to the end, with what may have changed asked first.
func TestInterruptedOnTerminal(t *testing.T) {
	for _, c := range []struct {
		name string
		end  func(x *person)
		code int
	}{
		{"ctrl-c", func(x *person) { x.term.Answer("", ptytest.CtrlC) }, 130},
		{"terminated", func(x *person) { x.signal(syscall.SIGTERM) }, 130},
		{"hung-up", func(x *person) { x.signal(syscall.SIGHUP) }, 130},
		{"killed", func(x *person) { x.signal(syscall.SIGKILL) }, -1},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			x := sit(w, play(t, "", "lesson-ring", "training-bay", ""), "practise", "--sequence", "lesson-ring", "--journal", "out.jsonl")
			if !x.work("ring-1/crossed-line-neutral") {
				t.Fatal("the question to stop at never came up")
			}
			c.end(x)
			if got := x.term.Exit(); got != c.code {
				t.Fatalf("exit code %d, want %d", got, c.code)
			}
			if c.code == 130 && (!x.term.Restored() || x.term.CursorHidden()) {
				t.Error("the terminal is not as before")
			}
			if c.code == 130 && !strings.Contains(x.term.Since(), "wanderlead resume out.jsonl") {
				t.Error("it does not say how to go on")
			}
			x.sameAnswers(w.path("out.jsonl"))
			w.run(nil, "verify", "out.jsonl").must(t, 0)

			again := sit(w, x.player, "resume", "out.jsonl")
			again.resumed()
			if first := again.due().ID; first != "safety/lock/number" {
				t.Errorf("resume asks %s first, want the padlock", first)
			}
			again.work("")
			if got := again.term.Exit(); got != 0 {
				t.Fatalf("exit code %d, want 0", got)
			}
			again.sameAnswers(w.path("out.jsonl"))
			w.run(nil, "verify", "out.jsonl").must(t, 0)
		})
	}
}

// signal waits for the question that is due, then sends a signal.
func (x *person) signal(s os.Signal) {
	x.term.Answer("", "") // it takes keys now
	if err := x.term.Process().Signal(s); err != nil {
		x.t.Fatal(err)
	}
}

// TestPlainOnTerminal: the plain front takes the same session, by numbers, and writes
// no escape codes.
func TestPlainOnTerminal(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	x := sit(w, play(t, "", "lesson-isolation", "training-bay", ""), "practise", "--plain", "--sequence", "lesson-isolation", "--journal", "out.jsonl")
	x.plain = true
	x.work("")
	if got := x.term.Exit(); got != 0 {
		t.Fatalf("exit code %d, want 0", got)
	}
	if strings.ContainsRune(x.term.Raw(), 0x1b) {
		t.Error("an escape code was written")
	}
	x.sameAnswers(w.path("out.jsonl"))
}

// expectPrompt waits for the plain front to call for an answer: a line that ends in a
// colon and a blank, with the cursor behind it.
func (x *person) expectPrompt() {
	x.t.Helper()
	for end := time.Now().Add(ptytest.Patience); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		if strings.HasSuffix(x.term.Since(), ": ") {
			return
		}
	}
	x.t.Fatalf("no answer was called for; screen:\n%s", x.term.Screen())
}
