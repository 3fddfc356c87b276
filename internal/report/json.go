package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"unicode/utf8"
)

// JSON is the schedule in the form of the command line's contract: one object, two
// spaces of indent, a line feed at the end. Characters that act on a terminal or turn
// the direction of writing are written as \uXXXX; names and remarks are typed text.
// The error is that of a value that JSON cannot hold, which no reading is.
func (s Schedule) JSON() ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		return nil, fmt.Errorf("schedule as JSON: %w", err)
	}
	return escapeActive(buf.Bytes()), nil
}

// escapeActive escapes what can only stand inside a JSON string here.
func escapeActive(in []byte) []byte {
	out := make([]byte, 0, len(in))
	for i := 0; i < len(in); {
		r, n := utf8.DecodeRune(in[i:])
		if active(r) && r != '\n' {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = append(out, in[i:i+n]...)
		}
		i += n
	}
	return out
}

// active reports control characters and those that turn the direction of writing.
func active(r rune) bool {
	switch {
	case r < 0x20, r >= 0x7f && r <= 0x9f:
		return true
	case r == 0x061c, r == 0x200e, r == 0x200f, r == 0xfeff, r >= 0x2028 && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
		return true
	}
	return false
}
