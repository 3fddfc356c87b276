//go:build unix

package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

func init() {
	// write adds events until it is killed, and prints each number once the
	// event is acknowledged.
	children["write"] = func(path string) error { return writeOn(osDisk{}, path, 1<<30) }
	// boundary does the same for a few events on a disk that kills the process
	// at one operation.
	children["boundary"] = func(path string) error {
		at, err := strconv.Atoi(os.Getenv("KILL_AT"))
		if err != nil {
			return err
		}
		return writeOn(&killingDisk{at: at, where: os.Getenv("KILL_WHERE")}, path, 3)
	}
}

// writeOn resumes or starts the record at path and adds n events.
func writeOn(d disk, path string, n int) error {
	j, _, err := open(d, path)
	if isReason(err, NoHeader) {
		if err = os.Remove(path); err != nil {
			return err
		}
		err = fs.ErrNotExist
	}
	if errors.Is(err, fs.ErrNotExist) {
		j, err = create(d, path, sampleHeader())
	}
	if err != nil {
		return err
	}
	for range n {
		next := event(j.Seq() + 1)
		seq, err := j.Said(next)
		if err != nil {
			return err
		}
		fmt.Printf("%d\n", seq) // not buffered: one write, after the acknowledgement
		if err := j.Gave(seq, Given{Verdict: "pass"}); err != nil {
			return err
		}
	}
	if err := j.CloseRecord("complete", "2025-11-25T10:00:00Z"); err != nil {
		return err
	}
	return j.Close()
}

// killingDisk kills its own process before, in the middle of, or after one
// operation on the real disk.
type killingDisk struct {
	osDisk
	at, n int
	where string
}

func (d *killingDisk) step(half, op func()) {
	d.n++
	if d.n == d.at {
		switch d.where {
		case "half":
			half()
		case "after":
			op()
		}
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {}
	}
	op()
}

func (d *killingDisk) create(path string) (f File, err error) {
	d.step(func() {}, func() { f, err = d.osDisk.create(path) })
	return killingFile{f, d}, err
}

func (d *killingDisk) syncFolder(path string) (err error) {
	d.step(func() {}, func() { err = d.osDisk.syncFolder(path) })
	return err
}

type killingFile struct {
	File
	disk *killingDisk
}

func (f killingFile) WriteAt(p []byte, off int64) (n int, err error) {
	f.disk.step(func() { _, _ = f.File.WriteAt(p[:len(p)/2], off) }, func() { n, err = f.File.WriteAt(p, off) })
	return n, err
}

func (f killingFile) Sync() (err error) {
	f.disk.step(func() {}, func() { err = f.File.Sync() })
	return err
}

func (f killingFile) Close() (err error) {
	f.disk.step(func() {}, func() { err = f.File.Close() })
	return err
}

// ackedIn reads the numbers that a child printed.
func ackedIn(t *testing.T, out []byte) map[int]string {
	t.Helper()
	acked := map[int]string{}
	for _, line := range strings.Fields(string(out)) {
		seq, err := strconv.Atoi(line)
		if err != nil {
			t.Fatalf("child said %q", out)
		}
		acked[seq] = event(seq).Raw
	}
	return acked
}

// A real process killed at every boundary of its session: before, in the
// middle of and after each write, sync, create and close.
func TestKilledAtEveryBoundary(t *testing.T) {
	killed := 0
	for _, where := range []string{"before", "half", "after"} {
		for at := 1; ; at++ {
			path := filepath.Join(t.TempDir(), "s.jsonl")
			cmd := childCommand(t, "boundary", path)
			cmd.Env = append(cmd.Env, "KILL_AT="+strconv.Itoa(at), "KILL_WHERE="+where)
			out, err := cmd.Output()
			if err == nil {
				break // past the last boundary
			}
			if exit, ok := as[*exec.ExitError](err); !ok || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
				t.Fatalf("%s %d: %v %s", where, at, err, out)
			}
			killed++
			data, err := os.ReadFile(path)
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				t.Fatal(err)
			}
			acked := ackedIn(t, out)
			if err := survives(data, newMemDisk(), acked); err != nil {
				t.Errorf("killed %s operation %d with %d acknowledged: %v", where, at, len(acked), err)
			}
			if err := resumesOnDisk(path, acked); err != nil {
				t.Errorf("killed %s operation %d: %v", where, at, err)
			}
		}
	}
	t.Logf("killed at %d boundaries", killed)
	if killed < 3*12 {
		t.Errorf("only %d kills: the child did not come past every boundary", killed)
	}
}

// resumesOnDisk does with the real file what survives does in memory.
func resumesOnDisk(path string, acked map[int]string) error {
	j, lines, err := Open(path)
	if _, ok := as[*ClosedError](err); ok {
		return nil
	}
	if (isReason(err, NoHeader) || errors.Is(err, fs.ErrNotExist)) && len(acked) == 0 {
		return nil
	}
	if err != nil {
		return err
	}
	if err := allThere(lines, acked); err != nil {
		return errors.Join(err, j.Close())
	}
	_, err = j.Said(event(j.Seq() + 1))
	return errors.Join(err, j.Close())
}

// kills is the number of random kills: WANDERLEAD_KILLS, else a few.
func kills(t *testing.T) int {
	text := os.Getenv("WANDERLEAD_KILLS")
	if text == "" {
		return 30
	}
	n, err := strconv.Atoi(text)
	must(t, err)
	return n
}

// startUp is how long a child takes here, now, to its first acknowledgement: on a busy machine, or under the race
// detector, many times what it takes else. The instants of the kills are spread over that.
func startUp(t *testing.T, path string) time.Duration {
	t.Helper()
	cmd := childCommand(t, "write", path)
	out, err := cmd.StdoutPipe()
	must(t, err)
	began := time.Now()
	must(t, cmd.Start())
	_, err = out.Read(make([]byte, 1))
	must(t, err)
	took := time.Since(began)
	must(t, cmd.Process.Kill())
	_ = cmd.Wait()
	return took
}

// A real process killed at random instants, resumed over and over on one
// record: whatever it acknowledged is there, and it always resumes.
func TestKilledAtRandomInstants(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 1))
	dir := t.TempDir()
	var path string
	var total, inCreation, torn int
	acked := map[int]string{}
	window := 2*startUp(t, filepath.Join(dir, "start.jsonl")) + 25*time.Millisecond
	for n := range kills(t) {
		if n%25 == 0 { // a new record now and then, so that its start is hit too
			path = filepath.Join(dir, fmt.Sprintf("s-%d.jsonl", n))
			acked = map[int]string{}
		}
		var out bytes.Buffer
		cmd := childCommand(t, "write", path)
		cmd.Stdout = &out
		must(t, cmd.Start())
		time.Sleep(time.Duration(rnd.Int64N(int64(window))))
		must(t, cmd.Process.Kill())
		if err := cmd.Wait(); err == nil {
			t.Fatalf("kill %d: the child ended by itself", n)
		} else if exit, ok := as[*exec.ExitError](err); ok && exit.Exited() {
			t.Fatalf("kill %d: the child failed: %s", n, out.Bytes())
		}
		for seq, raw := range ackedIn(t, out.Bytes()) {
			acked[seq] = raw
		}
		j, lines, err := Open(path)
		if (errors.Is(err, fs.ErrNotExist) || isReason(err, NoHeader)) && len(acked) == 0 {
			inCreation++
			continue
		}
		if err != nil {
			t.Fatalf("kill %d (seed %d): %v", n, seed, err)
		}
		raw := rawBySeq(lines)
		for seq, want := range acked {
			if raw[seq] != want {
				t.Fatalf("kill %d (seed %d): event %d was acknowledged as %q, the record holds %q", n, seed, seq, want, raw[seq])
			}
		}
		if j.Kept() != "" {
			torn++
		}
		total = max(total, len(acked))
		// An event may be stored without its acknowledgement having come
		// through; from now on it counts as known.
		for seq, text := range raw {
			if text != event(seq).Raw {
				t.Fatalf("kill %d: event %d holds %q", n, seq, text)
			}
			acked[seq] = text
		}
		must(t, j.Close())
	}
	t.Logf("%d kills, %d before the record began, %d torn tails, up to %d events in a record", kills(t), inCreation, torn, total)
	if total == 0 {
		t.Error("no event was ever acknowledged: the kills came too early to show anything")
	}
}

// asNobody runs f with the file rights of an ordinary user, if this process
// has those of the superuser, whom modes do not stop.
func asNobody(t *testing.T, dir string, f func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		f()
		return
	}
	const nobody = 65534
	must(t, os.Chown(dir, nobody, nobody))
	done := make(chan error, 1)
	go func() {
		runtime.LockOSThread() // never unlocked: the thread ends with its rights
		err := fileUser(nobody)
		if err == nil {
			_, err = os.Stat(dir) // a temporary folder in one that is its owner's alone shows nothing of modes
		}
		if err == nil {
			f()
		}
		done <- err
	}()
	if err := <-done; err != nil {
		t.Skip("an ordinary user cannot be had here: ", err)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir, err := os.MkdirTemp("", "journal")
	must(t, err)
	t.Cleanup(func() { _ = os.Chmod(dir, 0o700); _ = os.RemoveAll(dir) })
	path := filepath.Join(dir, "s.jsonl")
	start(t, path, 2)
	must(t, os.Chmod(path, 0o644))
	must(t, os.Chmod(dir, 0o555))
	var createErr, openErr, verifyErr error
	var report Report
	asNobody(t, dir, func() {
		_, createErr = Create(filepath.Join(dir, "new.jsonl"), sampleHeader())
		_, _, openErr = Open(path)
		report, verifyErr = Verify(path)
	})
	for name, err := range map[string]error{"create": createErr, "resume": openErr} {
		if !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), "hint: choose a folder that can be written") {
			t.Errorf("%s: %v, want permission denied and a hint", name, err)
		}
	}
	if verifyErr != nil || !report.Holds() || report.Said != 2 {
		t.Errorf("verify: %+v, %v; want it to hold", report, verifyErr)
	}
	if got := names(t, dir); got != "s.jsonl" {
		t.Errorf("folder holds %q", got)
	}
}

// A folder that cannot be entered is told as one that cannot be written.
func TestFolderThatCannotBeEntered(t *testing.T) {
	dir, err := os.MkdirTemp("", "journal")
	must(t, err)
	t.Cleanup(func() { _ = os.Chmod(dir, 0o700); _ = os.RemoveAll(dir) })
	asNobody(t, dir, func() {
		_ = os.Chmod(dir, 0)
		_, err = Create(filepath.Join(dir, "new.jsonl"), sampleHeader())
	})
	if !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), "hint: choose a folder that can be written") {
		t.Errorf("%v, want permission denied and a hint", err)
	}
}

// A pipe in place of a record is refused at once rather than waited on.
func TestPipeIsRefused(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.jsonl")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip("no named pipes here: ", err)
	}
	_, _, openErr := Open(path)
	_, verifyErr := Verify(path)
	_, createErr := Create(path, sampleHeader())
	for name, err := range map[string]error{"resume": openErr, "verify": verifyErr, "create": createErr} {
		if p, ok := as[*PathError](err); !ok || p.What != "a device or pipe" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A disk that is really full, where the system has a device for it.
func TestFullDevice(t *testing.T) {
	f, err := os.OpenFile("/dev/full", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no /dev/full here: ", err)
	}
	defer f.Close()
	if _, err := New(f, sampleHeader()); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("%v, want: no space left on device", err)
	}
}

// A record that others may open is pointed out.
func TestVerifySeesWideModes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.jsonl")
	start(t, path, 1)
	for mode, want := range map[fs.FileMode]bool{0o600: false, 0o400: false, 0o640: true, 0o602: true, 0o604: true} {
		must(t, os.Chmod(path, mode))
		r, err := Verify(path)
		must(t, err)
		if r.Exposed != want || strings.Contains(strings.Join(r.Text(), " "), "others than the owner") != want {
			t.Errorf("mode %v: exposed %v, want %v", mode, r.Exposed, want)
		}
	}
}

type closerFunc func() error

func (f closerFunc) Close() error { return f() }

// The lock file goes while the lock is still held: the other way round, the
// next holder's file would be the one removed.
func TestLockFileGoesBeforeTheLock(t *testing.T) {
	name := filepath.Join(t.TempDir(), "s.jsonl.lock")
	must(t, os.WriteFile(name, nil, 0o600))
	must(t, unlock(closerFunc(func() error {
		if _, err := os.Lstat(name); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("unlocked while the lock file was there: %v", err)
		}
		return os.WriteFile(name, []byte("the next holder's"), 0o600)
	}), name))
	if _, err := os.Lstat(name); err != nil {
		t.Errorf("the next holder's lock file was removed: %v", err)
	}
}
