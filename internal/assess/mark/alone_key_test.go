package mark

import (
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
)

// Marks of candidates who sit alone agree with a key worked by hand: testdata/exam/alone.yaml says in short what each did
// at the bench, in order, and what that is worth. Of order there are at least thirty constructed answers.
func TestMarksAloneAgreeWithTheHandWorkedKey(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/exam/alone.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r := content.NewReader("alone.yaml", data)
	m := r.Root().Map("key", "steps", "cases")
	steps := map[string][]string{}
	open(m, "steps", func(k string, m content.Map) { steps[k] = m.Strs(k) })
	plans := map[string]*Plan{}
	counts := map[paper.Part]int{}
	for _, v := range m.List("cases") {
		cm := v.Map("case", "part", "task", "paper", "of", "do", "mark", "working")
		part, task, name := paper.Part(cm.Name("part")), cm.Name("task"), cm.OptName("paper", "ring-dead")
		of, want := cm.OptInt("of", 0), cm.Int("mark")
		counts[part]++
		_, line, _ := v.Pos()
		key := name + task + string(part) + strconv.Itoa(of)
		if plans[key] == nil {
			e := load(t, name)
			for i := range e.Paper.Tasks {
				if e.Paper.Tasks[i].ID == task && of > 0 {
					e.Paper.Tasks[i].Marks = paper.Marks{part: of}
				}
			}
			plans[key] = NewPlan(e.Content)
		}
		b := newMoves(t, load(t, name), steps)
		for _, word := range strings.Fields(cm.Name("do")) {
			if why := b.do(word); why != "" {
				t.Fatalf("alone.yaml:%d: %q: %s", line, word, why)
			}
		}
		p := partOf(t, plans[key].Marker(&seal.Key{}).Mark(b.lines), task, part)
		if p == nil {
			if want >= 0 {
				t.Errorf("alone.yaml:%d: %s of %s is not marked", line, part, task)
			}
			continue
		}
		if p.ByRule != want {
			t.Errorf("alone.yaml:%d: %s of %s: %d, and by hand %d: %s\n%+v", line, part, task, p.ByRule, want, cm.Name("working"), p.Items)
		}
		for _, it := range p.Items {
			if it.Right && len(it.Entries) == 0 {
				t.Errorf("alone.yaml:%d: %s counts as right and rests on no entry", line, it.ID)
			}
		}
		cm.Name("working")
	}
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	for part, least := range map[paper.Part]int{paper.Order: 30, paper.SetUp: 12, paper.Connection: 8, paper.Reinstatement: 8} {
		if counts[part] < least {
			t.Errorf("%s has %d constructed answers alone", part, counts[part])
		}
	}
}

// The words of `do`, one after the other:
//
//	STEP         its readings are taken by the book, one measurement each; STEP[r1,rn] some of them
//	STEP~ STEP!  with one lead on another conductor; with the wrong function
//	=STEP        its readings are written down; STEP= is both
//	null=0.03    what the null is away from what the leads have, from here on
//	volt=250     test voltage of insulation, from here on
//	lift=T,T     at the end these stand out of their terminals; link=A=B, move=T=T as well
//	over         the time is over
type hands struct {
	t     *testing.T
	steps map[string][]string
	bench *truth.Bench
	rig   map[string]rig.ReadingID
	lines []journal.Line
	seq   int
	late  bool
	null  float64
	volt  float64
}

func newMoves(t *testing.T, e *exam.Exam, steps map[string][]string) *hands {
	t.Helper()
	b := &hands{t: t, steps: steps, rig: map[string]rig.ReadingID{}}
	var err error
	if b.bench, err = truth.NewBench(e.Content, e.Paper.Draw(0), paper.Observed, 0); err != nil {
		t.Fatal(err)
	}
	for _, id := range e.Program.Rig.Readings() {
		b.rig[id.ID] = id
	}
	h, err := e.Header()
	if err != nil {
		t.Fatal(err)
	}
	h.Fields["setting"], h.Fields["minutes"] = string(paper.Alone), "75"
	b.lines = []journal.Line{{Number: 1, Kind: journal.KindHeader, Header: &h}}
	return b
}

func (b *hands) do(word string) string {
	switch {
	case word == "over":
		b.late = true
		return ""
	case strings.HasPrefix(word, "null="), strings.HasPrefix(word, "volt="):
		x, err := strconv.ParseFloat(word[5:], 64)
		if err != nil {
			return err.Error()
		}
		if word[0] == 'n' {
			b.null = x
		} else {
			b.volt = x
		}
		return ""
	case strings.HasPrefix(word, "lift="), strings.HasPrefix(word, "link="), strings.HasPrefix(word, "move="):
		b.stand(word[:4], word[5:])
		return ""
	}
	name, writes := strings.CutSuffix(word, "=")
	name, only := strings.CutPrefix(name, "=")
	how := strings.TrimLeft(name, "abcdefghijklmnopqrstuvwxyz[],0123456789-LNEAB")
	name = strings.TrimRight(name, "~!")
	name, list, some := strings.Cut(strings.TrimSuffix(name, "]"), "[")
	parts := b.steps[name]
	if len(parts) < 3 {
		return "no such step"
	}
	step, row, parts := parts[0], parts[1], parts[2:]
	if !only {
		for _, p := range parts {
			if id := step + "/" + p; !some || strings.Contains(","+list+",", ","+p+",") {
				b.measure(b.rig[strings.TrimSuffix(id, "/")], how)
			}
		}
	}
	if writes || only {
		b.add(step, row, nil)
	}
	return ""
}

// add is one entry that was taken.
func (b *hands) add(at, raw string, came map[string]string) {
	b.seq++
	verdict := "taken"
	if b.late {
		verdict = "late"
	}
	ev := journal.Event{Time: time.Date(2027, 3, 1, 9, 0, b.seq, 0, time.UTC).Format(time.RFC3339), Type: journal.TypeAnswer, At: at, Raw: raw}
	b.lines = append(b.lines, journal.Line{Kind: journal.KindSaid, Said: &journal.Said{Seq: b.seq, Event: ev}},
		journal.Line{Kind: journal.KindGave, Gave: &journal.Gave{Said: b.seq, Given: journal.Given{Verdict: verdict, Params: came}}})
}

// measure takes a reading with the set-up of the book, but for what how says.
func (b *hands) measure(id rig.ReadingID, how string) {
	b.t.Helper()
	u, err := signature.SetUpOf(b.bench.Sound, id)
	if err != nil {
		b.t.Fatal(err)
	}
	d := study.Stand{Cond: u.Conds[0].Clone(), Null: 0.08 + b.null, Lead: 0.08}
	p := d.Params()
	p["function"], p["leads"] = string(u.Function), u.A+" "+u.B
	if u.TestV > 0 {
		p["volt"] = strconv.FormatFloat(u.TestV, 'f', 0, 64)
		if b.volt > 0 {
			p["volt"] = strconv.FormatFloat(b.volt, 'f', 0, 64)
		}
	}
	switch how {
	case "~":
		p["leads"] = u.A + " " + u.A
	case "!":
		p["function"] = string(signature.Volts)
		delete(p, "volt")
	}
	b.add("study/bench", "measure", p)
}

// stand is a move after which the rig stands so.
func (b *hands) stand(what, list string) {
	d := study.Stand{Cond: wiring.Condition{}.Clone(), Null: 0.08, Lead: 0.08}
	for _, w := range strings.Split(list, ",") {
		x, y, _ := strings.Cut(w, "=")
		switch what {
		case "lift":
			d.Cond.Lifted[x] = x != "nothing"
		case "link":
			d.Cond.Links = append(d.Cond.Links, wiring.Link{A: x, B: y})
		case "move":
			d.Cond.Moved[x] = y
		}
	}
	b.add("study/change", "change", d.Params())
}

// What was being typed when the time ran out is on the sheet as late, for the readings that it was of; it counts for nothing,
// and what it was not of is missing.
func TestWhatWasBeingTypedIsLate(t *testing.T) {
	for _, c := range []struct{ at, raw, given string }{
		{"ring-1/ends", "0.40 0.4", "0.40|late 0.4|late |missing"},
		{"ring-1/ends", "0.40 0.40 0.65", "0.40|late 0.40|late 0.65|late"},
		{"ring-1/ends", "about", "about|late |missing |missing"},
		{"ring-1/ends/rn", "0.4", "|missing 0.4|late |missing"},
		{"ring-1/ends", "", "|missing |missing |missing"},
		{"why/ring-1/ends", "0.40", "|missing |missing |missing"},
	} {
		e := load(t, "ring-dead")
		b := newMoves(t, e, nil)
		b.lines[0].Header.Fields["setting"] = string(paper.HoldPoints)
		b.late = true
		b.add(c.at, c.raw, nil)
		b.lines[1].Said.Type = journal.TypeTime
		r := NewPlan(e.Content).Marker(&seal.Key{}).Mark(b.lines)
		for _, part := range []paper.Part{paper.Reading, paper.Record} {
			p := partOf(t, r, "ends", part)
			var got []string
			for _, it := range p.Items {
				got = append(got, it.Given+"|"+it.Why)
			}
			if strings.Join(got, " ") != c.given || p.ByRule != 0 || !r.Late {
				t.Errorf("%s %q, %s: %v, %d, late %v", c.at, c.raw, part, got, p.ByRule, r.Late)
			}
		}
		if it := partOf(t, r, "ends", paper.Interpretation).Items[1]; c.at == "why/ring-1/ends" && it.Why != "late" {
			t.Errorf("half a reason: %+v", it)
		}
	}
}

// Where the leads were right and the connection was not, the sheet names what stood otherwise: without it nobody could see from
// the sheet why a mark is missing.
func TestTheSheetNamesWhatStoodOtherwise(t *testing.T) {
	e := load(t, "ring-dead")
	b := newMoves(t, e, nil)
	id := b.rig["ring-1/insulation/L-N"]
	b.measure(id, "")
	params := b.lines[len(b.lines)-1].Gave.Params
	params["in"] = "ring-1/s3/load"
	delete(params, "lifted")
	for _, p := range []string{"L-E", "N-E"} {
		b.measure(b.rig["ring-1/insulation/"+p], "")
	}
	b.add("ring-1/insulation", ">299", nil)
	for _, it := range partOf(t, NewPlan(e.Content).Marker(&seal.Key{}).Mark(b.lines), "insulation", paper.Connection).Items {
		want := it.ID == "leads/ring-1/insulation/L-N"
		for _, text := range []string{"plugged in: ring-1/s3/load", "not out: ring-1/leg1/N ring-1/leg2/N"} {
			if strings.Contains(it.Given, text) != want {
				t.Errorf("%s: %q", it.ID, it.Given)
			}
		}
		if it.Right == want {
			t.Errorf("%+v", it)
		}
	}
}
