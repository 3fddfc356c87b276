package study_test

import (
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/record"
	"wanderlead/internal/study"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

func faulty(t *testing.T, ps ...faults.Planting) *study.State {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	kit, err := record.Gather(lib, "whole-board", "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	st, err := study.New(study.Setup{Program: kit.Program, Pack: kit.Pack, Plantings: ps, Seed: 3, Start: study.Isolated})
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// say answers questions in order and gives the last feedback.
func say(t *testing.T, st *study.State, answers ...string) (*study.State, study.Feedback) {
	t.Helper()
	var fb study.Feedback
	for _, a := range answers {
		q, ok := st.Question()
		if !ok {
			t.Fatal("the session has ended")
		}
		var err error
		if st, fb, err = st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: a}); err != nil {
			t.Fatal(err)
		}
	}
	return st, fb
}

// TestEveryFaultCanBeNamed: for each kind of fault exactly one answer in three parts is right, found by trying them all,
// up to the ends between which a cpc of the wrong size lies.
func TestEveryFaultCanBeNamed(t *testing.T) {
	lib, _ := content.NewLibrary(sequences.FS, "")
	kit, err := record.Gather(lib, "whole-board", "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range faults.Kinds() {
		t.Run(k.ID, func(t *testing.T) {
			circuit := ""
			for i := range kit.Rig.Circuits {
				if c := kit.Rig.Circuits[i].ID; faults.Fits(kit.Rig, c, k.ID) == nil {
					circuit = c
					break
				}
			}
			p, err := faults.Settle(kit.Rig, faults.Planting{Kind: k.ID, Circuit: circuit})
			if err != nil {
				t.Skip("this rig cannot have it: ", err)
			}
			st := faulty(t, p)
			if circuit != "" && circuit != kit.Rig.Circuits[0].ID {
				st, _ = say(t, st, "circuit", circuit)
			}
			st, _ = say(t, st, "name")
			right := 0
			var where []string
			q, _ := st.Question()
			for _, o := range q.Options {
				if o.Say == "back" {
					continue
				}
				s1, _ := say(t, st, o.Say)
				cores, _ := s1.Question()
				for _, c := range cores.Options {
					if c.Say == "back" {
						continue
					}
					s2, _ := say(t, s1, c.Say)
					kinds, _ := s2.Question()
					for _, x := range kinds.Options {
						if x.Say == "back" {
							continue
						}
						if _, fb := say(t, s2, x.Say); fb.Found.Right() {
							right++
							where = append(where, o.Say+" "+c.Say+" "+x.Say)
						}
					}
				}
			}
			if right != 1 && k.ID != "F19" || right == 0 {
				t.Errorf("%d answers are right: %v", right, where)
			}
			if _, fb := say(t, st, "nowhere", "none", "open"); fb.Found.Right() || fb.Found.Fault == nil {
				t.Error("nothing wrong is taken for right")
			}
		})
	}
}

// TestHints: a question back, where to look, the answer; each in the catalogue of words, and begun again at the next step.
func TestHints(t *testing.T) {
	st := faulty(t)
	var ids []string
	for range 4 {
		var fb study.Feedback
		st, fb = say(t, st, "hint")
		ids = append(ids, fb.Notes[0].ID)
	}
	if !strings.HasPrefix(ids[0], "study.hint.ask.") || !strings.HasPrefix(ids[1], "study.hint.look.") || ids[2] != "study.next.step" || ids[3] != "study.next.step" {
		t.Errorf("hints %v", ids)
	}
	lib, _ := content.NewLibrary(sequences.FS, "")
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range cat.IDs() {
		if test, ok := strings.CutPrefix(id, "study.hint.ask."); ok && !cat.Has("study.hint.look."+test) {
			t.Errorf("%s has no second step", id)
		}
	}
	if !slices.ContainsFunc(cat.IDs(), func(id string) bool { return id == ids[0] }) {
		t.Errorf("no text %s", ids[0])
	}
}
