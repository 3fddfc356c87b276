//go:build unix

package e2e

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"testing"
	"time"

	"wanderlead/internal/journal"
)

// victim is one record that is worked on by one process after another, each broken off, until it is complete.
type victim struct {
	w    *world
	of   subject
	n    int // of the record
	file string
	acc  account
}

// next takes a new record.
func (v *victim) next() {
	v.n++
	v.file = fmt.Sprintf("%d.jsonl", v.n)
}

// lines of the record as it stands, nil when nothing of it is there yet. A file without a whole header is taken away, as the
// program says it should be.
func (v *victim) lines(t *testing.T) []journal.Line {
	t.Helper()
	lines, err := journal.ReadFile(v.w.path(v.file))
	var torn *journal.Torn
	var damage *journal.Damage
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case errors.As(err, &damage) && damage.Reason == journal.NoHeader, errors.As(err, &torn) && len(lines) == 0:
		if err := os.Remove(v.w.path(v.file)); err != nil {
			t.Fatal(err)
		}
		return nil
	case errors.As(err, &torn):
	case err != nil:
		t.Fatal(err)
	}
	return lines
}

// attempt is one process on the record: what is due when it starts, and what it printed.
type attempt struct {
	cmd  *exec.Cmd
	out  *bytes.Buffer
	errs *bytes.Buffer
	rest []due
	was  int // lines of the record at the start
}

// start readies a process that goes on with the record, or begins it; env is added to its surroundings.
func (v *victim) start(t *testing.T, env ...string) attempt {
	t.Helper()
	args := v.of.begin(v.w, v.file)
	lines := v.lines(t)
	begun := false
	for _, l := range lines {
		begun = begun || l.Said != nil
	}
	if lines != nil {
		args = v.of.again(v.file)
	}
	a := attempt{out: &bytes.Buffer{}, errs: &bytes.Buffer{}, was: len(lines)}
	if !begun && !isExam(v.of) && lines != nil {
		begun = true // taken up again before its first answer, which the record notes too
	}
	if !begun {
		lines = nil
	}
	var err error
	if a.rest, err = v.of.rest(lines); err != nil {
		t.Fatalf("record %s: %v", v.file, err)
	}
	if len(a.rest) > 0 { // else nothing is asked any more, and the record is closed
		v.w.write("answers.yaml", answersOf(a.rest))
		args = append(args, "--answers", "answers.yaml")
	}
	a.cmd = v.w.command(args...)
	a.cmd.Stdout, a.cmd.Stderr = a.out, a.errs
	a.cmd.Env = append(slices.Clone(a.cmd.Env), env...)
	return a
}

func isExam(s subject) bool { _, ok := s.(*examined); return ok }

// settle looks at what an attempt left: nothing that it acknowledged is lost, and a session that was broken off can be worked
// to its end from there. It reports whether the record is complete.
func (v *victim) settle(t *testing.T, a attempt, what string) (complete bool) {
	t.Helper()
	shown := shownOf(a.out.Bytes(), a.rest)
	acknowledged := max(0, shown-1)
	if bytes.Contains(a.out.Bytes(), []byte("Record: ")) {
		acknowledged = len(a.rest)
	}
	lines := v.lines(t)
	got, err := held(lines, a.was, a.rest, acknowledged)
	if err != nil {
		t.Fatalf("%s %s of record %s: %v\n%s", what, a.cmd.Args, v.file, err, a.errs)
	}
	if what == "killed" {
		v.acc.acknowledged += acknowledged
	}
	if lines == nil {
		v.acc.before++
		return false
	}
	if lines[len(lines)-1].Closed != nil {
		return true
	}
	if _, err := v.of.rest(lines); err != nil {
		t.Fatalf("%s %s of record %s: not taken up again after %d answers: %v", what, a.cmd.Args, v.file, got, err)
	}
	v.acc.resumed++
	return false
}

// finish works the record to its end undisturbed, and checks it whole.
func (v *victim) finish(t *testing.T) {
	t.Helper()
	if lines := v.lines(t); lines == nil || lines[len(lines)-1].Closed == nil {
		a := v.start(t)
		if err := a.cmd.Run(); err != nil {
			t.Fatalf("record %s, undisturbed: %v\n%s", v.file, err, a.errs)
		}
		if !v.settle(t, a, "undisturbed") {
			t.Fatalf("record %s is not closed at the end", v.file)
		}
	}
	_, closed := turns(t, v.w.path(v.file))
	if closed != "complete" {
		t.Fatalf("record %s is closed %q", v.file, closed)
	}
	v.w.run(nil, "verify", v.file).must(t, 0)
	v.acc.complete++
}

// subjects are the three kinds of session, in a world of their own each; without WANDERLEAD_LONG a short one at a rig.
func subjects(t *testing.T) map[string]*victim {
	if !long() {
		return map[string]*victim{"practise": {w: newWorld(t), of: newPractised(t, "lesson-isolation")}}
	}
	return map[string]*victim{
		"practise": {w: newWorld(t), of: newPractised(t, "lesson-ring")},
		"study":    {w: newWorld(t), of: newStudied(t)},
		"exam":     {w: newWorld(t), of: newExamined(t)},
	}
}

// killsWanted is the number of random kills of each kind of session: a third of WANDERLEAD_KILLS, else a few.
func killsWanted(t *testing.T) int {
	text := os.Getenv("WANDERLEAD_KILLS")
	if text == "" || !long() {
		return 2
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return (n + 2) / 3
}

// TestKilledAtRandomInstants: the program is killed (signal 9) at random instants of a session at a rig, at home and of an
// exam, and goes on with the same record, over and over, until that is complete. Whatever it had acknowledged (the next
// question stood on the screen) is in the record as it was typed, and the session can be worked to its end from there.
func TestKilledAtRandomInstants(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	for name, v := range subjects(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rnd := rand.New(rand.NewPCG(seed, 1))
			v.next()
			window := time.Second // the kills are spread over it; it comes to what a session takes here, now
			for v.acc.broken < killsWanted(t) {
				a := v.start(t)
				if err := a.cmd.Start(); err != nil {
					t.Fatal(err)
				}
				late := time.AfterFunc(time.Duration(rnd.Int64N(int64(window))), func() { _ = a.cmd.Process.Kill() })
				err := a.cmd.Wait()
				late.Stop()
				var exit *exec.ExitError
				if errors.As(err, &exit) && exit.Exited() {
					t.Fatalf("%v: %v\n%s", a.cmd.Args, err, a.errs)
				}
				what := "killed"
				if err == nil {
					what = "undisturbed"
					window = window * 4 / 5
				} else {
					v.acc.broken++
					window = window * 21 / 20
				}
				if v.settle(t, a, what) {
					v.finish(t)
					v.next()
				}
			}
			v.finish(t)
			t.Logf("%s: %d kills (%d before the record began), %d answers acknowledged, 0 lost; taken up again rightly %d times; %d records worked to their end and verified",
				name, v.acc.broken, v.acc.before, v.acc.acknowledged, v.acc.resumed, v.acc.complete)
			if v.acc.acknowledged == 0 && v.acc.broken > 20 {
				t.Error("nothing was ever acknowledged: the kills came too early to show anything")
			}
		})
	}
}
