package draw

import (
	"strconv"
	"strings"

	"wanderlead/internal/quantity"
)

// Options is for whom a picture is laid out.
type Options struct {
	W     int  // columns; a picture is never wider, and below 20 nothing is promised
	Bare  bool // without legend and caption, where lines are few
	ASCII bool // texts are put into ASCII before they are measured; draw with Rows(p, true)
	Say   Say
}

// t is a text of the catalogue as it will be shown.
func (o Options) t(id string, kv ...string) string { return o.as(o.Say(id, kv...)) }

// as is a text of a rig or a reading as it will be shown.
func (o Options) as(s string) string {
	if o.ASCII {
		return ASCII(s)
	}
	return s
}

// item is one entry of a legend.
type item struct {
	sign Sign
	text string
	tone Tone
}

// legend says below a picture what its signs mean, those that are in it.
func (o Options) legend(p *Picture, x int, items ...item) {
	at, y := x, p.H
	for _, it := range items {
		if o.Bare {
			return
		}
		if !p.has(it.sign, it.tone) {
			continue
		}
		w := 2 + Cells(it.text)
		if at > x && at+w > o.W {
			at, y = x, y+1
		}
		p.mark(at, y, it.sign, it.tone)
		at = p.label(at+2, y, cut(it.text, o.W-at-2), Usual) + 3
	}
}

func (p *Picture) has(s Sign, t Tone) bool {
	for _, m := range p.Marks {
		if m.Sign == s && m.Tone == t {
			return true
		}
	}
	return false
}

// note sets a text from a row on, broken between words; it returns the row after it.
func (o Options) note(p *Picture, x, y int, text string, t Tone) int {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && x+Cells(line)+1+Cells(word) > o.W {
			p.label(x, y, line, t)
			line = ""
			y++
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	p.label(x, y, cut(line, o.W-x), t)
	return y + 1
}

// cut shortens a text to a number of columns; what is lost stands in the words.
func cut(s string, w int) string {
	if Cells(s) <= w {
		return s
	}
	var b strings.Builder
	n := 0
	for _, r := range s {
		if n += cells.RuneWidth(r); n > w-1 {
			break
		}
		b.WriteRune(r)
	}
	if w <= 0 {
		return ""
	}
	return strings.TrimRight(b.String(), " ,") + "~"
}

func list(names []string) string { return strings.Join(names, ", ") }

// decimal prints a size or a mark of a scale with the digits it needs.
func decimal(v float64) string { return strconv.FormatFloat(quantity.Tidy(v), 'f', -1, 64) }
