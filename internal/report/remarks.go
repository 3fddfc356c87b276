package report

import (
	"slices"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// The pages after the table: devices, inspection, reasons, remarks, repeats, and the
// foot with what is open and what is live.

func (t *texter) list(head string, lines []string) {
	if len(lines) == 0 {
		return
	}
	if t.parts != nil {
		*t.parts = append(*t.parts, Part{Head: head, Lines: lines})
		return
	}
	t.page.head(head)
	for _, l := range lines {
		t.page.para("- ", "  ", l)
	}
}

// atBoard lists what was read at the board and the origin and has no column.
func (t *texter) atBoard() {
	var labels, texts []string
	for i := range t.s.Board.Readings {
		r := &t.s.Board.Readings[i]
		if r.Test == "" || r.Test == safety.TestInspection {
			continue
		}
		label := r.ID
		if r.Label != "" && r.Label != r.Part {
			label = nonEmpty(" ", r.ID, r.Label)
		}
		text := t.full(&r.Result)
		if r.Said != "" {
			text = nonEmpty(", ", r.Said, t.verdict(&r.Result))
		}
		labels, texts = append(labels, label), append(texts, text)
	}
	var lines []string
	for i := range labels {
		lines = append(lines, labels[i]+": "+texts[i])
	}
	t.list(t.say("report.head.at-board"), lines)
}

func (t *texter) rcds() {
	var lines []string
	for _, d := range t.s.Board.RCDs {
		typ := d.Type
		if d.Delay == "S" {
			typ += " S"
		}
		lines = append(lines, t.say("report.rcd.line", "id", d.ID, "standard", d.Standard, "type", typ, "rated", amount(d.IdnMA, quantity.Milliampere),
			"rating", amount(d.RatingA, quantity.Ampere), "circuits", strings.Join(d.Circuits, ", "), "at", d.MeasuredAt))
	}
	t.list(t.say("report.head.rcds"), lines)
}

func (t *texter) inspection() {
	var lines []string
	for _, f := range t.s.Board.Inspection {
		found, verdict := f.Found, ""
		if f.Verdict != "" && f.Verdict != passed {
			verdict = t.say("report.verdict." + f.Verdict)
		}
		if f.Verdict == "" {
			found = nonEmpty(": ", t.say("report.is."+NotTested), f.Why)
		}
		lines = append(lines, t.say("report.inspection.line", "item", f.Item, "found", found, "verdict", verdict))
	}
	t.list(t.say("report.head.inspection"), lines)
}

// reasons lists why results were not measured. Items and circuits that have the same
// to say share a line; in blocks the reason stands beside each item already.
func (t *texter) reasons() {
	if t.page.width < wideFrom {
		return
	}
	type group struct{ items, circuits string }
	said := map[group][]string{} // what is missing, why -> items
	var order []group
	for _, col := range columns {
		if col.result == nil {
			continue
		}
		byWhy := map[string][]string{}
		var whys []string
		for i := range t.s.Circuits {
			c := &t.s.Circuits[i]
			r := col.result(c)
			text := t.full(r)
			if r.State == Measured || r.State == OverRange || r.State == Calculated {
				continue
			}
			if byWhy[text] == nil {
				whys = append(whys, text)
			}
			byWhy[text] = append(byWhy[text], c.CircuitNumber)
		}
		for _, why := range whys {
			g := group{why, strings.Join(byWhy[why], ", ")}
			if said[g] == nil {
				order = append(order, g)
			}
			said[g] = append(said[g], t.say("report.item."+col.Key))
		}
	}
	var lines []string
	for _, g := range order {
		lines = append(lines, strings.Join(said[g], ", ")+" ("+g.circuits+"): "+g.items)
	}
	t.list(t.say("report.head.why"), lines)
}

func (t *texter) remarks() {
	var lines []string
	for _, a := range t.s.Board.DoubtsAccepted {
		id := "report.accepted.line"
		if !a.Stands {
			id = "report.accepted.lapsed"
		}
		lines = append(lines, t.say(id, "reading", a.Reading, "reason", a.Reason, "by", a.By))
	}
	t.list(t.say("report.head.accepted"), lines)
	lines = nil
	lines = append(lines, t.s.Board.Remarks...)
	on := map[string][]string{}
	var order []string
	for i := range t.s.Circuits {
		c := &t.s.Circuits[i]
		for _, r := range c.remarks {
			if on[r] == nil {
				order = append(order, r)
			}
			on[r] = append(on[r], c.CircuitNumber)
		}
	}
	for _, r := range order {
		lines = append(lines, t.say("report.remark.on", "circuits", strings.Join(on[r], ", "), "text", r))
	}
	t.list(t.say("report.head.remarks"), lines)
}

// repeats lists the readings that have more than one entry, first to last.
func (t *texter) repeats() {
	var lines []string
	add := func(rs []Reading) {
		for i := range rs {
			if len(rs[i].History) == 0 {
				continue
			}
			var parts []string
			for _, w := range rs[i].History {
				v := w.Raw
				if w.Verdict != "" {
					v = t.say("report.history.verdict", "value", v, "verdict", t.say("report.verdict."+w.Verdict))
				}
				parts = append(parts, t.say("report.history."+w.How, "value", v))
			}
			lines = append(lines, t.say("report.history.line", "at", rs[i].ID, "list", strings.Join(parts, ", ")))
		}
	}
	add(t.s.Board.Readings)
	for i := range t.s.Circuits {
		add(t.s.Circuits[i].Readings)
	}
	for i := range t.s.Board.RCDs {
		add(t.s.Board.RCDs[i].Readings)
	}
	t.list(t.say("report.head.history"), lines)
}

func (t *texter) foot() {
	var lines []string
	for _, o := range t.s.LedgerOpen {
		lines = append(lines, t.say("report.open.item", "item", o.Item, "class", o.Class, "circuit", o.Circuit, "opened", o.OpenedBy, "closed", o.ClosedBy))
	}
	if len(lines) == 0 {
		lines = []string{t.say("report.open.none")}
	}
	t.list(t.say("report.head.open"), lines)
	l := &t.s.Board.Live
	on := t.say("report.state.no-circuits")
	if len(l.CircuitsOn) > 0 {
		on = t.say("report.state.circuits", "list", strings.Join(slices.Clone(l.CircuitsOn), ", "))
	}
	supply := t.say("report.state.supply." + strings.ReplaceAll(l.Supply, " ", "-"))
	t.list(t.say("report.head.state"), []string{t.say("report.state.supply", "supply", supply), on})
}
