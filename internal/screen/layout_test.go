package screen

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text string
		w    int
		want string
	}{
		{"one two three", 7, "one two|three"},
		{"it read 0.40 Ω here", 12, "it read|0.40 Ω here"},
		{"at most 1.0925 Ω.", 14, "at most|1.0925 Ω."},
		{"unbreakableword x", 5, "unbreakableword|x"},
		{"", 10, ""},
	} {
		if got := strings.Join(wrap(c.text, c.w), "|"); got != c.want {
			t.Errorf("wrap(%q, %d) = %q, should be %q", c.text, c.w, got, c.want)
		}
	}
}

// Whatever is wrapped keeps its words, in order, and fits unless a word cannot.
func TestWrapKeepsWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOf(rapid.StringMatching(`[a-zA-Z0-9.Ω²>-]{1,12}`)).Draw(t, "words")
		w := rapid.IntRange(20, 60).Draw(t, "w")
		text := strings.Join(words, " ")
		lines := wrap(text, w)
		if got := strings.Join(strings.Fields(strings.Join(lines, " ")), " "); got != text {
			t.Fatalf("got %q from %q", got, text)
		}
		for _, l := range lines {
			if width(l) > w && len(glue(strings.Fields(l))) > 1 {
				t.Fatalf("%q is wider than %d", l, w)
			}
		}
	})
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"a\x1b[31mb":         "a[31mb",
		"two\nlines\tand\r":  "two lines and",
		"right\u202eto left": "rightto left",
		"  0.40   Ω ":        "0.40 Ω",
		"\x00\x07bell":       "bell",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, should be %q", in, got, want)
		}
	}
}

func TestSplit(t *testing.T) {
	for _, c := range []struct{ in, do, ask string }{
		{"Look. What is it?", "Look.", "What is it?"},
		{"What is it?", "", "What is it?"},
		{"Read 0.40 of it?", "", "Read 0.40 of it?"},
		{"Do this.", "Do this.", ""},
		{"One? Two. Three?", "One? Two.", "Three?"},
		{"", "", ""},
	} {
		if do, ask := split(c.in); do != c.do || ask != c.ask {
			t.Errorf("split(%q) = %q, %q", c.in, do, ask)
		}
	}
}
