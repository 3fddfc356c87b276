package study_test

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/record"
	"wanderlead/internal/study"
	"wanderlead/internal/study/pilot"
	"wanderlead/sequences"
)

const edition = "bs7671-2018-a4"

func library(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func setup(t testing.TB, rig, seq string) study.Setup {
	t.Helper()
	kit, err := record.Gather(library(t), seq, rig, edition, "")
	if err != nil {
		t.Fatal(err)
	}
	return study.Setup{Program: kit.Program, Pack: kit.Pack, Seed: 1, Start: study.Isolated}
}

func begin(t testing.TB, set study.Setup) *pilot.Pilot {
	t.Helper()
	s, err := study.New(set)
	if err != nil {
		t.Fatal(err)
	}
	return &pilot.Pilot{S: s}
}

var rigs = []string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop", "reference"}
var whole = []string{"whole-board", "whole-board-full", "lesson-ring", "lesson-rcd", "lesson-zs", "lesson-insulation", "lesson-continuity"}

// TestHealthyRigsComplete: worked right, every sequence on every rig that suits it ends complete, every reading passed.
func TestHealthyRigsComplete(t *testing.T) {
	for _, r := range rigs {
		for _, q := range whole {
			kit, err := record.Gather(library(t), q, r, edition, "")
			if err != nil {
				continue // not a sequence for this rig
			}
			set := study.Setup{Program: kit.Program, Pack: kit.Pack, Seed: 1, Start: study.Isolated}
			s, err := study.New(set)
			if err != nil {
				continue
			}
			p := &pilot.Pilot{S: s}
			p.Run(nil)
			if p.Err != nil || p.S.Ended() != "complete" {
				i, _ := p.S.Next()
				t.Errorf("%s on %s: %v, ended %q, refused %v, at %s", q, r, p.Err, p.S.Ended(), p.Refused, p.S.Sheet().State().Program().Steps[i].ID)
				for _, res := range p.S.Sheet().State().Results() {
					if c := p.S.Sheet().ClassOf(res.ID); c != coach.Pass && c != coach.None {
						e := res.Latest()
						t.Logf("   %s %s %q %v", res.ID, c, e.Raw, e.Verdict)
					}
				}
			} else {
				t.Logf("%s on %s: %d answers", q, r, len(p.Events))
			}
		}
	}
}

var _ = faults.Kinds
