package coach_test

import (
	"fmt"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/sequences"
)

var cast = coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "4418",
	People: "everyone in the bay", Reason: "checked with the second instrument"}

// training is the whole board on the training bay's rig, cut to some circuits.
func training(t testing.TB, circuits ...string) coach.Setup {
	t.Helper()
	return trainingAt(t, rig.ShroudedPoints, circuits...)
}

// trainingAt is the same with the incoming side reached otherwise.
func trainingAt(t testing.TB, incoming rig.TestPoints, circuits ...string) coach.Setup {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "bs7671-2018-a4")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Load(lib, "training-bay")
	if err != nil {
		t.Fatal(err)
	}
	r.Isolation.Incoming = incoming
	if len(circuits) > 0 {
		var cs []rig.Circuit
		for _, id := range circuits {
			c, _ := r.Circuit(id)
			cs = append(cs, *c)
		}
		r.Circuits = cs
	}
	find := func(name string) (*sequence.Sequence, error) {
		b, err := lib.Read(name + ".yaml")
		if err != nil {
			return nil, err
		}
		return sequence.Parse(name+".yaml", b)
	}
	seq, err := find("whole-board")
	if err != nil {
		t.Fatal(err)
	}
	p, probs := sequence.Unroll(seq, r, sequence.Measured, find)
	for _, x := range probs {
		t.Error(x)
	}
	return coach.Setup{Program: p, Pack: pack}
}

func apply(t testing.TB, s *coach.State, ev coach.Event) *coach.State {
	t.Helper()
	next, _, err := s.Apply(ev)
	if err != nil {
		t.Fatal(err)
	}
	return next
}

// right answers what is asked rightly.
func right(t testing.TB, s *coach.State) *coach.State {
	t.Helper()
	q, _ := s.Question()
	return apply(t, s, coach.Event{Type: coach.Answer, At: q.ID, Raw: s.RightAnswer(cast)})
}

// drive answers rightly until the question is one that stop accepts.
func drive(t testing.TB, setup coach.Setup, stop func(coach.Question) bool) *coach.State {
	t.Helper()
	return onward(t, coach.New(setup), stop)
}

func onward(t testing.TB, s *coach.State, stop func(coach.Question) bool) *coach.State {
	t.Helper()
	for range 3000 {
		q, ok := s.Question()
		if ok && stop(q) {
			return s
		}
		if !ok {
			t.Fatalf("ended (%s) before that question came", s.Ended())
		}
		s = right(t, s)
	}
	t.Fatal("that question never came")
	return nil
}

// toEnd answers rightly to a complete end.
func toEnd(t testing.TB, s *coach.State) {
	t.Helper()
	for n := 0; s.Ended() == "" && n < 3000; n++ {
		s = right(t, s)
	}
	if s.Ended() != "complete" {
		t.Fatalf("right answers do not come to an end: %q", s.Ended())
	}
}

// written is a sequence written for a test, on the training bay's rig.
func written(t testing.TB, text string, args ...any) coach.Setup {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	base := training(t)
	seq, err := sequence.Parse("written.yaml", fmt.Appendf(nil, text, args...))
	if err != nil {
		t.Fatal(err)
	}
	origin := sequence.Declared
	p, probs := sequence.Unroll(seq, base.Program.Rig, origin, func(name string) (*sequence.Sequence, error) {
		b, err := lib.Read(name + ".yaml")
		if err != nil {
			return nil, err
		}
		return sequence.Parse(name+".yaml", b)
	})
	for _, x := range probs {
		t.Error(x)
	}
	return coach.Setup{Program: p, Pack: base.Pack}
}
