package journal

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"syscall"
	"testing"
)

// sampleHeader and sampleLines are what testdata/small.jsonl holds.
func sampleHeader() Header {
	seed := int64(-7)
	return Header{
		Version: "0.1", Created: "2025-11-25T09:00:00Z", Session: "s-1", Mode: "practise", Seed: &seed,
		Scripted: true, Edition: "bs7671-2018-a4",
		Sequence: Content{"whole-board", "stages:\n\t- \"isolation\" \\ ends\n"},
		Rig:      Content{"training-bay", "rig: bay \u2126 \u03a9 \u00b5\n"},
		Pack:     Content{"bs7671-2018-a4", ""},
		Included: []Content{{"isolation", "a: 1\r\n"}},
		Hidden:   []string{"guest-code"},
		Fields:   map[string]string{"people apprentice": "\U0001f50c first year", "instrument serial": "B-2"},
	}
}

func sampleLines() (Event, []Given, Event) {
	first := Event{Time: "2025-11-25T09:00:01Z", Type: TypeAnswer, At: "ring-1/ends/r1", Raw: "0.40", Shown: "0.40 \u03a9",
		Params: map[string]string{"b": "1", "a": ""}}
	given := []Given{
		{Verdict: "doubt", Rule: "ring.ends.differ", Limit: "0.05 \u03a9", Edition: "bs7671-2018-a4",
			Params:   map[string]string{"value": "0.40"},
			Feedback: []Feedback{{ID: "ring-ends-differ", Params: map[string]string{"r1": "0.40"}}, {ID: "repeat"}}},
		{At: "ring-1/ends/rn", Verdict: "pass"},
	}
	second := Event{Time: "2025-11-25T08:00:00Z", Type: TypeRemark,
		Raw: "\x00\x1b[31m \x7f \u009b \u2028\u2029\ufeff \u061c\u200e\u200f\u202a\u202e\u2066\u2069 \ufffd \u200d \U0001f50c </&"}
	return first, given, second
}

// event is a plain event with a raw text of its own.
func event(n int) Event {
	return Event{Time: "2025-11-25T09:00:00Z", Type: TypeAnswer, At: "ring-1/ends/r1", Raw: fmt.Sprintf("reading-%d", n)}
}

// memDisk is a file system in memory that fails on demand and knows what a
// power cut would leave.
type memDisk struct {
	files map[string]*memFile
	ops   int                          // operations so far
	fault func(op string, n int) fault // of operation n, counted from 1
	log   []string
	held  bool
}

type fault int

const (
	none      fault = iota
	full            // half is written, then ENOSPC
	short           // half is written, no error is returned
	broken          // EIO, nothing done
	doneNoted       // done, but an error is returned all the same
)

func newMemDisk() *memDisk { return &memDisk{files: map[string]*memFile{}} }

func (d *memDisk) step(op string) fault {
	d.ops++
	d.log = append(d.log, op)
	if d.fault == nil {
		return none
	}
	return d.fault(op, d.ops)
}

type memFile struct {
	disk    *memDisk
	data    []byte // as a reader of the file sees it
	durable []byte // as of the last sync
	at      int
}

func (f *memFile) WriteAt(p []byte, off int64) (int, error) {
	n := len(p)
	var err error
	switch f.disk.step("write") {
	case full:
		n, err = n/2, syscall.ENOSPC
	case short:
		n /= 2
	case broken:
		n, err = 0, syscall.EIO
	case doneNoted:
		err = syscall.EIO
	}
	if gap := int(off) - len(f.data); gap > 0 {
		f.data = append(f.data, make([]byte, gap)...)
	}
	f.data = append(f.data[:off:off], p[:n]...)
	return n, err
}

func (f *memFile) Sync() error {
	switch f.disk.step("sync") {
	case none:
		f.durable = append([]byte(nil), f.data...)
		return nil
	case doneNoted:
		f.durable = append([]byte(nil), f.data...)
	}
	return syscall.EIO
}

func (f *memFile) Truncate(size int64) error {
	if f.disk.step("truncate") != none {
		return syscall.EIO
	}
	f.data = f.data[:size:size]
	return nil
}

func (f *memFile) Close() error {
	if f.disk.step("close") != none {
		return syscall.EIO
	}
	return nil
}

func (f *memFile) Read(p []byte) (int, error) {
	if f.at >= len(f.data) {
		return 0, io.EOF
	}
	n := copy(p, f.data[f.at:])
	f.at += n
	return n, nil
}

func (d *memDisk) absent(path string) error {
	if _, ok := d.files[path]; ok {
		return &ExistsError{Path: path}
	}
	return nil
}

func (d *memDisk) create(path string) (File, error) {
	if d.step("create") != none {
		return nil, syscall.ENOSPC
	}
	if err := d.absent(path); err != nil {
		return nil, err
	}
	f := &memFile{disk: d}
	d.files[path] = f
	return f, nil
}

func (d *memDisk) open(path string) (readFile, error) {
	f, ok := d.files[path]
	if !ok {
		return nil, fs.ErrNotExist
	}
	f.at = 0
	return f, nil
}

func (d *memDisk) openToRead(path string) (readFile, error) { return d.open(path) }

func (d *memDisk) syncFolder(string) error {
	if d.step("sync-folder") != none {
		return syscall.EIO
	}
	return nil
}

func (d *memDisk) remove(path string) error {
	delete(d.files, path)
	return nil
}

func (d *memDisk) lock(path string) (func() error, error) {
	if d.held {
		return nil, &HeldError{Path: path}
	}
	d.held = true
	return func() error { d.held = false; return nil }, nil
}

// after is the disk as the next process finds it, with the record holding data.
func (d *memDisk) after(path string, data []byte) *memDisk {
	next := newMemDisk()
	next.files[path] = &memFile{disk: next, data: append([]byte(nil), data...)}
	return next
}

// sampleRecord returns the bytes of a record with a header, n events with a
// gave line each and, if asked, a closed line.
func sampleRecord(t testing.TB, n int, closed bool) []byte {
	t.Helper()
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i <= n; i++ {
		must(t, j.Turn(event(i), func(int) ([]Given, error) {
			return []Given{{Verdict: "pass", Rule: "continuity.within", Limit: "0.45 Ω"}}, nil
		}, func() error { return nil }))
	}
	if closed {
		must(t, j.CloseRecord("complete", "2025-11-25T10:00:00Z"))
	}
	must(t, j.Close())
	return d.files["r"].data
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// readAll reads a record and fails on anything but a clean end.
func readAll(t testing.TB, data []byte) []Line {
	t.Helper()
	lines, err := Read(strings.NewReader(string(data)))
	if err != nil {
		t.Fatalf("record of %d bytes: %v", len(data), err)
	}
	return lines
}

// rawBySeq returns the raw text of each event.
func rawBySeq(lines []Line) map[int]string {
	raw := map[int]string{}
	for _, l := range lines {
		if l.Said != nil {
			raw[l.Said.Seq] = l.Said.Raw
		}
	}
	return raw
}

func as[T error](err error) (T, bool) {
	var target T
	ok := errors.As(err, &target)
	return target, ok
}

func hashOf(line []byte) hash { return sha256.Sum256(line) }
