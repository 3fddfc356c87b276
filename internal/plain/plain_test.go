package plain

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// hostile are names as somebody might give them to harm whoever looks at them.
// TestPaintedKeepsColours: what the program paints itself comes through, what a file put beside it does not.
func TestPaintedKeepsColours(t *testing.T) {
	if got, want := Painted("\x1b[33;1mrig \x1b[2J\x1b[0m\x1b]0;x\a"), "\x1b[33;1mrig \ufffd[2J\x1b[0m\ufffd]0;x\ufffd"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

var hostile = []string{"", "0.42", "\x1b[2J\x1b]0;x\a", "\u009b31m", "a\u202eb\u2066c", "\x9b2J", "a\r\nb", "\ufeff\u061c\u200e\u2028", "=1+1", "a;=1", "＝1", "\t@a", " -1", "\"=1", "漢字 Ω"}

// TestActiveAgainstUnicode holds the list against the Unicode tables of the language, which were made by others.
func TestActiveAgainstUnicode(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		acts := unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || unicode.In(r, unicode.Zl, unicode.Zp) || r == 0xfeff
		if Active(r) != acts {
			t.Errorf("%U: %v, by the tables %v", r, Active(r), acts)
		}
	}
}

func acting(s string, but string) string {
	for _, r := range s {
		if Active(r) && !strings.ContainsRune(but, r) {
			return fmt.Sprintf("%U", r)
		}
	}
	if !utf8.ValidString(s) {
		return "invalid UTF-8"
	}
	return ""
}

func FuzzPlain(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if bad := acting(Line(s), ""); bad != "" {
			t.Errorf("a line keeps %s", bad)
		}
		if bad := acting(Text(s), "\n\t"); bad != "" {
			t.Errorf("a text keeps %s", bad)
		}
		if bad := acting(sgr.ReplaceAllString(Painted(s), ""), "\n\t"); bad != "" {
			t.Errorf("%q painted keeps %s", s, bad)
		}
		if c := Cell(s); acting(c, "") != "" || c != "" && Formula([]rune(c)[0]) {
			t.Errorf("%q as a cell is %q", s, c)
		}
		var w bytes.Buffer
		if n, err := fmt.Fprintf(Writer(&w), "<%s>", s); err != nil || n != len(s)+2 || w.String() != "<"+Text(s)+">" {
			t.Errorf("%q written is %q (%d, %v)", s, w.String(), n, err)
		}
		var js bytes.Buffer
		if err := json.NewEncoder(JSONWriter(&js)).Encode(s); err != nil {
			t.Fatal(err)
		}
		var back string
		if err := json.Unmarshal(js.Bytes(), &back); err != nil || back != strings.ToValidUTF8(s, "\ufffd") && utf8.ValidString(s) {
			t.Errorf("%q came back from JSON as %q, %v", s, back, err)
		}
		if bad := acting(js.String(), "\n"); bad != "" {
			t.Errorf("JSON keeps %s", bad)
		}
	})
}
