package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"wanderlead/internal/plain"
)

// started stands in the lock file, so that a person can tell a process from
// another that was given the same number later.
var started = time.Now()

// holderAt is where the holder's name begins in the lock file. Windows lets
// nobody else read the locked bytes, and byte 0 is the one that is locked.
const holderAt = 1

// lockRecord locks path + ".lock" and names this process in it. The system
// drops the lock when the process ends, however it ends.
func lockRecord(path string) (release func() error, err error) { return LockAs(path, "") }

// LockAs locks a file that is written beside a record, by the name of path + ".lock", and names in it who does. The error is a
// [*HeldError] while somebody else has it.
func LockAs(path, who string) (release func() error, err error) {
	name := path + ".lock"
	// A holder removes the file when it is done; a lock taken on the removed
	// file excludes nobody, so it is taken again on the new one.
	for range 100 {
		if info, err := os.Lstat(name); err == nil && !info.Mode().IsRegular() {
			return nil, notPlain(name, info)
		}
		l := flock.New(name, flock.SetFlag(os.O_CREATE|os.O_RDWR|noFollow|noWait), flock.SetPermissions(0o600))
		got, err := l.TryLock()
		if err != nil {
			return nil, fmt.Errorf("record %s cannot be locked: %w\nhint: choose a folder that can be written, on a disk of this machine",
				shorten(path), errors.Join(cause(err), l.Close()))
		}
		if !got {
			held := readHolder(name)
			held.Path = path
			return nil, errors.Join(held, l.Close())
		}
		if !stillNamed(l, name) {
			if err := l.Close(); err != nil {
				return nil, err
			}
			continue
		}
		if err := writeHolder(name, who); err != nil {
			return nil, errors.Join(err, unlock(l, name))
		}
		return func() error { return unlock(l, name) }, nil
	}
	return nil, &HeldError{Path: path}
}

// stillNamed reports whether the locked file is the one that the name means.
func stillNamed(l *flock.Flock, name string) bool {
	locked, err := l.Stat()
	if err != nil {
		return false
	}
	now, err := os.Lstat(name)
	return err == nil && os.SameFile(locked, now)
}

// unlock removes the lock file while it is still locked, so that nobody else's
// is removed. Windows cannot remove an open file; there it is removed after,
// which fails harmlessly if another process has it by then.
func unlock(l io.Closer, name string) error {
	removed := os.Remove(name)
	err := l.Close()
	if removed != nil && runtime.GOOS == "windows" {
		removed = nil
		_ = os.Remove(name)
	}
	if errors.Is(removed, fs.ErrNotExist) {
		removed = nil
	}
	return errors.Join(err, removed)
}

func writeHolder(name, who string) error {
	f, err := os.OpenFile(name, os.O_RDWR|noFollow|noWait, 0)
	if err == nil {
		text := fmt.Sprintf("pid %d since %s %s\n", os.Getpid(), started.UTC().Format(time.RFC3339), shortName(who))
		_, err = f.WriteAt([]byte(text), holderAt)
		err = errors.Join(err, f.Truncate(int64(holderAt+len(text))), f.Close())
	}
	if err != nil {
		return fmt.Errorf("lock file %s cannot be written: %w", shorten(name), cause(err))
	}
	return nil
}

// readHolder reads who holds a lock. Between taking the lock and naming itself
// a holder needs a moment, so it is tried a few times. The values are parsed,
// not copied, but for a person's name, of which nothing acts on a terminal.
func readHolder(name string) *HeldError {
	for range 10 {
		if h := parseHolder(name); h != nil {
			return h
		}
		time.Sleep(5 * time.Millisecond)
	}
	return &HeldError{}
}

// shortName is as much of a person's name as stands in a lock file.
func shortName(who string) string {
	r := []rune(plain.Line(strings.Join(strings.Fields(who), " ")))
	return string(r[:min(len(r), 60)])
}

func parseHolder(name string) *HeldError {
	f, err := openPlain(name, os.O_RDONLY)
	if err != nil {
		return nil
	}
	defer f.Close()
	at, ok := f.(io.ReaderAt)
	if !ok {
		return nil
	}
	buf := make([]byte, 512)
	n, err := at.ReadAt(buf, holderAt)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil
	}
	words := strings.Fields(string(buf[:n]))
	if len(words) < 4 || words[0] != "pid" || words[2] != "since" {
		return nil
	}
	pid, err := strconv.Atoi(words[1])
	when, timeErr := time.Parse(time.RFC3339, words[3])
	if err != nil || timeErr != nil || pid < 1 {
		return nil
	}
	return &HeldError{PID: pid, Since: when.UTC().Format(time.RFC3339), Who: shortName(strings.Join(words[4:], " "))}
}
