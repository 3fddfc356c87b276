package pdf

import (
	"strings"

	"wanderlead/internal/draw"
)

// Drawing is a picture with its title. It is drawn as lines and letters, not as an image,
// in black: what a tone says is said by a mark or a word as well.
type Drawing struct {
	Title   string
	Picture draw.Picture
	Size    float64 // font size of its texts, at most; 0: that of a picture among others
}

// Drawings are laid side by side, as many as fit, and then below. One that is too wide or
// too tall for a page is set smaller.
type Drawings []Drawing

const (
	drawingSize   = 7.5  // font size of a picture that fits
	drawingGap    = 7.0  // between pictures side by side
	narrowestPart = 55.0 // room for a title
	rowsOfCell    = 1.1  // height of a cell, in lines of text
	widthOfCell   = 1.1  // its width, in digits: capital letters are wider than those
)

// placed is a drawing with the room it takes.
type placed struct {
	d     *Drawing
	title []string
	size  float64 // of its font
	w, h  float64 // of a cell
}

func (p *placed) wide() float64 { return float64(p.d.Picture.W) * p.w }

// room is the width that a drawing takes: a page's, half, or a third of it, so that those
// one below the other stand in columns.
func (p *placed) room(w *writer) float64 {
	page := w.right() - margin
	for n := 3.0; n > 1; n-- {
		if part := (page - (n-1)*drawingGap) / n; p.wide() <= part && part > narrowestPart {
			return part
		}
	}
	return page
}

func (p *placed) tall() float64 {
	return float64(len(p.title))*lineHeight(bodySize) + 1 + float64(p.d.Picture.H)*p.h + 4
}

// place finds the largest size at which a drawing fits on a page.
func (w *writer) place(d *Drawing) placed {
	p := placed{d: d}
	p.size = d.Size
	if p.size <= 0 {
		p.size = drawingSize
	}
	for ; ; p.size -= 0.25 {
		w.font(plain, p.size)
		p.w, p.h = w.f.GetStringWidth("0")*widthOfCell, lineHeight(p.size)*rowsOfCell
		w.font(bold, bodySize)
		p.title = w.wrap(d.Title, p.room(w))
		if p.size <= 1 || p.wide() <= w.right()-margin && p.tall() <= w.bottom()-margin-headRoom {
			return p
		}
	}
}

// row is the drawings that stand side by side with the first.
func (ds Drawings) row(w *writer) (row []placed, tall float64) {
	x := margin
	for i := range ds {
		p := w.place(&ds[i])
		if i > 0 && x+p.room(w) > w.right()+1e-6 {
			break
		}
		row, tall = append(row, p), max(tall, p.tall())
		x += p.room(w) + drawingGap
	}
	return row, tall
}

func (ds Drawings) tall(w *writer) float64 {
	_, tall := ds.row(w)
	return tall
}

func (ds Drawings) draw(w *writer) {
	for len(ds) > 0 {
		row, tall := ds.row(w)
		w.need(tall)
		x, top := margin, w.y
		titles := 0
		for i := range row {
			titles = max(titles, len(row[i].title))
		}
		for i := range row {
			p := &row[i]
			w.y = top
			w.lines(x, p.title, bold, bodySize)
			w.picture(p, x, top+float64(titles)*lineHeight(bodySize)+1)
			x += p.room(w) + drawingGap
		}
		w.y = top + tall
		ds = ds[len(row):]
	}
}

// picture draws a picture in the order that package draw gives.
func (w *writer) picture(at *placed, left, top float64) {
	f, p := w.f, &at.d.Picture
	k := inked{w, at, left, top, taken(p)}
	for _, b := range p.Fills {
		f.SetFillColor(218, 218, 218)
		f.Rect(left+float64(b.X)*at.w, top+(float64(b.Y)+0.1)*at.h, float64(b.W)*at.w, (float64(b.H)-0.2)*at.h, "F")
	}
	for _, s := range p.Strokes {
		k.weight(s.Weight)
		x1, y1 := k.middle(s.X1, s.Y1)
		x2, y2 := k.middle(s.X2, s.Y2)
		if s.X1 == s.X2 && s.Y1 == s.Y2 {
			x1, x2 = x1-at.w/2, x2+at.w/2 // a stroke of one cell lies along its row
		}
		f.Line(x1, y1, x2, y2)
	}
	for _, c := range p.Curves {
		k.weight(c.Weight)
		for i := 1; i < len(c.Points); i++ {
			a, b := c.Points[i-1], c.Points[i]
			f.Line(left+a.X*at.w, top+a.Y*at.h, left+b.X*at.w, top+b.Y*at.h)
		}
	}
	k.weight(draw.Thin)
	for _, m := range p.Marks {
		k.mark(m)
	}
	for _, l := range p.Labels {
		k.label(l)
	}
	f.SetFillColor(0, 0, 0)
	f.SetLineWidth(0.3)
}

// inked is a picture at its place on the page.
type inked struct {
	*writer
	at        *placed
	left, top float64
	taken     [][]bool // cells that hold something, by row
}

// taken finds the cells of a picture that hold something.
func taken(p *draw.Picture) [][]bool {
	out := make([][]bool, p.H)
	for y := range out {
		out[y] = make([]bool, p.W)
	}
	take := func(x, y, w, h int) {
		for j := max(y, 0); j < min(y+h, p.H); j++ {
			for i := max(x, 0); i < min(x+w, p.W); i++ {
				out[j][i] = true
			}
		}
	}
	for _, s := range p.Strokes {
		take(min(s.X1, s.X2), min(s.Y1, s.Y2), max(s.X1-s.X2, s.X2-s.X1)+1, max(s.Y1-s.Y2, s.Y2-s.Y1)+1)
	}
	for _, f := range p.Fills {
		take(f.X, f.Y, f.W, f.H)
	}
	for _, m := range p.Marks {
		take(m.X, m.Y, 1, 1)
	}
	for _, l := range p.Labels {
		take(l.X, l.Y, draw.Cells(l.Text), 1)
	}
	return out
}

// room is how many cells a label may fill: its own, and what is free behind them.
func (k inked) room(l draw.Label) float64 {
	x := l.X + draw.Cells(l.Text)
	end := x
	for end < k.at.d.Picture.W && !k.taken[l.Y][end] {
		end++
	}
	return float64(x-l.X) + 0.8*float64(end-x)
}

func (k inked) middle(x, y int) (float64, float64) {
	return k.left + (float64(x)+0.5)*k.at.w, k.top + (float64(y)+0.5)*k.at.h
}

func (k inked) weight(v draw.Weight) {
	width, dash := 0.2, []float64{}
	switch v {
	case draw.Heavy:
		width = 0.7
	case draw.Guide:
		width, dash = 0.15, []float64{0.3, 0.7}
	}
	k.f.SetLineWidth(width)
	k.f.SetDashPattern(dash, 0)
}

// mark draws a sign in the middle of its cell.
func (k inked) mark(m draw.Mark) {
	f := k.f
	x, y := k.middle(m.X, m.Y)
	r := k.at.w * 0.42
	f.SetFillColor(0, 0, 0)
	triangle := func(dx, dy float64) {
		f.MoveTo(x+dx*r, y+dy*r)
		f.LineTo(x-dx*r+dy*r, y-dy*r+dx*r)
		f.LineTo(x-dx*r-dy*r, y-dy*r-dx*r)
		f.ClosePath()
		f.DrawPath("F")
	}
	switch m.Sign {
	case draw.Dot:
		f.Circle(x, y, r, "F")
	case draw.Joint:
		f.SetFillColor(255, 255, 255)
		f.Circle(x, y, r, "FD")
	case draw.Over, draw.Up:
		triangle(0, -1)
	case draw.Under:
		triangle(0, 1)
	case draw.Right:
		triangle(1, 0)
	case draw.Left:
		triangle(-1, 0)
	case draw.Gap:
		k.blank(m.X, m.Y, 1)
		f.SetLineWidth(0.3)
		f.Line(x-r, y+r*1.4, x+r, y-r*1.4)
		f.SetLineWidth(0.2)
	case draw.Cross:
		f.SetLineWidth(0.35)
		f.Line(x-r, y-r, x+r, y+r)
		f.Line(x-r, y+r, x+r, y-r)
		f.SetLineWidth(0.2)
	}
}

// blank clears cells of the lines that run through them.
func (k inked) blank(x, y, cells int) {
	k.f.SetFillColor(255, 255, 255)
	k.f.Rect(k.left+float64(x)*k.at.w, k.top+float64(y)*k.at.h, float64(cells)*k.at.w, k.at.h, "F")
}

// label sets a text in its cells, smaller where it is wider than they are.
func (k inked) label(l draw.Label) {
	text := Clean(l.Text)
	cells := draw.Cells(l.Text)
	if strings.TrimSpace(text) == "" {
		return
	}
	style := plain
	if l.Tone == draw.This || l.Tone == draw.Odd || l.Tone == draw.Opened {
		style = bold
	}
	k.blank(l.X, l.Y, cells)
	size, room := k.at.size, k.room(l)*k.at.w
	k.font(style, size)
	if wide := k.f.GetStringWidth(text); wide > room {
		size *= room / wide
		k.font(style, size)
	}
	k.f.Text(k.left+float64(l.X)*k.at.w, k.top+(float64(l.Y)+0.5)*k.at.h+size*mmPerPoint*0.36, text)
}
