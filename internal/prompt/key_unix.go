//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/term"
)

// AskKey waits for one of the keys. Nothing typed before the question was shown counts,
// so that a key pressed twice does not answer the next one.
func (f *surveyFront) AskKey(q KeyQuestion) (Reply, error) {
	f.Show(q.Lines...)
	state, err := term.MakeRaw(int(f.in.Fd()))
	if err != nil {
		return Reply{}, err
	}
	restore := func() { _ = term.Restore(int(f.in.Fd()), state) }
	defer restore()
	fmt.Fprintf(f.out.file, ":: %s ", strings.TrimSpace(oneLine(q.Ask)+" "+q.legend()))
	f.keys.announce, f.keys.seats = true, q.Seats
	defer func() { f.keys.seats = 0 }()
	if err := f.keys.arm(); err != nil {
		return Reply{}, err
	}
	for {
		var b [64]byte
		n, err := f.keys.Read(b[:])
		var to *switchKeys
		switch {
		case errors.As(err, &to):
			fmt.Fprint(f.out.file, "\r\n")
			return Reply{Command: CommandSwitch, Raw: to.seat, At: q.ID}, nil
		case errors.Is(err, ErrInterrupted):
			restore()
			f.restore()
			return Reply{}, ErrInterrupted
		case err == io.EOF:
			restore()
			f.restore()
			return Reply{}, ErrEnd
		case err != nil:
			return Reply{}, err
		}
		for _, k := range q.Keys {
			if string(b[:n]) == string(k.Key) {
				fmt.Fprintf(f.out.file, "\r\n   %s\r\n", k.Label)
				return Reply{Raw: k.Value, At: q.ID}, nil
			}
		}
	}
}

// seatKey reads the number after Tab, where the question has seats.
func (k *keyReader) seatKey(key []byte) ([]byte, error) {
	if k.seats < 2 || string(key) != "\t" {
		return key, nil
	}
	next, err := k.next()
	if err != nil {
		return nil, err
	}
	if len(next) == 1 && next[0] >= '1' && int(next[0]-'0') <= k.seats {
		return nil, &switchKeys{string(next)}
	}
	return next, nil
}
