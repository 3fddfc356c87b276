package coach_test

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/safety"
)

// What opens a gate is a pass, or a doubt that the supervisor accepted. These tests
// try what looks like one.

func at(id string) func(coach.Question) bool {
	return func(q coach.Question) bool { return q.ID == id }
}

func TestLimitationInAGroupOpensNothing(t *testing.T) {
	for _, word := range []string{"limitation: the end could not be reached", "not tested: no time was left"} {
		s := drive(t, training(t, "ring-1"), at("ring-1/ends"))
		s = apply(t, s, coach.Event{Type: coach.Answer, At: "ring-1/ends/rn", Raw: word})
		s = apply(t, s, coach.Event{Type: coach.Answer, At: "ring-1/ends/r1", Raw: "0.39"})
		s = apply(t, s, coach.Event{Type: coach.Answer, At: "ring-1/ends/r2", Raw: "0.65"})
		s = onward(t, s, func(q coach.Question) bool {
			return q.ID == "gate/tests" || q.Step >= 0 && s.Facts().Supply == safety.Incoming
		})
		if q, _ := s.Question(); q.ID != "gate/tests" {
			t.Errorf("%q: the session came to %s, supply %s; the gate should be shut", word, q.ID, s.Facts().Supply)
		}
	}
}

func TestNotApplicableNeedsTheRig(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/continuity"))
	next, fb, err := s.Apply(coach.Event{Type: coach.Answer, At: "radial-1/continuity", Raw: "n/a"})
	if err != nil || fb.Refused != "not-applicable" {
		t.Errorf("n/a on R1+R2: %v, refused %q", err, fb.Refused)
	}
	if q, _ := next.Question(); q.ID != "radial-1/continuity" {
		t.Errorf("next question %s", q.ID)
	}
}

func TestWrongSwitchLeavesNothingKnown(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("safety/incoming/switch-on"))
	s = apply(t, s, coach.Event{Type: coach.Answer, At: "safety/incoming/switch-on", Raw: "wrong-switch"})
	if f := s.Facts(); f.Supply != safety.Found || f.MainLocked || f.BoardDead {
		t.Errorf("after closing another switch the facts are %+v", f)
	}
	if q, _ := s.Question(); q.ID != "safety/isolator/off" {
		t.Errorf("asked %s, isolation should come next", q.ID)
	}
}

func TestAFailIsNotClearedByTryingAgain(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/continuity"))
	s = apply(t, s, coach.Event{Type: coach.Answer, Raw: "0.17 0.31 >1999"})
	q, _ := s.Question()
	if q.TextID != "ask.fail" {
		t.Fatalf("after an open reading %s was asked", q.ID)
	}
	for _, o := range q.Options {
		if o.Value == "repeat" || o.Value == "go-on" {
			t.Errorf("a fail offers %q", o.Value)
		}
	}
}

func TestCorrectionAfterAGateIsolatesFirst(t *testing.T) {
	s := drive(t, training(t, "radial-1"), at("radial-1/zs/s3"))
	if s.Facts().Supply != safety.On {
		t.Fatal("not live yet")
	}
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/insulation/L-E", Raw: "0.4"})
	if q, _ := s.Question(); q.ID != "safety/supply/seen" {
		t.Errorf("a dead reading no longer passes while live: asked %s", q.ID)
	}
	s = drive(t, training(t, "radial-1"), at("radial-1/zs/s3"))
	s = apply(t, s, coach.Event{Type: coach.Correct, At: "radial-1/insulation/L-E", Raw: "250"})
	if q, _ := s.Question(); q.ID != "radial-1/zs/s3" {
		t.Errorf("a correction that still passes led to %s", q.ID)
	}
}
