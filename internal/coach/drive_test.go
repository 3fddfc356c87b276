package coach_test

import (
	"os"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/sequences"
)

func TestDriveRight(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "bs7671-2018-a4")
	if err != nil {
		t.Fatal(err)
	}
	find := func(name string) (*sequence.Sequence, error) {
		b, err := lib.Read(name + ".yaml")
		if err != nil {
			return nil, err
		}
		return sequence.Parse(name+".yaml", b)
	}
	names, _ := rig.Names(lib)
	for _, name := range names {
		r, err := rig.Load(lib, name)
		if err != nil {
			t.Fatal(err)
		}
		seq, err := find("whole-board")
		if err != nil {
			t.Fatal(err)
		}
		org := sequence.Measured
		if r.Isolation.At != rig.Upstream {
			org = sequence.Declared
		}
		p, probs := sequence.Unroll(seq, r, org, find)
		for _, x := range probs {
			t.Error(name, x.Error(), x.Hint)
		}
		s := coach.New(coach.Setup{Program: p, Pack: pack})
		cast := coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "4418", People: "everyone in the bay", Reason: "checked with the second instrument"}
		n := 0
		for n = 0; n < 1000 && s.Ended() == ""; n++ {
			q, _ := s.Question()
			a := s.RightAnswer(cast)
			next, fb, err := s.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: a})
			if err != nil {
				t.Fatal(err)
			}
			if os.Getenv("SHOW") == name {
				v := ""
				if fb.Verdict != nil {
					v = string(fb.Verdict.Verdict)
					if len(fb.Verdict.Reasons) > 0 {
						v += " " + fb.Verdict.Reasons[0].ID
					}
				}
				t.Log(q.ID, "=>", a, fb.Refused, v)
			}
			if fb.Refused != "" || fb.Class == coach.Fail || fb.Class == coach.Doubt {
				t.Errorf("%s: %s => %s refused=%s class=%s", name, q.ID, a, fb.Refused, fb.Class)
				if fb.Verdict != nil {
					t.Log(fb.Verdict.Reasons, fb.Verdict.Expected, fb.Verdict.Limits)
				}
			}
			s = next
		}
		t.Log(name, org, "steps", len(p.Steps), "answers", n, "ended", s.Ended())
	}
}
