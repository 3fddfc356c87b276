package handout

import (
	"strings"

	"wanderlead/internal/assess/sheet"
	"wanderlead/internal/draw"
	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
	"wanderlead/internal/pdf"
	"wanderlead/internal/quantity"
	"wanderlead/internal/report"
	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// Columns of a drawing: as many as an upright page holds in the larger type, and half of an
// upright and of a landscape page.
const (
	wholePage = 78
	halfPage  = 54
	halfWide  = 78
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

// crossed are the tests whose readings are drawn round a ring, and how the judge names them.
var crossed = []struct{ test, step string }{
	{safety.TestCrossedLN, "line-neutral"},
	{safety.TestCrossedLE, "line-cpc"},
}

// ringDrawings are the crossed readings of each ring of a schedule, step 2 beside step 3.
func ringDrawings(s *report.Schedule, r *rig.Rig, pack *edition.Pack, t Text) pdf.Drawings {
	var out pdf.Drawings
	for i := range s.Circuits {
		c := &s.Circuits[i]
		wired, ok := r.Circuit(c.ID)
		if !ok {
			continue
		}
		given := map[string]string{"ends/r1": c.RingR1.Raw, "ends/rn": c.RingRN.Raw, "ends/r2": c.RingR2.Raw}
		for k := range c.Readings {
			x := &c.Readings[k]
			if x.State == report.Measured || x.State == report.OverRange {
				given[x.Test+"/"+x.Part] = x.Raw
			}
		}
		out = append(out, ringsOf(wired, c.CircuitNumber, given, pack, halfWide, t)...)
	}
	return out
}

// feedbackRings are the same of what a candidate read, with the band of a ring whose ends
// read as the reference does: one of their own wrong readings is not to move it.
func feedbackRings(f *sheet.Feedback, r *rig.Rig, pack *edition.Pack, t Text) pdf.Drawings {
	var out pdf.Drawings
	for i := range r.Circuits {
		c := &r.Circuits[i]
		given := map[string]string{}
		for _, x := range f.Readings {
			if id, ok := strings.CutPrefix(x.ID, c.ID+"/"); ok {
				given[id] = x.Given
				if strings.HasPrefix(id, safety.TestEnds+"/") && x.Reference != "" {
					given[id] = x.Reference
				}
			}
		}
		out = append(out, ringsOf(c, c.Number, given, pack, halfPage, t)...)
	}
	return out
}

// ringsOf draws the crossed readings of one ring, given by test and point as they were
// typed, with the band that the judge takes as fitting for a ring of these ends.
func ringsOf(c *rig.Circuit, number string, given map[string]string, pack *edition.Pack, columns int, t Text) pdf.Drawings {
	var out pdf.Drawings
	if c.Shape != rig.Ring {
		return nil
	}
	read := func(id string) (quantity.Reading, bool) {
		x, err := quantity.Parse(given[id], quantity.Ohm)
		return x, err == nil && given[id] != ""
	}
	for _, x := range crossed {
		v := draw.RingView{Circuit: c, Readings: map[string]quantity.Reading{}}
		q := judge.Query{Test: judge.RingCrossed, Step: x.step}
		q.R1, _ = read(safety.TestEnds + "/r1")
		q.RN, _ = read(safety.TestEnds + "/rn")
		q.R2, _ = read(safety.TestEnds + "/r2")
		for i := range c.Points {
			p := &c.Points[i]
			if reading, ok := read(x.test + "/" + p.ID); ok {
				v.Readings[p.ID] = reading
				if p.From == "" {
					q.Points = append(q.Points, judge.Point{Name: p.ID, Reading: reading})
				}
			}
		}
		if len(v.Readings) == 0 {
			continue
		}
		if len(q.Points) > 0 {
			if verdict, err := judge.Judge(pack, q); err == nil {
				v.Low, v.High = verdict.InLow, verdict.InHigh
			}
		}
		title := t.say("sheet.ring.title", "number", number, "description", c.Description, "test", t.say("test."+x.test))
		out = append(out, pdf.Drawing{Title: title, Picture: draw.Ring(t.drawn(columns), v)})
	}
	return out
}
