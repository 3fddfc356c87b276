//go:build linux || darwin

package e2e

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"wanderlead/internal/ptytest"
)

// seatedAt is a person at a lesson on a terminal of 24 lines, with an environment of their
// own.
func seatedAt(t *testing.T, columns int, env []string, args ...string) *person {
	t.Helper()
	w := newWorld(t)
	w.env = append(w.env, env...)
	x := &person{player: play(t, "", "lesson-ring", "training-bay", "")}
	args = append([]string{"practise", "--sequence", "lesson-ring", "--rig", "training-bay", "--journal", "out.jsonl"}, args...)
	for _, a := range args {
		x.plain = x.plain || a == "--plain"
	}
	x.term = ptytest.Start(t, w.command(args...), columns, 24)
	return x
}

// leave ends the session at the question that is due.
func (x *person) leave() {
	x.t.Helper()
	if x.plain {
		x.term.Send(ptytest.CtrlC)
	} else {
		x.term.Answer("", ptytest.CtrlC)
	}
	if got := x.term.Exit(); got != 130 {
		x.t.Errorf("exit code %d, want 130", got)
	}
}

// TestDrawingsOnTerminal: at 80 columns and 24 lines the drawing that belongs to a question
// stands on the screen together with the whole of it; show draws what is open.
func TestDrawingsOnTerminal(t *testing.T) {
	t.Parallel()
	x := seatedAt(t, 80, nil)
	for _, at := range []struct {
		question string
		want     []string
	}{
		{"ring-1/ends/live-out", []string{"take out the line", "►1 B32◄", "N bar NA", "earth bar MET"}},
		{"ring-1/crossed-line-neutral", []string{"ring step 2, line", "░░░░", "○ s1", "8 readings in Ω"}},
		{"ring-1/own-bar", []string{"own neutral bar", "[A]", "[B]", "readings in Ω"}},
	} {
		if !x.work(at.question) {
			t.Fatalf("%s never came", at.question)
		}
		x.term.Wait(at.want[len(at.want)-1])
		shown := x.term.Screen()
		for _, want := range at.want {
			if !strings.Contains(shown, want) {
				t.Errorf("%s: %q is not on the screen\n%s", at.question, want, shown)
			}
		}
	}
	x.term.Answer("", "show"+ptytest.Enter)
	x.term.Expect("fitted again, looked at all round")
	x.term.Expect("way 1, B32, 2.5/1.5 mm², ring")
	x.leave()
}

var sgr = regexp.MustCompile("\x1b\\[([0-9;]+)m")

// TestColourOnTerminal: one decision for what the program and what the prompt library
// write, and nothing but colours that both backgrounds take.
func TestColourOnTerminal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, env string
		want      string // codes of colour that may be written, as a regular expression
		some      bool
	}{
		{"256 colours", "", `^(0|22|0;22|1|1;38;5;(29|30|130|161))$`, true},
		{"old terminal", "TERM=xterm", `^(0|22|0;22|1|1;3[15])$`, true},
		{"NO_COLOR", "NO_COLOR=1", `^$`, false},
		{"CLICOLOR=0", "CLICOLOR=0", `^$`, false},
		{"CLICOLOR=0 CLICOLOR_FORCE=1", "CLICOLOR=0 CLICOLOR_FORCE=1", `^(0|22|0;22|1|1;38;5;(29|30|130|161))$`, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			x := seatedAt(t, 80, strings.Fields(c.env))
			x.work("safety/lock/key")
			x.term.Wait(mark(x.due()) + " Where is the key")
			allowed, seen := regexp.MustCompile(c.want), map[string]bool{}
			for _, m := range sgr.FindAllStringSubmatch(x.term.Raw(), -1) {
				seen[m[1]] = true
				if !allowed.MatchString(m[1]) {
					t.Errorf("the code %q was written", m[1])
				}
			}
			if c.some && len(seen) < 3 {
				t.Errorf("codes written: %v", seen)
			}
			x.leave()
		})
	}
}

// TestASCIIOnTerminal: a terminal whose character set is not UTF-8 is sent none of it, and
// the drawings are there all the same.
func TestASCIIOnTerminal(t *testing.T) {
	t.Parallel()
	x := seatedAt(t, 60, []string{"LC_ALL=C"})
	x.work("ring-1/crossed-line-neutral")
	x.term.Wait(":: 8 readings")
	raw := x.term.Raw()
	for i := 0; i < len(raw); i++ {
		if raw[i] >= 0x80 {
			t.Fatalf("byte %#x was written: %q", raw[i], raw[max(0, i-60):min(len(raw), i+20)])
		}
	}
	if !strings.Contains(raw, ">1 B32<") || !strings.Contains(raw, "in ohm") {
		t.Errorf("no drawing, or no unit:\n%s", raw)
	}
	x.leave()
}

// TestNothingDrawnOver: the plain front writes lines and never goes back over them, so that
// a screen reader hears each once.
func TestNothingDrawnOver(t *testing.T) {
	t.Parallel()
	x := seatedAt(t, 80, nil, "--plain")
	x.work("ring-1/crossed-line-neutral")
	x.expectPrompt()
	raw := strings.ReplaceAll(x.term.Raw(), "\r\n", "\n")
	for _, bad := range []string{"\x1b", "\r", "\b", "─", "░", "●"} {
		if i := strings.Index(raw, bad); i >= 0 {
			t.Errorf("%q was written: %q", bad, raw[max(0, i-60):min(len(raw), i+20)])
		}
	}
	for _, want := range []string{"Ring: Round the ring from the board: s1, s2", "Board: TB1. Rcd-a"} {
		if !strings.Contains(strings.Join(strings.Fields(raw), " "), want) {
			t.Errorf("%q is not said", want)
		}
	}
	x.leave()
}

// optionLine is an option of a question, or the line below them that says how to choose.
var optionLine = regexp.MustCompile(`^(-> |   \S)`)

// TestWindowPulledAt makes the window narrower and wider while questions wait: what comes next is laid out for the window as
// it then is, and the session goes on to its end.
func TestWindowPulledAt(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	x := sit(w, play(t, "", "lesson-continuity", "training-bay", ""), "practise", "--sequence", "lesson-continuity", "--journal", "out.jsonl")
	sizes := []int{60, 40, 200, 80}
	widest := map[int]int{}
	for n := 0; x.st.Ended() == ""; n++ {
		q, columns := x.due(), sizes[n%len(sizes)]
		x.term.Expect(mark(q))
		x.term.Resize(columns, 40)
		x.term.Answer(mark(q), x.keys(q, x.right()))
		if q.ID == "supervisor/code" {
			x.term.Answer("once more", x.keys(q, x.right()))
		}
		x.step()
		if x.st.Ended() != "" {
			break
		}
		x.term.Expect(mark(x.due()))
		for _, line := range strings.Split(x.term.Since(), "\n") {
			line = strings.TrimRight(line, "\r ")
			if strings.Contains(line, "\r") || strings.Contains(line, mark(q)) || optionLine.MatchString(line) { // the question as it was
				continue
			}
			columnsOf := utf8.RuneCountInString(line)
			widest[columns] = max(widest[columns], columnsOf)
			if columnsOf > columns {
				t.Errorf("%d columns at %d before %s: %q", columnsOf, columns, x.due().ID, line)
			}
		}
	}
	if got := x.term.Exit(); got != 0 {
		t.Fatalf("exit code %d, want 0", got)
	}
	if widest[200] <= 60 || widest[80] <= 60 {
		t.Errorf("the widest lines at each width are %v: nothing follows a window that is made wider", widest)
	}
}
