package draw

import (
	"math"
	"slices"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// Circuit draws a circuit from its way to its points, a point a row: the length of cable
// to it, its name, what it is, and how far it is from the board. A ring comes back.
func Circuit(o Options, r *rig.Rig, c *rig.Circuit) Picture {
	g := circuit{o: o, c: c, p: Picture{Name: "circuit"}}
	head := o.t("draw.circuit.head", "number", c.Number, "device", sequence.DeviceName(c.Device),
		"line", decimal(c.Cable.LineMM2), "cpc", decimal(c.Cable.CPCMM2), "shape", o.t("draw.shape."+string(c.Shape)))
	g.p.label(1, 0, cut(head, o.W-1), This)
	g.measure()
	g.branch("", 2, 0)
	g.far()
	if c.Shape == rig.Ring {
		y := g.p.H
		g.p.stroke(2, g.last, 2, y, Thin, Usual)
		at := g.length(2, y, c.ReturnM)
		g.p.label(at, y, cut(o.t("draw.circuit.back", "total", metres(g.total+c.ReturnM)), o.W-at), Usual)
	}
	if c.Padding != nil {
		o.note(&g.p, 1, g.p.H, o.t("draw.circuit.padded", "metres", metres(c.Padding.StandsForM)), Usual)
	}
	g.p.Words = g.words(head)
	return g.p
}

type circuit struct {
	o        Options
	c        *rig.Circuit
	p        Picture
	children map[string][]int   // indexes of the points fed from one; "" is the board
	away     map[string]float64 // metres from the board, along the cable
	total    float64            // metres round a ring, or to the farthest point
	last     int                // row at which the ring's own line stands
	name     int                // columns of the longest mark of a point
	len      int                // columns of the longest length
	ends     map[string][2]int  // where the row of a point ends
}

// measure works out which point feeds which, and how far each is.
func (g *circuit) measure() {
	g.children, g.away, g.ends = map[string][]int{}, map[string]float64{}, map[string][2]int{}
	before := ""
	for i := range g.c.Points {
		pt := &g.c.Points[i]
		from := pt.From
		if from == "" {
			from = before
			before = pt.ID
		}
		g.children[from] = append(g.children[from], i)
		g.away[pt.ID] = g.away[from] + pt.LengthM
		if g.c.Shape != rig.Ring || pt.From == "" {
			g.total = math.Max(g.total, g.away[pt.ID])
		}
		g.name, g.len = max(g.name, Cells(pt.ID)), max(g.len, Cells(metres(pt.LengthM)))
	}
}

// branch draws what is fed from a point, side branches first, the line that goes on last
// in the same column.
func (g *circuit) branch(from string, x, y int) {
	kids := slices.Clone(g.children[from])
	slices.SortStableFunc(kids, func(a, b int) int { // the cable that goes on comes last
		return strings.Compare(g.c.Points[b].From, g.c.Points[a].From)
	})
	for n, i := range kids {
		pt := &g.c.Points[i]
		col := x
		if n < len(kids)-1 || pt.From != "" && g.c.Shape == rig.Ring {
			col = x + 3
		}
		row := g.p.H
		top := y
		if col > x {
			g.p.stroke(x, y, x, row, Thin, Usual)
			g.p.stroke(x, row, col, row, Thin, Usual)
		} else {
			g.p.stroke(col, top, col, row, Thin, Usual)
		}
		g.point(pt, col, row)
		if col == 2 {
			g.last = row
		}
		g.branch(pt.ID, col, row)
	}
}

func (g *circuit) length(x, y int, m float64) int {
	g.p.stroke(x, y, x+1, y, Thin, Usual)
	text := metres(m)
	at := g.p.label(x+2+g.len-Cells(text)+1, y, text, Usual) + 1
	g.p.stroke(at, y, at+1, y, Thin, Usual)
	return at + 3
}

func (g *circuit) point(pt *rig.Point, x, y int) {
	at := g.length(x, y, pt.LengthM)
	g.p.mark(at-1, y, Joint, Usual)
	g.p.label(at+1, y, pt.ID, This)
	at += 1 + g.name + 1
	g.p.label(at, y, cut(g.o.as(pt.Label), g.o.W-at), Usual)
	g.ends[pt.ID] = [2]int{at + Cells(g.o.as(pt.Label)), y}
}

// far says how far each point is from the board, if there is room for it in every row.
func (g *circuit) far() {
	text := map[string]string{}
	for id, end := range g.ends {
		text[id] = g.o.t("draw.circuit.away", "metres", metres(g.away[id]))
		if end[0]+2+Cells(text[id]) > g.o.W {
			return
		}
	}
	for i := range g.c.Points { // in their order, so that a picture is the same each time
		id := g.c.Points[i].ID
		g.p.label(g.o.W-Cells(text[id]), g.ends[id][1], text[id], Usual)
	}
}

func metres(m float64) string {
	return decimal(math.Round(m*10)/10) + " " + quantity.Metre.String()
}

func (g *circuit) words(head string) []string {
	out := []string{head}
	before := ""
	for i := range g.c.Points {
		pt := &g.c.Points[i]
		from := pt.From
		if from == "" {
			from = before
			before = pt.ID
		}
		id := "draw.circuit.words.point"
		if from == "" {
			id = "draw.circuit.words.first"
		}
		out = append(out, g.o.t(id, "metres", metres(pt.LengthM), "point", pt.ID, "label", g.o.as(pt.Label), "from", from, "away", metres(g.away[pt.ID])))
	}
	if g.c.Shape == rig.Ring {
		out = append(out, g.o.t("draw.circuit.words.back", "metres", metres(g.c.ReturnM), "total", metres(g.total+g.c.ReturnM)))
	}
	return out
}
