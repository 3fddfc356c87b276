package report

import (
	"slices"

	"wanderlead/internal/quantity"
)

// Part is one part of a schedule for a page that lays itself out: items with labels, a
// table, or lines. Its texts are those of Text.
type Part struct {
	Head  string
	Items []Labelled
	Heads []string
	Wide  int // the column of the table that takes what room there is
	Rows  [][]Entry
	Lines []string
}

// Labelled is a text with its label.
type Labelled struct{ Label, Text string }

// Entry is one cell of a table. Strong marks a reading that is no plain pass.
type Entry struct {
	Text   string
	Strong bool
}

// partsWidth is a width at which nothing of the text is left to blocks or folded.
const partsWidth = 1 << 12

// Parts gives the schedule in parts, in the order in which Text prints them: board,
// details, dead and live results, then what belongs to them. Everything that Text says
// is in one of them, but for the notice.
func (s Schedule) Parts() []Part {
	var parts []Part
	t := newTexter(&s, partsWidth)
	t.parts = &parts
	t.board()
	parts = append(parts, t.detailPart(), t.resultPart(false))
	t.page.lines = nil
	t.basis()
	last := &parts[len(parts)-1]
	last.Lines = append([]string{t.say("report.legend")}, t.page.lines...)
	t.atBoard()
	t.rcds()
	t.inspection()
	t.reasons()
	t.remarks()
	t.repeats()
	t.foot()
	return parts
}

// BlankParts gives the circuits of a schedule with nothing measured: details and limits
// filled in, what does not apply marked, the rest left to be written by hand.
func (s Schedule) BlankParts() []Part {
	t := newTexter(&s, partsWidth)
	results := t.resultPart(true)
	t.basis()
	results.Lines = append([]string{t.say("report.legend")}, t.page.lines...)
	return []Part{t.detailPart(), results}
}

// detailPart is the table of circuit details: all of them, each in a column.
func (t *texter) detailPart() Part {
	p := Part{Head: t.say("report.head.circuits"), Wide: 1}
	for _, k := range []string{"no", "description", "points", "cable", "way", "ocpd_standard", "device", "ka", "seconds", "max_permitted_zs",
		"rcd_standard", "rcd", "rcd_rating"} {
		p.Heads = append(p.Heads, t.say("report.column."+k))
	}
	for i := range t.s.Circuits {
		c := &t.s.Circuits[i]
		rcd := t.say("report.none")
		if c.RCDIdn != nil {
			rcd = nonEmpty(" ", c.RCDType, amount(c.RCDIdn, quantity.Milliampere))
		}
		p.row(c.CircuitNumber, c.Description, figure(c.PointsServed), figure(c.LiveCSA)+"/"+figure(c.CPCCSA), nonEmpty("/", c.WiringTypeCode, c.ReferenceMethod),
			c.OCPDStandard, c.shortDevice(), figure(c.OCPDBreakingCapacity), figure(c.MaxDisconnectionTime), t.limitOrShort("max_permitted_zs", &c.MaxPermittedZs.Result),
			c.RCDStandard, rcd, amount(c.RCDRating, quantity.Ampere))
	}
	return p
}

func (p *Part) row(texts ...string) {
	row := make([]Entry, len(texts))
	for i, s := range texts {
		row[i].Text = s
	}
	p.Rows = append(p.Rows, row)
}

// resultPart is the table of results, dead and live on one line. In a blank one what
// is to be measured is empty, and what does not apply says so.
func (t *texter) resultPart(blank bool) Part {
	keys := append(slices.Clone(deadKeys), liveKeys...)
	p := Part{Head: t.say("report.head.results"), Heads: []string{t.say("report.column.no")}}
	for _, k := range keys {
		p.Heads = append(p.Heads, t.say("report.column."+k))
		if k == "rcd_time" {
			p.Heads = append(p.Heads, t.say("report.column.rcd_times"))
		}
	}
	p.Wide = len(p.Heads)
	p.Heads = append(p.Heads, t.say("report.column.remarks"))
	for i := range t.s.Circuits {
		c := &t.s.Circuits[i]
		row := []Entry{{Text: c.CircuitNumber}}
		for _, k := range keys {
			r := columnOf(k).result(c)
			e := Entry{t.limitOrShort(k, r), r.Verdict == "fail" || r.Verdict == "doubt"}
			if blank && r.State != NotApplicable && k != "max_permitted_zs" {
				e = Entry{}
			}
			row = append(row, e)
			if k == "rcd_time" {
				row = append(row, Entry{Text: times(r)})
			}
		}
		remarks := c.Remarks
		if blank {
			remarks = ""
		}
		p.Rows = append(p.Rows, append(row, Entry{Text: remarks}))
	}
	return p
}

// WithWords gives the schedule another text catalogue; a schedule that Build did not
// make has none.
func (s Schedule) WithWords(text func(id string, params map[string]string) string) Schedule {
	s.words = text
	return s
}
