package lint

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// driveRight works a sequence through with right answers and fails the test on any problem.
func driveRight(t *testing.T, name, rigName string, o sequence.Origin) (Drive, *sequence.Program) {
	t.Helper()
	lib := library(t, "")
	return driveOn(t, loadSeq(t, lib, name), loadRig(t, lib, rigName), o, sequence.NewFinder(lib))
}

func driveOn(t *testing.T, s *sequence.Sequence, r *rig.Rig, o sequence.Origin, find sequence.Finder) (Drive, *sequence.Program) {
	t.Helper()
	pack, err := edition.Load(library(t, ""), "")
	if err != nil {
		t.Fatal(err)
	}
	p, problems := sequence.Unroll(s, r, o, find)
	for _, x := range problems {
		t.Error(x)
	}
	l := &linter{pack: pack}
	d := l.driven(p, coach.New(coach.Setup{Program: p, Pack: pack}))
	for _, x := range l.problems {
		if !x.Remark {
			t.Error(x.Error)
		}
	}
	return d, p
}

// TestLessons: a single-test lesson is short, reaches its end, and goes live only where it means to.
func TestLessons(t *testing.T) {
	for _, c := range []struct {
		name string
		live bool
		most int // answers
	}{
		{"lesson-isolation", false, 15}, {"lesson-continuity", false, 40}, {"lesson-ring", false, 50},
		{"lesson-insulation", false, 40}, {"lesson-zs", true, 60}, {"lesson-rcd", true, 60},
	} {
		d, p := driveRight(t, c.name, "training-bay", sequence.Declared)
		t.Logf("%s: %d answers, first reading after %d", c.name, d.Answers, d.FirstReading)
		if d.Ended != "complete" || d.GatePassed != c.live {
			t.Errorf("%s: ended %q, gate passed %v", c.name, d.Ended, d.GatePassed)
		}
		if d.FirstReading > soonReading || d.Answers > c.most {
			t.Errorf("%s: first reading after %d answers of %d, the most are %d and %d", c.name, d.FirstReading, d.Answers, soonReading, c.most)
		}
		for _, st := range p.Steps {
			if st.Want.Kind.Live() && !c.live {
				t.Errorf("%s: live step %s", c.name, st.ID)
			}
		}
	}
}
