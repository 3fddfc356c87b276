package journal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
)

// disk is the file system as Create and Open use it; tests put in one that
// fails on demand.
type disk interface {
	absent(path string) error           // *ExistsError, *PathError or nil
	create(path string) (File, error)   // exclusive, for the owner alone
	open(path string) (readFile, error) // to read and write; plain files only
	openToRead(path string) (readFile, error)
	syncFolder(path string) error // of the folder that holds path
	remove(path string) error
	lock(path string) (release func() error, err error)
}

type readFile interface {
	File
	io.Reader
}

// Create starts the record of a session in a new file: for the owner alone,
// never over an existing file, never through a link, locked against a second
// process. The header and the folder entry are on the disk when it returns.
// An existing file is *ExistsError, a held one *HeldError.
func Create(path string, h Header) (*Journal, error) { return create(osDisk{}, path, h) }

func create(d disk, path string, h Header) (*Journal, error) {
	line, err := headerLine(&h)
	if err != nil {
		return nil, err
	}
	if err := d.absent(path); err != nil {
		return nil, err
	}
	release, err := d.lock(path)
	if err != nil {
		return nil, err
	}
	f, err := d.create(path)
	if err != nil {
		return nil, errors.Join(err, release())
	}
	j, err := begun(f, path, &h, line)
	if err == nil {
		err = d.syncFolder(path)
	}
	if err != nil {
		// Nothing was acknowledged, and the file is ours: without it the
		// next try is not told that a record exists.
		return nil, errors.Join(err, f.Close(), d.remove(path), release())
	}
	j.release = release
	return j, nil
}

// Open resumes a record and returns its lines. An unfinished line is moved to
// a file beside the record (see Kept). A damaged record is *Damage, a closed
// one *ClosedError, a held one *HeldError; the file is then left untouched.
func Open(path string) (*Journal, []Line, error) { return open(osDisk{}, path) }

func open(d disk, path string) (*Journal, []Line, error) {
	// Looked at before locking, so that a path that is no record gets no
	// lock file beside it; opened after, so that it is the file as the last
	// holder left it.
	probe, err := d.openToRead(path)
	if err != nil {
		return nil, nil, err
	}
	if err := probe.Close(); err != nil {
		return nil, nil, err
	}
	release, err := d.lock(path)
	if err != nil {
		return nil, nil, err
	}
	f, err := d.open(path)
	if err != nil {
		return nil, nil, errors.Join(err, release())
	}
	j, lines, err := resume(d, f, path)
	if err != nil {
		return nil, nil, errors.Join(err, f.Close(), release())
	}
	j.release = release
	return j, lines, nil
}

func resume(d disk, f readFile, path string) (*Journal, []Line, error) {
	r := NewReader(f)
	lines, err := r.all()
	var torn *Torn
	if errors.As(err, &torn) {
		err = nil
		if len(lines) == 0 {
			err = &Damage{Line: 1, Reason: NoHeader}
		}
	}
	if err != nil {
		return nil, nil, withPath(err, path)
	}
	if r.closed != nil && torn == nil {
		return nil, nil, &ClosedError{Path: path, How: r.closed.How}
	}
	if r.closed != nil {
		return nil, nil, &Damage{Path: path, Line: torn.Line, Offset: torn.Offset, Reason: Misplaced,
			Detail: "it follows the line that closed the record"}
	}
	j := &Journal{file: f, path: path, hidden: lines[0].Header.Hidden,
		end: r.offset, prev: r.prev, lines: r.number, seq: r.seq}
	if torn != nil {
		if j.kept, err = keepTail(d, path, torn.Tail); err != nil {
			return nil, nil, err
		}
		if err := f.Truncate(torn.Offset); err != nil {
			return nil, nil, fmt.Errorf("the unfinished line of record %s cannot be cut off: %w", shorten(path), err)
		}
	}
	// Also without a torn tail: what the last process wrote and this one
	// relies on may still be in memory only.
	if err := j.sync(); err != nil {
		return nil, nil, err
	}
	return j, lines, nil
}

// keepTail stores an unfinished line beside the record, under the first number
// that is free, before it is cut off.
func keepTail(d disk, path string, tail []byte) (string, error) {
	for n := 1; ; n++ {
		name := path + ".torn-" + strconv.Itoa(n)
		f, err := d.create(name)
		if errors.Is(err, fs.ErrExist) && n < 10_000 {
			continue
		}
		if err != nil {
			return "", fmt.Errorf("the unfinished line of record %s cannot be kept beside it: %w", shorten(path), err)
		}
		written, err := f.WriteAt(tail, 0)
		if err == nil && written < len(tail) {
			err = io.ErrShortWrite
		}
		if err == nil {
			err = f.Sync()
		}
		err = errors.Join(err, f.Close())
		if err == nil {
			err = d.syncFolder(name)
		}
		if err != nil {
			return "", fmt.Errorf("the unfinished line of record %s cannot be kept beside it: %w", shorten(path),
				errors.Join(err, d.remove(name)))
		}
		return name, nil
	}
}

// ReadFile reads a record without locking or changing it; see Read.
func ReadFile(path string) ([]Line, error) {
	f, err := osDisk{}.openToRead(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	lines, err := Read(f)
	return lines, withPath(err, path)
}

// osDisk is the file system of the machine.
type osDisk struct{}

func (osDisk) absent(path string) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("record %s cannot be made: %w\nhint: choose a folder that can be written", shorten(path), cause(err))
	case info.Mode().IsRegular():
		return &ExistsError{Path: path}
	}
	return notPlain(path, info)
}

func (d osDisk) create(path string) (File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_EXCL|noFollow, 0o600)
	if errors.Is(err, fs.ErrExist) {
		if other := d.absent(path); other != nil {
			return nil, other
		}
	}
	if err != nil {
		return nil, fmt.Errorf("record %s cannot be created: %w", shorten(path), cause(err))
	}
	return f, nil
}

func (d osDisk) open(path string) (readFile, error)       { return openPlain(path, os.O_RDWR) }
func (d osDisk) openToRead(path string) (readFile, error) { return openPlain(path, os.O_RDONLY) }

// openPlain opens an existing plain file. The look before keeps it from
// waiting on a pipe where the system has no flag for that, the look after
// shows that the opened file is the one looked at.
func openPlain(path string, flag int) (readFile, error) {
	before, err := os.Lstat(path)
	if err != nil {
		return nil, fmt.Errorf("record %s cannot be opened: %w", shorten(path), cause(err))
	}
	if !before.Mode().IsRegular() {
		return nil, notPlain(path, before)
	}
	f, err := os.OpenFile(path, flag|noFollow|noWait, 0)
	if err != nil {
		return nil, fmt.Errorf("record %s cannot be opened: %w", shorten(path), cause(err))
	}
	after, err := f.Stat()
	if err != nil || !after.Mode().IsRegular() || !os.SameFile(before, after) {
		return nil, errors.Join(&PathError{Path: path, What: "being replaced"}, err, f.Close())
	}
	return f, nil
}

func (osDisk) syncFolder(path string) error { return syncFolder(filepath.Dir(path)) }
func (osDisk) remove(path string) error     { return os.Remove(path) }

func (osDisk) lock(path string) (func() error, error) { return lockRecord(path) }

func notPlain(path string, info fs.FileInfo) error {
	what := "a device or pipe"
	switch {
	case info.Mode()&fs.ModeSymlink != 0:
		what = "a symbolic link"
	case info.IsDir():
		what = "a folder"
	}
	return &PathError{Path: path, What: what}
}

// cause drops the path that an os error repeats.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
