package faultfind

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

func speaker(t *testing.T, m *Model) *Speaker {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	return &Speaker{cat, m}
}

var (
	sentenceEnd = regexp.MustCompile(`[.!?](\s|$)`)
	// neverSaid are words that say more than a reading shows, blame somebody, or propose another device.
	neverSaid = regexp.MustCompile(`(?i)\b(safe|compliant|certif\w*|guarantee\w*|you (did|have|must have)|your (mistake|fault)|replace|fit a|careless|wrongly)\b`)
	unfilled  = regexp.MustCompile(`[{}\[\]@]|\blocate\.|NaN|Inf|  `)
)

func checkText(t *testing.T, what, text string) {
	t.Helper()
	if n := len(sentenceEnd.FindAllString(text, -1)); n < 1 || n > 3 {
		t.Errorf("%s: %d sentences: %s", what, n, text)
	}
	if bad := unfilled.FindString(text); bad != "" {
		t.Errorf("%s: %q in: %s", what, bad, text)
	}
	if bad := neverSaid.FindString(text); bad != "" {
		t.Errorf("%s: %q is said in: %s", what, bad, text)
	}
}

var (
	ofConductors = regexp.MustCompile(`(?i)\b(line|neutral|cpc|cable|conductors?|earth\w*|electrode|RCD|device|switch)\b`)
	withUnit     = regexp.MustCompile(`\d ?(k|M|m)?(Ω|V|A|s|m)\b|\d ?(k|M)?Ω|>\d+ MΩ`)
	// toDo begins what is to be done, at the end of every answer.
	toDo = regexp.MustCompile(`(Put that right|Null the leads|look at the connections|part it in the middle|follow that conductor|read the size|count the cables|have it taken out|repeat the RCD tests|Read type and rating|Keep the circuit off|tell the supervisor|go on with the readings)`)
)

// checkNames holds an answer against what each has to name: conductors, the place where it has one, its size where it has
// one, numbers with their units where readings are given for it, and what to do.
func checkNames(t *testing.T, a *Answer, text string) {
	t.Helper()
	c := a.Causes[0]
	if c.Kind != None && !ofConductors.MatchString(text) {
		t.Errorf("%s: no conductors in: %s", c.Kind, text)
	}
	for _, place := range []string{c.Point, c.From, c.To} {
		if place != "" && !strings.Contains(text, place) {
			t.Errorf("%s: %s is not in: %s", c.Kind, place, text)
		}
	}
	if size := amount(c.Size, c.Unit); size != "" && !strings.Contains(text, size) {
		t.Errorf("%s: %s is not in: %s", c.Kind, size, text)
	}
	numbers := slices.ContainsFunc(a.Evidence[:min(2, len(a.Evidence))], func(e Evidence) bool { return !nothing(e.Sound) })
	if numbers && c.Kind != None && !withUnit.MatchString(text) {
		t.Errorf("%s: no number with its unit in: %s", c.Kind, text)
	}
	if !toDo.MatchString(text) {
		t.Errorf("%s: nothing to do in: %s", c.Kind, text)
	}
}

// TestExplanations: what is said about every fault at every place, alone, with leads not nulled, as a pair and as what
// comes nearest, and about every measurement, is at most three sentences, is filled in, and says nothing that a reading
// cannot show.
func TestExplanations(t *testing.T) {
	cat := speaker(t, nil).Cat
	for _, k := range faults.Kinds() {
		for _, id := range []string{"locate.kind." + k.ID, "locate.name." + k.ID} {
			if k.ID != "F08b" && !cat.Has(id) { // F08b is F08 with a looser joint
				t.Errorf("sequences/words/en/locate.yaml has no text %s", id)
			}
		}
	}
	if t.Failed() {
		return // or each of them is missed in a thousand sentences
	}
	kinds := map[string]bool{}
	for _, rigName := range []string{"reference", "training-bay", "slip-outbuilding", "winch-workshop"} {
		whole := builtin(t, rigName)
		for _, c := range whole.Circuits {
			m, err := New(whole, copper(t), c.ID, nil)
			if err != nil {
				t.Fatal(err)
			}
			s := speaker(t, m)
			var seen []observed
			for _, f := range m.forms {
				kinds[f.Kind] = true
				p := pick{f, 0}
				if len(f.sizes) > 0 {
					p.size = sizesOf[f.Kind].usual
				}
				pred := m.predict(nil, false, p)
				seen = seen[:0]
				for i, x := range m.Measures {
					if !x.Extra {
						seen = append(seen, observed{i, pred[i]})
					}
				}
				a := Answer{Causes: []Cause{causeOf(p)}, Share: 0.5, Sure: Likely, Fits: true, Evidence: m.evidence(pred, seen), innocent: f.innocent}
				checkText(t, f.Kind, s.Explain(&a, true, 3))
				checkNames(t, &a, s.Explain(&a, true, 3))
				b := a
				if b.Untested = true; !strings.Contains(s.Explain(&b, false, 3), "neither shown nor excluded") {
					t.Errorf("%s: what no reading bears on is not said so: %s", f.Kind, s.Explain(&b, false, 3))
				}
				if f.innocent || !neverEnergise[f.Kind] {
					if strings.Contains(s.Explain(&a, true, 3), "not made live") {
						t.Errorf("%s is said to be never energised", f.Kind)
					}
				} else if !strings.Contains(s.Explain(&a, true, 3), "not made live") {
					t.Errorf("%s: nothing about leaving it off", f.Kind)
				}
				leads, second := 0.31, causeOf(pick{m.forms[len(m.forms)-1], 0})
				a.LeadsOhm, a.Second, a.Fits, a.Share = &leads, &second, false, 0.001
				checkText(t, f.Kind+" with more", s.Explain(&a, true, 3))
			}
			for _, x := range m.Measures {
				n := &Next{Measure: x, Before: 5, After: 2, Splits: []Split{
					{Low: 0.2, High: 0.3, Causes: []Cause{m.forms[0].Cause, {Kind: LoadIn, Size: 30, Unit: "Ω"}}}, {Low: math.Inf(1), High: math.Inf(1), Causes: []Cause{{Kind: "F20", From: "l1", To: "l2"}}}}}
				checkText(t, x.ID, s.Next(n))
			}
		}
	}
	for _, k := range []string{"F01", "F12", "F21", "F33", "F38", "F46"} {
		if !kinds[k] {
			t.Errorf("%s was not explained", k)
		}
	}
}

// TestAnswersName: an answer names place, conductors and kind, in the words of the trade.
func TestAnswersName(t *testing.T) {
	m := model(t, "ring")
	s := speaker(t, m)
	for _, c := range []struct {
		cause Cause
		want  []string
	}{
		{Cause{Kind: "F05", From: "s4", To: "s5", Size: 1, Unit: "Ω"}, []string{"line", "between s4 and s5", "1.0 Ω"}},
		{Cause{Kind: "F06", From: "", To: "s1", Size: 0.72, Unit: "Ω"}, []string{"the board and s1", "0.72 Ω"}},
		{Cause{Kind: "F26", Point: "s4"}, []string{"neutral and cpc", "s4", "shorted"}},
		{Cause{Kind: "F23", Point: "s2", Pair: "N-E", Size: 530e3, Unit: "Ω"}, []string{"neutral and cpc", "s2", "530 kΩ"}},
		{Cause{Kind: "F09", Point: "s4", Size: 8.1, Unit: "m"}, []string{"s4", "8.1 m"}},
	} {
		got := s.What(c.cause, []Cause{c.cause})
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q is not in %q", c.cause.Kind, w, got)
			}
		}
	}
}
