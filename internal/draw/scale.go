package draw

import (
	"math"
	"strconv"

	"wanderlead/internal/quantity"
)

// Edge is a limit of a scale in words: "Zs limit at most 1.09 Ω".
type Edge struct {
	Value float64
	Most  bool // readings up to it meet it; false: readings from it on
	Text  string
}

// ScaleView is one reading with what it is held against, all in one unit.
type ScaleView struct {
	Reading  quantity.Reading // not given: the scale alone
	Unit     quantity.Unit
	Tone     Tone // Fits, Odd, or Usual where nothing was judged
	Limits   []Edge
	Expected float64 // 0: none is shown
	Text     string  // the expected value in words
	Spread   float64 // how far either way the instrument may be out; 0: not shown
	Log      bool    // every tenfold step is as wide as the next; for insulation
}

// Scale draws a reading as a sign on a scale: heavy where a limit allows it, dotted where
// not, shaded as far as the instrument may be out. Below stand the expected value and the
// limits, each at its place.
func Scale(o Options, v ScaleView) Picture {
	s := &scale{o: o, v: v, p: Picture{Name: "scale"}}
	s.ends()
	s.axis()
	if v.Expected > 0 {
		s.below(v.Expected, v.Text, Band)
	}
	for _, l := range v.Limits {
		s.below(l.Value, l.Text, Limit)
	}
	s.p.Words = s.words()
	return s.p
}

const longestAxis = 60 // columns of a scale, at most

type scale struct {
	o        Options
	v        ScaleView
	p        Picture
	from, to float64
	x, n     int // first column and length of the axis
}

// ends chooses where the scale begins and ends, and room for the numbers there.
func (s *scale) ends() {
	high, low := s.v.Expected, math.Inf(1)
	if s.v.Reading.IsNumber() {
		high, low = math.Max(high, s.v.Reading.Value+s.v.Spread), s.v.Reading.Value
	}
	for _, l := range s.v.Limits {
		high, low = math.Max(high, l.Value), math.Min(low, l.Value)
	}
	s.to = nice(high * 1.15)
	if s.v.Log {
		s.from = math.Pow(10, math.Floor(math.Log10(math.Max(low/2, 0.01))))
		s.to = math.Pow(10, math.Ceil(math.Log10(math.Max(high*2, s.from*10))))
		if !s.v.Reading.IsNumber() {
			s.to = math.Max(s.to, 1000)
		}
	}
	left := decimal(s.from)
	right := s.o.as(decimal(s.to) + " " + s.v.Unit.String())
	s.x = 1 + Cells(left) + 1
	s.n = max(8, min(longestAxis, s.o.W-s.x-Cells(right)-2))
	s.p.label(1, 1, left, Usual)
	s.p.label(s.x+s.n+1, 1, right, Usual)
}

// nice rounds up to 1, 1.5, 2, 3, 4, 5, 6, 8 times a power of ten.
func nice(v float64) float64 {
	if v <= 0 {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8, 10} {
		if k*p >= v*(1-1e-9) {
			return quantity.Tidy(k * p)
		}
	}
	return quantity.Tidy(10 * p)
}

// at is the column of a value, held to the axis.
func (s *scale) at(v float64) int {
	f := (v - s.from) / (s.to - s.from)
	if s.v.Log {
		f = math.Log10(math.Max(v, s.from)/s.from) / math.Log10(s.to/s.from)
	}
	return s.x + max(0, min(s.n-1, int(math.Round(f*float64(s.n-1)))))
}

// axis draws the scale and the reading on it.
func (s *scale) axis() {
	from, to := s.x, s.x+s.n-1 // columns that every limit allows
	for _, l := range s.v.Limits {
		if l.Most {
			to = min(to, s.at(l.Value))
		} else {
			from = max(from, s.at(l.Value))
		}
	}
	if s.x < from {
		s.p.stroke(s.x, 1, from-1, 1, Guide, Usual)
	}
	if from <= to {
		s.p.stroke(from, 1, to, 1, Heavy, Usual)
	}
	if to < s.x+s.n-1 {
		s.p.stroke(to+1, 1, s.x+s.n-1, 1, Guide, Usual)
	}
	r := s.v.Reading
	at, sign := s.x+s.n-1, Right
	switch {
	case r.IsNumber():
		at, sign = s.at(r.Value), Dot
		if s.v.Tone == Odd {
			sign = Cross
		}
		if s.v.Spread > 0 {
			a, b := s.at(math.Max(s.from, r.Value-s.v.Spread)), s.at(r.Value+s.v.Spread)
			s.p.Strokes = clip(s.p.Strokes, a, b)
			s.p.fill(a, 1, b-a+1, 1, Band)
		}
	case !r.Given():
		return
	}
	s.p.mark(at, 1, sign, s.v.Tone)
	text := s.o.as(r.String())
	if s.v.Spread > 0 && r.IsNumber() {
		long := s.o.t("draw.scale.reading", "value", text, "spread", trim(s.v.Spread)+" "+s.o.as(s.v.Unit.String()))
		if Cells(long) < s.o.W-2 {
			text = long
		}
	}
	x := max(1, min(at-Cells(s.o.as(r.String()))/2, s.o.W-Cells(text)))
	s.p.label(x, 0, text, s.v.Tone)
}

// clip takes a stretch of columns out of strokes along the axis.
func clip(in []Stroke, a, b int) []Stroke {
	var out []Stroke
	for _, k := range in {
		if k.X2 < a || k.X1 > b {
			out = append(out, k)
			continue
		}
		if k.X1 < a {
			l := k
			l.X2 = a - 1
			out = append(out, l)
		}
		if k.X2 > b {
			r := k
			r.X1 = b + 1
			out = append(out, r)
		}
	}
	return out
}

// below points from a row of its own at a value, its text on the side with more room.
func (s *scale) below(v float64, text string, t Tone) {
	at, y := s.at(v), s.p.H
	text = s.o.as(text)
	s.p.mark(at, y, Up, t)
	switch n := Cells(text); {
	case at+2+n <= s.o.W:
		s.p.label(at+2, y, text, t)
	case at-1-n >= 1:
		s.p.label(at-1-n, y, text, t)
	default:
		s.o.note(&s.p, 3, y+1, text, t)
	}
}

// trim prints a spread with two digits that count.
func trim(v float64) string {
	if v >= 1 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

func (s *scale) words() []string {
	r := s.v.Reading
	out := []string{s.o.t("draw.scale.words", "value", s.o.as(r.String()))}
	if s.v.Spread > 0 && r.IsNumber() {
		out = append(out, s.o.t("draw.scale.words.spread", "low", trim(math.Max(0, r.Value-s.v.Spread)), "high", trim(r.Value+s.v.Spread), "unit", s.o.as(s.v.Unit.String())))
	}
	if s.v.Expected > 0 {
		out = append(out, s.o.as(s.v.Text))
	}
	for _, l := range s.v.Limits {
		out = append(out, s.o.as(l.Text))
	}
	return out
}
