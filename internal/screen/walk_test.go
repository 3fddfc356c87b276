package screen_test

import (
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
)

// checkWidth fails for a line wider than w that could have been broken.
func checkWidth(t *testing.T, lines []screen.Line, w int) {
	t.Helper()
	for _, l := range lines {
		if n := (&runewidth.Condition{}).StringWidth(l.Text); n > w && len(strings.Fields(l.Text)) > 2 {
			t.Errorf("%d columns at width %d: %q", n, w, l.Text)
		}
	}
}

// checkFilled fails for a placeholder or an id that reached the screen.
func checkFilled(t *testing.T, at string, texts ...string) {
	t.Helper()
	for _, x := range texts {
		if strings.ContainsAny(x, "{}") {
			t.Errorf("%s: a placeholder is left: %q", at, x)
		}
		for _, p := range []string{"ask.", "option.", "because.", "refused.", "perished.", "why.", "row.", "where.", "now.", "open.", "limit.", "expected.", "test.", "class.", "end.", "set-up."} {
			for _, word := range strings.Fields(x) {
				if strings.HasPrefix(word, p) && len(word) > len(p) && strings.Trim(word[len(p):], "abcdefghijklmnopqrstuvwxyz-_.") == "" {
					t.Errorf("%s: an id instead of a text: %q", at, x)
				}
			}
		}
	}
}

// TestWholeBoardOnEveryRig works the whole sequence with right answers on every
// built-in rig; at every question every wrong option is tried as well, and a reading
// is tried as a fail, as a doubt and as a wrong unit. Nothing may be left unfilled,
// no line may be wider than the screen, and no question taller than it.
func TestWholeBoardOnEveryRig(t *testing.T) {
	lib := library(t, "")
	names, err := rig.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		for _, o := range []screen.Options{{Width: 80, Height: 24}, {Width: 40, Plain: true, Study: true}} {
			if o.Study && name != "training-bay" && name != "winch-workshop" {
				continue // the wordings are the same; one board of each kind of supply will do
			}
			s := newScreen(t, o)
			st := session(t, name, "whole-board", nil)
			questions := 0
			for ; st.Ended() == "" && questions < 1000; questions++ {
				st = tryQuestion(t, s, st, name, o.Width)
			}
			if st.Ended() != "complete" {
				t.Errorf("%s: ended %q after %d questions", name, st.Ended(), questions)
			}
			end := s.End(st)
			checkWidth(t, end, o.Width)
			checkFilled(t, name+" end", screen.Strings(end)...)
		}
	}
}

var tries = []string{"", "not-yet", "nonsense", "0.40 MΩ", "0.40 Ω", "99", ">1999", "-0.05", "n/a", "limitation: the supervisor said so", "limitation",
	"L-N 230 L-E 0 N-E 0", "L-N 0", "L-N 0 L-N 0", "L1-N 0", "L-N", "gone", "on", "yes", "4418", "12"}

func tryQuestion(t *testing.T, s *screen.Screen, st *coach.State, name string, w int) *coach.State {
	t.Helper()
	q, lines, ok := s.Question(st)
	if !ok {
		t.Fatalf("%s: no question", name)
	}
	at := name + " " + q.ID
	checkWidth(t, lines, w)
	checkFilled(t, at, append(q.Lines, q.Ask, q.Help)...)
	if q.Ask == "" {
		t.Errorf("%s: nothing is asked", at)
	}
	height := len(lines) + 2
	for _, opt := range q.Options {
		checkFilled(t, at, opt.Label)
		height++
	}
	if w == 80 && height > 22 {
		t.Errorf("%s: %d lines high", at, height)
	}
	all := tries
	for _, opt := range q.Options {
		all = append(all, opt.Value)
	}
	for _, raw := range all {
		next, fb, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: raw})
		if err != nil {
			t.Fatalf("%s: %v", at, err)
		}
		out := s.Feedback(st, next, fb)
		checkWidth(t, out, w)
		checkFilled(t, at+" => "+raw, screen.Strings(out)...)
		if len(out) == 0 && (fb.Refused != "" || fb.Verdict != nil) {
			t.Errorf("%s => %q: refused %q or judged, and nothing said", at, raw, fb.Refused)
		}
		if nq, l, ok := s.Question(next); ok {
			checkFilled(t, at+" => "+raw, append(append(screen.Strings(l), nq.Ask), nq.Help)...)
		}
	}
	next, fb, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)})
	if err != nil {
		t.Fatalf("%s: %v", at, err)
	}
	if fb.Refused != "" {
		t.Fatalf("%s: the right answer is refused: %s", at, fb.Refused)
	}
	checkFilled(t, at, screen.Strings(s.Feedback(st, next, fb))...)
	return next
}
