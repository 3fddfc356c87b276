package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"wanderlead/internal/plain"
	"wanderlead/internal/sequence"
)

func parseCSV(t testing.TB, s Schedule) [][]string {
	t.Helper()
	data, err := s.CSV()
	if err != nil {
		t.Fatal(err)
	}
	body, found := bytes.CutPrefix(data, []byte(byteOrderMark))
	if !found {
		t.Fatal("no byte order mark")
	}
	if n := bytes.Count(body, []byte("\n")); n != bytes.Count(body, []byte("\r\n")) || n != len(s.Circuits)+1 {
		t.Errorf("%d line feeds for %d circuits, each line ends with CR LF (RFC 4180)", n, len(s.Circuits))
	}
	recs, err := csv.NewReader(bytes.NewReader(body)).ReadAll() // every record as long as the first
	if err != nil {
		t.Fatal(err)
	}
	return recs
}

// TestCSVParsesBack checks the CSV by reading it: the same values as the schedule, over
// range as text with its sign, one row a circuit.
func TestCSVParsesBack(t *testing.T) {
	m := loftMeta(t)
	s := Build(loft(t, sequence.Measured, "bs7671-2018-a4", &m, story...), m)
	recs := parseCSV(t, s)
	col := map[string]int{}
	for i, h := range recs[0] {
		if _, twice := col[h]; twice {
			t.Errorf("the column %q stands twice", h)
		}
		col[h] = i
	}
	for i, row := range recs[1:] {
		c := &s.Circuits[i]
		if row[col["circuit_number"]] != c.CircuitNumber {
			t.Errorf("row %d is circuit %q", i+1, row[col["circuit_number"]])
		}
		for _, k := range Columns() {
			name := k.Key
			if k.Unit != "" {
				name += " (" + k.Unit + ")"
			}
			at, ok := col[name]
			if !ok {
				t.Fatalf("no column %q", name)
			}
			if k.result == nil {
				continue
			}
			r := k.result(c)
			state := r.State
			if k.Key == "max_permitted_zs" {
				state = c.MaxPermittedZs.Basis
			}
			if row[at+1] != state || row[at+2] != r.Verdict {
				t.Errorf("circuit %s %s: %q %q, want %q %q", c.CircuitNumber, k.Key, row[at+1], row[at+2], state, r.Verdict)
			}
			if got := row[at]; got != r.cell() || r.State == OverRange && !strings.HasPrefix(got, ">") {
				t.Errorf("circuit %s %s: cell %q of %q", c.CircuitNumber, k.Key, got, r.Raw)
			}
		}
	}
	if r1 := recs[1][col["ring_r1 (ohm)"]]; r1 != "0.25" {
		t.Errorf("250 mΩ in a column of ohms is %q", r1)
	}
}

// TestCSVKeepsStrangeNames puts names that a spreadsheet, a CSV reader or a terminal
// would act on into a schedule and reads them back.
func TestCSVKeepsStrangeNames(t *testing.T) {
	r := testRig(t, "loft.rig.yaml")
	names := []string{`=cmd|' /C calc'!A0`, "loft, \"north\"", "+44 and; =1+1", "café Ω"}
	for i := range r.Circuits {
		r.Circuits[i].Description = names[i]
	}
	m := loftMeta(t)
	m.Fields = map[string]string{FieldTestedBy: "@SUM(A1:A9)", FieldDate: "\t=2+2"}
	recs := parseCSV(t, Build(start(t, "loft.seq.yaml", r, sequence.Measured, "bs7671-2018-a4"), m))
	want := []string{`'=cmd|' /C calc'!A0`, "loft, \"north\"", "'+44 and; '=1+1", "café Ω"}
	for i, rec := range recs[1:] {
		if rec[1] != want[i] {
			t.Errorf("%q became %q, want %q", names[i], rec[1], want[i])
		}
	}
	last := strings.Join(recs[1], "\x00")
	if !strings.Contains(last, "\x00'@SUM(A1:A9)\x00 '=2+2\x00") {
		t.Errorf("a name and a date that are formulas: %q", last)
	}
}

func TestCellKeepsOverRangeAsText(t *testing.T) {
	for raw, want := range map[string]string{">299": ">299", "> 299": ">299", ">299 MΩ": ">299", ">0.3GΩ": ">0.3GΩ", ">2000 kΩ": ">2"} {
		r := Result{State: OverRange, Raw: raw, Unit: "MΩ"}
		if got := r.cell(); got != want {
			t.Errorf("%q as a cell is %q, want %q", raw, got, want)
		}
	}
}

// FuzzSafeCell: whatever was typed, a cell starts no formula, neither as it stands nor
// where another spreadsheet would cut it, is one line, and keeps its other characters.
func FuzzSafeCell(f *testing.F) {
	for _, s := range []string{"", "0.42", ">299", "=1+1", "+1", "-0.02", "@a", "\t=1", "\r=1", "  =1", "a;=1", "a; \t-1", "a|+1", "\"=1", "＝1", "a\nb", "\xff=1", "\u202e=1", "';=1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in string) {
		var buf bytes.Buffer
		w := csv.NewWriter(&buf)
		w.UseCRLF = true
		if err := w.Write([]string{plain.Cell(in), "x"}); err != nil {
			t.Fatal(err)
		}
		w.Flush()
		recs, err := csv.NewReader(&buf).ReadAll()
		if err != nil || len(recs) != 1 || len(recs[0]) != 2 {
			t.Fatalf("%q does not parse back: %v", in, err)
		}
		cell := recs[0][0]
		if !utf8.ValidString(cell) {
			t.Errorf("%q became invalid UTF-8", in)
		}
		for _, part := range strings.FieldsFunc(cell, func(r rune) bool { return r == ';' || r == '|' }) {
			part = strings.TrimLeftFunc(part, func(r rune) bool { return unicode.IsSpace(r) || r == '"' })
			if part != "" && plain.Formula([]rune(part)[0]) {
				t.Errorf("%q became %q, where %q starts a formula", in, cell, part)
			}
		}
		for _, r := range cell {
			if plain.Active(r) {
				t.Errorf("%q keeps %U", in, r)
			}
		}
		keep := func(s string) string {
			return strings.Map(func(r rune) rune {
				if r == '\'' || r == ' ' || plain.Active(r) {
					return -1
				}
				return r
			}, strings.ToValidUTF8(s, "\ufffd"))
		}
		if keep(cell) != keep(in) {
			t.Errorf("%q became %q", in, cell)
		}
	})
}

// TestJSONActsOnNoTerminal: names of any characters come back from the JSON unchanged,
// and none of them stands in it so that it would act on a terminal.
func TestJSONActsOnNoTerminal(t *testing.T) {
	name := "a\x1b[2Jb\u202ec\u0085d \"e\" > <f>\u2028"
	m := loftMeta(t)
	m.Fields = map[string]string{FieldTestedBy: name}
	js, err := Build(start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), sequence.Measured, "bs7671-2018-a4"), m).JSON()
	if err != nil {
		t.Fatal(err)
	}
	var s Schedule
	if err := json.Unmarshal(js, &s); err != nil {
		t.Fatal(err)
	}
	if s.Board.TestedBy.Name != name {
		t.Errorf("%q became %q", name, s.Board.TestedBy.Name)
	}
	for _, r := range string(js) {
		if plain.Active(r) && r != '\n' {
			t.Errorf("%U stands in the JSON", r)
		}
	}
}
