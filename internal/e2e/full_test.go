//go:build unix

package e2e

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"wanderlead/internal/journal"
)

// long reports whether the whole of a figure is asked for.
func long() bool { return os.Getenv("WANDERLEAD_LONG") != "" }

// TestDiskFull: no file may grow beyond a size, tried all over the length of a record; a write that goes past it is cut off in
// the middle, as on a full disk. The program says so and ends; what it had acknowledged is in the record, and once there is
// room the session is worked to its end.
func TestDiskFull(t *testing.T) {
	tries := 1
	if long() {
		tries = 60
	}
	for name, v := range subjects(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rnd := rand.New(rand.NewPCG(7, 7))
			v.next()
			v.finish(t)
			size := func() int64 {
				info, err := os.Stat(v.w.path(v.file))
				if err != nil {
					return 0
				}
				return info.Size()
			}
			whole, full := size(), 0
			for range tries {
				v.next()
				v.of.begin(v.w, v.file) // an exam is prepared while there is room
				least := size()
				if v.of.begin(v.w, v.file); least == 0 && rnd.IntN(4) > 0 {
					least = int64(len(headerOf(t, v.w)))
				}
				limit := least + rnd.Int64N(whole-least)
				a := v.start(t, fileSize+"="+strconv.FormatInt(limit, 10))
				err := a.cmd.Run()
				var exit *exec.ExitError
				if !errors.As(err, &exit) || exit.ExitCode() != 2 || bytes.Contains(a.errs.Bytes(), []byte("goroutine ")) {
					t.Fatalf("with room for %d of %d bytes: %v\n%s", limit, whole, err, a.errs)
				}
				if text := a.errs.String(); !strings.Contains(text, "could not be stored (write)") || !strings.Contains(text, "hint: ") {
					t.Errorf("with room for %d of %d bytes it does not say what is wrong: %s", limit, whole, text)
				}
				full++
				v.settle(t, a, "killed")
				v.finish(t)
			}
			t.Logf("%s: disk full %d times (%d before the record began), %d answers acknowledged, 0 lost; taken up again rightly %d times; %d records worked to their end and verified",
				name, full, v.acc.before, v.acc.acknowledged, v.acc.resumed, v.acc.complete)
		})
	}
}

// headerOf is the first line of the first record of a world.
func headerOf(t *testing.T, w *world) []byte {
	t.Helper()
	data, err := os.ReadFile(w.path("1.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	line, _, _ := bytes.Cut(data, []byte("\n"))
	return line
}

// TestReadOnlyFolder: where nothing can be written nothing is begun, prepared or taken up again, and it is said with a way out;
// what only reads works.
func TestReadOnlyFolder(t *testing.T) {
	w := newWorld(t)
	p := &victim{w: w, of: newPractised(t, "lesson-isolation")}
	p.file = "ro/s.jsonl"
	w.write("ro/keep", "")
	w.write("pass", passphrase+"\n")
	rest, err := p.of.rest(nil)
	if err != nil {
		t.Fatal(err)
	}
	w.write("some.yaml", answersOf(rest[:10]))
	w.run(nil, append(p.of.begin(w, p.file), "--answers", "some.yaml")...).must(t, 2)
	before, err := os.ReadFile(w.path(p.file))
	if err != nil {
		t.Fatal(err)
	}
	as := asNobody(t, w)
	if err := os.Chmod(w.path("ro"), 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(w.path("ro"), 0o755) })
	for _, c := range []struct {
		args []string
		code int
	}{
		{[]string{"practise", "--journal", "ro/new.jsonl", "--answers", "some.yaml"}, 2},
		{[]string{"study", "--journal", "ro/new.jsonl", "--answers", "some.yaml"}, 2},
		{[]string{"resume", "ro/s.jsonl", "--answers", "some.yaml"}, 2},
		{[]string{"assess", "prepare", "ring-dead", "--candidates", "C-01", "--setting", "alone", "--dir", "ro", "--passphrase-file", "pass", "--seal-work", "6"}, 2},
		{[]string{"report", "ro/s.jsonl", "--pdf", "ro/new.pdf"}, 2},
		{[]string{"verify", "ro/s.jsonl"}, 0},
		{[]string{"report", "ro/s.jsonl", "--json"}, 0},
	} {
		r := as(c.args...)
		if r.code != c.code {
			t.Errorf("%v: exit %d, want %d: %s", c.args, r.code, c.code, r.err)
		}
		if c.code != 0 && (!strings.Contains(r.err, "permission denied") || !strings.Contains(r.err, "hint: ")) {
			t.Errorf("%v does not say what is wrong and what would help: %s", c.args, r.err)
		}
	}
	if after, err := os.ReadFile(w.path(p.file)); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the record was changed: %v", err)
	}
	if entries, _ := os.ReadDir(w.path("ro")); len(entries) != 2 {
		t.Errorf("left in the folder: %v", entries)
	}
}

// asNobody runs the program with the rights of an ordinary user, whom modes of files stop.
func asNobody(t *testing.T, w *world) func(args ...string) ran {
	t.Helper()
	if os.Geteuid() != 0 {
		return func(args ...string) ran { return w.run(nil, args...) }
	}
	const nobody = 65534
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(self)
	if err != nil {
		t.Fatal(err)
	}
	program := w.path("bin/wanderlead")
	if err := errors.Join(os.MkdirAll(w.path("bin"), 0o755), os.WriteFile(program, data, 0o755), os.Chmod(filepath.Dir(w.dir), 0o755)); err != nil {
		t.Fatal(err)
	}
	err = filepath.Walk(w.dir, func(path string, _ os.FileInfo, err error) error {
		return errors.Join(err, os.Chown(path, nobody, nobody))
	})
	if err != nil {
		t.Fatal(err)
	}
	return func(args ...string) ran {
		cmd := exec.Command(program, args...)
		cmd.Dir, cmd.Env = w.dir, w.env
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		if err := cmd.Run(); cmd.ProcessState == nil {
			t.Skip("no process with fewer rights may be started here: ", err)
		}
		return ran{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
	}
}

// TestClockGoingBack: a session whose clock stands before its last entry goes on, says so once, and counts its entries by
// number; verify says where it was.
func TestClockGoingBack(t *testing.T) {
	for name, v := range subjects(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v.next()
			a := v.start(t, clockAt+"=2027-03-01T10:00:00Z")
			v.w.write("answers.yaml", answersOf(a.rest[:10]))
			_ = a.cmd.Run() // the answers run out
			was := v.lines(t)
			if len(was) < 12 {
				t.Fatalf("%d lines\n%s", len(was), a.errs)
			}
			a = v.start(t, clockAt+"=2027-02-28T22:00:00Z")
			if err := a.cmd.Run(); err != nil {
				t.Fatalf("%v\n%s", err, a.errs)
			}
			told := strings.Count(strings.Join(strings.Fields(a.out.String()), " "), "The clock of this machine shows 2027-02-28 22:00:0")
			if told != 1 {
				t.Errorf("said %d times that the clock went back", told)
			}
			v.settle(t, a, "undisturbed")
			v.finish(t)
			n := 0
			for _, l := range v.lines(t) {
				if l.Said == nil {
					continue
				}
				if n++; l.Said.Seq != n {
					t.Errorf("event %d has number %d", n, l.Said.Seq)
				}
			}
			r := v.w.run(nil, "verify", v.file).must(t, 0)
			if strings.Count(r.out, "the clock went back before event ") != 1 {
				t.Error(r.out)
			}
		})
	}
}

// TestSecondProcess: while one process has a record, another that would go on with it is told which process that is, and
// changes nothing.
func TestSecondProcess(t *testing.T) {
	for name, v := range subjects(t) {
		t.Run(name, func(t *testing.T) {
			v.next()
			a := v.start(t)
			v.w.write("answers.yaml", answersOf(a.rest[:5]))
			_ = a.cmd.Run()
			j, lines, err := journal.Open(v.w.path(v.file))
			if err != nil {
				t.Fatal(err)
			}
			defer j.Close()
			v.w.write("answers.yaml", answersOf(a.rest[5:]))
			r := v.w.run(nil, append(v.of.again(v.file), "--answers", "answers.yaml")...).must(t, 2)
			if want := "is in use by process " + strconv.Itoa(os.Getpid()) + ", started 2"; !strings.Contains(r.err, want) {
				t.Errorf("%q does not say %q", r.err, want)
			}
			if after := v.lines(t); len(after) != len(lines) {
				t.Errorf("%d lines were added", len(after)-len(lines))
			}
		})
	}
}
