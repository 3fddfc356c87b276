package screen_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/prompt"
	"wanderlead/internal/screen"
)

var update = flag.Bool("update", false, "write the golden files anew")

// tinyAnswers is a session on testdata/tiny.yaml: mostly right, with the wrong answers
// whose feedback the golden files hold. "stop" is the word, ~ID VALUE a correction.
var tinyAnswers = []string{
	"B. Rowan", "hash",
	"not-yet", "dark", "lit", "other-1", "isolator", "no number", "4417", "in-lock", "on-me", "at-isolator",
	"hanging", "off",
	"pen", "two-pole", "L-N 0", "L-N 0, L-E 0, N-E 0", "skipped", "works",
	"one-in", "out",
	"0.39 0.39", "0.39 MΩ 0.39 0.65", "0.39 0.39 0.65",
	"crossed",
	"two-pole", "L-N 0 L-E 0 N-E 0", "L-N 0 L-E 0 N-E 0 points 8", "works",
	"0.08 0.13 0.17 0.20 0.20 0.17 0.13 0.08", "lead",
	"crossed",
	"0.20 0.20 0.21 0.21 0.19 0.20 0.21 0.19",
	"apart",
	"250 V", "500 V",
	">299 1.5 >299", "go-on", "~ring-1/insulation/L-E >299",
	"stop", "pause", "4417", "on-me",
	"two-pole", "L-N 0, L-E 0, N-E nothing", "works",
	"back",
	">99.9 0.20", "typed-wrong", "0.20 >99.9", "typed-wrong", "0.20 >99.9",
	"on",
}

func TestGolden(t *testing.T) {
	for _, w := range []int{40, 60, 80} {
		for how, o := range map[string]screen.Options{"": {}, "-plain": {Plain: true}, "-ascii": {ASCII: true}} {
			if w == 40 && how != "" {
				continue
			}
			name := fmt.Sprintf("testdata/tiny-%d%s.txt", w, how)
			t.Run(name, func(t *testing.T) {
				o.Width, o.Height = w, 24
				asRead(t, name, screens(t, o, w))
			})
		}
	}
}

// The same session in Polish: nothing is wider than the screen, and a person can read what changed.
func TestGoldenPolish(t *testing.T) {
	speaking = "pl"
	defer func() { speaking = screen.English }()
	for _, w := range []int{60, 80} {
		for how, o := range map[string]screen.Options{"": {}, "-plain": {Plain: true}} {
			name := fmt.Sprintf("testdata/tiny-pl-%d%s.txt", w, how)
			o.Width, o.Height = w, 24
			asRead(t, name, screens(t, o, w))
		}
	}
}

// asRead holds screens to the file that somebody has read.
func asRead(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs at: %s\nhint: look at the change, then run the test with -update", name, firstDifference(got, string(want)))
	}
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			return fmt.Sprintf("line %d\n%s", i+1, g[i])
		}
	}
	return fmt.Sprintf("line %d, where the new one ends", len(g))
}

// tiny is the session on the built-in training bay.
func tiny(t testing.TB) *coach.State {
	return session(t, "training-bay", "tiny", func(name string) ([]byte, error) { return os.ReadFile("testdata/" + name) })
}

func screens(t *testing.T, o screen.Options, w int) string {
	t.Helper()
	s := newScreen(t, o)
	st := tiny(t)
	var b strings.Builder
	for _, a := range tinyAnswers {
		q, lines, ok := s.Question(st)
		if !ok {
			t.Fatalf("the session ended before %q", a)
		}
		checkWidth(t, lines, w)
		print(&b, q, lines)
		fmt.Fprintf(&b, "=> %s\n", a)
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: a}
		if a == "stop" {
			ev = coach.Event{Type: coach.Stop}
		} else if rest, found := strings.CutPrefix(a, "~"); found {
			id, raw, _ := strings.Cut(rest, " ")
			ev = coach.Event{Type: coach.Correct, At: id, Raw: raw}
		}
		next, fb, err := st.Apply(ev)
		if err != nil {
			t.Fatalf("%q: %v", a, err)
		}
		out := s.Feedback(st, next, fb)
		checkWidth(t, out, w)
		for _, l := range out {
			b.WriteString(l.Text + "\n")
		}
		st = next
	}
	q, lines, _ := s.Question(st)
	print(&b, q, lines)
	for _, l := range s.End(st) {
		b.WriteString(l.Text + "\n")
	}
	return b.String()
}

func print(b *strings.Builder, q prompt.Question, lines []screen.Line) {
	for _, l := range lines {
		b.WriteString(l.Text + "\n")
	}
	fmt.Fprintf(b, ":: %s\n", q.Ask)
	for _, o := range q.Options {
		fmt.Fprintf(b, "   - %s\n", o.Label)
	}
}

// TestCoaching: the less coaching, the fewer rows; cautions and what is open stay.
func TestCoaching(t *testing.T) {
	st := tiny(t)
	for _, a := range tinyAnswers[:20] { // up to the ring's ends
		st, _ = answer(t, st, a)
	}
	st, _ = answer(t, st, "out")
	roles := func(c screen.Coaching) (question, feedback map[screen.Role]bool) {
		s := newScreen(t, screen.Options{Width: 80, Coaching: c})
		_, lines, _ := s.Question(st)
		next, fb := answer(t, st, "0.39 0.39 0.65")
		return rolesOf(lines), rolesOf(s.Feedback(st, next, fb))
	}
	for c, want := range map[screen.Coaching]struct{ why, expect, reason bool }{
		screen.Full: {true, true, true}, screen.Hints: {false, false, true}, screen.None: {false, false, false},
	} {
		q, fb := roles(c)
		if q[screen.Why] != want.why || q[screen.Expect] != want.expect || fb[screen.Reason] != want.reason {
			t.Errorf("coaching %d: why %t, expect %t, reason %t", c, q[screen.Why], q[screen.Expect], fb[screen.Reason])
		}
		for _, r := range []screen.Role{screen.Heading, screen.Caution, screen.Do, screen.Leads, screen.Open} {
			if !q[r] {
				t.Errorf("coaching %d: no line of role %d", c, r)
			}
		}
		if !fb[screen.Pass] {
			t.Errorf("coaching %d: no verdict", c)
		}
	}
}

func rolesOf(lines []screen.Line) map[screen.Role]bool {
	out := map[screen.Role]bool{}
	for _, l := range lines {
		out[l.Role] = true
	}
	return out
}

// TestEndTellsWhatIsLeft: whoever leaves is told what is open, what is live, and the
// emergency switch.
func TestEndTellsWhatIsLeft(t *testing.T) {
	s := newScreen(t, screen.Options{Width: 80})
	st := tiny(t)
	found := strings.Join(screen.Strings(s.End(st)), "\n")
	for _, want := range []string{"Nothing is open", "take everything as LIVE", "mushroom button E1 by the bay gate"} {
		if !strings.Contains(found, want) {
			t.Errorf("at the start: no %q in\n%s", want, found)
		}
	}
	for _, a := range tinyAnswers[:20] {
		st, _ = answer(t, st, a)
	}
	st, _ = answer(t, st, "out")
	found = strings.Join(screen.Strings(s.End(st)), "\n")
	for _, want := range []string{"Still open, tell the supervisor: board cover off; circuit 1: ring ends out", "Off and locked; TB1 proved dead"} {
		if !strings.Contains(found, want) {
			t.Errorf("ends out: no %q in\n%s", want, found)
		}
	}
}
