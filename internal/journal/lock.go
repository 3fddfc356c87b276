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
)

// started stands in the lock file, so that a person can tell a process from
// another that was given the same number later.
var started = time.Now()

// holderAt is where the holder's name begins in the lock file. Windows lets
// nobody else read the locked bytes, and byte 0 is the one that is locked.
const holderAt = 1

// lockRecord locks path + ".lock" and names this process in it. The system
// drops the lock when the process ends, however it ends.
func lockRecord(path string) (release func() error, err error) {
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
			pid, since := readHolder(name)
			return nil, errors.Join(&HeldError{Path: path, PID: pid, Since: since}, l.Close())
		}
		if !stillNamed(l, name) {
			if err := l.Close(); err != nil {
				return nil, err
			}
			continue
		}
		if err := writeHolder(name); err != nil {
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

func writeHolder(name string) error {
	f, err := os.OpenFile(name, os.O_RDWR|noFollow|noWait, 0)
	if err == nil {
		text := fmt.Sprintf("pid %d since %s\n", os.Getpid(), started.UTC().Format(time.RFC3339))
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
// not copied: a lock file's text never reaches a terminal.
func readHolder(name string) (pid int, since string) {
	for range 10 {
		if pid, since = parseHolder(name); pid != 0 {
			return pid, since
		}
		time.Sleep(5 * time.Millisecond)
	}
	return 0, ""
}

func parseHolder(name string) (pid int, since string) {
	f, err := openPlain(name, os.O_RDONLY)
	if err != nil {
		return 0, ""
	}
	defer f.Close()
	at, ok := f.(io.ReaderAt)
	if !ok {
		return 0, ""
	}
	buf := make([]byte, 128)
	n, err := at.ReadAt(buf, holderAt)
	if err != nil && !errors.Is(err, io.EOF) {
		return 0, ""
	}
	words := strings.Fields(string(buf[:n]))
	if len(words) != 4 || words[0] != "pid" || words[2] != "since" {
		return 0, ""
	}
	pid, err = strconv.Atoi(words[1])
	when, timeErr := time.Parse(time.RFC3339, words[3])
	if err != nil || timeErr != nil || pid < 1 {
		return 0, ""
	}
	return pid, when.UTC().Format(time.RFC3339)
}
