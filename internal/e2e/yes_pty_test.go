//go:build linux || darwin

package e2e

import (
	"strings"
	"testing"
	"time"

	"wanderlead/internal/ptytest"
)

// TestYesStreamOnTerminal: ten thousand times y and Enter, as fast as the terminal
// takes them, answer no safety question on either front: neither a choice, nor a typed
// answer, nor a hidden one, whether a key comes before the question is shown or after.
func TestYesStreamOnTerminal(t *testing.T) {
	for _, at := range []string{"typed ahead", "safety/isolator/off", "safety/board/pairs", "safety/incoming/code"} {
		for _, front := range []string{"", "--plain"} {
			t.Run(at+" "+front, func(t *testing.T) {
				t.Parallel()
				w := newWorld(t)
				p := play(t, "", "whole-board", "training-bay", "")
				until := at
				if at == "typed ahead" {
					until = "safety/board/pairs" // on resuming, the padlock is asked first
				}
				p.until(until)
				w.run(nil, "practise", "--answers", w.write("up-to.yaml", p.file("", "")), "--journal", "yes.jsonl").must(t, 2)
				args := []string{"resume", "yes.jsonl"}
				if front != "" {
					args = append(args, front)
				}
				x := sit(w, p, args...)
				x.resumed()
				if at != "typed ahead" {
					x.plain = front != ""
					x.work(at)
				}
				before := len(p.answers) + 1 // and the resume
				x.term.Type(strings.Repeat("y\r", manyTimes))
				// A second Ctrl-C may end the process by the signal itself (-1): all is saved then.
				if got := x.interrupt(); got != 130 && got != -1 {
					t.Errorf("exit code %d, want 130", got)
				}
				if got := opened(t, w.path("yes.jsonl"), before); len(got) > 0 {
					t.Errorf("taken: %v", got[:1])
				}
				if !x.term.Restored() {
					t.Error("the terminal is not set as before")
				}
			})
		}
	}
}

// interrupt presses Ctrl-C until the program ends: one that comes while a question is
// being put may be dropped with the rest.
func (x *person) interrupt() int {
	x.t.Helper()
	done := make(chan struct{})
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			select {
			case <-done:
				return
			case <-time.After(20 * time.Millisecond):
				x.term.Type(ptytest.CtrlC)
			}
		}
	}()
	code := x.term.Exit()
	close(done)
	<-stopped
	return code
}
