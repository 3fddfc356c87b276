package screen_test

import (
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/screen"
)

// TestEndsTakenAnew: ring ends read with a join of a crossed test still in name that join first; when all three are taken
// anew nothing is expected of r2 from an r1 that counts no longer, and once a new r1 stands, something is.
func TestEndsTakenAnew(t *testing.T) {
	s := newScreen(t, screen.Options{Width: 80})
	shows := func(st *coach.State) string {
		_, lines, _ := s.Question(st)
		return text(lines)
	}
	st := tiny(t)
	for _, a := range tinyAnswers[:20] { // up to the ring's ends
		st, _ = answer(t, st, a)
	}
	st, _ = answer(t, st, "out")
	if strings.Contains(shows(st), "r2 about") {
		t.Errorf("r2 is expected before r1 is read:\n%s", shows(st))
	}
	next, fb := answer(t, st, "0.26 0.42 0.26")
	if said := text(s.Feedback(st, next, fb)); !strings.Contains(said, "L-E joins") || !strings.Contains(said, "Take every join out") {
		t.Errorf("the joins are not named:\n%s", said)
	}
	st, _ = answer(t, next, "lead")
	if q, _ := st.Question(); !strings.Contains(q.ID, "/ends") {
		t.Fatalf("after a lead put right %s is asked", q.ID)
	}
	if strings.Contains(shows(st), "r2 about") {
		t.Errorf("r2 is expected from the r1 that was taken back:\n%s", shows(st))
	}
	st, _ = answer(t, st, "0.40")
	if !strings.Contains(shows(st), "r2 about 0.65") {
		t.Errorf("with r1 0.40 nothing is expected of r2:\n%s", shows(st))
	}
}

// TestVoltageFoundIsTaken: what is found where it should be dead is not headed as an answer that was turned down.
func TestVoltageFoundIsTaken(t *testing.T) {
	s, st := newScreen(t, screen.Options{Width: 80}), tiny(t)
	for range 60 {
		q, ok := st.Question()
		if !ok {
			break
		}
		raw := st.RightAnswer(cast)
		if strings.Contains(q.TextID, "ask.pairs") {
			raw = "L-N 230 L-E nothing N-E nothing"
		}
		next, fb := answer(t, st, raw)
		if fb.Refused == "voltage-found" {
			said := text(s.Feedback(st, next, fb))
			if !strings.Contains(said, "LIVE: Voltage was found") || strings.Contains(said, "Not accepted") {
				t.Errorf("a voltage that was found is said so:\n%s", said)
			}
			return
		}
		st = next
	}
	t.Error("no pairs were asked")
}

func text(lines []screen.Line) string {
	var out []string
	for _, l := range lines {
		out = append(out, strings.TrimSpace(l.Text))
	}
	return strings.Join(out, " ")
}
