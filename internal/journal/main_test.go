package journal

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gofrs/flock"
)

// childMode names the environment variable that makes the test binary act as a
// second process instead of running tests.
const childMode = "WANDERLEAD_JOURNAL_CHILD"

func TestMain(m *testing.M) {
	if mode := os.Getenv(childMode); mode != "" {
		os.Exit(child(mode, os.Args[len(os.Args)-1]))
	}
	os.Exit(m.Run())
}

// children are the parts a second process can play; kill_test.go adds some.
var children = map[string]func(path string) error{
	// hold creates a record and keeps it until its input ends.
	"hold": func(path string) error {
		j, err := Create(path, sampleHeader())
		if err != nil {
			return err
		}
		fmt.Println("holding")
		_, _ = bufio.NewReader(os.Stdin).ReadByte()
		return j.Close()
	},
	// resume tries to open a record.
	"resume": func(path string) error {
		j, _, err := Open(path)
		if err != nil {
			return err
		}
		return j.Close()
	},
}

func child(mode, path string) int {
	if err := children[mode](path); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

func childCommand(t *testing.T, mode, path string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	must(t, err)
	cmd := exec.Command(self, path)
	cmd.Env = append(os.Environ(), childMode+"="+mode)
	cmd.Stderr = os.Stderr
	return cmd
}

func TestSecondProcessIsToldWhoHoldsIt(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "s.jsonl")
	holder := childCommand(t, "hold", path)
	in, err := holder.StdinPipe()
	must(t, err)
	out, err := holder.StdoutPipe()
	must(t, err)
	must(t, holder.Start())
	lines := bufio.NewReader(out)
	if said, err := lines.ReadString('\n'); said != "holding\n" {
		t.Fatalf("holder said %q, %v", said, err)
	}

	_, _, err = Open(path)
	held, ok := as[*HeldError](err)
	if !ok || held.PID != holder.Process.Pid || held.Since == "" {
		t.Errorf("%v, want held by process %d", err, holder.Process.Pid)
	} else if _, err := time.Parse(time.RFC3339, held.Since); err != nil || !strings.Contains(held.Error(), held.Since) {
		t.Errorf("since %q: %v; message %q", held.Since, err, held)
	}
	other, err := childCommand(t, "resume", path).Output()
	if want := fmt.Sprintf("is in use by process %d, started ", holder.Process.Pid); err == nil || !strings.Contains(string(other), want) {
		t.Errorf("another process: %q, %v; want %q", other, err, want)
	}
	if host, err := os.Hostname(); err == nil && len(host) > 3 {
		if data, _ := os.ReadFile(path + ".lock"); strings.Contains(string(data), host) {
			t.Errorf("lock file %q names the machine", data)
		}
	}
	if _, err := Verify(path); err != nil {
		t.Errorf("verify of a held record: %v", err)
	}

	must(t, in.Close())
	must(t, holder.Wait())
	j, _, err := Open(path)
	must(t, err)
	must(t, j.Close())
	if got := names(t, dir); got != "s.jsonl" {
		t.Errorf("folder holds %q, want the record alone", got)
	}
}

// Two journals of one process exclude each other too.
func TestSameProcessTwice(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.jsonl")
	j, err := Create(path, sampleHeader())
	must(t, err)
	_, _, err = Open(path)
	if held, ok := as[*HeldError](err); !ok || held.PID != os.Getpid() {
		t.Errorf("%v, want held by this process %d", err, os.Getpid())
	}
	_, err = j.Said(event(1))
	must(t, err)
	must(t, j.Close())
}

// A lock file left by a crash, or of any content, holds nobody up, and its text
// reaches no message.
func TestLeftOverLockFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.jsonl")
	start(t, path, 1)
	for _, text := range []string{"", "\x00pid 1 since 2020-01-01T00:00:00Z\n", "\x00pid \x1b[31m", strings.Repeat("pid ", 1000),
		"\x00pid 1 since 2020-01-01T00:00:00Z R. \x1b[31mPallister\n"} {
		must(t, os.WriteFile(path+".lock", []byte(text), 0o600))
		if h := parseHolder(path + ".lock"); h != nil && (h.PID > 1 || strings.ContainsRune(h.Error(), '\x1b')) {
			t.Errorf("%.20q read as %+v", text, h)
		}
		j, _, err := Open(path)
		must(t, err)
		if h := parseHolder(path + ".lock"); h == nil || h.PID != os.Getpid() {
			t.Errorf("over %.20q: lock file names %+v, want process %d", text, h, os.Getpid())
		}
		must(t, j.Close())
	}
}

// Who comes second to a file beside a record is told who has it, by name, whatever that name is made of.
func TestLockAs(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.overrides.jsonl")
	release, err := LockAs(path, " Ruth\x1b[31m  Pallister ")
	must(t, err)
	_, err = LockAs(path, "Somebody Else")
	held, ok := as[*HeldError](err)
	if !ok || held.PID != os.Getpid() || !strings.Contains(held.Error(), "Pallister, process") || strings.ContainsRune(held.Error(), '\x1b') {
		t.Errorf("%v", err)
	}
	must(t, release())
	release, err = LockAs(path, "Somebody Else")
	must(t, err)
	must(t, release())
	if _, err := os.Stat(path + ".lock"); !os.IsNotExist(err) {
		t.Errorf("the lock file stays: %v", err)
	}
}

// A lock taken on a file that its holder has just removed excludes nobody; it
// does not count.
func TestLockOnARemovedFile(t *testing.T) {
	name := filepath.Join(t.TempDir(), "s.jsonl.lock")
	old := flock.New(name)
	got, err := old.TryLock()
	if err != nil || !got {
		t.Fatal(got, err)
	}
	defer old.Close()
	if !stillNamed(old, name) {
		t.Error("a lock on the file of that name does not count")
	}
	if err := os.Remove(name); err != nil {
		t.Skip("an open file cannot be removed here: ", err)
	}
	if stillNamed(old, name) {
		t.Error("a lock on a removed file counts")
	}
	must(t, os.WriteFile(name, nil, 0o600))
	if stillNamed(old, name) {
		t.Error("a lock on a file that was replaced counts")
	}
}

// Many at once, each removing its lock file when it is done: never two inside.
func TestNeverTwoHolders(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.jsonl")
	var inside, entered atomic.Int32
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for range 400 {
				release, err := lockRecord(path)
				if _, held := as[*HeldError](err); held {
					continue
				}
				if err != nil {
					t.Error(err)
					return
				}
				if n := inside.Add(1); n != 1 {
					t.Errorf("%d holders at once", n)
				}
				entered.Add(1)
				runtime.Gosched() // let another remove it, if one can
				if _, err := os.Lstat(path + ".lock"); err != nil {
					t.Errorf("the lock file was taken from under its holder: %v", err)
				}
				inside.Add(-1)
				if err := release(); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if entered.Load() == 0 {
		t.Error("nobody ever got in")
	}
	t.Logf("%d got in", entered.Load())
}
