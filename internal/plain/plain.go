// Package plain makes text that people typed and files hold harmless to what shows it: a terminal, a spreadsheet, a
// reader of JSON. One place says which characters act; whatever is written anywhere goes through it.
package plain

import (
	"fmt"
	"io"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Active reports a character that acts instead of being seen: the control characters of both ranges (ISO/IEC 6429;
// escape sequences begin with one), those that part lines or turn the direction of writing (Unicode, UAX 9), and the
// byte order mark. Line feed and tab are among them; who allows those says so.
func Active(r rune) bool {
	switch {
	case r < 0x20, r >= 0x7f && r <= 0x9f:
		return true
	case r == 0x061c, r == 0x200e, r == 0x200f, r == 0xfeff, r >= 0x2028 && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
		return true
	}
	return false
}

// Line is a text as one line: a space in place of whatever acts, U+FFFD in place of bytes that are not UTF-8.
func Line(s string) string {
	return strings.Map(func(r rune) rune {
		if Active(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// Text is a text of several lines, line feeds and tabs kept, and U+FFFD in place of whatever else acts.
func Text(s string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && r != '\t' && Active(r) {
			return '\ufffd'
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// sgr is the one escape sequence that the program writes itself: a colour or weight (ISO/IEC 6429, SGR).
var sgr = regexp.MustCompile("\x1b\\[[0-9;]{0,16}m")

// Painted is a text as [Text] has it, but for colours and weights, which are kept.
func Painted(s string) string {
	if !strings.Contains(s, "\x1b") {
		return Text(s)
	}
	var b strings.Builder
	at := 0
	for _, m := range sgr.FindAllStringIndex(s, -1) {
		b.WriteString(Text(s[at:m[0]]) + s[m[0]:m[1]])
		at = m[1]
	}
	b.WriteString(Text(s[at:]))
	return b.String()
}

// Cell is a text as a cell of a CSV file, harmless to a spreadsheet: one line without characters that act, and an
// apostrophe before whatever would start a formula, at the beginning of the cell or behind a separator that another
// spreadsheet may cut at.
func Cell(text string) string {
	var b strings.Builder
	start := true
	for _, r := range Line(text) {
		if start && Formula(r) {
			b.WriteByte('\'')
		}
		b.WriteRune(r)
		switch {
		case r == ';' || r == '|':
			start = true
		case !unicode.IsSpace(r) && r != '"':
			start = false
		}
	}
	return b.String()
}

// Formula reports a character that starts a formula; the full-width forms are taken for the same by spreadsheets of East
// Asian systems.
func Formula(r rune) bool { return strings.ContainsRune("=+-@＝＋－＠", r) }

// JSON writes whatever acts as \u and four hex digits. In JSON it can only stand inside a string, where that means the same.
func JSON(in []byte) []byte {
	out := make([]byte, 0, len(in))
	for i := 0; i < len(in); {
		r, n := utf8.DecodeRune(in[i:])
		if r != '\n' && Active(r) {
			out = fmt.Appendf(out, `\u%04x`, r)
		} else {
			out = append(out, in[i:i+n]...)
		}
		i += n
	}
	return out
}

// Writer writes text to w as [Text] has it. A write has to hold whole characters, as those of package fmt do.
func Writer(w io.Writer) io.Writer {
	return writer{w, func(p []byte) []byte { return []byte(Text(string(p))) }}
}

// PaintedWriter writes text to w as [Painted] has it. A write has to hold whole lines.
func PaintedWriter(w io.Writer) io.Writer {
	return writer{w, func(p []byte) []byte { return []byte(Painted(string(p))) }}
}

// JSONWriter writes JSON to w as [JSON] has it. A write has to hold whole characters, as those of package
// encoding/json do.
func JSONWriter(w io.Writer) io.Writer { return writer{w, JSON} }

type writer struct {
	w  io.Writer
	as func([]byte) []byte
}

func (w writer) Write(p []byte) (int, error) {
	if _, err := w.w.Write(w.as(p)); err != nil {
		return 0, err
	}
	return len(p), nil
}
