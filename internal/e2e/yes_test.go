package e2e

import (
	"fmt"
	"strings"
	"testing"

	"wanderlead/internal/coach"
)

const manyTimes = 10000

// opened lists what a record says was established or done by answers to safety
// questions from the event with number from on.
func opened(t *testing.T, path string, from int) []string {
	t.Helper()
	list, _ := turns(t, path)
	var out []string
	for _, u := range list[min(from, len(list)):] {
		if u.Type == "answer" && u.verdict() != "refused" {
			out = append(out, fmt.Sprintf("%s %q: %s", u.At, u.Raw, u.verdict()))
		}
	}
	return out
}

// TestYesChangesNothingAtAGate: at every safety question of every built-in sequence on
// the training bay, "y", "yes" and nothing leave the session where it is, so that any
// number of them does.
func TestYesChangesNothingAtAGate(t *testing.T) {
	seen := map[string]bool{}
	for _, seq := range []string{"whole-board", "lesson-isolation", "lesson-ring", "lesson-zs", "lesson-rcd"} {
		p := play(t, "", seq, "training-bay", "")
		for n := 0; p.st.Ended() == "" && n < most; n++ {
			q := p.due()
			if q.Gate {
				seen[q.ID] = true
				for _, raw := range []string{"y", "Y", "yes", "ok", "done", "", " "} {
					once := sayAt(t, p.st, raw)
					twice := sayAt(t, once, raw)
					now, _ := twice.Question()
					if now.ID != q.ID || once.Key() != twice.Key() {
						t.Errorf("%s: %q moves on from %s to %s", seq, raw, q.ID, now.ID)
					}
				}
			}
			p.step()
		}
	}
	if len(seen) < 40 {
		t.Errorf("only %d different safety questions came up", len(seen))
	}
}

func sayAt(t *testing.T, st *coach.State, raw string) *coach.State {
	t.Helper()
	next, _, err := st.Apply(coach.Event{Type: coach.Answer, Raw: raw})
	if err != nil {
		t.Fatal(err)
	}
	return next
}

// TestYesStreamScripted: ten thousand of them from an answers file, at a question with
// a typed answer and at a choice.
func TestYesStreamScripted(t *testing.T) {
	for _, c := range []struct {
		at   string
		code int
	}{{"safety/lock/number", 3}, {"safety/isolator/off", 2}} {
		t.Run(c.at, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			p := play(t, "", "whole-board", "training-bay", "")
			p.until(c.at)
			from := len(p.answers)
			text := p.file("", "") + strings.Repeat("  - {at: "+c.at+", say: \"y\"}\n", manyTimes)
			w.run(nil, "practise", "--answers", w.write("yes.yaml", text), "--journal", "yes.jsonl").must(t, c.code)
			if got := opened(t, w.path("yes.jsonl"), from); len(got) > 0 {
				t.Errorf("taken: %v", got[:1])
			}
		})
	}
}

// TestYesStreamPiped: standard input that is not a terminal never reaches a gate.
func TestYesStreamPiped(t *testing.T) {
	p := play(t, "", "whole-board", "training-bay", "")
	p.until("safety/supply/seen")
	right := ""
	for _, a := range p.answers {
		right += a.text + "\n"
	}
	for _, c := range []struct {
		name, before, arg string
		code              int
	}{
		{"from the start", "", "--plain", 2},
		{"at the first gate", right, "--plain", 3},
		{"at the first gate without --plain", right, "--no-color", 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			in := strings.NewReader(c.before + strings.Repeat("y\n\n", manyTimes/2))
			w.run(in, "practise", c.arg, "--journal", "yes.jsonl").must(t, c.code)
			list, _ := turns(t, w.path("yes.jsonl"))
			for _, u := range list {
				if strings.HasPrefix(u.At, "safety/") {
					t.Errorf("%s was answered", u.At)
				}
			}
		})
	}
}
