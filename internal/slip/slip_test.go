package slip

import (
	"strings"
	"testing"
)

// The first three are the usual textbook pairs; the others follow from the definition.
func TestChanges(t *testing.T) {
	for _, c := range []struct {
		a, b string
		n    int
	}{
		{"kitten", "sitting", 3}, {"flaw", "lawn", 2}, {"ca", "abc", 3}, // the restricted distance; the full one is 2
		{"", "", 0}, {"abc", "", 3}, {"", "abc", 3}, {"same", "same", 0}, {"list", "lits", 1}, {"ring", "rign", 1}, {"Ω", "", 1}, {"ab", "ba", 1},
	} {
		if got := Changes(c.a, c.b); got != c.n {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.n)
		}
	}
	long := strings.Repeat("a", 64)
	if got := Changes(long, long[1:]); got != 1 {
		t.Errorf("64 letters: %d", got)
	}
	if got := Changes(long+"a", long); got != 65 {
		t.Errorf("65 letters are compared: %d", got)
	}
}

func TestNearest(t *testing.T) {
	names := []string{"list", "lint", "practise", "ze", "zs"}
	for word, want := range map[string]string{
		"LITS": "list", "lit": "list", // lint is as near: the first
		"practice": "practise", "prctice": "practise", "prctic": "", // two changes in seven letters, three in six
		"z": "ze", "zzz": "", "xyz": "", "": "",
	} {
		if got := Nearest(word, names); got != want {
			t.Errorf("%q: %q, want %q", word, got, want)
		}
	}
	if got := Nearest("list", nil); got != "" {
		t.Errorf("of nothing: %q", got)
	}
}
