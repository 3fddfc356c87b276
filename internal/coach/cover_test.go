package coach_test

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/record"
	"wanderlead/safety"
	"wanderlead/sequences"
)

// A dead test that is done again after the board was closed and live takes the cover
// off again first, and the ledger holds the cover until it is back: hands behind a
// cover that the record says is on would reach the next gate unseen.
func TestRedoAfterTheGateOpensTheBoard(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, rigName := range []string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop"} {
		kit, err := record.Gather(lib, "whole-board", rigName, "", "")
		if err != nil {
			t.Fatal(err)
		}
		st := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack})
		steps := kit.Program.Steps
		apply := func(ev coach.Event) {
			t.Helper()
			next, _, err := st.Apply(ev)
			if err != nil {
				t.Fatal(err)
			}
			st = next
		}
		cast := coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "5520", People: "the bay", Reason: "looked at again"}
		worst := "" // a dead reading that can be corrected into a fail
		for n := 0; n < 2000 && st.Ended() == ""; n++ {
			q, _ := st.Question()
			if q.Step >= 0 && steps[q.Step].Want.Kind == safety.DeadTest && q.Own && worst == "" && steps[q.Step].Circuit >= 0 && len(q.PartIDs) > 0 {
				worst = q.PartIDs[0]
			}
			if st.Facts().Supply == safety.On && q.Step >= 0 && steps[q.Step].Want.Kind == safety.LiveTest {
				break
			}
			apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)})
		}
		apply(coach.Event{Type: coach.Correct, At: worst, Raw: ">99.9"})
		touched := 0
		for n := 0; n < 100 && (n < 3 || st.Facts().Supply != safety.On) && st.Ended() == ""; n++ {
			q, _ := st.Question()
			if q.Step >= 0 && q.Own && steps[q.Step].Want.Board && steps[q.Step].Opens >= 0 && steps[q.Step].Want.Kind != safety.TakeOffCover {
				touched++
				off := false
				for _, it := range st.OpenItems() {
					off = off || it.Class == safety.Cover && it.Circuit < 0
				}
				if !off {
					t.Errorf("%s: %s is asked with the cover of the board on", rigName, q.ID)
				}
			}
			apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)})
		}
		if touched == 0 {
			t.Errorf("%s: after the correction of %s nothing at the board was done again, so this test shows nothing", rigName, worst)
		}
		if st.Facts().Supply != safety.On {
			t.Errorf("%s: right answers do not lead back to the installation gate", rigName)
		}
	}
}
