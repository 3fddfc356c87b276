package handout

import (
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/pdf"
	"wanderlead/internal/quantity"
	"wanderlead/internal/report"
	"wanderlead/internal/rig"
)

// Crib is a trainer's crib sheet of a rig: how it is made dead, what stays live, what
// each test read when it was commissioned, and the faults that can be planted. The
// schedule is that of a session that has not begun; it gives details and limits.
func Crib(r *rig.Rig, s report.Schedule, t Text) pdf.Sheet {
	out := t.begin("crib", "")
	out.Stamp = t.say("sheet.crib.stamp")
	out.Foot = t.say("sheet.crib.foot", "rig", r.ID, "edition", s.Edition, "date", r.Reference.Date)
	iso := &r.Isolation
	out.Blocks = append(out.Blocks, pdf.Box(join(" ", t.say("sheet.crib.notice"), s.EditionNotice)), pdf.Heading(r.Title), pdf.Para(r.Setting), pdf.Items{
		{Label: t.say("sheet.crib.isolated-at"), Text: iso.Device},
		{Label: t.say("sheet.crib.emergency"), Text: iso.EmergencySwitch},
		{Label: t.say("sheet.crib.stays-live"), Text: strings.Join(iso.StaysLive, "; ")},
		{Label: t.say("sheet.crib.look-alikes"), Text: strings.Join(iso.OthersThatLookAlike, "; ")},
		{Label: t.say("sheet.crib.seen-by"), Text: iso.SupplySeenBy},
		{Label: t.say("sheet.crib.proving"), Text: iso.ProvingSource},
		{Label: t.say("report.board.board"), Text: join(", ", r.Board.Name, r.Board.Location, string(r.Board.Arrangement))},
		{Label: t.say("report.board.fed-from"), Text: r.Board.SuppliedFrom},
		{Label: t.say("report.board.system"), Text: string(r.Supply.Earthing)},
		{Label: t.say("report.board.origin"), Text: declared(&r.Supply.Declared, t)},
		{Label: t.say("sheet.crib.commissioned"), Text: join(", ", r.Reference.Date, r.Reference.Instrument)},
	})
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.crib.faults")))
	out.Blocks = append(out.Blocks, faultBlocks(r, t)...)
	details := s.BlankParts()[0]
	out.Blocks = append(out.Blocks, pdf.Heading(details.Head), table(details, 1), pdf.Heading(t.say("sheet.crib.board")), boardDrawing(r, t),
		pdf.Heading(t.say("sheet.crib.circuits")), circuitDrawings(r, t))
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.crib.readings")), pdf.Para(t.say("sheet.crib.readings.note")), readings(r, t))
	return out
}

func declared(d *rig.Declared, t Text) string {
	amount := func(v float64, u quantity.Unit) string {
		if v == 0 {
			return ""
		}
		return quantity.Format(v, u)
	}
	values := t.say("report.board.origin.declared-values", "ze", amount(d.ZeOhm, quantity.Ohm), "pfc", amount(d.PFCKA, quantity.Kiloampere),
		"voltage", amount(d.VoltageV, quantity.Volt))
	return join("; ", values, d.Source)
}

// faultBlocks lists the faults with room for who planted and who cleared each.
func faultBlocks(r *rig.Rig, t Text) []pdf.Block {
	if len(r.Faults) == 0 {
		return []pdf.Block{pdf.Para(t.say("sheet.crib.no-faults"))}
	}
	titles := map[string]string{}
	for _, k := range faults.Kinds() {
		titles[k.ID] = k.Title
	}
	tab := pdf.Table{Columns: heads(t.heads("crib", "fault", "where", "plant", "clear", "live", "planted", "cleared"), 0, 1, 2, 3, 4), RowMin: rowToWrite}
	tab.Columns[4].Min, tab.Columns[5].Min, tab.Columns[6].Min = 17, 15, 15
	for i := range r.Faults {
		f := &r.Faults[i]
		where := f.Where
		if c, ok := r.Circuit(f.Circuit); ok {
			where = t.say("sheet.crib.where", "number", c.Number, "description", c.Description, "where", f.Where)
		}
		never := ""
		if f.NeverEnergise {
			never = t.say("sheet.crib.never")
		}
		row := pdf.Cells(f.ID+": "+titles[f.Kind], where, f.Plant, f.Clear, never, "", "")
		row[4].Strong = true
		tab.Rows = append(tab.Rows, row)
	}
	return []pdf.Block{tab, pdf.Para(t.say("sheet.crib.faults.note", "rig", r.ID, "fault", r.Faults[0].ID))}
}

// readings lists the commissioned readings, a row for each test of each circuit.
func readings(r *rig.Rig, t Text) pdf.Table {
	tab := pdf.Table{Columns: heads(t.heads("crib", "circuit", "test", "readings"), 0, 1, 2)}
	type key struct{ owner, test string }
	var last key
	for _, id := range r.Readings() {
		k := key{id.Owner, id.Test}
		if k != last {
			owner := id.Owner
			if c, ok := r.Circuit(id.Owner); ok {
				owner = join(" ", c.Number, c.Description)
			} else if owner == "" {
				owner = t.say("sheet.typed.board")
			}
			tab.Rows = append(tab.Rows, pdf.Cells(owner, t.say("test."+id.Test), ""))
			last = k
		}
		cell := &tab.Rows[len(tab.Rows)-1][2]
		cell.Text = join("; ", cell.Text, join(" ", id.Part, shown(r, id, t)))
	}
	return tab
}

// shown is the middle of three repeats, and in brackets the lowest and highest when
// they differ.
func shown(r *rig.Rig, id rig.ReadingID, t Text) string {
	middle, ok := r.ReferenceReading(id.ID)
	if !ok {
		return t.say("sheet.crib.not-commissioned")
	}
	text := middle.Raw
	if middle.Mark != "no-trip" {
		text = join(" ", text, id.Unit.String())
	}
	for _, ref := range r.Reference.Readings {
		if ref.At != id.ID {
			continue
		}
		low, high := "", ""
		lowest, highest := 0.0, 0.0
		for _, v := range ref.Values {
			q, err := quantity.Parse(v, id.Unit)
			if err != nil || q.Mark != "" {
				return text
			}
			if low == "" || q.Value < lowest {
				low, lowest = v, q.Value
			}
			if high == "" || q.Value > highest {
				high, highest = v, q.Value
			}
		}
		if lowest != highest {
			text += " (" + low + "–" + high + ")"
		}
	}
	return text
}
