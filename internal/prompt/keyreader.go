//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/sys/unix"
)

// How long to wait for the rest of something. A key's bytes come together; over
// a slow line they may not.
const (
	escWait    = 25 * time.Millisecond  // after a lone Esc
	seqWait    = 250 * time.Millisecond // inside a sequence or a character
	pasteWait  = 500 * time.Millisecond // inside a paste whose end never comes
	reportWait = time.Second            // for a cursor report
)

const reportQuery = "\x1b[6n"

// ready is written when a question begins to take keys: it changes nothing on
// the screen, and tells a test that what it types now was typed after the
// question was shown.
const ready = "\x1b[m"

// source is where bytes come from: a terminal, or a test. wait < 0 blocks; no
// bytes and no error means that the wait is over.
type source interface {
	read(p []byte, wait time.Duration) (int, error)
	flush() error
}

// keyReader stands between the terminal and survey, which misreads what it gets
// in larger pieces. Each Read is exactly one key or one cursor report. Reports
// are handed over only to a query, ahead of the keys that came before them.
//
// A report also marks a moment: a terminal answers in order, so every byte in
// front of the report was typed before the query, and what was drawn before it,
// had reached the screen. arm uses that to leave out of a safety question all
// that was typed before it was shown, even what was still under way.
type keyReader struct {
	src   source
	out   *queryWriter
	raw   []byte  // read, not yet taken apart
	keys  []token // taken apart, not yet handed over
	rest  []byte  // handed over in part
	ended bool

	announce   bool   // write ready before waiting for a key
	armed      bool   // drop everything up to the next report
	held       []byte // a report that arm took off for a query of survey's
	inPaste    bool
	pasteText  bool                 // something of the paste was handed over
	pasteSpace bool                 // a line end in the paste waits for more text
	mute       bool                 // this terminal answers no queries
	row        int                  // of the last report handed over
	seats      int                  // candidates of the desk; Tab and a number change between them
	left       func() time.Duration // of the question's time; nil: for ever
	typed      typedLine            // since the question was asked
}

func (k *keyReader) Fd() uintptr {
	if t, ok := k.src.(ttySource); ok {
		return t.file.Fd()
	}
	return ^uintptr(0)
}

// Read hands over one key as the bytes survey knows it by, or one report.
// Ctrl-C is ErrInterrupted; Ctrl-D and the end of the input are io.EOF.
func (k *keyReader) Read(p []byte) (int, error) {
	if len(p) == 0 {
		return 0, nil
	}
	if len(k.rest) == 0 {
		b, err := k.next()
		if err == nil {
			b, err = k.seatKey(b)
		}
		if err != nil {
			return 0, err
		}
		k.rest = b
	}
	n := copy(p, k.rest)
	k.rest = k.rest[n:]
	return n, nil
}

func (k *keyReader) next() ([]byte, error) {
	if k.armed {
		k.sync()
	}
	if k.out.pending() > 0 {
		return k.awaitReport(), nil
	}
	if k.announce {
		k.announce = false
		fmt.Fprint(k.out.file, ready)
	}
	t, err := k.key()
	if err != nil {
		return nil, err
	}
	return encode(t)
}

func encode(t token) ([]byte, error) {
	switch t.kind {
	case interrupt:
		return nil, ErrInterrupted
	case endOfInput:
		return nil, io.EOF
	case enter:
		return []byte("\r"), nil
	case backspace:
		return []byte{0x7f}, nil
	}
	return []byte(t.text), nil
}

// key takes the next key, waiting for it.
func (k *keyReader) key() (token, error) {
	for {
		if len(k.keys) > 0 {
			t := k.keys[0]
			k.keys = k.keys[1:]
			k.typed.key(t)
			return t, nil
		}
		wait, left := time.Duration(-1), look
		if k.left != nil {
			left = k.left()
			wait = max(0, min(left, look)) // what has been typed by then still counts as typed
		}
		t, ok, err := k.token(wait)
		if err != nil {
			return token{}, err
		}
		if !ok && left <= 0 {
			return token{}, &timeOver{k.typed.String()}
		}
		if ok && t.kind != report {
			k.queue(t)
		}
	}
}

// token takes the next token off the input. wait bounds the wait for its first
// byte; ok is false when it has passed.
func (k *keyReader) token(wait time.Duration) (t token, ok bool, err error) {
	for {
		if t, n := nextToken(k.raw, k.ended); n > 0 {
			k.raw = k.raw[n:]
			return t, true, nil
		}
		if k.ended {
			return token{}, false, io.EOF
		}
		w := wait
		switch {
		case len(k.raw) == 1 && k.raw[0] == 0x1b:
			w = escWait
		case len(k.raw) > 0:
			w = seqWait
		case k.inPaste && (w < 0 || w > pasteWait):
			w = pasteWait
		}
		more, err := k.fill(w)
		if err != nil {
			return token{}, false, err
		}
		if more {
			continue
		}
		if len(k.raw) > 0 {
			t, n := nextToken(k.raw, true)
			k.raw = k.raw[n:]
			return t, true, nil
		}
		k.inPaste = false
		if wait >= 0 {
			return token{}, false, nil
		}
	}
}

func (k *keyReader) fill(wait time.Duration) (bool, error) {
	var b [512]byte
	n, err := k.src.read(b[:], wait)
	k.raw = append(k.raw, b[:n]...)
	if err == io.EOF {
		k.ended = true
		return true, nil
	}
	return n > 0, err
}

// queue puts a token in line for Read. Inside a paste only text counts: a line
// end there becomes a space, so that no paste presses Enter.
func (k *keyReader) queue(t token) {
	switch {
	case t.kind == pasteStart:
		k.inPaste, k.pasteText, k.pasteSpace = true, false, false
	case t.kind == pasteEnd:
		k.inPaste = false
	case t.kind == dropped || t.kind == report:
	case !k.inPaste:
		k.keys = append(k.keys, t)
	case t.kind == enter || t.kind == movement && t.text == "\t":
		k.pasteSpace = k.pasteText
	case t.kind == character:
		if k.pasteSpace {
			k.keys = append(k.keys, token{kind: character, text: " "})
		}
		k.keys = append(k.keys, t)
		k.pasteText, k.pasteSpace = true, false
	}
}

// awaitReport waits for the report of the oldest query; keys that come first
// wait in line. A terminal that never answers gets its answer made up: survey
// would wait for ever, and follow a nil pointer on an error.
func (k *keyReader) awaitReport() []byte {
	question := k.out.take()
	b, ok := k.held, k.held != nil
	k.held = nil
	if !ok {
		b, ok = k.report(k.queue)
	}
	if !ok {
		b = question.madeUp()
	}
	fmt.Sscanf(string(b), "\x1b[%d;", &k.row)
	return b
}

// report takes tokens up to the next report and gives the others to other.
func (k *keyReader) report(other func(token)) ([]byte, bool) {
	if k.mute {
		return nil, false
	}
	end := time.Now().Add(reportWait)
	for {
		wait := time.Until(end)
		if wait < 0 {
			break
		}
		t, ok, err := k.token(wait)
		if err != nil {
			return nil, false
		}
		if ok && t.kind == report {
			return []byte(t.text), true
		}
		if ok {
			other(t)
		}
	}
	k.mute = true
	return nil, false
}

// arm makes the next Read leave out what was typed before the question then on
// the screen. What is queued now goes at once.
func (k *keyReader) arm() error {
	if err := k.forget(); err != nil {
		return err
	}
	k.out.reset()
	k.armed = true
	return nil
}

// forget drops everything typed and not yet handed over.
func (k *keyReader) forget() error {
	k.raw, k.keys, k.rest, k.held, k.inPaste = nil, nil, nil, nil, false
	return k.src.flush()
}

// sync runs when the question has been written. An interrupt is kept.
func (k *keyReader) sync() {
	k.armed = false
	drain(k.out.file)
	own := k.out.pending() == 0
	if own {
		fmt.Fprint(k.out.file, reportQuery)
	}
	stopped := false
	b, ok := k.report(func(t token) {
		switch t.kind {
		case interrupt:
			stopped = true
		case pasteStart, pasteEnd: // its tail may come after the report
			k.inPaste = t.kind == pasteStart
		}
	})
	switch {
	case !ok:
		_ = k.forget()
	case !own:
		k.held = b
	}
	if stopped {
		k.keys = append(k.keys, token{kind: interrupt})
	}
}

// ttySource reads the terminal itself.
type ttySource struct{ file *os.File }

func (s ttySource) flush() error { return flushInput(s.file) }

func (s ttySource) read(p []byte, wait time.Duration) (int, error) {
	fd := int(s.file.Fd())
	end := time.Now().Add(wait)
	for {
		ready, err := readable(fd, wait >= 0, time.Until(end))
		if err == unix.EINTR {
			continue
		}
		if err != nil || !ready {
			return 0, err
		}
		n, err := unix.Read(fd, p)
		switch {
		case err == unix.EINTR || err == unix.EAGAIN:
			continue
		case err == unix.EIO || err == nil && n == 0:
			return 0, io.EOF // the window was closed
		case err != nil:
			return 0, err
		}
		return n, nil
	}
}

// readable waits until fd has input. (select, because poll does not know
// terminals on every system.)
func readable(fd int, bounded bool, wait time.Duration) (bool, error) {
	var set unix.FdSet
	set.Zero()
	set.Set(fd)
	var timeout *unix.Timeval
	if bounded {
		t := unix.NsecToTimeval(int64(max(0, wait)))
		timeout = &t
	}
	n, err := unix.Select(fd+1, &set, nil, nil, timeout)
	return n > 0, err
}
