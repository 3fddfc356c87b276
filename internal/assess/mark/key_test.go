package mark

import (
	"os"
	"slices"
	"sort"
	"testing"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/sequences"
)

// loaded are the papers read so far: they are read once for all cases.
var loaded = map[string]*exam.Exam{}

// load gives a paper whose tasks may be changed.
func load(t testing.TB, name string) *exam.Exam {
	t.Helper()
	if e := loaded[name]; e != nil {
		mine, p := *e, *e.Paper
		p.Tasks = slices.Clone(p.Tasks)
		mine.Paper = &p
		return &mine
	}
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	e, err := exam.Load(lib, name)
	if err != nil {
		t.Fatal(err)
	}
	loaded[name] = e
	return load(t, name)
}

// open reads a map with the author's own keys.
func open(m content.Map, k string, put func(key string, m content.Map)) {
	if m.Has(k) {
		om := m.Opt(k).OpenMap(k)
		for _, key := range om.Keys() {
			put(key, om)
		}
	}
}

// Marks agree with a key worked by hand: testdata/exam/key.yaml holds at least thirty
// constructed answers for every part, each with its working.
func TestMarksAgreeWithTheHandWorkedKey(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/exam/key.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r := content.NewReader("key.yaml", data)
	m := r.Root().Map("key", "reference", "cases")
	k := &seal.Key{}
	open(m, "reference", func(id string, m content.Map) {
		k.Answers = append(k.Answers, seal.Answer{ID: id, Raw: m.Str(id), Sound: m.Str(id)})
	})
	counts := map[paper.Part]int{}
	for _, v := range m.List("cases") {
		cm := v.Map("case", "part", "task", "mark", "say", "observe", "correct", "wait", "each", "of", "reference", "working")
		part, task := paper.Part(cm.Name("part")), cm.Name("task")
		counts[part]++
		e := load(t, "ring-dead")
		for i := range e.Paper.Tasks {
			if of := cm.OptInt("of", 0); of > 0 && e.Paper.Tasks[i].ID == task {
				e.Paper.Tasks[i].Marks = paper.Marks{part: of}
			}
		}
		mine := *k
		mine.Answers = slices.Clone(k.Answers)
		open(cm, "reference", func(id string, m content.Map) {
			for i := range mine.Answers {
				if mine.Answers[i].ID == id {
					mine.Answers[i].Raw = m.Str(id)
				}
			}
		})
		p := partOf(t, mark(t, e, &mine, candidate(cm)), task, part)
		if p == nil {
			t.Errorf("%s of %s is not marked", part, task)
			continue
		}
		if want := cm.Int("mark"); p.ByRule != want {
			_, line, _ := v.Pos()
			t.Errorf("key.yaml:%d: %s of %s: %d, and by hand %d: %s\n%+v", line, part, task, p.ByRule, want, cm.Name("working"), p.Items)
		}
		cm.Name("working")
	}
	if err := r.Err(); err != nil {
		t.Fatal(err)
	}
	for _, p := range paper.Parts {
		if p == paper.Order {
			continue // only alone, see alone.yaml
		}
		if counts[p] < 30 {
			t.Errorf("%s has %d constructed answers", p, counts[p])
		}
	}
}

// candidate makes of a case what somebody says and does.
func candidate(cm content.Map) play.Candidate {
	c := play.Candidate{Code: "c0de", Say: map[string][]string{}, Observe: map[string]string{}, Wait: map[string]int{}, After: map[string][]journal.Event{}, Seconds: 5}
	open(cm, "say", func(id string, m content.Map) { c.Say[id] = m.Strs(id) })
	open(cm, "observe", func(id string, m content.Map) { c.Observe[id] = m.Name(id) })
	open(cm, "wait", func(id string, m content.Map) { c.Wait[id] = m.Int(id) })
	open(cm, "each", func(id string, m content.Map) { c.Each = append(c.Each, [2]string{id, m.Name(id)}) })
	var ids []string
	values := map[string]string{}
	open(cm, "correct", func(id string, m content.Map) {
		ids = append(ids, id)
		values[id] = m.Name(id)
	})
	sort.Strings(ids)
	for _, id := range ids {
		step := id[:len(id)-1-len(lastPart(id))]
		// After the statement, when the whole row has been entered.
		c.After["state/"+step] = append(c.After["state/"+step], journal.Event{Type: journal.TypeCorrect, At: id, Raw: values[id]})
	}
	return c
}

func lastPart(id string) string {
	for i := len(id) - 1; i >= 0; i-- {
		if id[i] == '/' {
			return id[i+1:]
		}
	}
	return id
}

func mark(t testing.TB, e *exam.Exam, k *seal.Key, c play.Candidate) *Result {
	t.Helper()
	h, err := e.Header()
	if err != nil {
		t.Fatal(err)
	}
	play.Fields(&h, "C-01", paper.Observed, e.Paper.Minutes, 0)
	c.Key = k
	lines, _, err := play.Lines(h, sitting.New(e.Setup(&h)), c)
	if err != nil {
		t.Fatal(err)
	}
	return NewPlan(e.Content).Marker(k).Mark(lines)
}

func partOf(t testing.TB, r *Result, task string, part paper.Part) *PartMark {
	t.Helper()
	for i := range r.Tasks {
		for j := range r.Tasks[i].Parts {
			if p := &r.Tasks[i].Parts[j]; r.Tasks[i].Task == task && p.Part == part {
				return p
			}
		}
	}
	return nil
}
