package faults

import (
	"strings"
	"testing"

	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// TestOneCableCrossedInEveryLength: line and neutral of a cable exchanged at its far point; the ring's last length, which
// ends in the board, at the point it comes from. Two conductors' ends change their terminals and nothing else does.
func TestOneCableCrossedInEveryLength(t *testing.T) {
	r := reference(t)
	c := &r.Circuits[0]
	healthy, err := Build(r, wiring.Perfect(copper))
	if err != nil {
		t.Fatal(err)
	}
	lengths := c.Lengths()
	for _, l := range lengths {
		at := l[1]
		if at == "" {
			at = lengths[len(lengths)-1][0]
		}
		b, err := Build(r, wiring.Perfect(copper), Planting{Kind: "F18", Circuit: c.ID, From: or(l[0], "board"), To: or(l[1], "board")})
		if err != nil {
			t.Errorf("%v: %v", l, err)
			continue
		}
		cable := wiring.SegmentName(c, l[0], l[1])
		for _, cores := range [][2]string{{"L", "N"}, {"N", "L"}} {
			e, ok := b.Plan.Get(cable + "/" + cores[0] + "@" + at)
			if want := c.ID + "/" + at + "/" + cores[1]; !ok || e.B != want {
				t.Errorf("%v: %s of the cable is in %s, want %s", l, cores[0], e.B, want)
			}
		}
		if n := strings.Count(difference(healthy.Plan.Text(), b.Plan.Text()), "\n"); n != 4 {
			t.Errorf("%v: %d lines differ, want two ends that go and two that come", l, n)
		}
	}
}

// TestTwinHasItsOwnRCBO: a ring with an RCBO that is joined to another ring: the other is on a device of its own, so that
// opening one leaves the other as it is.
func TestTwinHasItsOwnRCBO(t *testing.T) {
	for _, kind := range []string{"F13", "F14"} {
		r := reference(t)
		c := &r.Circuits[0]
		c.RCD = &rig.RCD{ID: "rcbo-1", IdnMA: 30, Type: "A"}
		b, err := Build(r, wiring.Perfect(copper), Planting{Kind: kind, Circuit: c.ID})
		if err != nil {
			t.Fatal(err)
		}
		poles := map[string]int{}
		for _, e := range b.Plan.Elements() {
			if e.Kind == wiring.Pole {
				poles[e.Of]++
			}
		}
		if poles["rcbo-1"] == 0 || poles["rcbo-1"] != poles["rcbo-1-twin"] {
			t.Errorf("%s: poles by device: %v", kind, poles)
		}
		if c.RCD.ID != "rcbo-1" {
			t.Errorf("%s: the ring's own RCBO became %s", kind, c.RCD.ID)
		}
	}
}
