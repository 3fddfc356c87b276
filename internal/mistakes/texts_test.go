package mistakes_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/words"
)

var (
	sentences = regexp.MustCompile(`[.?!](?:\s|$)`)
	unfilled  = regexp.MustCompile(`[{}\[\]]|NaN|Inf|  `)
	accuses   = regexp.MustCompile(`(?i)\b(safe|compliant|certified|your (mistake|fault)|you (forgot|failed|should have)|careless)\b`)
)

// said holds one explanation against what every explanation keeps to: at most so many sentences, filled in, nobody
// accused.
func said(t *testing.T, what, text string, most int) {
	t.Helper()
	if n := len(sentences.FindAllString(text, -1)); n > most {
		t.Errorf("%s: %d sentences, at most %d: %s", what, n, most, text)
	}
	for _, bad := range []*regexp.Regexp{unfilled, accuses} {
		if x := bad.FindString(text); x != "" {
			t.Errorf("%s says %q: %s", what, x, text)
		}
	}
}

func english(t *testing.T) *words.Catalogue {
	t.Helper()
	cat, err := words.Load(library(t), "en")
	if err != nil {
		t.Fatal(err)
	}
	return cat
}

// TestMistakesAreSaidInThreeSentences renders every mistake as a session says it, alone and with others beside it, and
// what else looks the same.
func TestMistakesAreSaidInThreeSentences(t *testing.T) {
	cat, b := english(t), book(t)
	for _, m := range b.All {
		text := cat.Text("often.mistake", map[string]string{"mistakes": m.Title, "do": m.Do})
		if m.Innocent != "" {
			said(t, m.ID+" innocent", cat.Text("often.innocent", map[string]string{"causes": m.Innocent}), 1)
		}
		if m.Shows() {
			said(t, m.ID, text, 3)
		}
		if m.Do == "" {
			t.Errorf("%s names no next action", m.ID)
		}
		said(t, m.ID+" why", m.Why, 3)
		said(t, m.ID+" looks", m.Looks, 3)
	}
}

// TestVerdictsAreSaidInThreeSentences plants every kind of fault on every circuit it makes sense on, takes all readings,
// and renders each verdict: its reasons and the next action together are at most three sentences, and a verdict that is no
// pass names one. Without WANDERLEAD_LONG a quarter of them on two rigs.
func TestVerdictsAreSaidInThreeSentences(t *testing.T) {
	cat, rigs := english(t), []string{"reference", "slip-outbuilding"}
	if os.Getenv("WANDERLEAD_LONG") != "" {
		rigs = append(rigs, "training-bay", "rigging-store", "winch-workshop")
	}
	long := len(rigs) > 2
	rendered, ids, worst := 0, map[string]bool{}, 0
	for _, name := range rigs {
		kit := scene{}.kit(t, library(t), "whole-board-full", name)
		for _, c := range kit.Rig.Circuits {
			alone := scene{circuits: []string{c.ID}}.kit(t, library(t), "whole-board-full", name).Rig
			for i, k := range faults.Kinds() {
				if !long && i%4 != len(c.ID)%4 {
					continue
				}
				if len(k.Shapes) > 0 && faults.Fits(kit.Rig, c.ID, k.ID) != nil || len(k.Shapes) == 0 && faults.Fits(kit.Rig, "", k.ID) != nil {
					continue
				}
				s := scene{rig: name, circuits: []string{c.ID}, faults: []string{k.ID + "?circuit=" + c.ID}, each: func(j coach.Judged) {
					if j.Verdict == nil {
						return
					}
					rendered++
					n := verdictSaid(t, k.ID, cat, j, ids)
					worst = max(worst, n)
				}}
				if faults.Fits(alone, c.ID, k.ID) != nil { // it needs a circuit beside
					s.circuits = nil
				}
				if len(k.Shapes) == 0 {
					s.faults = []string{k.ID}
				}
				s.view(t)
			}
		}
	}
	t.Logf("%d verdicts by %d reasons and next steps, the longest %d sentences with its next action", rendered, len(ids), worst)
	if rendered < 500 {
		t.Errorf("only %d verdicts", rendered)
	}
}

func verdictSaid(t *testing.T, kind string, cat *words.Catalogue, j coach.Judged, ids map[string]bool) int {
	t.Helper()
	v := j.Verdict
	var all []string
	for _, list := range [][]judge.Reason{v.Reasons, v.Next} {
		for _, r := range list {
			ids[r.ID] = true
			text, err := cat.Fill(r.ID, r.Params)
			if err != nil && r.Params["because"] == "" {
				t.Errorf("%s, %s: %v", kind, j.Part, err)
			}
			all = append(all, text)
		}
	}
	if len(v.Reasons) == 0 {
		t.Errorf("%s, %s: a verdict without a reason", kind, j.Part)
	}
	if v.Verdict != judge.Pass && len(v.Next) == 0 {
		t.Errorf("%s, %s: no next action: %s", kind, j.Part, strings.Join(all, " "))
	}
	whole := strings.Join(all, " ")
	said(t, kind+" "+j.Part, whole, 3)
	half := strings.Contains(j.Part, "/half-") // there the current counts, and no time is judged
	if !half && v.Value.IsNumber() && v.Unit.String() != "" && !strings.Contains(whole, v.Unit.String()) {
		t.Errorf("%s, %s: no %s in: %s", kind, j.Part, v.Unit, whole)
	}
	return len(sentences.FindAllString(whole, -1))
}
