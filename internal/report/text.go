package report

import (
	"slices"
	"strings"

	"wanderlead/internal/quantity"
)

// wideFrom is the width from which the circuits are laid out as tables. Narrower
// pages, and tables that do not fit, give each circuit a block of its own.
const wideFrom = 76

// Text is the schedule for reading, no line wider than width columns (at least 40).
// It is plain text without colour: states and failing readings stand in words or
// marks, which the page explains. What is open and what is live come last.
func (s Schedule) Text(width int) string {
	t := newTexter(&s, max(width, minWidth))
	t.opening()
	t.board()
	if !t.tables() {
		t.blocks()
	}
	t.atBoard()
	t.rcds()
	t.inspection()
	t.reasons()
	t.remarks()
	t.repeats()
	t.foot()
	return strings.Join(t.page.lines, "\n") + "\n"
}

type texter struct {
	s     *Schedule
	page  page
	parts *[]Part // when given, what would be laid out on the page is gathered here
}

func newTexter(s *Schedule, width int) *texter {
	if s.words == nil {
		s.words = func(id string, _ map[string]string) string { return id }
	}
	return &texter{s: s, page: page{width: width}}
}

func (t *texter) say(id string, params ...string) string { return sayWith(t.s.words, id, params...) }

func (t *texter) opening() {
	t.page.para("", "", t.say("report.title"))
	t.page.blank()
	t.page.para("", "", t.s.Notice)
}

func (t *texter) board() {
	b := &t.s.Board
	var labels []string
	var texts []string
	add := func(id, text string) { labels, texts = append(labels, t.say("report.board."+id)), append(texts, text) }
	add("board", nonEmpty(", ", b.Reference, b.Location))
	add("fed-from", b.SuppliedFrom)
	add("system", t.say("report.board.phases", "earthing", b.Earthing, "phases", figure(given(float64(b.Phases)))))
	add("edition", t.s.Edition)
	add("session", nonEmpty(", ", b.Session.Sequence, b.Session.Rig, b.Session.Created, t.say("report.session."+b.Session.Ended)))
	add("tested-by", nonEmpty(", ", b.TestedBy.Name, b.TestedBy.Date))
	add("supervisor", b.Supervisor)
	for _, f := range InstrumentFields {
		if v := b.Instruments[f]; v != "" {
			add("instrument", t.instrument(f, v))
		}
	}
	add("origin", t.origin())
	add("polarity", t.full(&b.SupplyPolarity))
	add("phase-sequence", t.full(&b.PhaseSequence))
	add("ze", t.full(&b.Ze))
	if b.Electrode.State != NotApplicable {
		add("electrode", t.full(&b.Electrode))
	}
	add("ipf", t.full(&b.IpfAtBoard))
	if len(b.SPDTypes) > 0 {
		add("spd", nonEmpty("; ", strings.Join(b.SPDTypes, ", "), t.full(&b.SPDIndicator)))
	}
	add("vulnerable", b.VulnerableEquipment)
	head := t.say("report.head.board")
	if t.parts != nil {
		p := Part{Head: head}
		for i := range labels {
			p.Items = append(p.Items, Labelled{labels[i], texts[i]})
		}
		*t.parts = append(*t.parts, p)
		return
	}
	t.page.head(head)
	t.items("", labels, texts)
}

func (t *texter) instrument(field, value string) string {
	_, function, one := strings.Cut(field, "-")
	switch {
	case !one:
		return value
	case function == "calibration":
		return t.say("report.board.instrument.calibration", "value", value)
	}
	return t.say("report.board.instrument.one", "function", function, "value", value)
}

func (t *texter) items(indent string, labels, texts []string) {
	w := 0
	for _, l := range labels {
		w = max(w, columnsOf(l))
	}
	for i := range labels {
		t.page.item(indent, labels[i], w, texts[i])
	}
}

func (t *texter) origin() string {
	o := &t.s.Board.Origin
	values := ""
	if o.ZeOhm != nil || o.IpfKA != nil || o.VoltageV != nil {
		values = t.say("report.board.origin.declared-values", "ze", amount(o.ZeOhm, quantity.Ohm), "pfc", amount(o.IpfKA, quantity.Kiloampere),
			"voltage", amount(o.VoltageV, quantity.Volt))
	}
	if o.Known != "declared" {
		return t.say("report.board.origin." + o.Known)
	}
	return nonEmpty("; ", t.say("report.board.origin.declared", "by", o.DeclaredBy, "source", o.Source), values)
}

func amount(v *float64, u quantity.Unit) string {
	if v == nil {
		return ""
	}
	return quantity.Format(*v, u)
}

func nonEmpty(sep string, texts ...string) string {
	var out []string
	for _, t := range texts {
		if t != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, sep)
}

// value is a result's value in words: digits with the unit, or what was seen.
func (t *texter) value(r *Result) string {
	c := r.cell()
	switch c {
	case passed, failed, yes, no:
		return t.say("report.word." + c)
	}
	if c == "" || r.Unit == "" || r.State != OverRange && r.Value == nil {
		return c
	}
	return c + " " + r.Unit
}

// full is a result on a line of its own: value, state, verdict and the reason.
func (t *texter) full(r *Result) string {
	switch r.State {
	case NotApplicable, Limitation, NotTested:
		return t.say("report.is."+r.State) + ": " + r.Why
	}
	out := t.value(r)
	if r.State == Calculated {
		out += " " + t.say("report.is."+r.State)
	}
	if v := t.verdict(r); out != t.say("report.word."+r.Verdict) {
		out = nonEmpty(", ", out, v)
	}
	if r.Why != "" {
		out += ": " + r.Why
	}
	return out
}

func (t *texter) verdict(r *Result) string {
	if r.Verdict == "" {
		return ""
	}
	return t.say("report.verdict." + r.Verdict)
}

// short is a result in a cell of a table, with marks that the legend explains.
func (t *texter) short(r *Result) string {
	switch r.State {
	case NotApplicable, Limitation, NotTested:
		return t.say("report.mark." + r.State)
	}
	out := r.cell()
	switch out {
	case passed, failed, yes, no:
		out = t.say("report.word." + out)
	}
	if r.State == Calculated {
		out += "c"
	}
	switch r.Verdict {
	case "doubt":
		out += "?"
	case "fail":
		out += "!"
	}
	return out
}

var (
	deadKeys = []string{"ring_r1", "ring_rn", "ring_r2", "r1_plus_r2", "r2", "ir_test_voltage", "ir_live_live", "ir_live_earth", "polarity"}
	liveKeys = []string{"max_permitted_zs", "zs_measured_max", "rcd_time", "rcd_test_button", "afdd_test_button"}
)

func columnOf(key string) Column {
	return columns[slices.IndexFunc(columns, func(c Column) bool { return c.Key == key })]
}

// tables lays the circuits out in three tables; false when the page is too narrow.
func (t *texter) tables() bool {
	if t.page.width < wideFrom {
		return false
	}
	type part struct {
		head  string
		lines []string
	}
	var parts []part
	for _, x := range []struct {
		id string
		t  table
	}{{"circuits", t.detailTable()}, {"dead", t.resultTable(deadKeys)}, {"live", t.resultTable(liveKeys)}} {
		lines, ok := x.t.render(t.page.width)
		if !ok {
			return false
		}
		parts = append(parts, part{t.say("report.head." + x.id), lines})
	}
	for _, p := range parts {
		t.page.head(p.head)
		t.page.lines = append(t.page.lines, p.lines...)
	}
	t.page.blank()
	t.page.para("", "", t.say("report.legend"))
	t.basis()
	return true
}

// basis says of each circuit's limit whether it is the table's or a corrected one.
func (t *texter) basis() {
	for _, basis := range []string{"corrected", "table"} {
		var numbers []string
		for i := range t.s.Circuits {
			if c := &t.s.Circuits[i]; c.MaxPermittedZs.Basis == basis {
				numbers = append(numbers, c.CircuitNumber)
			}
		}
		if len(numbers) > 0 {
			t.page.para("", "", t.say("report.basis.note."+basis, "circuits", strings.Join(numbers, ", ")))
		}
	}
}

func (t *texter) detailTable() table {
	out := table{flex: 1}
	for _, k := range []string{"no", "description", "points", "cable", "way", "device", "ka", "seconds", "rcd"} {
		out.heads = append(out.heads, t.say("report.column."+k))
	}
	for i := range t.s.Circuits {
		c := &t.s.Circuits[i]
		rcd := t.say("report.none")
		if c.RCDIdn != nil {
			rcd = nonEmpty(" ", c.RCDType, amount(c.RCDIdn, quantity.Milliampere))
		}
		out.rows = append(out.rows, []string{c.CircuitNumber, c.Description, figure(c.PointsServed), figure(c.LiveCSA) + "/" + figure(c.CPCCSA),
			nonEmpty("/", c.WiringTypeCode, c.ReferenceMethod), c.device(), figure(c.OCPDBreakingCapacity), figure(c.MaxDisconnectionTime), rcd})
	}
	return out
}

// device is the overcurrent device in short: letter and rating, or standard and rating.
func (c *Circuit) device() string {
	if c.OCPDType != "" {
		return c.OCPDType + figure(c.OCPDRating)
	}
	return nonEmpty(" ", c.OCPDStandard, amount(c.OCPDRating, quantity.Ampere))
}

func (t *texter) resultTable(keys []string) table {
	out := table{flex: -1, heads: []string{t.say("report.column.no")}}
	for _, k := range keys {
		out.heads = append(out.heads, t.say("report.column."+k))
		if k == "rcd_time" {
			out.heads = append(out.heads, t.say("report.column.rcd_times"))
		}
	}
	for i := range t.s.Circuits {
		c := &t.s.Circuits[i]
		row := []string{c.CircuitNumber}
		for _, k := range keys {
			r := columnOf(k).result(c)
			row = append(row, t.limitOrShort(k, r))
			if k == "rcd_time" {
				row = append(row, times(r))
			}
		}
		out.rows = append(out.rows, row)
	}
	return out
}

func times(r *Result) string {
	if r.Multiple == 0 || r.State != Measured && r.State != OverRange {
		return ""
	}
	return quantity.FormatNumber(r.Multiple) + "×"
}

// limitOrShort prints a limit without the marks of a reading.
func (t *texter) limitOrShort(key string, r *Result) string {
	if key == "max_permitted_zs" && r.Value != nil {
		return r.cell()
	}
	return t.short(r)
}

// blocks gives each circuit a block: one line an item, reasons beside it.
func (t *texter) blocks() {
	for i := range t.s.Circuits {
		c := &t.s.Circuits[i]
		t.page.head(t.say("report.head.circuit", "number", c.CircuitNumber, "description", c.Description))
		var labels, texts []string
		add := func(key, text string) { labels, texts = append(labels, t.say("report.item."+key)), append(texts, text) }
		add("cable", t.say("report.cable.line", "line", figure(c.LiveCSA), "cpc", figure(c.CPCCSA),
			"type", c.WiringTypeCode, "method", c.ReferenceMethod, "points", figure(c.PointsServed)))
		add("device", t.say("report.device.line", "standard", c.OCPDStandard, "name", c.shortDevice(), "ka", amount(c.OCPDBreakingCapacity, quantity.Kiloampere)))
		if c.RCDIdn == nil {
			add("rcd", t.say("report.none"))
		} else {
			add("rcd", t.say("report.rcd.short", "standard", c.RCDStandard, "type", c.RCDType, "idn", amount(c.RCDIdn, quantity.Milliampere),
				"rating", amount(c.RCDRating, quantity.Ampere)))
		}
		for _, k := range append(slices.Clone(deadKeys), liveKeys...) {
			add(k, t.blockLine(k, c))
		}
		t.items("  ", labels, texts)
	}
}

func (c *Circuit) shortDevice() string {
	if c.OCPDType != "" {
		return c.OCPDType + figure(c.OCPDRating)
	}
	return amount(c.OCPDRating, quantity.Ampere)
}

func (t *texter) blockLine(key string, c *Circuit) string {
	r := columnOf(key).result(c)
	switch {
	case key == "max_permitted_zs" && r.Value != nil:
		z := &c.MaxPermittedZs
		return r.cell() + " " + r.Unit + ", " + t.say("report.basis."+z.Basis, "table", amount(z.Table, quantity.Ohm))
	case key == "ir_test_voltage" && r.Value != nil:
		return t.value(r)
	case key == "rcd_time" && r.Multiple != 0 && (r.State == Measured || r.State == OverRange):
		return t.elsewhere(r, t.say("report.time.multiple", "multiple", quantity.FormatNumber(r.Multiple))+" "+t.full(r))
	case key == "rcd_test_button":
		return t.elsewhere(r, t.full(r))
	}
	return t.full(r)
}

// elsewhere adds the place where a device's result was measured.
func (t *texter) elsewhere(r *Result, text string) string {
	if r.MeasuredAt == "" {
		return text
	}
	return t.say("report.measured-elsewhere", "text", text, "at", r.MeasuredAt)
}
