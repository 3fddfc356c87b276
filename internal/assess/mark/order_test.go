package mark

import (
	"fmt"
	"testing"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
)

// What a setting cannot show is said on the sheet, and nobody has a mark for it: order on a rig, where the sequence gives it,
// inspection at the bench, and inspection that is no task of the paper.
func TestWhatCouldNotBeAssessed(t *testing.T) {
	for _, c := range []struct {
		paper   string
		setting paper.Setting
		want    string
	}{
		{"ring-dead", paper.Observed, "[{order sequence}]"},
		{"ring-dead", paper.HoldPoints, "[{order sequence}]"},
		{"ring-dead", paper.Alone, "[]"},
		{"radial-insulation", paper.Observed, "[]"}, // order is worth nothing there
		{"store-board", paper.HoldPoints, "[{order sequence} {inspection paper}]"},
		{"store-board", paper.Alone, "[{inspection bench}]"},
		{"store-look", paper.Observed, "[]"},
	} {
		if got := fmt.Sprint(NewPlan(load(t, c.paper).Content).notMarked(c.setting)); got != c.want {
			t.Errorf("%s, %s: %s, not %s", c.paper, c.setting, got, c.want)
		}
	}
	e := load(t, "ring-dead")
	b := newMoves(t, e, map[string][]string{"ends": {"ring-1/ends", "0.40 0.40 0.65", "r1", "rn", "r2"}, "ir": {"ring-1/insulation", ">299", "L-N", "L-E", "N-E"}})
	b.do("ir=")
	b.do("ends=")
	b.lines[0].Header.Fields["setting"] = string(paper.Observed)
	for _, task := range NewPlan(e.Content).Marker(&seal.Key{}).Mark(b.lines).Tasks {
		for _, p := range task.Parts {
			if p.Part == paper.Order {
				t.Errorf("%s has %d marks of order on a rig", task.Task, p.Of)
			}
		}
	}
}
