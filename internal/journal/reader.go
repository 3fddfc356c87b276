package journal

import (
	"bufio"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
)

// Reader reads a record line by line and checks each against all before it.
// Memory is bounded by the longest line.
type Reader struct {
	src     *bufio.Reader
	number  int   // lines read
	offset  int64 // bytes of whole lines read
	prev    hash
	seq     int // latest said line
	closed  *Closed
	stopped error
}

// NewReader reads a record from r. The path is used in messages only.
func NewReader(r io.Reader) *Reader {
	return &Reader{src: bufio.NewReaderSize(r, 64<<10)}
}

// Next returns the next whole line. At a clean end it returns io.EOF, at an
// unfinished line *Torn, at a line that may not be used *Damage; any other
// error is one of reading. After an error it returns the same error for ever.
func (r *Reader) Next() (Line, error) {
	if r.stopped != nil {
		return Line{}, r.stopped
	}
	line, err := r.next()
	if err != nil {
		r.stopped = err
		return Line{}, err
	}
	return line, nil
}

func (r *Reader) next() (Line, error) {
	data, err := r.wholeLine()
	if err != nil {
		return Line{}, err
	}
	line, prev, reason, detail := decode(data)
	if reason != "" {
		return Line{}, r.damage(reason, detail)
	}
	if prev != r.prev {
		return Line{}, r.damage(NotChained, fmt.Sprintf(
			"it names %.16s… as the hash of the line before, which hashes to %.16s…", prev, r.prev))
	}
	if detail := r.place(line); detail != "" {
		return Line{}, r.damage(Misplaced, detail)
	}
	r.number++
	line.Number, line.Offset = r.number, r.offset
	r.offset += int64(len(data))
	r.prev = sha256.Sum256(data)
	return line, nil
}

// wholeLine returns the next line with its line feed; the bytes are the
// caller's to keep.
func (r *Reader) wholeLine() ([]byte, error) {
	limit := MaxLine
	if r.number == 0 {
		limit = MaxHeaderLine
	}
	var data []byte
	for {
		part, err := r.src.ReadSlice('\n')
		if len(data)+len(part) > limit {
			return nil, r.damage(TooLong, fmt.Sprintf("it is longer than %d bytes", limit))
		}
		data = append(data, part...)
		switch {
		case err == nil:
			return data, nil
		case errors.Is(err, bufio.ErrBufferFull):
		case !errors.Is(err, io.EOF):
			return nil, fmt.Errorf("line %d of the record cannot be read: %w", r.number+1, err)
		case len(data) > 0:
			return nil, &Torn{Line: r.number + 1, Offset: r.offset, Tail: data}
		case r.number == 0:
			return nil, r.damage(NoHeader, "")
		default:
			return nil, io.EOF
		}
	}
}

// place says why a line may not stand where it does, or "".
func (r *Reader) place(l Line) string {
	if r.closed != nil {
		return "it follows the line that closed the record"
	}
	if (l.Kind == KindHeader) != (r.number == 0) {
		return "a record has one header, its first line"
	}
	switch l.Kind {
	case KindSaid:
		if l.Said.Seq != r.seq+1 {
			return fmt.Sprintf("its seq is %d, %d was due", l.Said.Seq, r.seq+1)
		}
		r.seq++
	case KindGave:
		if l.Gave.Said != r.seq || r.seq == 0 {
			return fmt.Sprintf("it answers event %d, the latest is %d", l.Gave.Said, r.seq)
		}
	case KindClosed:
		if l.Closed.Lines != r.number+1 {
			return fmt.Sprintf("it counts %d lines, there are %d", l.Closed.Lines, r.number+1)
		}
		r.closed = l.Closed
	}
	return ""
}

func (r *Reader) damage(why Reason, detail string) *Damage {
	return &Damage{Line: r.number + 1, Offset: r.offset, Reason: why, Detail: detail}
}

// Read reads a whole record. The lines before a fault are returned with it:
// *Torn, *Damage, or an error of reading. A clean end is a nil error.
func Read(r io.Reader) ([]Line, error) {
	return NewReader(r).all()
}

func (r *Reader) all() ([]Line, error) {
	var lines []Line
	for {
		line, err := r.Next()
		if errors.Is(err, io.EOF) {
			return lines, nil
		}
		if err != nil {
			return lines, err
		}
		lines = append(lines, line)
	}
}

// withPath names the file in an error of the reader.
func withPath(err error, path string) error {
	var torn *Torn
	var damage *Damage
	switch {
	case errors.As(err, &torn):
		torn.Path = path
	case errors.As(err, &damage):
		damage.Path = path
	}
	return err
}
