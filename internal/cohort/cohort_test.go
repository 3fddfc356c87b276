package cohort

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/journal"
)

// Kappa against worked examples. The first is the one found in many introductions
// (fifty papers, two readers who say yes or no: 20, 5, 10, 15: po 0.70, pe 0.50, kappa
// 0.40); the others are the limits of the definition (Cohen 1960): full agreement is 1,
// agreement as by chance is 0, and none beyond what chance would give is below.
func TestKappa(t *testing.T) {
	for _, c := range []struct {
		name string
		t    table
		want float64
	}{
		{"20 5 10 15", table{{1, 1}: 20, {1, 0}: 5, {0, 1}: 10, {0, 0}: 15}, 0.4},
		{"all agree", table{{0, 0}: 3, {1, 1}: 4, {2, 2}: 5}, 1},
		{"chance", table{{0, 0}: 25, {0, 1}: 25, {1, 0}: 25, {1, 1}: 25}, 0},
		{"never", table{{0, 1}: 5, {1, 0}: 5}, -1},
		{"one category", table{{2, 2}: 9}, math.NaN()},
		{"nothing", table{}, math.NaN()},
	} {
		if got := c.t.kappa(); got != c.want && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}

// Discrimination against Pearson's correlation worked by hand: x 0 1 2 2, y 1 2 3 4:
// means 1.25 and 2.5, Sxy = 1.875 + 0.125 + 0.375 + 1.125 = 3.5, Sxx = 2.75, Syy = 5,
// 3.5 / √13.75 = 0.9439.
func TestDiscrimination(t *testing.T) {
	if d := discrimination([]float64{0, 1, 2, 2}, []float64{1, 2, 3, 4}); math.Abs(d-3.5/math.Sqrt(13.75)) > 1e-12 {
		t.Error(d)
	}
	if d := discrimination([]float64{2, 2, 2}, []float64{1, 2, 3}); !math.IsNaN(d) {
		t.Error("an item that everybody has right discriminates by", d)
	}
	if d := discrimination([]float64{1, 2}, []float64{1, 2}); !math.IsNaN(d) {
		t.Error("two candidates give", d)
	}
}

// Tukey's fences: of 1 to 8 the quartiles are 2 and 6 (linear interpolation of the
// empirical distribution), so the fences lie at −4 and 12.
func TestFences(t *testing.T) {
	low, high, ok := fences([]float64{8, 1, 7, 2, 6, 3, 5, 4})
	if !ok || low != -4 || high != 12 {
		t.Error(low, high, ok)
	}
	if _, _, ok := fences([]float64{1, 2, 3}); ok {
		t.Error("three candidates have fences")
	}
}

// result makes a result with one reading part from what was typed.
func result(candidate string, s paper.Setting, items ...mark.Item) *mark.Result {
	p := mark.PartMark{Part: paper.Reading, Of: 2, Items: items}
	return &mark.Result{Candidate: candidate, Paper: "p", Setting: string(s), Mark: 1, Of: 2, Ended: "complete",
		Tasks: []mark.TaskMark{{Task: "t", Parts: []mark.PartMark{p}}}}
}

func item(id, given, reference string, right bool) mark.Item {
	return mark.Item{ID: id, Given: given, Reference: reference, Right: right}
}

func flagsOf(rs ...*mark.Result) []Flag {
	c := New()
	for _, r := range rs {
		c.Add(r, nil)
	}
	return c.Report().Flags
}

// Honest candidates on one rig agree to the digit and are not flagged; two with the same
// two wrong values are.
func TestOnOneRigOnlyWrongValuesAreFlagged(t *testing.T) {
	same := func(who string) *mark.Result {
		return result(who, paper.HoldPoints, item("a/ends/r1", "0.39", "0.39", true), item("a/ends/rn", "0.39", "0.39", true), item("a/ends/r2", "0.65", "0.65", true),
			item("a/own-bar/NA", "0.20", "0.20", true))
	}
	if f := flagsOf(same("C-01"), same("C-02"), same("C-03")); len(f) != 0 {
		t.Errorf("honest candidates are flagged: %+v", f)
	}
	wrong := func(who, second string) *mark.Result {
		return result(who, paper.HoldPoints, item("a/ends/r1", "0.77", "0.39", false), item("a/ends/rn", second, "0.39", false))
	}
	if f := flagsOf(wrong("C-01", "0.81"), wrong("C-02", "0.82")); len(f) != 0 {
		t.Errorf("one slip in common is flagged: %+v", f)
	}
	looked := func(who string) *mark.Result {
		return result(who, paper.HoldPoints, item("inspection/cables", "fits", "over-rated", false), item("inspection/devices/ring-1", "B32", "C32", false),
			item("a/polarity", "right", "reversed", false))
	}
	if f := flagsOf(looked("C-01"), looked("C-02")); len(f) != 0 {
		t.Errorf("two who overlooked the same are flagged: %+v", f)
	}
	f := flagsOf(wrong("C-01", "0.81"), wrong("C-02", "0.81"), same("C-03"))
	if len(f) != 1 || !reflect.DeepEqual(f[0].Candidates, []string{"C-01", "C-02"}) || len(f[0].Detail) != 2 {
		t.Errorf("two wrong values in common: %+v", f)
	}
}

// With readings drawn for each, four that are typed alike although the two were shown
// different ones are flagged; three are not, and neither are those shown alike.
func TestDrawnReadingsThatAgree(t *testing.T) {
	sheet := func(who, shown string, n int) *mark.Result {
		var items []mark.Item
		for i := range n {
			items = append(items, item("a/crossed-line-neutral/s"+string(rune('1'+i)), "0.21", shown, true))
		}
		return result(who, paper.Alone, items...)
	}
	if f := flagsOf(sheet("C-01", "0.21", 4), sheet("C-02", "0.22", 4)); len(f) != 1 {
		t.Errorf("four copied readings: %+v", f)
	}
	if f := flagsOf(sheet("C-01", "0.21", 3), sheet("C-02", "0.22", 3)); len(f) != 0 {
		t.Errorf("three: %+v", f)
	}
	if f := flagsOf(sheet("C-01", "0.21", 8), sheet("C-02", "0.21", 8)); len(f) != 0 {
		t.Errorf("shown alike: %+v", f)
	}
}

func TestDigitsThatNoInstrumentShows(t *testing.T) {
	f := flagsOf(result("C-01", paper.Observed, item("a/ends/r1", "0.413", "0.41", true)), result("C-02", paper.Observed, item("a/ends/r1", "0.41", "0.41", true)))
	if len(f) != 1 || f[0].Candidates[0] != "C-01" {
		t.Errorf("%+v", f)
	}
	for raw, fine := range map[string]bool{"0.41": false, "0.4": false, ">299": false, "0.413 Ω": true, "28": false, "": false} {
		if tooFine("a/ends/r1", raw) != fine {
			t.Errorf("%q: %v", raw, !fine)
		}
	}
}

// The fast reader gives the lines that the journal gives, and leaves every changed
// record to it.
func TestFastReadIsTheJournals(t *testing.T) {
	e := load(t, "ring-dead")
	b := sat(t, e, "C-01", paper.HoldPoints, 3, play.Candidate{Say: map[string][]string{"safety/board/indicator": {"pen"}, "ring-1/ends": {"0.40 0.40", "0.40 0.40 0.65"}}}, 90)
	want, err := journal.Read(bytes.NewReader(b.record))
	if err != nil {
		t.Fatal(err)
	}
	seen := headers{}
	for range 2 { // with the header read, and remembered
		got, ok := fastRead(b.record, seen)
		if !ok || len(got) != len(want) {
			t.Fatal(ok, len(got), len(want))
		}
		for i := range got {
			g, w := got[i], want[i]
			if g.Said != nil && (g.Said.Seq != w.Said.Seq || g.Said.Time != w.Said.Time || g.Said.Type != w.Said.Type || g.Said.At != w.Said.At ||
				g.Said.Raw != w.Said.Raw || len(g.Said.Params) != len(w.Said.Params)) {
				t.Fatalf("line %d: %+v and %+v", i+1, g.Said, w.Said)
			}
			if g.Gave != nil && (g.Gave.Verdict != w.Gave.Verdict || g.Gave.Rule != w.Gave.Rule || g.Gave.Said != w.Gave.Said) {
				t.Fatalf("line %d: %+v and %+v", i+1, g.Gave, w.Gave)
			}
		}
		if got[0].Header.Session != want[0].Header.Session || !reflect.DeepEqual(got[0].Header.Fields, want[0].Header.Fields) {
			t.Fatal("another header")
		}
	}
	for i := 0; i < len(b.record); i += 37 {
		bad := bytes.Clone(b.record)
		bad[i] ^= 1
		if _, ok := fastRead(bad, seen); ok {
			t.Fatalf("byte %d changed and it was read", i)
		}
	}
	for i, l := 0, bytes.SplitAfter(b.record, []byte("\n")); i < len(l)-1; i += 5 {
		if _, ok := fastRead(bytes.Join(append(append([][]byte{}, l[:i]...), l[i+1:]...), nil), seen); ok {
			t.Fatalf("line %d left out and it was read", i+1)
		}
	}
}

// A folder with a record marked twice, one that is open and one without its key.
func TestFolder(t *testing.T) {
	e, dir := load(t, "ring-dead"), t.TempDir()
	put := func(name string, data []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for i, id := range []string{"C-01", "C-02", "C-03"} {
		b := sat(t, e, id, paper.Alone, uint64(i+1), play.Candidate{}, 0)
		put(id+".jsonl", b.record)
		k, err := b.key(nil)
		if err != nil {
			t.Fatal(err)
		}
		text, err := k.Clear()
		if err != nil {
			t.Fatal(err)
		}
		if id != "C-03" {
			put(id+".key.json", text)
		}
		if id == "C-02" {
			line, err := mark.OverrideLine(mark.Override{Task: "ends", Part: paper.Record, To: 0, Reason: "written on a slip first"}, nil, b.record)
			if err != nil {
				t.Fatal(err)
			}
			put(id+".second.overrides.jsonl", line)
		}
	}
	put("deleted.jsonl", []byte("{}\n"))
	done := 0
	rep, skipped, err := Folder{Dir: dir, Progress: func(n, of int) { done = n }}.Read()
	if err != nil || len(rep.Rows) != 2 || len(skipped) != 1 || done != 3 {
		t.Fatal(err, rep, skipped, done)
	}
	if a := rep.Agreement; a.Papers != 1 || a.Marks != 33 || a.Observed >= 1 || a.Kappa == nil || *a.Kappa >= 1 || *a.Kappa < 0.8 {
		t.Errorf("%+v", a)
	}
	var js, cs, tx bytes.Buffer
	if err := rep.WriteJSON(&js); err != nil || !json.Valid(js.Bytes()) {
		t.Error(err)
	}
	rep.Rows[0].Candidate = "=1+1"
	if err := rep.WriteCSV(&cs); err != nil || !strings.Contains(cs.String(), "'=1+1") {
		t.Error(err, cs.String())
	}
	r := csv.NewReader(&cs)
	r.FieldsPerRecord = -1
	if _, err := r.ReadAll(); err != nil {
		t.Error(err)
	}
	if err := rep.WriteText(&tx); err != nil || !strings.Contains(tx.String(), "kappa") {
		t.Error(err, tx.String())
	}
}
