package safety

import (
	"fmt"
	"strings"
	"testing"
)

// What an indicator shows, word by word. Only nothing at all is dead (HSG85: proved dead is
// proved, not supposed); a number, a lamp or a tone is voltage; anything else says nothing.
func TestReadsDead(t *testing.T) {
	for want, values := range map[string][]string{
		"dead": {"nothing", "none", "no lamp", "no light", "zero", "0", "0 v", "0v", "0 volts", "0 volt", "0.0", "0.00 v", "0 vac", "0 ac", "0 v~", "-0"},
		"live": {"lamp", "lamps", "lit", "live", "on", "glow", "glows", "buzz", "buzzes", "bleep", "beep", "tone", "light", "lamp 50", "0 lamp", "0 v lit",
			"230", "230 v", "12v", "<5", ">50", "~5", "≈7", "+3", "-12", "0.5", "1e3", "abc7", "0 230"},
		"says nothing": {"", "ok", "?", "dark", "v", "volts ac", "0 ok", "ok 0", "0 ?", "none 0"},
	} {
		for _, v := range values {
			dead, clear := readsDead(v)
			got := map[[2]bool]string{{true, true}: "dead", {false, true}: "live", {false, false}: "says nothing"}[[2]bool{dead, clear}]
			if got != want {
				t.Errorf("%q: %q (%v, %v), want %q", v, got, dead, clear, want)
			}
		}
	}
}

// What is heard of a line, and what is wrong with it, in full.
func TestPairsInFull(t *testing.T) {
	for _, x := range []struct{ line, shown, wrong string }{
		{"L-N=0 L-E:0\tN-E 0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", ""},
		{"L-N=0;L-E=0;N-E=0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", ""},
		{"L-N: 0, L-E: 0 v, N-E: nothing", "L-N 0 dead, L-E 0 v dead, N-E nothing dead", ""},
		{"L-Q L-N 0, L-E 0, N-E 0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", "unknown-pair L-Q"},
		{"L-Q 0, L-N 0, L-E 0, N-E 0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", "unknown-pair L-Q"},
		{"A-B 230, L-N 0, L-E 0, N-E 0", " a-b 230 live, L-N 0 dead, L-E 0 dead, N-E 0 dead", "unknown-pair A-B"},
		{"L-N L-E 0, N-E 0", "L-E 0 dead, N-E 0 dead", "no-value L-N"},
		{"L-N 0, L-N 0, L-E 0, N-E 0", "L-N 0 dead, L-N 0 dead, L-E 0 dead, N-E 0 dead", "twice L-N"},
		{"L-N 0, L-N ok, L-E 0, N-E 0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", "twice L-N"},
		{"L-N ok, L-E 0, N-E 0", "L-E 0 dead, N-E 0 dead", "no-value L-N"},
		{"L-N 0", "L-N 0 dead", "missing L-E N-E"},
		{"L-N 0, L-E 0, N-E 0, point 1", "L-N 0 dead, L-E 0 dead, N-E 0 dead", ""},
		{"points 1 L-N 0, L-E 0, N-E 0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", ""},
		{"L-N 0, L-E 0, N-E 0, points 4", "L-N 0 dead, L-E 0 dead, N-E 0 dead", "points 4 of 1"},
		{"L-N 0, L-E 0, N-E 0, points 8, points 1", "L-N 0 dead, L-E 0 dead, N-E 0 dead", "points 0 of 1"},
		{"L-N 0, L-E 0, N-E 0, points", "L-N 0 dead, L-E 0 dead, N-E 0 dead", "points 0 of 1"},
		{"L-N 0, L-E 0, points 1 N-E 0", "L-N 0 dead, L-E 0 dead, N-E 0 dead", ""},
	} {
		shown, err := ParsePairs(x.line, 1, 1)
		var got []string
		for _, s := range shown {
			got = append(got, s.Pair+" "+s.Raw+map[bool]string{true: " dead", false: " live"}[s.Dead])
		}
		wrong := ""
		if err != nil {
			wrong = strings.TrimSpace(err.Reason + " " + strings.Join(err.Pairs, " "))
			if err.Reason == "points" {
				wrong = fmt.Sprintf("points %d of %d", err.Counted, err.Wanted)
			}
		}
		if strings.Join(got, ", ") != x.shown || wrong != x.wrong {
			t.Errorf("%q:\n got %q, %q\nwant %q, %q", x.line, strings.Join(got, ", "), wrong, x.shown, x.wrong)
		}
	}
}
