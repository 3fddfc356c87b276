package lint

import (
	"slices"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
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

// TestLessonsReachTheirTest: within thirty right answers a single-test lesson is at the first reading of the test it is
// about, not only at that of its instrument, on every built-in rig it fits.
func TestLessonsReachTheirTest(t *testing.T) {
	lib := library(t, "")
	pack, err := edition.Load(lib, "")
	if err != nil {
		t.Fatal(err)
	}
	for lesson, tests := range map[string][]string{
		"lesson-continuity": {safety.TestLongLead}, "lesson-ring": {safety.TestEnds}, "lesson-insulation": {safety.TestInsulation},
		"lesson-zs": {safety.TestZs}, "lesson-rcd": {safety.TestRCD},
	} {
		on := 0
		for _, rigName := range []string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop", "reference"} {
			p, problems := sequence.Unroll(loadSeq(t, lib, lesson), loadRig(t, lib, rigName), sequence.Declared, sequence.NewFinder(lib))
			if len(problems) > 0 {
				continue // no circuit for it
			}
			on++
			if n := answersTo(t, coach.New(coach.Setup{Program: p, Pack: pack}), tests); n < 0 || n >= soonReading {
				t.Errorf("%s on %s: its first reading is answer %d, the most is %d", lesson, rigName, n+1, soonReading)
			} else {
				t.Logf("%s on %s: its first reading is answer %d", lesson, rigName, n+1)
			}
		}
		if on == 0 {
			t.Errorf("%s fits no built-in rig", lesson)
		}
	}
}

// answersTo counts the right answers before a reading of one of the tests is asked for, -1 when it never is.
func answersTo(t *testing.T, s *coach.State, tests []string) int {
	t.Helper()
	for n := 0; n < maxAnswers && s.Ended() == ""; n++ {
		q, ok := s.Question()
		if !ok {
			return -1
		}
		p := s.Program()
		if st := stepOf(p, q); q.Own && st != nil && st.Form == sequence.Read && st.Test >= 0 && slices.Contains(tests, p.Tests[st.Test].Name) {
			return n
		}
		next, fb, err := s.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: s.RightAnswer(rightCast)})
		if err != nil || fb.Refused != "" {
			t.Fatalf("%s: %v %s", q.ID, err, fb.Refused)
		}
		s = next
	}
	return -1
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
