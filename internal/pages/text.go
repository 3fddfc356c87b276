package pages

import (
	"strings"

	"wanderlead/internal/draw"
)

// Text lays a page out for a terminal or a screen reader, no line wider than width columns
// but for what is to be typed as it stands: headings at the margin, the rest indented, a
// row of a table as a sentence each.
func Text(page string, width int) string {
	l := layout{width: min(max(width, 40), 100)}
	for line := range strings.Lines(page) {
		l.line(strings.TrimRight(line, "\r\n"))
	}
	l.flush()
	return strings.TrimLeft(l.b.String(), "\n")
}

type layout struct {
	b     strings.Builder
	width int
	para  []string // lines of the paragraph or item that is being gathered
	first string   // what its first line begins with
	table int      // rows of the table so far
	blank bool     // a blank line is due before what comes next
}

func (l *layout) line(s string) {
	switch {
	case strings.HasPrefix(s, "<!--"):
		return
	case strings.TrimSpace(s) == "":
		l.flush()
		l.blank, l.table = true, 0
		return
	case strings.HasPrefix(s, "#"):
		l.flush()
		l.blank = true
		l.write("", "", strings.TrimLeft(s, "# "), "")
		l.blank = true
		return
	case strings.HasPrefix(s, "    ") && len(l.para) == 0:
		l.gap()
		l.b.WriteString(s + "\n")
		return
	case strings.HasPrefix(s, "|"):
		l.flush()
		l.row(s)
		return
	case strings.HasPrefix(s, "- "):
		l.flush()
		l.first, s = "- ", s[2:]
	case strings.HasPrefix(s, "> "):
		s = s[2:]
	}
	l.para = append(l.para, strings.TrimSpace(s))
}

// row writes a row of a table as an item; its head is left out, for the cells speak for
// themselves, and so is the line below the head.
func (l *layout) row(s string) {
	if l.table++; l.table < 3 {
		return
	}
	cells := strings.Split(strings.Trim(s, "|"), "|")
	text := strings.TrimSpace(cells[0])
	for i, c := range cells[1:] {
		if c = strings.TrimSpace(c); c != "" {
			sep := "; "
			if i == 0 || text == "" {
				sep = ": "
			}
			if text == "" {
				sep = ""
			}
			text += sep + c
		}
	}
	l.write(indent, "- ", text, "  ")
}

func (l *layout) flush() {
	if len(l.para) == 0 {
		return
	}
	l.write(indent, l.first, strings.Join(l.para, " "), strings.Repeat(" ", len(l.first)))
	l.para, l.first = nil, ""
}

func (l *layout) gap() {
	if l.blank {
		l.b.WriteString("\n")
		l.blank = false
	}
}

// indent is what everything but headings stands in from the margin.
const indent = "  "

// write wraps a text behind a margin; first and rest begin its first and its other lines.
func (l *layout) write(margin, first, text, rest string) {
	l.gap()
	line := margin + first
	empty := true
	for _, word := range strings.Fields(unmarked(text)) {
		if !empty && draw.Cells(line)+1+draw.Cells(word) > l.width {
			l.b.WriteString(line + "\n")
			line, empty = margin+rest, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	l.b.WriteString(line + "\n")
}

// unmarked takes the marks of Markdown out of a text: emphasis, code, the target of links.
func unmarked(s string) string {
	s = strings.NewReplacer("**", "", "`", "").Replace(s)
	for {
		before, rest, ok := strings.Cut(s, "](")
		if !ok {
			return s
		}
		open := strings.LastIndex(before, "[")
		_, after, ok := strings.Cut(rest, ")")
		if open < 0 || !ok {
			return s
		}
		s = before[:open] + before[open+1:] + after
	}
}
