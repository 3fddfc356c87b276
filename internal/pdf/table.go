package pdf

import "strings"

// Column is one column of a table.
type Column struct {
	Head string
	Grow bool    // takes the room that is left, and wraps first when there is none
	Min  float64 // at least this wide
}

// Cell is one cell; a strong one is printed bold.
type Cell struct {
	Text   string
	Strong bool
}

// Cells makes a row of plain cells.
func Cells(texts ...string) []Cell {
	out := make([]Cell, len(texts))
	for i, t := range texts {
		out[i].Text = t
	}
	return out
}

// Table repeats its head on every page, if one of its columns has any. A row stays on
// one page if a page can hold it.
type Table struct {
	Columns []Column
	Rows    [][]Cell
	RowMin  float64 // a row is at least this tall: room to write in
}

const (
	cellPad      = 1.0
	largestCell  = 8.5
	smallestCell = 6.0
	narrowest    = 5.0
	longestWord  = 34.0 // a word wider than this may be broken to make a table fit
)

func (t Table) draw(w *writer) {
	if len(t.Columns) == 0 {
		return
	}
	widths, size := t.fit(w)
	t.head(w, widths, size)
	for _, row := range t.Rows {
		t.row(w, row, widths, size)
	}
	w.y += 2
}

// fit finds the widths of the columns and the largest font size at which they fit.
func (t Table) fit(w *writer) ([]float64, float64) {
	room := w.right() - margin
	for size := largestCell; ; size -= 0.5 {
		natural, least := t.measure(w, size)
		if size <= smallestCell || sum(least) <= room {
			return share(natural, least, t.Columns, room), size
		}
	}
}

// measure gives for each column the width that its texts take on one line, and the
// least at which no word of at most longestWord is broken.
func (t Table) measure(w *writer, size float64) (natural, least []float64) {
	natural, least = make([]float64, len(t.Columns)), make([]float64, len(t.Columns))
	add := func(i int, text string, wraps bool) {
		text = Clean(text)
		full, word := w.f.GetStringWidth(text), 0.0
		for _, part := range strings.Fields(text) {
			word = max(word, min(w.f.GetStringWidth(part), longestWord))
		}
		if !wraps {
			word = full
		}
		natural[i], least[i] = max(natural[i], full+2*cellPad+0.2), max(least[i], word+2*cellPad+0.2)
	}
	for i, c := range t.Columns {
		w.font(bold, size)
		head := 0.0
		for _, part := range strings.Fields(Clean(c.Head)) {
			head = max(head, w.f.GetStringWidth(part))
		}
		natural[i] = max(c.Min, head+2*cellPad+0.2)
		least[i] = natural[i]
	}
	for _, row := range t.Rows {
		for i := range min(len(row), len(t.Columns)) {
			w.font(plain, size)
			if row[i].Strong {
				w.font(bold, size)
			}
			add(i, row[i].Text, t.Columns[i].Grow)
		}
	}
	return natural, least
}

// share gives each column its width: room that is left goes to those that grow, room
// that is missing is taken from those that wrap, then from all.
func share(natural, least []float64, columns []Column, room float64) []float64 {
	out := make([]float64, len(natural))
	wide, narrow := sum(natural), sum(least)
	switch {
	case narrow > room:
		// No column is squeezed to nothing: each keeps room for a character or two.
		floor := min(narrowest, room/float64(len(out)))
		over := 0.0
		for i := range out {
			over += max(least[i]-floor, 0)
		}
		for i := range out {
			out[i] = floor
			if over > 0 {
				out[i] += max(least[i]-floor, 0) * (room - floor*float64(len(out))) / over
			}
		}
	case wide > room:
		for i := range out {
			out[i] = least[i] + (natural[i]-least[i])*(room-narrow)/(wide-narrow)
		}
	default:
		copy(out, natural)
		growing := 0
		for _, c := range columns {
			if c.Grow {
				growing++
			}
		}
		for i, c := range columns {
			switch {
			case growing == 0:
				out[i] += (room - wide) / float64(len(columns))
			case c.Grow:
				out[i] += (room - wide) / float64(growing)
			}
		}
	}
	return out
}

func sum(xs []float64) float64 {
	total := 0.0
	for _, x := range xs {
		total += x
	}
	return total
}

func (t Table) head(w *writer, widths []float64, size float64) {
	cells := make([]Cell, len(t.Columns))
	for i, c := range t.Columns {
		cells[i] = Cell{c.Head, true}
	}
	lines, most := t.wrapRow(w, cells, widths, size)
	if most == 0 {
		return
	}
	tall := float64(most)*lineHeight(size) + 2*cellPad
	w.need(tall + lineHeight(size) + 2*cellPad)
	w.f.SetFillColor(228, 228, 228)
	w.f.Rect(margin, w.y, sum(widths), tall, "F")
	w.cells(lines, cells, widths, size, tall)
}

func (t Table) wrapRow(w *writer, row []Cell, widths []float64, size float64) (lines [][]string, most int) {
	lines = make([][]string, len(widths))
	for i := range min(len(row), len(widths)) {
		style := plain
		if row[i].Strong {
			style = bold
		}
		w.font(style, size)
		lines[i] = w.wrap(row[i].Text, widths[i]-2*cellPad)
		most = max(most, len(lines[i]))
	}
	return lines, most
}

// row writes one row; what a page cannot hold goes on under the head of the next.
func (t Table) row(w *writer, row []Cell, widths []float64, size float64) {
	lines, most := t.wrapRow(w, row, widths, size)
	most = max(most, 1)
	h := lineHeight(size)
	tall := max(float64(most)*h+2*cellPad, t.RowMin)
	if w.y+tall > w.bottom() {
		w.newPage()
		t.head(w, widths, size)
	}
	for most > 0 {
		n := min(most, max(1, int((w.bottom()-w.y-2*cellPad)/h+1e-6)))
		part := make([][]string, len(lines))
		for i := range lines {
			k := min(n, len(lines[i]))
			part[i], lines[i] = lines[i][:k], lines[i][k:]
		}
		w.cells(part, row, widths, size, max(float64(n)*h+2*cellPad, t.RowMin))
		if most -= n; most > 0 {
			w.newPage()
			t.head(w, widths, size)
		}
	}
}

// cells writes wrapped cells and the lines round them.
func (w *writer) cells(lines [][]string, row []Cell, widths []float64, size, tall float64) {
	f := w.f
	f.SetDrawColor(120, 120, 120)
	f.SetLineWidth(0.15)
	h := lineHeight(size)
	x := margin
	for i, wide := range widths {
		style := plain
		if i < len(row) && row[i].Strong {
			style = bold
		}
		w.font(style, size)
		for k, line := range lines[i] {
			f.Text(x+cellPad, w.y+cellPad+h*(float64(k)+0.78), line)
		}
		f.Rect(x, w.y, wide, tall, "D")
		x += wide
	}
	f.SetDrawColor(0, 0, 0)
	f.SetLineWidth(0.3)
	w.y += tall
}
