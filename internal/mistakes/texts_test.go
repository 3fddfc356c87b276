package mistakes_test

import (
	"regexp"
	"testing"

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
