package journal

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"sync"
)

// File is what a journal needs of the file it writes. *os.File has it all;
// tests put in one that fails on demand.
type File interface {
	// WriteAt writes at an explicit place, so that a line can never land
	// after a half-written one whatever the file position is.
	io.WriterAt
	Sync() error
	Truncate(size int64) error
	Close() error
}

// Journal adds lines to one record. Its methods may be called from several
// goroutines, a signal handler's Close among them.
type Journal struct {
	mu      sync.Mutex
	file    File
	path    string // for messages
	hidden  []string
	end     int64 // bytes of whole lines: where the next line goes
	prev    hash  // of the last line
	lines   int
	seq     int    // latest said line
	kept    string // where a torn tail was put on opening
	dirty   bool   // something was written since the last sync
	done    bool   // a closed line was written, or Close called
	failed  error  // once set, nothing more is written
	release func() error
}

// New starts a record in an empty file that the caller opened, writes and syncs
// the header. Create is the usual way; this one is for files of another kind.
func New(f File, h Header) (*Journal, error) {
	line, err := headerLine(&h)
	if err != nil {
		return nil, err
	}
	return begun(f, "", &h, line)
}

// headerLine checks and encodes a header before anything touches the disk.
func headerLine(h *Header) ([]byte, error) {
	if errs := checkHeader(h); errs != nil {
		return nil, errors.Join(errs...)
	}
	line := encodeHeader(hash{}, h)
	if len(line) > MaxHeaderLine {
		return nil, tooLong(KindHeader, len(line), MaxHeaderLine)
	}
	return line, nil
}

func begun(f File, path string, h *Header, line []byte) (*Journal, error) {
	j := &Journal{file: f, path: path, hidden: h.Hidden}
	if err := j.write(line); err != nil {
		return nil, err
	}
	if err := j.sync(); err != nil {
		return nil, err
	}
	return j, nil
}

// Said stores an event and returns its number. When it returns without error
// the event is on the disk; until then the session must not see it. On
// *WriteError with Retry it may be called again.
func (j *Journal) Said(e Event) (seq int, err error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if err := j.usable(); err != nil {
		return 0, err
	}
	if errs := checkEvent(&e, j.hidden); errs != nil {
		return 0, errors.Join(errs...)
	}
	said := Said{Seq: j.seq + 1, Event: e}
	if err := j.add(encodeSaid(j.prev, &said), KindSaid); err != nil {
		return 0, err
	}
	j.seq = said.Seq
	if err := j.sync(); err != nil {
		return 0, err
	}
	return said.Seq, nil
}

// Gave stores what the session made of event seq, which must be the latest.
// When it returns without error the feedback may be shown; the line reaches
// the disk with the next Said, CloseRecord or Close. An event may have several.
func (j *Journal) Gave(seq int, g Given) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if err := j.usable(); err != nil {
		return err
	}
	if seq < 1 || seq != j.seq {
		return fmt.Errorf("%w: it names event %d, the latest is %d", ErrNotSaid, seq, j.seq)
	}
	if errs := checkGiven(&g); errs != nil {
		return errors.Join(errs...)
	}
	return said(j.add(encodeGave(j.prev, &Gave{Said: seq, Given: g}), KindGave))
}

// said marks the error of a line that follows from events which are stored.
func said(err error) error {
	var w *WriteError
	if errors.As(err, &w) {
		w.Said = true
	}
	return err
}

// Turn puts one event through a session in the only right order: the event is
// written and synced, the session sees it, what it gave is written, and only
// then is anything shown. Whatever fails ends the turn there.
func (j *Journal) Turn(e Event, session func(seq int) ([]Given, error), show func() error) error {
	seq, err := j.Said(e)
	if err != nil {
		return err
	}
	given, err := session(seq)
	if err != nil {
		return err
	}
	for _, g := range given {
		if err := j.Gave(seq, g); err != nil {
			return err
		}
	}
	return show()
}

// CloseRecord ends the record with a line that counts the lines, and syncs it.
// Nothing can be added after it; the file still needs Close. A session that is
// only interrupted is not closed, so that it can be resumed.
func (j *Journal) CloseRecord(how, time string) error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if err := j.usable(); err != nil {
		return err
	}
	closed := Closed{Time: time, Lines: j.lines + 1, How: how}
	if errs := checkClosed(&closed); errs != nil {
		return errors.Join(errs...)
	}
	if err := j.add(encodeClosed(j.prev, &closed), KindClosed); err != nil {
		return said(err)
	}
	j.done = true
	return said(j.sync())
}

// Close syncs what is not yet synced, closes the file and lets others have the
// record. It does not close the record. A second call does nothing.
func (j *Journal) Close() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.file == nil {
		return nil
	}
	var errs []error
	if j.dirty && j.failed == nil {
		errs = append(errs, j.sync())
	}
	errs = append(errs, j.file.Close())
	if j.release != nil {
		errs = append(errs, j.release())
	}
	j.file, j.done = nil, true
	return errors.Join(errs...)
}

// Seq returns the number of the latest event, 0 before the first.
func (j *Journal) Seq() int {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.seq
}

// Kept returns the file into which Open moved an unfinished line, or "".
func (j *Journal) Kept() string { return j.kept }

func (j *Journal) usable() error {
	switch {
	case j.failed != nil:
		return j.failed
	case j.done:
		return ErrDone
	}
	return nil
}

func (j *Journal) add(line []byte, kind string) error {
	if len(line) > MaxLine {
		return tooLong(kind, len(line), MaxLine)
	}
	return j.write(line)
}

// write puts a whole line at the end or leaves the file as it was. If it can
// do neither, the journal takes nothing more: a line after half a line would
// turn a torn record into a damaged one.
func (j *Journal) write(line []byte) error {
	n, err := j.file.WriteAt(line, j.end)
	if err == nil && n < len(line) {
		err = io.ErrShortWrite
	}
	if err != nil {
		failure := &WriteError{Path: j.path, Op: "write", Line: j.lines + 1, Err: err}
		if cut := j.file.Truncate(j.end); cut != nil {
			failure.Err = errors.Join(err, cut)
			j.failed = failure
			return failure
		}
		failure.Retry = true
		return failure
	}
	j.end += int64(len(line))
	j.prev = sha256.Sum256(line)
	j.lines++
	j.dirty = true
	return nil
}

// sync makes sure of the disk. After a failed one the system may have dropped
// the very pages that it could not store and report success next time, so it
// is never tried again on the same file.
func (j *Journal) sync() error {
	if err := j.file.Sync(); err != nil {
		j.failed = &WriteError{Path: j.path, Op: "sync", Line: j.lines, Err: err}
		return j.failed
	}
	j.dirty = false
	return nil
}

func tooLong(kind string, is, most int) error {
	return &FieldError{Field: kind, What: fmt.Sprintf("the line has %d bytes, at most %d can be kept; shorten it", is, most)}
}
