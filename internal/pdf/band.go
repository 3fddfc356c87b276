package pdf

import "math"

// Band draws readings one after the other on a scale, with the band in which they are
// expected. The numbers stand beside their marks, so that the drawing says nothing
// that its text does not.
type Band struct {
	Title  string
	Unit   string
	Points []Mark
	// Low and High bound the expected band; equal bounds draw a line.
	Low, High         float64
	LowText, HighText string
}

// Mark is one reading of a Band.
type Mark struct {
	Label, Text string
	Value       float64
}

const (
	bandHeight = 30.0
	bandLeft   = 22.0 // room for the scale's numbers
)

func (b Band) draw(w *writer) {
	if len(b.Points) == 0 {
		return
	}
	f := w.f
	w.font(bold, bodySize)
	title := w.wrap(b.Title, w.right()-margin)
	w.need(float64(len(title))*lineHeight(bodySize) + bandHeight + 10)
	w.lines(margin, title, bold, bodySize)
	low, high := b.Low, b.High
	for _, p := range b.Points {
		low, high = math.Min(low, p.Value), math.Max(high, p.Value)
	}
	// The scale spans at least half of the highest value: a digit of scatter is not to
	// look like a mountain.
	pad := max((high-low)*0.35, (high/2-(high-low))/2, 1e-9)
	low, high = low-pad, high+pad
	top, left, right := w.y+1, margin+bandLeft, w.right()
	at := func(v float64) float64 { return top + bandHeight*(high-v)/(high-low) }
	f.SetFillColor(225, 225, 225)
	f.Rect(left, at(b.High), right-left, max(at(b.Low)-at(b.High), 0.2), "F")
	f.SetLineWidth(0.2)
	f.Rect(left, top, right-left, bandHeight, "D")
	w.font(plain, footSize)
	w.edge(b.HighText, left, at(b.High)-0.8)
	if b.LowText != b.HighText {
		w.edge(b.LowText, left, at(b.Low)+2.6)
	}
	step := (right - left) / float64(len(b.Points))
	for i, p := range b.Points {
		x, y := left+step*(float64(i)+0.5), at(p.Value)
		if i > 0 {
			f.Line(x-step, at(b.Points[i-1].Value), x, y)
		}
		f.SetFillColor(0, 0, 0)
		f.Circle(x, y, 0.8, "F")
		w.centred(p.Text, x, y-1.6, step)
		w.centred(p.Label, x, top+bandHeight+3.2, step)
	}
	f.SetLineWidth(0.3)
	w.y = top + bandHeight + 6
}

func (w *writer) edge(text string, left, y float64) {
	text = Clean(text)
	w.f.Text(left-1.5-w.f.GetStringWidth(text), y, text)
}

// centred sets a short text in the middle of a step, smaller where it is too wide.
func (w *writer) centred(text string, x, y, step float64) {
	text = Clean(text)
	size := footSize
	w.font(plain, size)
	for w.f.GetStringWidth(text) > step && size > 3 {
		size -= 0.5
		w.font(plain, size)
	}
	w.f.Text(x-w.f.GetStringWidth(text)/2, y, text)
	w.font(plain, footSize)
}
