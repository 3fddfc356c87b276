package app

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/record"
	"wanderlead/sequences"
)

var update = flag.Bool("update", false, "rewrite the files that tests compare with")

const (
	testCode = "2468"
	answers  = "../../testdata/answers/"
)

// cast names what the scripts under testdata/answers say.
var cast = coach.Cast{
	Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "5520", People: "the bay, both neighbours",
	Reason: "looked at it again with the second instrument", TestedBy: "A. Learner", Instrument: "BY-07", Calibration: "2099-01-31",
}

func builtin(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// rightScript writes the answers file of somebody who does everything right.
func rightScript(t testing.TB, seq, rigName, incoming string) (string, int) {
	t.Helper()
	kit, err := record.Gather(builtin(t), seq, rigName, "", incoming)
	if err != nil {
		t.Fatal(err)
	}
	st := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack})
	var b strings.Builder
	fmt.Fprintf(&b, "# Everything right on rig %s: what is asked, in order, and what is answered.\n", rigName)
	fmt.Fprintf(&b, "# yaml-language-server: $schema=../../sequences/schema/answers.schema.json\n")
	fmt.Fprintf(&b, "rig: %s\nsequence: %s\nedition: bs7671-2018-a4\nseed: 1\nanswers:\n", rigName, seq)
	n, stage := 0, -1
	for st.Ended() == "" && n < 2000 {
		q, _ := st.Question()
		say := st.RightAnswer(cast)
		if q.Step >= 0 && kit.Program.Steps[q.Step].Stage != stage {
			stage = kit.Program.Steps[q.Step].Stage
			fmt.Fprintf(&b, "  # %s\n", kit.Program.Stages[stage].Title)
		}
		typed := say
		if say == "hash" {
			typed = testCode
		}
		fmt.Fprintf(&b, "  - {at: %s, say: %q}\n", q.ID, typed)
		next, fb, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: say})
		if err != nil || fb.Refused != "" {
			t.Fatalf("%s: %q: %v %s", q.ID, say, err, fb.Refused)
		}
		st = next
		n++
	}
	return b.String(), n
}

// The script is kept as a file, because people read it; the test says when a change
// of sequence, rig or safety rules has made it stale.
func TestWholeBoardScriptIsCurrent(t *testing.T) {
	got, n := rightScript(t, "whole-board", "training-bay", "")
	if n > 350 {
		t.Errorf("a right run of the whole board takes %d answers, more than 350", n)
	}
	golden(t, answers+"whole-board.yaml", got)
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != got {
		t.Errorf("%s is out of date; run with -update and read the difference", path)
	}
}
