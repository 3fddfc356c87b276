package handout

import (
	"wanderlead/internal/draw"
	"wanderlead/internal/pdf"
	"wanderlead/internal/rig"
)

// Columns of a drawing: as many as an upright page holds, and half of them.
const (
	wholePage = 78
	halfPage  = 54
)

// drawn are the options of a drawing of so many columns.
func (t Text) drawn(columns int) draw.Options { return draw.Options{W: columns, Say: t.say} }

// boardDrawing is the board with its rails, ways, bars and the earth bar.
func boardDrawing(r *rig.Rig, t Text) pdf.Drawings {
	return pdf.Drawings{{Picture: draw.Board(t.drawn(wholePage), draw.BoardView{Rig: r}), Size: 10}}
}

// circuitDrawings are the circuits with their points and lengths of cable.
func circuitDrawings(r *rig.Rig, t Text) pdf.Drawings {
	var out pdf.Drawings
	for i := range r.Circuits {
		c := &r.Circuits[i]
		out = append(out, pdf.Drawing{Title: join(" ", c.Number, c.Description), Picture: draw.Circuit(t.drawn(halfPage), r, c)})
	}
	return out
}
