package coach_test

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/record"
	"wanderlead/safety"
	"wanderlead/sequences"
)

// A live reading that a wrong correction had put in doubt passes again once the right
// reading is back, whichever way it came back.
func TestRepeatJudgesAgainWhatReliedOnIt(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	kit, err := record.Gather(lib, "whole-board", "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	st := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack})
	apply := func(ev coach.Event) {
		t.Helper()
		next, _, err := st.Apply(ev)
		if err != nil {
			t.Fatal(err)
		}
		st = next
	}
	cast := coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "5520", People: "the bay", Reason: "looked at again"}
	class := func(id string) coach.Class {
		for _, r := range st.Results() {
			if r.ID == id {
				return r.Class
			}
		}
		t.Fatalf("no reading %s", id)
		return coach.None
	}
	right := func(until func() bool) {
		t.Helper()
		for n := 0; n < 2000 && st.Ended() == "" && !until(); n++ {
			q, _ := st.Question()
			apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)})
		}
	}
	const loop, relied = "radial-1/zs/s3", "radial-1/continuity/s3"
	right(func() bool { return class(loop) == coach.Pass })
	apply(coach.Event{Type: coach.Correct, At: relied, Raw: "4.20"})
	if class(loop) != coach.Doubt {
		t.Fatalf("%s is %s after %s was corrected to 4.20 Ω, want doubt", loop, class(loop), relied)
	}
	right(func() bool { return st.Facts().Supply == safety.On && class(relied) == coach.Pass })
	if class(loop) != coach.Pass {
		t.Errorf("%s is %s after %s reads as it should again, want pass", loop, class(loop), relied)
	}
}
