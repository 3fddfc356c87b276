package report

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wanderlead/internal/coach"
	"wanderlead/internal/plain"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// TestTextFits lays schedules out at many widths, with names of any characters, and
// checks that no line is wider than the page and nothing in it acts on a terminal.
func TestTextFits(t *testing.T) {
	m := loftMeta(t)
	whole := loft(t, sequence.Measured, "bs7671-2018-a4", &m, story...)
	rapid.Check(t, func(rt *rapid.T) {
		s := Build(whole, m)
		for i := range s.Circuits {
			s.Circuits[i].Description = rapid.String().Draw(rt, "description")
			s.Circuits[i].CircuitNumber = rapid.StringN(0, 6, -1).Draw(rt, "number")
		}
		s.Board.TestedBy.Name = rapid.String().Draw(rt, "name")
		s.Board.Remarks = append(s.Board.Remarks, rapid.String().Draw(rt, "remark"))
		w := rapid.IntRange(0, 140).Draw(rt, "width")
		for _, line := range strings.Split(s.Text(w), "\n") {
			if n := columnsOf(line); n > max(w, minWidth) {
				rt.Errorf("width %d: a line of %d columns: %q", w, n, line)
			}
			for _, r := range line {
				if plain.Active(r) {
					rt.Errorf("%U in %q", r, line)
				}
			}
		}
	})
}

// TestTextShowsEveryResult looks for every value of the schedule on the page, narrow and
// wide, and for the reason of everything that has none.
func TestTextShowsEveryResult(t *testing.T) {
	for _, name := range []string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop"} {
		m := loftMeta(t)
		s := Build(drive(t, start(t, "whole-board", loadRig(t, name), sequence.Measured, "bs7671-2018-a4"), &m), m)
		for _, w := range []int{60, 80, 100} {
			page := strings.Join(strings.Fields(s.Text(w)), " ")
			if strings.Contains(page, "{") {
				t.Errorf("%s at %d: a value is missing: %.80s", name, w, page[strings.Index(page, "{"):])
			}
			if strings.Contains(page, "report.") {
				t.Errorf("%s at %d: a text is missing: %.80s", name, w, page[strings.Index(page, "report."):])
			}
			for i := range s.Circuits {
				for _, col := range columns {
					if col.result == nil {
						continue
					}
					r := col.result(&s.Circuits[i])
					want := r.cell()
					if want == "" {
						want = strings.Join(strings.Fields(r.Why), " ")
					}
					if !strings.Contains(page, want) {
						t.Errorf("%s at %d: circuit %s %s %q is not on the page", name, w, s.Circuits[i].CircuitNumber, col.Key, want)
					}
				}
			}
		}
	}
}

// TestStatesStayApart: calculated, over range, not applicable, limitation, not tested and
// zero all look different, in a cell and on a line.
func TestStatesStayApart(t *testing.T) {
	zero, half := 0.0, 0.5
	x := &texter{s: &Schedule{words: catalogue(t).Text}}
	seen := map[string]string{}
	for _, r := range []Result{
		{State: Measured, Value: &zero, Raw: "0", Unit: "Ω"}, {State: Measured, Value: &half, Raw: "0.5", Unit: "Ω"},
		{State: Calculated, Value: &half, Raw: "0.5", Unit: "Ω"}, {State: OverRange, Raw: ">0.5", Unit: "Ω"},
		{State: Measured, Value: &half, Raw: "0.5", Unit: "Ω", Verdict: "fail"}, {State: Measured, Value: &half, Raw: "0.5", Unit: "Ω", Verdict: "doubt"},
		{State: NotApplicable, Why: "w"}, {State: Limitation, Why: "w"}, {State: NotTested, Why: "w"},
	} {
		for _, form := range []string{"cell " + x.short(&r), "line " + x.full(&r)} {
			if other, twice := seen[form]; twice {
				t.Errorf("%s and %s %q look the same: %q", other, r.State, r.Raw, form)
			}
			seen[form] = r.State + " " + r.Raw + r.Verdict
		}
	}
}

// TestFootComesLast: whoever looks at the end of the page sees what is open and live.
func TestFootComesLast(t *testing.T) {
	m := loftMeta(t)
	st := loft(t, sequence.Measured, "bs7671-2018-a4", &m, say{at: "ring-1/ends", raw: "end"})
	page := Build(st, m).Text(80)
	foot := page[strings.Index(page, "OPEN ITEMS"):]
	for _, want := range []string{"OPEN: board (cover)", "OPEN: ring-1/ends (conductor), circuit 1", "LIVE STATE", "switched off at the point of isolation"} {
		if !strings.Contains(foot, want) {
			t.Errorf("the foot does not say %q:\n%s", want, foot)
		}
	}
	if n := Build(st, m); !strings.Contains(n.Notice, "has not been closed again") || n.Board.Session.Ended != "running" {
		t.Errorf("notice of an unfinished session: %s", n.Notice)
	}
}

// TestNoticeSaysWhatItIsNot checks the notice of typed, scripted and simulated sessions.
func TestNoticeSaysWhatItIsNot(t *testing.T) {
	m := loftMeta(t)
	st := start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), sequence.Measured, "bs7671-2018-a4")
	for _, x := range []struct {
		mode     string
		scripted bool
		want     []string
		not      []string
	}{
		{"practise", false, []string{"no certificate", "typed in by a person", "Local rules", "not checked"}, []string{"scripted", "simulated"}},
		{"practise", true, []string{"no certificate", "scripted", "Local rules"}, []string{"typed in by a person"}},
		{"study", false, []string{"no certificate", "simulated", "Local rules"}, []string{"typed in by a person", "scripted"}},
		{"study", true, []string{"simulated", "scripted"}, nil},
	} {
		m.Mode, m.Scripted = x.mode, x.scripted
		s := Build(st, m)
		for _, w := range x.want {
			if !strings.Contains(s.Notice, w) || !strings.Contains(strings.Join(strings.Fields(s.Text(60)), " "), w) {
				t.Errorf("%s scripted=%t does not say %q: %s", x.mode, x.scripted, w, s.Notice)
			}
		}
		for _, w := range x.not {
			if strings.Contains(s.Notice, w) {
				t.Errorf("%s scripted=%t says %q: %s", x.mode, x.scripted, w, s.Notice)
			}
		}
		if s.Scripted != x.scripted {
			t.Errorf("scripted is %t", s.Scripted)
		}
	}
}

// TestNoClaims: no text of a schedule calls anything safe, compliant or certified.
func TestNoClaims(t *testing.T) {
	w := catalogue(t)
	claim := regexp.MustCompile(`(?i)\b(safe|safely|compliant|complies|comply|certified|certify|satisfactory|approved)\b`)
	for _, id := range w.IDs() {
		if strings.HasPrefix(id, "report.") && claim.MatchString(w.Text(id, nil)) {
			t.Errorf("%s: %s", id, w.Text(id, nil))
		}
	}
}

// TestWordsAreUsed holds the texts in Go against the catalogue: every whole id is there,
// and every text of the catalogue begins like an id that is used.
func TestWordsAreUsed(t *testing.T) {
	w := catalogue(t)
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var whole, stems []string
	literal := regexp.MustCompile(`"(report\.[a-z0-9_.-]+)"`)
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range literal.FindAllStringSubmatch(string(src), -1) {
			if strings.HasSuffix(m[1], ".") {
				stems = append(stems, m[1])
			} else {
				whole = append(whole, m[1])
			}
		}
	}
	if len(whole) < 50 {
		t.Fatalf("only %d ids found", len(whole))
	}
	used := map[string]bool{}
	for _, id := range whole {
		used[id] = true
		if !w.Has(id) {
			t.Errorf("no text %q", id)
		}
	}
	for _, id := range w.IDs() {
		if !strings.HasPrefix(id, "report.") || used[id] {
			continue
		}
		found := false
		for _, s := range stems {
			found = found || strings.HasPrefix(id, s)
		}
		if !found {
			t.Errorf("the text %q is used nowhere", id)
		}
	}
	for _, col := range columns {
		if col.result != nil && (!w.Has("report.item."+col.Key) || !w.Has("report.column."+col.Key)) {
			t.Errorf("no name for the column %s", col.Key)
		}
	}
}

// TestUnearthedNeutral: what needs a loop to earth does not apply on a rig whose
// isolating transformer has no earthed neutral, and says so.
func TestUnearthedNeutral(t *testing.T) {
	r := testRig(t, "loft.rig.yaml")
	r.Supply.Transformer = &rig.Transformer{RatingVA: 2000}
	m := loftMeta(t)
	st := drive(t, start(t, "loft.seq.yaml", r, sequence.Declared, "bs7671-2018-a4"), &m,
		say{at: "ring-1/zs", raw: "n/a"}, say{at: "lighting-1/zs-calculated/sum", raw: "end"})
	s := Build(st, m)
	if z := s.Circuits[0].ZsMeasuredMax; z.State != NotApplicable || !strings.Contains(z.Why, "isolating transformer") {
		t.Errorf("Zs with an unearthed neutral: %+v", z)
	}
}

// TestSequencesHaveTheirWords builds the schedule of every built-in whole sequence on
// every built-in rig, at the start, half way and at the end, and looks for holes.
func TestSequencesHaveTheirWords(t *testing.T) {
	lib := library(t)
	files, err := lib.List("")
	if err != nil {
		t.Fatal(err)
	}
	rigs, err := rig.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	built := 0
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".yaml")
		data, err := lib.Read(name + ".yaml")
		if err != nil {
			continue
		}
		seq, err := sequence.Parse(name, data)
		if err != nil || len(seq.Stages) == 0 {
			continue
		}
		for _, rigName := range rigs {
			st, ok := startIf(t, seq, loadRig(t, rigName))
			if !ok {
				continue
			}
			m := loftMeta(t)
			for range 600 {
				q, more := st.Question()
				if len(st.Entries())%40 == 0 || !more {
					page := Build(st, m).Text(60)
					if strings.ContainsAny(page, "{}") || strings.Contains(page, "report.") {
						t.Fatalf("%s on %s at %s has a hole:\n%s", name, rigName, q.ID, page)
					}
				}
				if !more {
					built++
					break
				}
				st, _, err = st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)})
				if err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	if built < 4 {
		t.Errorf("only %d sessions were built", built)
	}
}
