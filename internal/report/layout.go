package report

import (
	"strings"
	"unicode"

	"golang.org/x/text/width"

	"wanderlead/internal/plain"
)

// minWidth is the narrowest page that is laid out; a narrower one is taken for this.
const minWidth = 40

// columnsOf is how many columns of a terminal a text takes: wide East Asian characters
// two, combining marks none.
func columnsOf(s string) int {
	n := 0
	for _, r := range s {
		n += runeColumns(r)
	}
	return n
}

func runeColumns(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// page collects lines no wider than its width.
type page struct {
	width int
	lines []string
}

func (p *page) blank() {
	if n := len(p.lines); n > 0 && p.lines[n-1] != "" {
		p.lines = append(p.lines, "")
	}
}

func (p *page) head(text string) {
	p.blank()
	p.para("", "", strings.ToUpper(text))
}

// para adds a text; the first line begins with first, the others with rest.
func (p *page) para(first, rest, text string) {
	w := max(p.width-max(columnsOf(first), columnsOf(rest)), 8)
	for i, line := range wrap(text, w) {
		lead := rest
		if i == 0 {
			lead = first
		}
		p.lines = append(p.lines, strings.TrimRight(lead+line, " "))
	}
}

// item adds a label and its text in two columns; nothing when there is no text.
func (p *page) item(indent string, label string, labelWidth int, text string) {
	if text == "" {
		return
	}
	p.para(indent+pad(label, labelWidth)+" ", indent+strings.Repeat(" ", labelWidth+1), text)
}

func pad(s string, w int) string {
	if n := columnsOf(s); n < w {
		return s + strings.Repeat(" ", w-n)
	}
	return s
}

// wrap breaks a text into lines of at most w columns, between words, and inside a word
// that is longer than a line. An empty text is one empty line.
func wrap(text string, w int) []string {
	var lines []string
	line, used := "", 0
	flush := func() { lines, line, used = append(lines, line), "", 0 }
	for _, word := range strings.Fields(plain.Line(text)) {
		n := columnsOf(word)
		if used > 0 && used+1+n > w {
			flush()
		}
		for n > w {
			head, tail := cutColumns(word, w)
			line, used = head, columnsOf(head)
			flush()
			word, n = tail, columnsOf(tail)
		}
		if word == "" {
			continue
		}
		if used > 0 {
			line, used = line+" ", used+1
		}
		line, used = line+word, used+n
	}
	if line != "" || len(lines) == 0 {
		flush()
	}
	return lines
}

func cutColumns(s string, w int) (head, tail string) {
	n := 0
	for i, r := range s {
		if c := runeColumns(r); n+c > w && i > 0 {
			return s[:i], s[i:]
		} else {
			n += c
		}
	}
	return s, ""
}

// table lays rows under heads. Column flex gives way when the table is too wide: its
// text is wrapped down to minFlex columns. ok is false when even that does not fit.
type table struct {
	heads []string
	rows  [][]string
	flex  int // -1: none
}

const (
	minFlex = 10
	gap     = 2
)

func (t *table) render(w int) (lines []string, ok bool) {
	widths := make([]int, len(t.heads))
	heads := make([][]string, len(t.heads))
	for i, h := range t.heads {
		heads[i] = strings.Fields(h)
		for _, word := range heads[i] {
			widths[i] = max(widths[i], columnsOf(word))
		}
	}
	for _, row := range t.rows {
		for i, c := range row {
			widths[i] = max(widths[i], columnsOf(plain.Line(c)))
		}
	}
	total := gap * (len(widths) - 1)
	for _, n := range widths {
		total += n
	}
	if over := total - w; over > 0 {
		if t.flex < 0 || widths[t.flex]-over < minFlex {
			return nil, false
		}
		widths[t.flex] -= over
	}
	lines = append(lines, cells(headCells(heads), widths)...)
	lines = append(lines, strings.Repeat("-", min(w, total)))
	for _, row := range t.rows {
		parts := make([][]string, len(row))
		for i, c := range row {
			parts[i] = wrap(c, widths[i])
		}
		lines = append(lines, cells(parts, widths)...)
	}
	return lines, true
}

// headCells sets the words of each head under one another, from the bottom up.
func headCells(heads [][]string) [][]string {
	deep := 0
	for _, h := range heads {
		deep = max(deep, len(h))
	}
	out := make([][]string, len(heads))
	for i, h := range heads {
		out[i] = append(make([]string, deep-len(h)), h...)
	}
	return out
}

// cells sets the columns of one row side by side.
func cells(parts [][]string, widths []int) []string {
	deep := 0
	for _, p := range parts {
		deep = max(deep, len(p))
	}
	var lines []string
	for y := range deep {
		var b strings.Builder
		for i, p := range parts {
			c := ""
			if y < len(p) {
				c = p[y]
			}
			b.WriteString(pad(c, widths[i]+gap))
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	return lines
}
