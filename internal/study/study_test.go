package study_test

import (
	"os"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/record"
	"wanderlead/internal/sequence"
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

// cut is the setup with some circuits alone on the board, on a rig that the seed makes if it is not 0.
func cut(t testing.TB, rigName, seq string, seed uint64, circuits ...string) study.Setup {
	t.Helper()
	kit, err := record.Gather(library(t), seq, rigName, edition, "")
	if err != nil {
		t.Fatal(err)
	}
	r := kit.Rig
	if seed > 0 {
		r = study.Made(r, seed)
	}
	if r, err = study.Only(r, circuits...); err != nil {
		t.Fatal(err)
	}
	if kit, err = kit.WithRig(r); err != nil {
		t.Fatal(err)
	}
	return study.Setup{Program: kit.Program, Pack: kit.Pack, Seed: max(seed, 1), Start: study.Isolated}
}

// TestSeeds: on rigs that seeds make, worked right, every reading of a healthy circuit passes; with a fault, what is
// found is repaired and the session ends complete.
func TestSeeds(t *testing.T) {
	n := uint64(24)
	if os.Getenv("WANDERLEAD_LONG") != "" {
		n = 2000
	}
	circuits := []string{"ring-1", "radial-1", "lighting-1", "cooker-1", "ring-2", "radial-2", "lighting-2", "shower-1"}
	found, planted := 0, 0
	for seed := uint64(1); seed <= n; seed++ {
		c := circuits[seed%uint64(len(circuits))]
		set := cut(t, "training-bay", "whole-board-full", seed, c)
		p := begin(t, set)
		p.Run(nil)
		if p.Err != nil || p.S.Ended() != "complete" {
			t.Fatalf("seed %d, %s, healthy: %v, ended %q, refused %v, %s", seed, c, p.Err, p.S.Ended(), p.Refused, unpassed(p))
		}
		set.Plantings = faults.Seeded(set.Program.Rig, seed, 1, nil)
		p = begin(t, set)
		p.Mend = true
		p.Run(nil)
		planted++
		if len(p.Found) > 0 {
			found++
		}
		if p.Err != nil || p.S.Ended() != "complete" && len(p.Refused) == 0 {
			t.Fatalf("seed %d, %s, %v: %v, ended %q, refused %v, found %v, %s", seed, c, set.Plantings, p.Err, p.S.Ended(), p.Refused, p.Found, unpassed(p))
		}
		if p.S.Ended() != "complete" {
			t.Logf("seed %d, %s, %v: refused %v, found %v", seed, c, set.Plantings, p.Refused, p.Found)
		}
	}
	t.Logf("%d seeds: healthy all passed; %d of %d planted faults found by the readings of the sequence", n, found, planted)
}

func unpassed(p *pilot.Pilot) string {
	out := ""
	for _, r := range p.S.Sheet().State().Results() {
		if c := p.S.Sheet().ClassOf(r.ID); c != coach.Pass && r.Latest() != nil {
			out += r.ID + " " + r.Latest().Raw + " " + c.String() + "; "
		}
	}
	return out
}

// stopAt stops before the step of that id.
func stopAt(id string) func(*sequence.Step) bool {
	return func(st *sequence.Step) bool { return st.ID == id }
}
