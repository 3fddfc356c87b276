package rig

import (
	"reflect"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/quantity"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// builtins loads every built-in rig.
func builtins(t testing.TB) map[string]*Rig {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	names, err := Names(lib)
	if err != nil || len(names) < 4 {
		t.Fatalf("built-in rigs %q, %v", names, err)
	}
	rigs := map[string]*Rig{}
	for _, name := range names {
		if rigs[name], err = Load(lib, name); err != nil {
			t.Fatal(err)
		}
	}
	return rigs
}

// wording is the English catalogue; an id or a value that it lacks fails the test.
type wording struct {
	t   testing.TB
	cat *words.Catalogue
}

func loadWording(t testing.TB) *wording {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	return &wording{t, cat}
}

func (w *wording) Text(id string, params map[string]string) string {
	text, err := w.cat.Fill(id, params)
	if err != nil {
		w.t.Error(err)
	}
	return text
}

// tell drives the question machine with a script and gives the finished rig.
func tell(t *testing.T, d Description, script []Answer) *Rig {
	t.Helper()
	for i, a := range script {
		q, done := d.Next()
		if done != nil {
			t.Fatalf("finished before answer %d (%s)", i, a.ID)
		}
		if q.ID != a.ID || q.Complaint != "" {
			t.Fatalf("question %d is %s (%s), the script has %s", i, q.ID, q.Complaint, a.ID)
		}
		if q.Ask == "" || q.Help == "" || q.Kind == Choice && !offered(q, a.Text) {
			t.Fatalf("question %s: %+v does not offer %q", q.ID, q, a.Text)
		}
		var err error
		if d, err = d.Answer(a.Text); err != nil {
			t.Fatalf("answer %q to %s refused: %v", a.Text, q.ID, err)
		}
	}
	q, r := d.Next()
	if r == nil {
		t.Fatalf("not finished: %s asks %s %s", q.ID, q.Ask, q.Complaint)
	}
	return r
}

func offered(q Question, text string) bool {
	for _, o := range q.Options {
		if o.Value == text && o.Label != "" {
			return true
		}
	}
	return false
}

func TestDescribeRebuildsEachRig(t *testing.T) {
	w := loadWording(t)
	for name, r := range builtins(t) {
		t.Run(name, func(t *testing.T) {
			script := DescribeAnswers(r)
			t.Logf("%d answers", len(script))
			got := tell(t, Describe(w), script)
			if !reflect.DeepEqual(got, r) {
				t.Errorf("the described rig differs:\n%s", Write(got))
			}
			if string(Write(got)) != string(Write(r)) {
				t.Error("the described rig is written otherwise")
			}
		})
	}
}

func TestCommissionAndDrift(t *testing.T) {
	w := loadWording(t)
	r := builtins(t)["training-bay"]
	script := CommissionAnswers(r)
	same := tell(t, Commission(r, w), script)
	if !reflect.DeepEqual(same, r) {
		t.Error("the same readings give another rig")
	}
	for _, d := range Drifts(r, same) {
		if d.Change != 0 || d.BeyondScatter {
			t.Errorf("%s drifted from itself by %g", d.ID, d.Change)
		}
	}
	for i := range script {
		switch script[i].ID {
		case "reference/date":
			script[i].Text = "2026-09-01"
		case "reference/ring-1/ends/r1":
			script[i].Text = "0.52 0.53 0.52"
		case "reference/ring-1/insulation/L-E":
			script[i].Text = "1.8 MΩ; 1.9; 1.8"
		case "reference/ze":
			script[i].Text = ""
		}
	}
	now := tell(t, Commission(r, w), script)
	if now.Reference.Date != "2026-09-01" || r.Reference.Date == "2026-09-01" {
		t.Errorf("dates %s and %s", r.Reference.Date, now.Reference.Date)
	}
	moved := map[string]Drift{}
	for _, d := range Drifts(r, now) {
		if d.BeyondScatter || !d.Now.Given() {
			moved[d.ID] = d
		}
	}
	if len(moved) != 3 {
		t.Fatalf("moved: %v", moved)
	}
	d := moved["ring-1/ends/r1"]
	was, _ := r.ReferenceReading("ring-1/ends/r1")
	if d.Now.Value != 0.52 || d.Was != was || !d.Comparable || d.Change != 0.52-was.Value || d.Unit != quantity.Ohm {
		t.Errorf("drift of r1: %+v", d)
	}
	if d := moved["ring-1/insulation/L-E"]; d.Comparable || !d.Was.IsOver() {
		t.Errorf("drift of insulation: %+v", d)
	}
	if d := moved["ze"]; d.Now.Given() || d.BeyondScatter {
		t.Errorf("a reading that was not taken: %+v", d)
	}
}

func TestDescribeRefusesAndGoesBack(t *testing.T) {
	w := loadWording(t)
	script := DescribeAnswers(builtins(t)["rigging-store"])
	at := map[string]int{}
	for i, a := range script {
		at[a.ID] = i
	}
	bad := []struct{ id, text, want string }{
		{"id", "Training Bay", "is not an id"},
		{"title", "", "empty"},
		{"title", "a\tb", "one line"},
		{"setting", strings.Repeat("long ", 80), "characters"},
		{"supply/earthing", "TNC-S", "not known here"},
		{"supply/voltage", "230 A", "is a unit of current"},
		{"supply/voltage", "0", "makes no sense"},
		{"supply/voltage", "NaN", "not a number"},
		{"supply/phases", "2", "not known here"},
		{"supply/transformer", "maybe", "neither yes nor no"},
		{"circuits", "many", "not a count"},
		{"circuits", "0", "not a count"},
		{"circuits/1/id", "bonding", "cannot be an id"},
		{"circuits/2/id", "ring-1", "given twice"},
		{"circuits/1/points/2/id", "s1", "given twice"},
		{"circuits/1/section", "none", "not known here"},
		{"reference/ring-1/ends/r1", "0.40 0.41", "found 2 readings"},
		{"reference/ring-1/ends/r1", "0.40 0.41 0,42", "comma"},
		{"reference/ring-1/insulation/L-E", ">299 >299 fine", "not a number"},
	}
	for _, b := range bad {
		i, ok := at[b.id]
		if !ok {
			t.Errorf("no question %s", b.id)
			continue
		}
		d := Describe(w, script[:i]...)
		if len(d.Answers()) != i {
			t.Fatalf("%s: only %d of %d answers taken up", b.id, len(d.Answers()), i)
		}
		after, err := d.Answer(b.text)
		if err == nil || !strings.Contains(err.Error(), b.want) {
			t.Errorf("%q to %s: %v, want %q", b.text, b.id, err, b.want)
		}
		if q, _ := after.Next(); q.ID != b.id {
			t.Errorf("after a refusal the question is %s, not %s", q.ID, b.id)
		}
		if q, _ := d.Back().Next(); i > 0 && q.ID != script[i-1].ID {
			t.Errorf("back from %s leads to %s, not %s", b.id, q.ID, script[i-1].ID)
		}
	}
}

// TestDescribeLeadsBack: what does not fit is found at the end, asked again, and the later answers are kept.
func TestDescribeLeadsBack(t *testing.T) {
	w := loadWording(t)
	r := builtins(t)["training-bay"]
	script := DescribeAnswers(r)
	var cut []Answer
	for _, a := range script {
		if a.ID == "reference/date" {
			a.Text = "2 March"
		}
		cut = append(cut, a)
	}
	d := Describe(w, cut...)
	q, done := d.Next()
	if done != nil || q.ID != "reference/date" || !strings.Contains(q.Complaint, "is not a date") || q.Hint == "" {
		t.Fatalf("asks %s: %s", q.ID, q.Complaint)
	}
	d, err := d.Answer("2026-03-02")
	if err != nil {
		t.Fatal(err)
	}
	if _, done = d.Next(); !reflect.DeepEqual(done, r) {
		t.Error("the corrected rig differs")
	}
	if _, err := d.Answer("more"); err == nil {
		t.Error("an answer after the end was taken")
	}
}

// TestWordingComplete: every field has its question and its help, every fixed word its label, and nothing is left over.
func TestWordingComplete(t *testing.T) {
	w := loadWording(t)
	need := map[string]bool{"describe.yes": true, "describe.no": true, "describe.leave-out": true,
		"describe.reading.values.ask": true, "describe.reading.values.help": true}
	seen := map[*record]bool{}
	var walk func(rec *record)
	walk = func(rec *record) {
		if seen[rec] {
			return
		}
		seen[rec] = true
		for _, f := range rec.fields {
			word := "describe." + rec.name + "." + f.key
			if f.kind != group && rec != refReadingRecord && f.rec != refReadingRecord {
				need[word+".ask"], need[word+".help"] = true, true
			}
			if f.labelled {
				for _, phases := range []int{1, 3} {
					for _, v := range f.words(&Rig{Supply: Supply{Phases: phases}}, nil) {
						need[word+".is."+v] = true
					}
				}
			}
			if f.rec != nil {
				walk(f.rec)
			}
		}
	}
	walk(rigRecord)
	have := map[string]bool{}
	for _, id := range w.cat.IDs() {
		if strings.HasPrefix(id, "describe.") {
			have[id] = true
			if !need[id] {
				t.Errorf("wording %s is never used", id)
			}
		}
	}
	for id := range need {
		if !have[id] {
			t.Errorf("no wording for %s", id)
		}
	}
}
