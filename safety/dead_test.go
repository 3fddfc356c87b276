package safety

import (
	"strings"
	"testing"
)

// A line counts as a proof only when every pair is there with nothing shown; whatever
// else is wrong with it, a voltage in it is heard.
func TestParsePairs(t *testing.T) {
	tests := []struct {
		line   string
		phases int
		points int
		live   bool   // some voltage is reported
		reason string // of the error, empty: a proof
	}{
		{"L-N 0, L-E 0, N-E 0", 1, 1, false, ""},
		{"n-e nothing; l-n 0 V; e-l none", 1, 1, false, ""},
		{"L-N 0 volts L-E 0v N-E zero", 1, 1, false, ""},
		{"L-N 0, L-E 0, N-E 0", 1, 0, false, ""},
		{"L-N 0, L-E 0, N-E 0, points 8", 1, 8, false, ""},
		{"L-N 0, L-E 0, N-E 0", 1, 8, false, "points"},
		{"L-N 0, L-E 0, N-E 0, points 7", 1, 8, false, "points"},
		{"L-N 0, L-E 0, N-E 0, points 3", 1, 1, false, "points"},
		{"L-N 0, L-E 0, N-E 0, points 0", 1, 1, false, "points"},
		{"L-N 0, L-E 0, N-E 0, points 1", 1, 1, false, ""},
		{"L-N 0, L-E 0, N-E 0, points 8, points 3", 1, 3, false, "points"},
		{"L-N 0, L-E 0, N-E 0, points", 1, 1, false, "points"},
		{"L-N 0, L-E 0", 1, 1, false, "missing"},
		{"L-N 0, L-E 0, N-E", 1, 1, false, "no-value"},
		{"L-N 0, L-N 0, L-E 0, N-E 0", 1, 1, false, "twice"},
		{"y", 1, 1, false, "unknown-pair"},
		{"", 1, 1, false, "missing"},
		{"L-N ok, L-E ok, N-E ok", 1, 1, false, "no-value"},
		{"L-N 230, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N 230 volts, L-E 230 volts, N-E 0, points 8", 1, 8, true, ""},
		{"L-N 0, L-E 0, N-E 0, points 231 V", 1, 8, true, "unknown-pair"}, // a voltage said of the points
		{"L-N 0, L-E 0, N-E 0, points lamp 50", 1, 8, true, "unknown-pair"},
		{"L-N 0, L-E 0, N-E 0, points 8 lit", 1, 8, true, "unknown-pair"},
		{"L-N 0, L-E 0, N-E 0, points 8 0", 1, 8, false, "unknown-pair"},
		{"points 8 L-N 0 L-E 0 N-E 0", 1, 8, false, ""},
		{"L-N lit, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N live L-E 0 N-E 0", 1, 1, true, ""},
		{"L-N 230VAC, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N >50, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N ~5, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N -12, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N lamp 50, L-E 0, N-E 0", 1, 1, true, ""},
		{"L-N 0, L-N 230, L-E 0, N-E 0", 1, 1, true, "twice"},
		{"L-N 0 L-E 0 N-E 0 L-Q 230", 1, 1, true, ""},
		{"230", 1, 1, true, "unknown-pair"},
		{"L1-N 0 L2-N 0 L3-N 0 L1-E 0 L2-E 0 L3-E 0 N-E 0 L1-L2 0 L1-L3 0 L2-L3 0", 3, 1, false, ""},
		{"L1-N 0 L2-N 0 L3-N 0 L1-E 0 L2-E 0 L3-E 0 N-E 0 L1-L2 0 L1-L3 0", 3, 1, false, "missing"},
	}
	for _, tt := range tests {
		shown, err := ParsePairs(tt.line, tt.phases, tt.points)
		live := false
		for _, s := range shown {
			live = live || !s.Dead
		}
		reason := ""
		if err != nil {
			reason = err.Reason
		}
		if live != tt.live || !live && reason != tt.reason || live && tt.reason != "" && reason != tt.reason {
			t.Errorf("%q: live %v, reason %q; want live %v, reason %q", tt.line, live, reason, tt.live, tt.reason)
		}
	}
}

func FuzzParsePairs(f *testing.F) {
	f.Add("L-N 0, L-E 0, N-E 0, points 3", 1, 3)
	f.Add("L-N 230", 1, 1)
	f.Add("points points 0 0 L1-L2", 3, 2)
	f.Fuzz(func(t *testing.T, line string, phases, points int) {
		shown, err := ParsePairs(line, phases, points)
		if err != nil {
			return
		}
		allDead := true
		for _, s := range shown {
			allDead = allDead && s.Dead
		}
		if allDead && strings.Contains(line, "230") && points != 230 && !strings.Contains(strings.ToUpper(line), "POINT") {
			t.Errorf("%q taken as dead", line)
		}
		if len(shown) != len(DeadPairs(phases)) && allDead {
			t.Errorf("%q: a proof with %d pairs", line, len(shown))
		}
	})
}
