package screen

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"wanderlead/internal/draw"
)

// Role is what a line is, for the front that colours it.
type Role uint8

// The roles of a line.
const (
	Body    Role = iota
	Heading      // where you are
	Caution      // what can hurt here
	Do           // what to do now
	Leads        // where the leads go
	Expect       // what to expect, and the limit
	Why          // the reason, in one line
	Drawing      // the board, the ring, a reading against its limit
	Open         // what is open now
	Pass         // a verdict
	Doubt        // a verdict
	Fail         // a verdict
	Refused      // an answer that was not accepted
	Reason       // why the verdict
	Next         // what to do after it
	Trace        // source, edition and status of the limit
	numRoles
)

// Line is one line of a screen, without its line break.
type Line struct {
	Role Role
	Text string
	Runs []draw.Run // a drawing's text in pieces of one tone; none on other lines
}

// Strings takes the texts out of lines, for a front without colours.
func Strings(lines []Line) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = l.Text
	}
	return out
}

// The widths a screen can be laid out for, in columns.
const (
	MinWidth = 40
	MaxWidth = 200
	// labelWidth is the room for the word at the start of a row.
	labelWidth = 8
	// longLine is the longest comfortable line, in columns; wider terminals leave
	// the rest empty.
	longLine = 100
)

// width is how many columns a text takes.
func width(s string) int { return draw.Cells(s) }

// clean takes control characters and line breaks out of what people and files wrote.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// hard is a space that a line is not broken at; a private character, because a
// no-break space counts as a space when words are parted.
const hard = "\ue000"

// together keeps the words of a name and its value on one line.
func together(s string) string { return strings.ReplaceAll(s, " ", hard) }

// Wrap breaks a text between words into lines for a terminal of so many columns.
func Wrap(text string, columns int) []string {
	return wrap(text, max(MinWidth, min(columns, MaxWidth)))
}

// wrap breaks a text into lines of at most w columns; a word that is wider stands
// alone. A number is never parted from its unit.
func wrap(s string, w int) []string {
	var lines []string
	line := ""
	for _, word := range glue(strings.Fields(s)) {
		word = strings.ReplaceAll(word, hard, " ")
		switch {
		case line == "":
			line = word
		case width(line)+1+width(word) <= w:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	return append(lines, line)
}

// glue joins a unit to the number before it.
func glue(words []string) []string {
	var out []string
	for _, w := range words {
		if n := len(out); n > 0 && isUnit(w) && endsInDigit(out[n-1]) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func isUnit(w string) bool {
	switch strings.TrimRight(w, ".,;:)") {
	case "Ω", "mΩ", "kΩ", "MΩ", "ms", "mA", "A", "kA", "V", "m", "mm²", "%", "s":
		return true
	}
	return false
}

func endsInDigit(w string) bool { return w != "" && w[len(w)-1] >= '0' && w[len(w)-1] <= '9' }

// capital makes the first letter of a sentence a capital one.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || !unicode.IsLower(r) {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// page collects lines of one width.
type page struct {
	w     int
	plain bool
	ascii bool
	lines []Line
}

// ready is a text as it will be shown: one line, in the characters that there are.
func (p *page) ready(s string) string {
	if s = clean(s); p.ascii {
		s = draw.ASCII(s)
	}
	return s
}

// text adds a wrapped text without a label.
func (p *page) text(r Role, s string) {
	if s = p.ready(s); s == "" {
		return
	}
	for _, l := range wrap(s, p.w) {
		p.lines = append(p.lines, Line{Role: r, Text: l})
	}
}

// row adds a text behind a label, wrapped beside it. In the plain form the label is
// the first word of a sentence.
func (p *page) row(r Role, label, s string) {
	if s = p.ready(s); s == "" {
		return
	}
	if p.plain {
		p.text(r, label+": "+s)
		return
	}
	head := label + strings.Repeat(" ", max(1, labelWidth-width(label)))
	indent := strings.Repeat(" ", width(head))
	for i, l := range wrap(s, p.w-width(head)) {
		if i > 0 {
			head = indent
		}
		p.lines = append(p.lines, Line{Role: r, Text: head + l})
	}
}

// fixed adds lines that are laid out already.
func (p *page) fixed(r Role, lines ...string) {
	for _, l := range lines {
		p.lines = append(p.lines, Line{Role: r, Text: strings.TrimRight(l, " ")})
	}
}
