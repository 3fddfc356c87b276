package checker_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/checker"
	"wanderlead/internal/checker/told"
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/sequences"
)

// paper is a record with what the checker is told of its rig.
type paper struct {
	name  string
	rig   *checker.Rig
	lines []checker.Line
}

// described is what the checker is told of the rig of a session.
func described(kit *record.Kit) *checker.Rig {
	x := told.Of(kit.Rig)
	x.FromRecord, x.MeasuresOrigin = kit.Sequence.FromRecord, kit.Incoming == "measured"
	return x
}

// played runs an answers file through the program, as a user would, and reads the
// record it left.
func played(t *testing.T, program, name string) paper {
	t.Helper()
	file := filepath.Join(t.TempDir(), name+".jsonl")
	out, err := exec.Command(program, "practise", "--answers", filepath.Join("../../testdata/answers", name+".yaml"), "--journal", file).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out[max(0, len(out)-1500):])
	}
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := journal.Read(f)
	if err != nil {
		t.Fatal(err)
	}
	kit, err := record.FromHeader(lines[0].Header)
	if err != nil {
		t.Fatal(err)
	}
	return paper{name, described(kit), checker.FromJournal(lines)}
}

func program(t *testing.T) string {
	t.Helper()
	bin := filepath.Join(t.TempDir(), "wanderlead.exe")
	if out, err := exec.Command("go", "build", "-o", bin, "wanderlead/cmd/wanderlead").CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	return bin
}

// rightRuns are the records of right answers to each built-in session on each rig
// that takes it, with the origin measured and declared.
func rightRuns(t *testing.T) []paper {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	rigs, err := rig.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	files, err := sequences.FS.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var out []paper
	for _, f := range files {
		name := strings.TrimSuffix(f.Name(), ".yaml")
		if !strings.HasPrefix(name, "lesson-") && !strings.HasPrefix(name, "whole-board") {
			continue
		}
		for _, r := range rigs {
			for _, origin := range []string{"measured", "declared"} {
				kit, err := record.Gather(lib, name, r, "", origin)
				if err != nil {
					continue // a lesson that this rig has no circuit for, or an origin it does not take
				}
				out = append(out, rightRun(t, kit, name+" on "+r+", "+origin))
			}
		}
	}
	return out
}

func rightRun(t *testing.T, kit *record.Kit, name string) paper {
	t.Helper()
	cast := coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "5520", People: "the bay, both neighbours",
		Reason: "seen with the second instrument", TestedBy: "A. Learner", Instrument: "BY-07", Calibration: "2027-01-31"}
	p := paper{name: name, rig: described(kit)}
	s := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack})
	for range 2000 {
		q, running := s.Question()
		if !running {
			break
		}
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: s.RightAnswer(cast)}
		next, fb, err := s.Apply(ev)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		l := checker.Line{Type: string(ev.Type), At: ev.At, Raw: ev.Raw}
		for _, g := range record.Given(fb, "") {
			l.Give(g)
		}
		p.lines, s = append(p.lines, l), next
	}
	if n := len(p.lines); n == 0 || p.lines[n-1].Params["ended"] != "complete" {
		t.Fatalf("%s: right answers do not complete it", name)
	}
	return p
}

// broken is the first thing wrong with a record, or nothing.
func broken(c checker.Checker, lines []checker.Line) string {
	for _, l := range lines {
		var bad []checker.Violation
		if c, bad = c.Step(l); len(bad) > 0 {
			return bad[0].String()
		}
	}
	return ""
}

// The records of right answers to everything built in break nothing, the strict rules
// included.
func TestRightAnswersHold(t *testing.T) {
	lines, papers := 0, rightRuns(t)
	for _, p := range papers {
		lines += len(p.lines)
		if bad := broken(checker.New(p.rig).Strict(), p.lines); bad != "" {
			t.Errorf("%s: %s", p.name, bad)
		}
	}
	t.Logf("%d records, %d lines", len(papers), lines)
}

// Nor do the records of both answers files, as the program leaves them. Of
// everything-wrong, each answer to a question of safety that was refused is noticed
// when it is taken.
func TestAnswersFilesHold(t *testing.T) {
	bin := program(t)
	for _, name := range []string{"whole-board", "everything-wrong"} {
		t.Run(name, func(t *testing.T) {
			p := played(t, bin, name)
			if bad := broken(checker.New(p.rig).Strict(), p.lines); bad != "" {
				t.Fatal(bad)
			}
			noticed, tried := refusedTaken(t, p)
			if tried == 0 && name == "everything-wrong" {
				t.Error("nothing was refused")
			}
			t.Logf("%d lines; %d of %d refused answers of safety noticed when taken", len(p.lines), noticed, tried)
		})
	}
}

func refusedTaken(t *testing.T, p paper) (noticed, tried int) {
	for i, l := range p.lines {
		if l.Verdict != "refused" || !strings.HasPrefix(l.At, "safety/") {
			continue
		}
		tried++
		changed := slices.Clone(p.lines)
		changed[i].Verdict, changed[i].Rule = "taken", ""
		if broken(checker.New(p.rig).Strict(), changed) != "" {
			noticed++
		} else {
			t.Errorf("line %d, %s %q: not noticed when taken", i+1, l.At, l.Raw)
		}
	}
	return noticed, tried
}

// A record to which something was done must be noticed: each kind of change, wherever
// it matters.
func TestChangedRecordsAreNoticed(t *testing.T) {
	papers := slices.DeleteFunc(rightRuns(t), func(p paper) bool { // as whole-board, with more of the same live readings
		return strings.HasPrefix(p.name, "whole-board-full")
	})
	for _, k := range changes {
		noticed, tried := 0, 0
		for _, p := range papers {
			c := checker.New(p.rig).Strict()
			for i, l := range p.lines {
				before := c
				c, _ = c.Step(l)
				for _, changed := range k.make(p, i) {
					tried++
					if broken(before, changed[i:]) != "" { // nothing is changed before line i
						noticed++
					} else {
						t.Errorf("%s: %s, line %d %s %q: not noticed", k.name, p.name, i+1, p.lines[i].At, p.lines[i].Raw)
					}
				}
			}
		}
		if tried == 0 {
			t.Errorf("%s: nothing to change", k.name)
		}
		t.Logf("%-62s %5d of %5d noticed", k.name, noticed, tried)
	}
}
