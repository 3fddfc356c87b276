package handout

import (
	"strconv"

	"wanderlead/internal/edition"
	"wanderlead/internal/pdf"
	"wanderlead/internal/report"
	"wanderlead/internal/rig"
)

// Schedule is the schedule of test results of a session, on landscape pages, with the
// rings of its rig drawn.
func Schedule(s report.Schedule, r *rig.Rig, pack *edition.Pack, t Text) pdf.Sheet {
	session := &s.Board.Session
	out := t.begin("schedule", session.Created)
	out.Landscape = true
	var stamps []string
	if s.Scripted {
		stamps = append(stamps, t.say("sheet.stamp.scripted"))
	}
	if session.Mode == "study" {
		stamps = append(stamps, t.say("sheet.stamp.simulated"))
	}
	if session.Ended != "complete" {
		stamps = append(stamps, t.say("sheet.stamp.unfinished"))
	}
	out.Stamp = join(" · ", stamps...)
	out.Foot = t.say("sheet.schedule.foot", "board", s.Board.Reference, "edition", s.Edition, "rig", session.Rig, "sequence", session.Sequence, "begun", session.Created)
	out.Blocks = append(out.Blocks, pdf.Box(s.Notice))
	for _, p := range s.Parts() {
		out.Blocks = append(out.Blocks, partBlocks(p)...)
	}
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.typed.head")), pdf.Para(t.say("sheet.typed.note")), typedReadings(&s, t))
	if rings := ringDrawings(&s, r, pack, t); len(rings) > 0 {
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.ring.head")), rings)
	}
	return out
}

// partBlocks lays out one part of a schedule.
func partBlocks(p report.Part) []pdf.Block {
	out := []pdf.Block{pdf.Heading(p.Head)}
	if len(p.Items) > 0 {
		var items pdf.Items
		for _, it := range p.Items {
			items = append(items, pdf.Item{Label: it.Label, Text: it.Text})
		}
		out = append(out, items)
	}
	if len(p.Heads) == 0 {
		return append(out, pdf.List(p.Lines))
	}
	out = append(out, table(p, p.Wide))
	for _, l := range p.Lines {
		out = append(out, pdf.Para(l))
	}
	return out
}

func table(p report.Part, grow ...int) pdf.Table {
	tab := pdf.Table{Columns: heads(p.Heads, grow...)}
	for _, row := range p.Rows {
		cells := make([]pdf.Cell, len(row))
		for i, e := range row {
			cells[i] = pdf.Cell{Text: e.Text, Strong: e.Strong}
		}
		tab.Rows = append(tab.Rows, cells)
	}
	return tab
}

// verdictMarks are the marks of the schedule's tables.
var verdictMarks = map[string]string{"doubt": " ?", "fail": " !"}

// typedReadings lists every reading and observation of the session as it was typed, a
// row for each test of the board, a circuit or a device.
func typedReadings(s *report.Schedule, t Text) pdf.Table {
	tab := pdf.Table{Columns: heads(t.heads("typed", "where", "test", "readings"), 0, 1, 2)}
	add := func(where string, rs []report.Reading) {
		type key struct{ test, unit string }
		var last key
		for i := range rs {
			r := &rs[i]
			mark := verdictMarks[r.Verdict]
			switch r.State {
			case report.Measured, report.OverRange:
			case report.Calculated: // worked out by hand and typed
				mark = " c" + mark
			default:
				continue
			}
			if r.Test == "" || r.Raw == "" {
				continue
			}
			if k := (key{r.Test, r.Unit}); k != last {
				last = k
				test := t.say("test." + r.Test)
				if r.Unit != "" {
					test += ", " + r.Unit
				}
				tab.Rows = append(tab.Rows, pdf.Cells(where, test, ""))
			}
			cell := &tab.Rows[len(tab.Rows)-1][2]
			cell.Text = join("; ", cell.Text, join(" ", r.Part, r.Raw)+mark)
		}
	}
	add(t.say("sheet.typed.board"), s.Board.Readings)
	for i := range s.Circuits {
		c := &s.Circuits[i]
		add(join(" ", c.CircuitNumber, c.Description), c.Readings)
	}
	for i := range s.Board.RCDs {
		add(s.Board.RCDs[i].ID, s.Board.RCDs[i].Readings)
	}
	return tab
}

// rowToWrite is how tall a row is that is filled in by hand, in millimetres.
const rowToWrite = 8.5

// Blank is a schedule of a rig's board to be filled in by hand: the schedule of a
// session that has not begun.
func Blank(s report.Schedule, t Text) pdf.Sheet {
	out := t.begin("blank", "")
	out.Landscape = true
	out.Foot = t.say("sheet.blank.foot", "board", s.Board.Reference, "edition", s.Edition, "rig", s.Board.Session.Rig)
	items := pdf.Items{
		{Label: t.say("report.board.board"), Text: join(", ", s.Board.Reference, s.Board.Location)},
		{Label: t.say("report.board.fed-from"), Text: s.Board.SuppliedFrom},
		{Label: t.say("report.board.system"), Text: t.say("report.board.phases", "earthing", s.Board.Earthing, "phases", strconv.Itoa(s.Board.Phases))},
		{Label: t.say("report.board.edition"), Text: s.Edition},
	}
	out.Blocks = append(out.Blocks, pdf.Box(join(" ", out.Not, s.EditionNotice)), pdf.Heading(t.say("report.head.board")), items, toWrite(t))
	for i, p := range s.BlankParts() {
		if i == 1 {
			p = numbered(p, s)
		}
		tab := table(p, p.Wide)
		if i == 1 {
			roomToWrite(&tab)
			out.Blocks = append(out.Blocks, pdf.NewPage{})
		}
		out.Blocks = append(out.Blocks, pdf.Heading(p.Head), tab)
		for _, l := range p.Lines {
			out.Blocks = append(out.Blocks, pdf.Para(l))
		}
	}
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("report.head.remarks")), lines(6))
	return out
}

// numbered puts the description beside the number, where a hand has to find its row.
func numbered(p report.Part, s report.Schedule) report.Part {
	for i := range p.Rows {
		p.Rows[i][0].Text = join(" ", p.Rows[i][0].Text, s.Circuits[i].Description)
	}
	return p
}

func roomToWrite(tab *pdf.Table) {
	tab.RowMin = rowToWrite
	for i := range tab.Columns {
		switch i {
		case 0:
			tab.Columns[i].Grow = true
			tab.Columns[i].Min = 26
		case len(tab.Columns) - 1:
			tab.Columns[i].Min = 24
		default:
			tab.Columns[i].Min = 12
		}
	}
}

// toWrite are the items of a board to be filled in by hand, two on a line; the names of
// some of them before the usual ones.
func toWrite(t Text, before ...string) pdf.Table {
	var labels []string
	for _, id := range append(before, "tested-by", "supervisor", "instrument", "origin", "polarity", "ze", "ipf", "vulnerable") {
		labels = append(labels, t.say("report.board."+id))
	}
	labels = append(labels, t.say("sheet.blank.date"), t.say("sheet.blank.calibration"))
	tab := pdf.Table{Columns: []pdf.Column{{}, {Grow: true}, {}, {Grow: true}}, RowMin: rowToWrite}
	for i := 0; i < len(labels); i += 2 {
		row := pdf.Cells(labels[i], "", "", "")
		if i+1 < len(labels) {
			row[2].Text = labels[i+1]
		}
		row[0].Strong, row[2].Strong = true, true
		tab.Rows = append(tab.Rows, row)
	}
	return tab
}

// lines are empty rows to write on.
func lines(n int) pdf.Table {
	return pdf.Table{Columns: []pdf.Column{{Grow: true}}, Rows: make([][]pdf.Cell, n), RowMin: rowToWrite}
}

// Empty is a schedule for no rig in particular, with that many rows.
func Empty(t Text, rows int) pdf.Sheet {
	out := t.begin("blank", "")
	out.Landscape = true
	out.Foot = t.say("sheet.blank.any")
	out.Blocks = append(out.Blocks, pdf.Box(out.Not), pdf.Heading(t.say("report.head.board")), toWrite(t, "board", "fed-from", "system", "edition"))
	for i, p := range (report.Schedule{}).WithWords(t).BlankParts() {
		tab := table(p)
		tab.Rows = make([][]pdf.Cell, rows)
		roomToWrite(&tab)
		if i == 0 {
			tab.Columns[0].Min, tab.Columns[0].Grow = 12, false
			tab.Columns[1].Grow = true
			tab.Columns[len(tab.Columns)-1].Min = 12
		} else {
			tab.Columns[len(tab.Columns)-1].Grow = true
		}
		out.Blocks = append(out.Blocks, pdf.Heading(p.Head), tab)
		if i == 1 {
			out.Blocks = append(out.Blocks, pdf.Para(t.say("report.legend")))
		}
	}
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("report.head.remarks")), lines(6))
	return out
}
