package draw

// Say is a text of the catalogue by its id, with pairs of name and value for its
// placeholders.
type Say func(id string, kv ...string) string

// Tone is what a part of a drawing is about. Each has a mark, a word or a place of its own
// as well, so that nothing is lost without colour.
type Tone uint8

// The tones.
const (
	Usual  Tone = iota
	This        // what the question is about
	Fits        // a reading where it should be
	Odd         // a reading where it should not be
	Limit       // a limit
	Band        // what is expected, or what an instrument leaves open
	Opened      // something out of its place
	NTones      // how many there are
)

// Weight is how heavy a stroke is.
type Weight uint8

// The weights: a conductor, a bar that conductors sit in, a line that only guides the eye.
const (
	Thin Weight = iota
	Heavy
	Guide
)

// Stroke is a straight line between the middles of two cells of one row or one column.
type Stroke struct {
	X1, Y1, X2, Y2 int
	Weight         Weight
	Tone           Tone
}

// Fill is a shaded area of whole cells.
type Fill struct {
	X, Y, W, H int
	Tone       Tone
}

// Point is a place in cells, from the grid's top left corner.
type Point struct{ X, Y float64 }

// Curve is a line through points, at most one for each column on a terminal.
type Curve struct {
	Points []Point
	Weight Weight
	Tone   Tone
}

// Sign is what a mark looks like.
type Sign uint8

// The signs.
const (
	Dot   Sign = iota // joined, or a reading that fits
	Over              // a reading above its band; a filled triangle, tip up
	Under             // a reading below its band; a filled triangle, tip down
	Right             // beyond the right end of a scale, or points at what stands right of it
	Left              // points at what stands left of it
	Gap               // a conductor out of its terminal
	Up                // points at what stands above it
	Joint             // an open circle: a point that can be reached
	Cross             // switched off, taken away; a reading that a limit does not allow
	NSigns
)

// Mark is a sign in a cell.
type Mark struct {
	X, Y int
	Sign Sign
	Tone Tone
}

// Label is a text that begins in a cell.
type Label struct {
	X, Y int
	Text string
	Tone Tone
}

// Picture is one drawing. See the package comment for how it is read.
type Picture struct {
	Name    string // what it shows: "board", "circuit", "ring", "scale", "cycle", "ledger"
	W, H    int    // columns and rows
	Fills   []Fill
	Strokes []Stroke
	Curves  []Curve
	Marks   []Mark
	Labels  []Label
	Words   []string // the same in sentences, without the marks
}

func (p *Picture) grow(x, y int) { p.W, p.H = max(p.W, x+1), max(p.H, y+1) }

func (p *Picture) stroke(x1, y1, x2, y2 int, w Weight, t Tone) {
	p.grow(max(x1, x2), max(y1, y2))
	p.Strokes = append(p.Strokes, Stroke{x1, y1, x2, y2, w, t})
}

func (p *Picture) fill(x, y, w, h int, t Tone) {
	if w <= 0 || h <= 0 {
		return
	}
	p.grow(x+w-1, y+h-1)
	p.Fills = append(p.Fills, Fill{x, y, w, h, t})
}

func (p *Picture) mark(x, y int, s Sign, t Tone) {
	p.grow(x, y)
	p.Marks = append(p.Marks, Mark{x, y, s, t})
}

// label sets a text and returns the column after it.
func (p *Picture) label(x, y int, text string, t Tone) int {
	if text == "" {
		return x
	}
	p.grow(x+Cells(text)-1, y)
	p.Labels = append(p.Labels, Label{x, y, text, t})
	return x + Cells(text)
}

// Under puts another picture below this one, its words after this one's.
func (p *Picture) Under(q Picture) {
	dy := p.H
	for _, f := range q.Fills {
		f.Y += dy
		p.Fills = append(p.Fills, f)
	}
	for _, s := range q.Strokes {
		s.Y1, s.Y2 = s.Y1+dy, s.Y2+dy
		p.Strokes = append(p.Strokes, s)
	}
	for _, c := range q.Curves {
		pts := make([]Point, len(c.Points))
		for i, pt := range c.Points {
			pts[i] = Point{pt.X, pt.Y + float64(dy)}
		}
		c.Points = pts
		p.Curves = append(p.Curves, c)
	}
	for _, m := range q.Marks {
		m.Y += dy
		p.Marks = append(p.Marks, m)
	}
	for _, l := range q.Labels {
		l.Y += dy
		p.Labels = append(p.Labels, l)
	}
	p.W, p.H = max(p.W, q.W), p.H+q.H
	p.Words = append(p.Words, q.Words...)
}
