package draw

import "math"

// Half is one half-cycle that a test starts on.
type Half struct {
	Degrees int    // 0 or 180
	Text    string // how it is called: "0°"
}

// Cycle draws the supply's voltage with the moment at which an RCD test begins: dotted
// before, heavy from there on, which is when the test current flows. Two stand side by
// side.
func Cycle(o Options, halves ...Half) Picture {
	p := Picture{Name: "cycle"}
	const rows, most = 5, 34
	n := max(1, len(halves))
	w := min(most, (o.W-1)/n-2)
	for i, h := range halves {
		x0 := 1 + i*(w+2)
		start := 0.25 // of the panel: a quarter is what was before
		if h.Degrees == 180 {
			start = 0.5
		}
		mid := rows / 2
		p.stroke(x0, mid, x0+w-1, mid, Thin, Usual)
		var before, after []Point
		for x := range w {
			f := float64(x) / float64(w-1)
			// Half a cycle takes a quarter of the panel: the panel shows two cycles, and
			// the wave crosses zero upwards at a quarter of it, downwards at its half.
			v := math.Sin((f - 0.25) * 4 * math.Pi)
			at := Point{float64(x0+x) + 0.5, (1-v)*float64(rows-1)/2 + 0.5}
			if f < start {
				before = append(before, at)
			} else {
				after = append(after, at)
			}
		}
		p.Curves = append(p.Curves, Curve{before, Guide, Usual}, Curve{after, Heavy, This})
		at := x0 + int(math.Round(start*float64(w-1)))
		p.grow(x0+w-1, rows-1)
		p.mark(at, rows, Up, This)
		id := "draw.cycle.start-0"
		if h.Degrees == 180 {
			id = "draw.cycle.start-180"
		}
		text := o.t(id, "name", h.Text)
		x, y := at+2, rows
		switch room := Cells(text); {
		case x+room <= x0+w:
		case at-1-room >= x0:
			x = at - 1 - room
		default: // below its sign
			x, y = max(x0, min(at-room/2, x0+w-room)), rows+1
		}
		p.label(x, y, text, This)
		p.Words = append(p.Words, o.t(id+".words", "name", h.Text))
	}
	return p
}
