//go:build linux || darwin

package prompt

import (
	"errors"
	"os"
	"testing"
	"time"

	"wanderlead/internal/ptytest"
)

// What a line holds follows from its keys, as the screen shows it: the rows are those of a line editor with one line.
func TestTypedLine(t *testing.T) {
	for keys, want := range map[string]string{
		"0.35":                  "0.35",
		"0.36\x7f5":             "0.35",
		"\x7f\x7f0":             "0",
		"0.5\x1b[D3":            "0.35",
		"0.5\x1b[D3\x1b[C1":     "0.351",
		"35\x010.\x05 Ω":        "0.35 Ω",
		"90.35\x1b[H\x1b[3~":    "0.35",
		"0.35\x1b[3~":           "0.35",
		"0.35\x1b[C\x1b[C":      "0.35",
		"漢é\x1b[D\x7fµ":         "µé",
		"\x1b[D\x1b[D0.3":       "0.3",
		"0.\x1bx35\x1b[A\x1b[B": "0.35",
	} {
		k := fakeReader(t, keys)
		left := []time.Duration{time.Hour, time.Hour}
		k.left = func() time.Duration {
			if len(left) == 0 {
				return 0
			}
			l := left[0]
			left = left[1:]
			return l
		}
		_, err := keysOf(t, k)
		var over *timeOver
		if !errors.As(err, &over) || over.typed != want {
			t.Errorf("%q: %v, want %q", keys, err, want)
		}
	}
}

// The time runs out at each kind of question: what had been typed is handed on, half a code is not, and the terminal is as
// before. The clock is a file's.
func TestTheTimeRunsOut(t *testing.T) {
	for _, c := range []struct{ scene, wait, keys, shown, want string }{
		{"timed reading", "r1 in", "0.3", "0.3", "got 1 <0.3> <time>"},
		{"timed reading", "r1 in", "", "", "got 1 <> <time>"},
		{"timed list", "earth bar", "ear", "", "got 1 <ear> <time>"},
		{"timed list", "earth bar", ptytest.Down, "", "got 1 <> <time>"},
		{"timed gate", "key is in", "", "", "got 1 <> <time>"},
		{"timed code", "code:", "2468", "", "got 1 <> <time>"},
	} {
		t.Run(c.scene+c.keys, func(t *testing.T) {
			t.Parallel()
			file := t.TempDir() + "/over"
			p := onTerminal(t, c.scene, "PROMPT_TEST_GO="+file)
			p.Answer(c.wait, c.keys)
			if c.shown != "" {
				p.Expect(c.shown)
			}
			if err := os.WriteFile(file, nil, 0o600); err != nil {
				t.Fatal(err)
			}
			p.Expect(c.want)
			p.Exit()
			if !p.Restored() || p.CursorHidden() {
				t.Error("the terminal is not as before")
			}
		})
	}
}
