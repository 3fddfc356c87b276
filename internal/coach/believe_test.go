package coach_test

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/record"
	"wanderlead/safety"
	"wanderlead/sequences"
)

// An earthing conductor that turns out to be off when the cover is on goes back on a
// board with its cover off, and the cover is in the ledger meanwhile; what was said
// at the gate before is asked anew, for hands have been inside.
func TestEarthingOffAtTheGateReopensTheBoard(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	kit, err := record.Gather(lib, "whole-board", "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	st := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack})
	say := func(raw string) {
		t.Helper()
		q, _ := st.Question()
		next, _, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: raw})
		if err != nil {
			t.Fatal(err)
		}
		st = next
	}
	cast := coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "5520", People: "the bay", Reason: "looked at again"}
	due := func() string { q, _ := st.Question(); return q.ID }
	for n := 0; n < 1000 && due() != "safety/installation/earthing"; n++ {
		say(st.RightAnswer(cast))
	}
	say("lifted")
	var asked []string
	covered := true
	for n := 0; n < 30 && due() != "safety/installation/switch-on"; n++ {
		asked = append(asked, due())
		if due() == "origin/earthing-back" {
			covered = true
			for _, it := range st.OpenItems() {
				covered = covered && it.Class != safety.Cover
			}
		}
		say(st.RightAnswer(cast))
	}
	if covered {
		t.Error("the earthing conductor was put back with the cover on")
	}
	want := []string{"origin/cover-off", "origin/earthing-back", "origin-done/board-cover/on", "safety/installation/covers",
		"safety/installation/loads", "safety/installation/earthing", "safety/installation/faults", "safety/installation/people", "safety/installation/code"}
	if len(asked) != len(want) {
		t.Fatalf("asked %v, want %v", asked, want)
	}
	for i := range want {
		if asked[i] != want[i] {
			t.Fatalf("asked %v, want %v", asked, want)
		}
	}
}
