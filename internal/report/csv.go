package report

import (
	"bytes"
	"encoding/csv"
	"strings"

	"wanderlead/internal/plain"
)

// byteOrderMark is put before the CSV. One common spreadsheet takes a CSV without it
// for the system's old 8-bit code page and shows every Ω, ² and accented name wrongly;
// the other spreadsheets and this program's own readers take it for what it is. Who
// wants data without it takes the JSON.
const byteOrderMark = "\ufeff"

// CSV is the schedule as a table for a spreadsheet: RFC 4180 (commas, quotes doubled,
// CR LF), UTF-8 with a byte order mark, one header row of keys with units, one row a
// circuit. Each result has three columns: value, state and verdict, so that what does
// not apply, what could not be done, what was not done and zero stay apart. A reading
// above the range stays text with its sign (">299"). What belongs to the board is
// repeated on every row, so that a row alone still says what it is.
//
// A cell that a spreadsheet would take for a formula gets an apostrophe before it.
// The error is that of the writer, which does not fail in memory.
func (s Schedule) CSV() ([]byte, error) {
	var buf bytes.Buffer
	buf.WriteString(byteOrderMark)
	w := csv.NewWriter(&buf)
	w.UseCRLF = true
	_ = w.Write(s.csvHeader())
	for i := range s.Circuits {
		_ = w.Write(s.csvRow(&s.Circuits[i]))
	}
	w.Flush()
	return buf.Bytes(), w.Error()
}

var boardColumns = []string{"why_not_measured", "board_reference", "tested_by", "date", "supervisor", "edition", "scripted", "session", "ledger_open", "supply", "notice"}

func (s Schedule) csvHeader() []string {
	var row []string
	for _, c := range columns {
		name := c.Key
		if c.Unit != "" {
			name += " (" + c.Unit + ")"
		}
		row = append(row, name)
		if c.result != nil {
			row = append(row, c.Key+" state", c.Key+" verdict")
		}
	}
	return append(row, boardColumns...)
}

func (s Schedule) csvRow(c *Circuit) []string {
	var row []string
	for _, col := range columns {
		if col.result == nil {
			row = append(row, plain.Cell(col.detail(c)))
			continue
		}
		r := col.result(c)
		state := r.State
		if col.Key == "max_permitted_zs" && c.MaxPermittedZs.Basis != "" {
			state = c.MaxPermittedZs.Basis
		}
		row = append(row, plain.Cell(r.cell()), state, r.Verdict)
	}
	scripted := no
	if s.Scripted {
		scripted = yes
	}
	var open []string
	for _, it := range s.LedgerOpen {
		open = append(open, it.Item)
	}
	b := &s.Board
	for _, t := range []string{s.whyNot(c), b.Reference, b.TestedBy.Name, b.TestedBy.Date, b.Supervisor, s.Edition, scripted,
		b.Session.Ended, strings.Join(open, ", "), b.Live.Supply, s.Notice} {
		row = append(row, plain.Cell(t))
	}
	return row
}

// whyNot joins the reasons of all results of a circuit that were not measured.
func (s Schedule) whyNot(c *Circuit) string {
	var out []string
	for _, col := range columns {
		if col.result == nil {
			continue
		}
		switch r := col.result(c); r.State {
		case NotApplicable, Limitation, NotTested:
			out = append(out, col.Key+": "+r.Why)
		}
	}
	return strings.Join(out, " ")
}
