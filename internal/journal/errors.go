package journal

import (
	"errors"
	"fmt"
	"io/fs"
	"strconv"
)

// Reason says in one word why a whole line is damaged.
type Reason string

// Reasons for damage.
const (
	NotJSON       Reason = "not-json"       // does not parse
	NotCanonical  Reason = "not-canonical"  // parses, but is not the one way to write it
	WrongChecksum Reason = "wrong-checksum" // canonical, but a byte has changed
	NotChained    Reason = "not-chained"    // does not follow the line before
	Misplaced     Reason = "misplaced"      // its sort, seq or count does not fit here
	TooLong       Reason = "too-long"       // longer than any line this program writes
	NoHeader      Reason = "no-header"      // no whole line at all
)

// Damage is a record that may not be used: where it stops holding and why.
type Damage struct {
	Path   string // empty when read from a stream
	Line   int    // counted from 1
	Offset int64  // first byte of that line
	Reason Reason
	Detail string
}

func (d *Damage) Error() string {
	if d.Reason == NoHeader {
		return "record" + named(d.Path) + " holds no whole line: nothing was recorded in it" +
			"\nhint: remove the file and start again"
	}
	return fmt.Sprintf("record%s is damaged at line %d (byte %d): %s", named(d.Path), d.Line, d.Offset, d.Detail) +
		"\nhint: the file was left as it is; work from a copy made before the damage, if there is one"
}

// Torn is what follows the last line feed of a record: a line that was being
// written when the program, the machine or the disk gave up. Nobody had been
// told that it was stored.
type Torn struct {
	Path   string
	Line   int    // the number it would have had
	Offset int64  // where the whole lines end
	Tail   []byte // the bytes after
}

func (t *Torn) Error() string {
	return fmt.Sprintf("record%s ends in an unfinished line: %d bytes after line %d", named(t.Path), len(t.Tail), t.Line-1) +
		"\nhint: resume keeps these bytes in a file beside the record and goes on after the last whole line"
}

// ExistsError is an attempt to start a record where a file already is.
type ExistsError struct{ Path string }

func (e *ExistsError) Error() string {
	return "record" + named(e.Path) + " exists already" +
		"\nhint: use resume: wanderlead resume " + shorten(e.Path)
}

// Is makes errors.Is(err, fs.ErrExist) hold.
func (e *ExistsError) Is(target error) bool { return target == fs.ErrExist }

// HeldError is a record that another process is writing. PID is 0 and Since is
// empty if the holder could not be read.
type HeldError struct {
	Path  string
	PID   int
	Since string // start of that process, RFC 3339
	Who   string // the person, where they were named
}

func (e *HeldError) Error() string {
	who := "another process"
	if e.PID != 0 {
		who = "process " + strconv.Itoa(e.PID)
	}
	if e.Since != "" {
		who += ", started " + e.Since
	}
	if e.Who != "" {
		who = shorten(e.Who) + ", " + who
	}
	return "record" + named(e.Path) + " is in use by " + who +
		"\nhint: end that session, or wait until it is done"
}

// ClosedError is an attempt to add to a record that was closed.
type ClosedError struct {
	Path string
	How  string
}

func (e *ClosedError) Error() string {
	return "record" + named(e.Path) + " is closed: " + shorten(e.How) +
		"\nhint: start a new record; this one can be reported and verified"
}

// PathError is a path that a record may not have: a symbolic link, a folder, a
// device.
type PathError struct {
	Path string
	What string
}

func (e *PathError) Error() string {
	return "record" + named(e.Path) + " is " + e.What + ", not a plain file" +
		"\nhint: name the file itself"
}

// WriteError is a line that could not be stored. When Retry is true nothing of
// it is left in the file and the same call may be made again, for example once
// the disk has room; when false the journal takes no further line and the
// session must be resumed from the file. When Said is true the event itself is
// stored, and what could not be is a line that a resumed session works out anew.
type WriteError struct {
	Path  string
	Op    string // "write" or "sync"
	Line  int
	Retry bool
	Said  bool
	Err   error
}

func (e *WriteError) Error() string {
	hint := "make room or mend the disk, then resume the session; what was acknowledged before is kept"
	switch {
	case e.Said:
		hint = "the answer itself is stored; make room or mend the disk, then resume the session"
	case e.Retry:
		hint = "nothing of this line was kept; make room on the disk and enter it again"
	}
	return fmt.Sprintf("line %d of record%s could not be stored (%s): %v", e.Line, named(e.Path), e.Op, e.Err) +
		"\nhint: " + hint
}

func (e *WriteError) Unwrap() error { return e.Err }

// FieldError is a line that was refused before anything was written, because a
// value may not stand in a record.
type FieldError struct {
	Field string // for example "said raw"
	What  string // what was found and what would be right
}

func (e *FieldError) Error() string { return e.Field + ": " + e.What }

// Errors about the order of calls.
var (
	ErrNotSaid = errors.New("a gave line answers the latest said line, and this one does not")
	ErrDone    = errors.New("the journal is closed")
)

// named puts a path after the word "record", or nothing for a stream.
func named(path string) string {
	if path == "" {
		return ""
	}
	return " " + shorten(path)
}

// shorten makes text from a file or the command line fit to print: it is
// quoted if anything in it would act on a terminal, and cut if it is long.
func shorten(s string) string {
	const most = 300
	if runes := []rune(s); len(runes) > most {
		s = string(runes[:most]) + "…"
	}
	for _, r := range s {
		if mustEscape(r) || r == '\uFFFD' {
			return strconv.QuoteToASCII(s)
		}
	}
	return s
}
