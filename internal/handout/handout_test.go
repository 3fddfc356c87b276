package handout

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/learner"
	"wanderlead/internal/pdf"
	"wanderlead/internal/record"
	"wanderlead/internal/report"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

var cast = coach.Cast{Supervisor: "Bay supervisor", Code: "code-hash", Padlock: "4417", MainPadlock: "4418",
	People: "Two learners, told", Reason: "compared with the commissioning sheet", Instrument: "BY-07"}

// written gives a word catalogue that fails the test when a text or a value is missing.
func written(t testing.TB) (Text, *words.Catalogue) {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	return func(id string, params map[string]string) string {
		s, err := cat.Fill(id, params)
		if err != nil {
			t.Errorf("%s: %v", id, err)
		}
		return s
	}, cat
}

func kit(t testing.TB, sequence, rig string) *record.Kit {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	k, err := record.Gather(lib, sequence, rig, "", "")
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// worked is a session with right answers, but for those given, up to its end or to the
// question named as stop.
func worked(t testing.TB, k *record.Kit, m report.Meta, stop string, other map[string]string) report.Schedule {
	t.Helper()
	st := coach.New(coach.Setup{Program: k.Program, Pack: k.Pack})
	for range 4000 {
		q, ok := st.Question()
		if !ok || q.ID == stop || slices.Contains(q.PartIDs, stop) {
			break
		}
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)}
		for _, id := range append([]string{q.ID}, q.PartIDs...) {
			if o, ok := other[id]; ok {
				ev.At, ev.Raw = id, o
				delete(other, id)
				break
			}
		}
		next, _, err := st.Apply(ev)
		if err != nil {
			t.Fatalf("%q at %q: %v", ev.Raw, ev.At, err)
		}
		m.Note(st, next, ev)
		st = next
	}
	for id := range other {
		t.Fatalf("the question %s never came up", id)
	}
	return report.Build(st, m)
}

func meta(t testing.TB) report.Meta {
	_, cat := written(t)
	return report.Meta{Words: cat, Mode: "practise", Created: "2026-03-10T09:00:00Z", Closed: "2026-03-10T11:40:00Z",
		Fields: map[string]string{report.FieldTestedBy: "A. Learner", report.FieldDate: "2026-03-10", "instrument": "BY-07"}}
}

// read renders a sheet twice, compares the bytes, and gives what pdftotext (Poppler)
// reads from it, a text for each page.
func read(t testing.TB, name string, s pdf.Sheet) []string {
	t.Helper()
	data, err := pdf.Render(s)
	if err != nil {
		t.Fatal(err)
	}
	again, err := pdf.Render(s)
	if err != nil || !bytes.Equal(data, again) {
		t.Fatalf("%s: not the same bytes again (%v)", name, err)
	}
	if dir := os.Getenv("WANDERLEAD_PDF_DIR"); dir != "" { // to look at them
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("WANDERLEAD_PDFTOTEXT") != "" {
			t.Fatal("WANDERLEAD_PDFTOTEXT is set and there is no pdftotext")
		}
		t.Skip("no pdftotext here (package poppler-utils): the PDF is not read back")
	}
	file := filepath.Join(t.TempDir(), name+".pdf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftotext: %v\n%s", err, out)
	}
	pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
	for i, p := range pages {
		for _, want := range []string{fmt.Sprintf("page %d of %d", i+1, len(pages)), strings.Join(strings.Fields(s.Not)[:5], " ")} {
			if !strings.Contains(strings.Join(strings.Fields(p), " "), want) {
				t.Errorf("%s: page %d lacks %q", name, i+1, want)
			}
		}
		if s.Stamp != "" && !strings.Contains(p, s.Stamp) {
			t.Errorf("%s: page %d lacks %q", name, i+1, s.Stamp)
		}
	}
	return pages
}

// missing lists the words of a text that a page set does not have; a word may have been
// broken to fit, so spaces do not count.
func missing(pages []string, texts ...string) []string {
	all := strings.Join(strings.Fields(strings.Join(pages, " ")), "")
	var out []string
	for _, s := range texts {
		for _, word := range strings.Fields(pdf.Clean(s)) {
			if !strings.Contains(all, word) {
				out = append(out, word)
			}
		}
	}
	return out
}

// tokens are the words of pages without the marks that part them.
func tokens(pages []string) []string {
	return strings.FieldsFunc(strings.Join(pages, " "), func(r rune) bool { return unicode.IsSpace(r) || r == ';' || r == ',' })
}

// counted counts single words.
func counted(texts []string) map[string]int {
	out := map[string]int{}
	for _, s := range texts {
		if !strings.Contains(s, " ") {
			out[s]++
		}
	}
	return out
}

// every reading of a schedule as it was typed, with what was typed before it.
func typed(s *report.Schedule) []string {
	var out []string
	add := func(rs []report.Reading) {
		for _, r := range rs {
			if r.State == report.Measured || r.State == report.OverRange || r.State == report.Calculated {
				if r.Said == "" {
					out = append(out, r.Raw)
				}
				for _, w := range r.History {
					out = append(out, w.Raw)
				}
			}
		}
	}
	add(s.Board.Readings)
	for i := range s.Circuits {
		add(s.Circuits[i].Readings)
	}
	for i := range s.Board.RCDs {
		add(s.Board.RCDs[i].Readings)
	}
	return out
}

func TestScheduleHoldsEveryReading(t *testing.T) {
	say, _ := written(t)
	k := kit(t, "whole-board", "training-bay")
	s := worked(t, k, meta(t), "", map[string]string{"radial-1/insulation/N-E": "limitation: no access to the far end today", "ring-1/insulation/L-E": ">299"})
	sheet := Schedule(s, k.Rig, k.Pack, say)
	pages := read(t, "schedule", sheet)
	if sheet.Stamp != "" {
		t.Errorf("a whole session is stamped %q", sheet.Stamp)
	}
	all := typed(&s)
	if len(all) < 100 {
		t.Fatalf("%d readings", len(all))
	}
	if m := missing(pages, all...); len(m) > 0 {
		t.Errorf("readings that are not on the sheet: %q", m)
	}
	// A reading that was typed five times stands there five times at least.
	for raw, n := range counted(all) {
		if on := counted(tokens(pages))[raw]; on < n {
			t.Errorf("%q was typed %d times and stands %d times on the sheet", raw, n, on)
		}
	}
	var texts []string
	for _, p := range s.Parts() {
		for _, it := range p.Items {
			if it.Text != "" {
				texts = append(texts, it.Label, it.Text)
			}
		}
		for _, row := range p.Rows {
			for _, e := range row {
				texts = append(texts, e.Text)
			}
		}
		texts = append(texts, p.Lines...)
	}
	if m := missing(pages, append(texts, s.Notice, s.Edition, "BY-07")...); len(m) > 0 {
		t.Errorf("words that are not on the sheet: %q", m)
	}
	for _, state := range []string{"n/a", "lim", "nt", ">299"} {
		if !slices.ContainsFunc(pages, func(p string) bool { return slices.Contains(strings.Fields(p), state) }) {
			t.Errorf("the state %s is nowhere in the tables", state)
		}
	}
}

// A board of 60 circuits: every page of the tables has their heads, no circuit is lost.
func TestSixtyCircuits(t *testing.T) {
	say, _ := written(t)
	k := kit(t, "whole-board", "training-bay")
	s := worked(t, k, meta(t), "", nil)
	few := s.Circuits
	s.Circuits = nil
	for i := range 60 {
		c := few[i%len(few)]
		c.CircuitNumber = fmt.Sprintf("%dL%d", 100+i/3, i%3+1)
		s.Circuits = append(s.Circuits, c)
	}
	pages := read(t, "sixty", Schedule(s, k.Rig, k.Pack, say))
	heads := 0
	for i, p := range pages {
		rows := 0
		for _, line := range strings.Split(p, "\n") {
			// Details and results begin with the number; lists of circuits have commas.
			if f := strings.Fields(line); len(f) > 5 && strings.HasPrefix(f[0], "1") && strings.Contains(f[0], "L") && !strings.Contains(f[0], ",") {
				rows++
			}
		}
		if rows > 0 {
			heads++
			if !strings.Contains(p, "no.") && !strings.Contains(p, "circuit or device") {
				t.Errorf("page %d has %d circuits and no head", i+1, rows)
			}
		}
	}
	if heads < 4 {
		t.Errorf("circuits on %d pages", heads)
	}
	for i := range s.Circuits {
		n := 0
		for _, p := range pages {
			for _, f := range strings.Fields(p) {
				if f == s.Circuits[i].CircuitNumber {
					n++
				}
			}
		}
		if n < 2 {
			t.Errorf("circuit %s stands %d times", s.Circuits[i].CircuitNumber, n)
		}
	}
}

func TestSessionsAreNamedForWhatTheyAre(t *testing.T) {
	say, _ := written(t)
	k := kit(t, "lesson-ring", "training-bay")
	m := meta(t)
	m.Scripted, m.Mode = true, "study"
	s := worked(t, k, m, "ring-1/ends/r1", nil)
	if s.Board.Session.Ended == "complete" {
		t.Fatal("the session was to stop half way")
	}
	sheet := Schedule(s, k.Rig, k.Pack, say)
	for _, want := range []string{"SCRIPTED", "SIMULATED", "NOT FINISHED"} {
		if !strings.Contains(sheet.Stamp, want) {
			t.Errorf("%q lacks %s", sheet.Stamp, want)
		}
	}
	read(t, "stamped", sheet)
}

func TestBlankAndCrib(t *testing.T) {
	say, _ := written(t)
	for _, name := range []string{"training-bay", "winch-workshop", "slip-outbuilding", "rigging-store", "reference"} {
		k := kit(t, "whole-board", name)
		s := report.Build(coach.New(coach.Setup{Program: k.Program, Pack: k.Pack}), meta(t))
		pages := read(t, "blank-"+name, Blank(s, say))
		for i := range s.Circuits {
			if m := missing(pages, s.Circuits[i].CircuitNumber, s.Circuits[i].Description, "the book of A4 was not checked"); len(m) > 0 {
				t.Errorf("%s: %q are not on the blank schedule", name, m)
			}
		}
		crib := read(t, "crib-"+name, Crib(k.Rig, s, say))
		for i := range k.Rig.Circuits {
			c := &k.Rig.Circuits[i]
			texts := []string{c.Number, k.Rig.BarOf(c), k.Rig.Earthing.Terminal, "the book of A4 was not checked"}
			for _, pt := range c.Points {
				texts = append(texts, pt.ID, pt.Label)
			}
			if m := missing(crib, texts...); len(m) > 0 {
				t.Errorf("%s, circuit %s: %q are not on the drawings of the crib sheet", name, c.ID, m)
			}
		}
		for _, f := range k.Rig.Faults {
			if m := missing(crib, f.ID, f.Where, f.Plant, f.Clear); len(m) > 0 {
				t.Errorf("%s, fault %s: %q are not on the crib sheet", name, f.ID, m)
			}
		}
		for _, r := range k.Rig.Reference.Readings {
			if m := missing(crib, r.Values...); len(m) > 2 {
				t.Errorf("%s: of %s none is on the crib sheet", name, r.At)
			}
		}
		if m := missing(crib, k.Rig.Isolation.EmergencySwitch, k.Rig.Isolation.Device); len(m) > 0 {
			t.Errorf("%s: %q", name, m)
		}
	}
	pages := read(t, "empty", Empty(say, 12))
	if m := missing(pages, "r1", "R1+R2", "MΩ", "Zs"); len(m) > 0 {
		t.Errorf("the empty schedule lacks %q", m)
	}
}

func TestProgress(t *testing.T) {
	say, _ := written(t)
	m := learner.New("sam")
	m.Note(learner.Session{Day: "2026-03-01", Rig: "training-bay", Sequence: "lesson-ring", Ended: "complete", Findings: 1,
		Practised: map[string]learner.Practice{"ends": {Right: 7, Wrong: 2, Hints: 3}}, Mistakes: []string{"leads-not-nulled"}})
	pages := read(t, "progress", Progress(m, []string{"ends", "zs"}, "2026-03-05", func(id string) string { return "leads not nulled" }, say))
	if x := missing(pages, "sam", "2026-03-01", "lesson-ring", "not practised yet", "leads not nulled"); len(x) > 0 {
		t.Errorf("%q are not on the sheet", x)
	}
}
