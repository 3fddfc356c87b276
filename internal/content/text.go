package content

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"

	"wanderlead/internal/plain"
)

// snippetRunes is how much of a long source line is shown round the place.
const snippetRunes = 120

// snippet gives the source line and a line with a caret below column col (from 1, in characters). Tabs are copied into
// the caret line, wide characters take two places, combining ones none, so the caret stands right in a terminal.
// Characters that would change how the line is displayed are replaced.
func snippet(source string, col int) (text, caret string) {
	runes := []rune(strings.ToValidUTF8(source, "\uFFFD"))
	at := min(max(col-1, 0), len(runes))
	var b, c strings.Builder
	from, to := 0, len(runes)
	if len(runes) > snippetRunes {
		from = max(0, at-snippetRunes/2)
		to = min(len(runes), from+snippetRunes)
		if from > 0 {
			b.WriteRune('…')
			c.WriteByte(' ')
		}
	}
	for i, r := range runes[from:to] {
		if r != '\t' && hidden(r) {
			r = '\uFFFD'
		}
		b.WriteRune(r)
		if from+i < at {
			c.WriteString(blank(r))
		}
	}
	if to < len(runes) {
		b.WriteRune('…')
	}
	return b.String(), c.String() + "^"
}

// blank is the white space that takes as much room in a terminal as r.
func blank(r rune) string {
	if r == '\t' {
		return "\t"
	}
	if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
		return ""
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return "  "
	}
	return " "
}

// hidden says whether r is a control character, one that reorders text (bidi), or one that cannot be seen but makes two
// equal looking names differ. Line feeds and tabs count as hidden; callers that allow them say so.
func hidden(r rune) bool {
	return plain.Active(r) || r == '\u200B' || r == '\u2060'
}

// Clean says whether s is a single line that shows what it is: valid UTF-8, no control, bidi or invisible characters.
func Clean(s string) bool {
	return utf8.ValidString(s) && strings.IndexFunc(s, hidden) < 0
}

// splitLines cuts data into lines the way positions are counted: at line feeds, a carriage return before one dropped.
func splitLines(data []byte) []string {
	lines := strings.Split(string(data), "\n")
	for i, line := range lines {
		lines[i] = strings.TrimSuffix(line, "\r")
	}
	return lines
}

// checkText complains about bytes that no content file may hold. It reports the first bad character of each line.
func (r *report) checkText(data []byte) {
	start := 0
	for i := range r.lines {
		end := start
		for end < len(data) && data[end] != '\n' {
			end++
		}
		r.checkLine(i+1, data[start:end])
		start = end + 1
	}
}

func (r *report) checkLine(line int, data []byte) {
	if n := len(data); n > 0 && data[n-1] == '\r' {
		data = data[:n-1]
	}
	for col := 1; len(data) > 0; col++ {
		c, size := utf8.DecodeRune(data)
		switch {
		case c == utf8.RuneError && size == 1:
			r.add(line, col, fmt.Sprintf("byte 0x%02x is not UTF-8 text", data[0]), "save the file as UTF-8")
			return
		case c == '\uFEFF' && line == 1 && col == 1: // a byte order mark, as some editors write
		case c == '\t':
		case hidden(c):
			r.add(line, col, fmt.Sprintf("character %U is not allowed: it cannot be seen or changes how the line is shown", c),
				"delete it; type the text again if it was pasted")
			return
		}
		data = data[size:]
	}
}
