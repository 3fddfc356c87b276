package draw

import (
	"math"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
)

// RingView is a ring with the readings taken round it.
type RingView struct {
	Circuit  *rig.Circuit
	Readings map[string]quantity.Reading // by point, in ohms; a point without one is open to be read
	// The band that readings at points of the ring should be in, in ohms, what is accepted
	// beside the expected values included. High 0: none is shown.
	Low, High float64
}

func (v *RingView) banded() bool { return v.High > 0 }

func (v *RingView) ohmBand() (low, high float64) { return math.Max(0, v.Low), v.High }

// Ring draws a ring as a closed loop from the board and back, each point with its reading
// on a scale of its own; the scales are alike, so the band runs through all of them. Where
// there is room the loop goes down on the left and up again on the right.
func Ring(o Options, v RingView) Picture {
	g := ring{o: o, v: v, p: Picture{Name: "ring"}}
	for i := range v.Circuit.Points {
		pt := &v.Circuit.Points[i]
		if pt.From != "" {
			g.spurs = append(g.spurs, pt)
		} else {
			g.on = append(g.on, pt)
		}
		g.name = max(g.name, Cells(pt.ID))
	}
	g.scale()
	if o.W >= twoSides && len(g.on) > 2 {
		g.loop()
	} else {
		g.column()
	}
	for _, pt := range g.spurs {
		g.spur(pt)
	}
	g.caption()
	g.p.Words = g.words()
	return g.p
}

const (
	twoSides = 52 // columns from which there is room for the loop's two sides
	mostGrid = 24 // columns of one scale, at most
	leastOdd = 6  // columns of one scale, at least
)

type ring struct {
	o         Options
	v         RingView
	p         Picture
	on, spurs []*rig.Point
	name      int     // columns of the longest point's name
	value     int     // columns of the longest reading
	from, to  float64 // ohms at the ends of a scale
}

// scale chooses one scale for all points: wide enough for the band and what was read, and
// never so narrow that a digit of scatter looks like a fault.
func (g *ring) scale() {
	low, high := math.Inf(1), math.Inf(-1)
	take := func(x float64) { low, high = math.Min(low, x), math.Max(high, x) }
	if g.v.banded() {
		a, b := g.v.ohmBand()
		take(a)
		take(b)
	}
	for _, r := range g.v.Readings {
		g.value = max(g.value, Cells(g.o.as(short(r))))
		if r.IsNumber() {
			take(r.Value)
		}
	}
	if g.value == 0 {
		g.value = 1
	}
	if math.IsInf(low, 0) {
		low, high = 0, 1
	}
	mid, half := (low+high)/2, (high-low)/2
	half = math.Max(half*1.25, 0.05) // 0.05 Ω on either side: five digits of the display
	g.from, g.to = math.Max(0, mid-half), mid+half
}

// short is a reading without its unit.
func short(r quantity.Reading) string {
	return strings.TrimSpace(strings.TrimSuffix(r.String(), r.Unit.String()))
}

// loop draws the two sides: out on the left, back on the right.
func (g *ring) loop() {
	half := (len(g.on) + 1) / 2
	side := (g.o.W - 4) / 2
	grid := min(mostGrid, side-g.name-g.value-4)
	left, right := 1, 1+1+g.name+1+g.value+1+grid+2
	last := right + 1 + g.name + 1 + g.value + 1 + grid
	board := g.o.t("draw.ring.board")
	bottom := 1 + half
	g.p.stroke(left, 0, last, 0, Thin, Usual)
	g.p.stroke(left, 0, left, bottom, Thin, Usual)
	g.p.stroke(last, 0, last, bottom, Thin, Usual)
	g.p.stroke(left, bottom, last, bottom, Thin, Usual)
	g.p.label((left+last-Cells(board))/2, 0, " "+board+" ", Usual)
	for i, pt := range g.on[:half] {
		g.point(pt, left, left+2, 1+i, grid)
	}
	for i, pt := range g.on[half:] {
		g.point(pt, last, right, bottom-1-i, grid)
	}
}

// column draws the loop as one column where there is no room for two.
func (g *ring) column() {
	grid := max(leastOdd, min(mostGrid, g.o.W-5-g.name-g.value))
	bottom := 1 + len(g.on)
	board := g.o.t("draw.ring.board")
	g.p.stroke(1, 0, 3, 0, Thin, Usual)
	g.p.stroke(1, 0, 1, bottom, Thin, Usual)
	g.p.stroke(1, bottom, 3, bottom, Thin, Usual)
	g.p.label(5, 0, board, Usual)
	g.p.label(5, bottom, board, Usual)
	for i, pt := range g.on {
		g.point(pt, 1, 3, 1+i, grid)
	}
}

// point draws one point: a dot on the loop, its name, its reading, and the reading on the
// scale.
func (g *ring) point(pt *rig.Point, wire, x, y, grid int) {
	r, read := g.v.Readings[pt.ID]
	sign, tone := g.fit(pt, r, read)
	g.p.label(x, y, pt.ID, Usual)
	x += g.name + 1
	if wire >= 0 {
		g.p.stroke(wire, y, wire, y, Thin, Usual)
		g.p.mark(wire, y, Joint, Usual)
	}
	text := g.o.as(short(r))
	if !read {
		text = "-"
	}
	g.p.label(x+g.value-Cells(text), y, text, tone)
	x += g.value + 1
	g.p.stroke(x, y, x+grid-1, y, Guide, Usual)
	if g.v.banded() && pt.From == "" {
		a, b := g.v.ohmBand()
		i, j := g.at(a, grid), g.at(b, grid)
		g.p.fill(x+i, y, max(1, j-i+1), 1, Band)
	}
	if !read {
		return
	}
	g.p.mark(x+g.place(r, grid), y, sign, tone)
}

// at is the column of a value on a scale.
func (g *ring) at(ohm float64, grid int) int {
	f := (ohm - g.from) / (g.to - g.from)
	return max(0, min(grid-1, int(math.Round(f*float64(grid-1)))))
}

func (g *ring) place(r quantity.Reading, grid int) int {
	if !r.IsNumber() {
		return grid - 1
	}
	return g.at(r.Value, grid)
}

// fit is how a reading lies to the band.
func (g *ring) fit(pt *rig.Point, r quantity.Reading, read bool) (Sign, Tone) {
	switch a, b := g.v.ohmBand(); {
	case !read:
		return Dot, Usual
	case !r.IsNumber():
		return Over, Odd
	case !g.v.banded() || pt.From != "":
		return Dot, Usual
	case cmp(r.Value, b) > 0:
		return Over, Odd
	case cmp(r.Value, a) < 0:
		return Under, Odd
	}
	return Dot, Fits
}

// cmp compares as decimals of the display: a reading at the band's edge is in it.
func cmp(a, b float64) int {
	switch d := a - b; {
	case d > 1e-9:
		return 1
	case d < -1e-9:
		return -1
	}
	return 0
}

func (g *ring) spur(pt *rig.Point) {
	y := g.p.H
	grid := max(leastOdd, min(mostGrid, g.o.W-5-g.name-g.value))
	g.point(pt, -1, 3, y, grid)
	x := 3 + g.name + 1 + g.value + 1 + grid + 1
	g.p.label(x, y, cut(g.o.t("draw.ring.spur", "from", pt.From), g.o.W-x), Usual)
}

// caption names the scale's ends, the band and the signs.
func (g *ring) caption() {
	if g.v.banded() && !g.o.Bare {
		a, b := g.v.ohmBand()
		y := g.p.H
		g.p.fill(1, y, 2, 1, Band)
		g.o.note(&g.p, 4, y, g.o.t("draw.ring.band", "low", up(a), "high", down(b))+"; "+g.o.t("draw.ring.scale", "from", down(g.from), "to", up(g.to)), Usual)
	}
	g.o.legend(&g.p, 1, item{Dot, g.o.t("draw.ring.in"), Fits}, item{Over, g.o.t("draw.ring.above"), Odd}, item{Under, g.o.t("draw.ring.below"), Odd})
}

// up and down print an edge of the band so that every reading of two decimals that is
// within the numbers is within the band.
func up(v float64) string   { return quantity.FormatNumber(math.Ceil(v*100-1e-6) / 100) }
func down(v float64) string { return quantity.FormatNumber(math.Floor(v*100+1e-6) / 100) }

func (g *ring) words() []string {
	var all, high, low []string
	for _, pt := range g.on {
		r, read := g.v.Readings[pt.ID]
		switch {
		case read:
			all = append(all, pt.ID+" "+g.o.as(short(r)))
		case len(g.v.Readings) == 0:
			all = append(all, pt.ID)
		default:
			all = append(all, pt.ID+" -")
		}
		switch sign, tone := g.fit(pt, r, read); {
		case tone != Odd:
		case sign == Over:
			high = append(high, pt.ID)
		default:
			low = append(low, pt.ID)
		}
	}
	out := []string{g.o.t("draw.ring.words", "readings", list(all))}
	for _, pt := range g.spurs {
		if r, ok := g.v.Readings[pt.ID]; ok {
			out = append(out, g.o.t("draw.ring.words.spur", "point", pt.ID, "from", pt.From, "value", g.o.as(short(r))))
		}
	}
	if !g.v.banded() {
		return out
	}
	a, b := g.v.ohmBand()
	out = append(out, g.o.t("draw.ring.words.band", "low", up(a), "high", down(b)))
	switch {
	case len(high)+len(low) == 0 && len(g.v.Readings) > 0:
		out = append(out, g.o.t("draw.ring.words.all-in"))
	}
	if len(high) > 0 {
		out = append(out, g.o.t("draw.ring.words.above", "points", list(high)))
	}
	if len(low) > 0 {
		out = append(out, g.o.t("draw.ring.words.below", "points", list(low)))
	}
	return out
}
