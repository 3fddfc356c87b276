package mistakes_test

import (
	"os"
	"testing"

	"wanderlead/internal/faults"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
)

// TestNobodyAccused takes every reading rightly on sound rigs of other lengths, other numbers of sockets, with spurs,
// padding and very short cables, with an instrument within its tolerance: nothing is named, whatever the verdict.
func TestNobodyAccused(t *testing.T) {
	runs := 60
	if os.Getenv("WANDERLEAD_LONG") == "1" {
		runs = 2000
	}
	lib, b := library(t), book(t)
	bases := []string{"training-bay", "rigging-store", "slip-outbuilding", "reference"}
	accused, blameless := 0, 0
	for n := range runs {
		kit, err := record.Gather(lib, "whole-board-full", bases[n%len(bases)], "", "")
		if err != nil {
			t.Fatal(err)
		}
		r := kit.Rig
		if n >= len(bases) {
			r = vary(study.Made(kit.Rig, uint64(n)), n)
			if kit, err = kit.WithRig(r); err != nil {
				t.Fatal(err)
			}
		}
		built, err := faults.Build(r, wiring.Usual(signature.Copper(kit.Pack)))
		if err != nil {
			t.Fatal(err)
		}
		v := scene{seed: uint64(n + 1)}.take(t, kit, built)
		if len(v.Readings) < 20 {
			t.Fatalf("run %d: only %d readings", n, len(v.Readings))
		}
		for _, m := range b.Name(v) {
			if m.Blameless {
				blameless++
				continue
			}
			accused++
			t.Errorf("run %d on %s: %s", n, r.ID, m)
			for _, id := range m.IDs {
				for _, x := range v.Readings {
					if x.ID == id {
						t.Logf("   %s: %s, expected %s, verdict %s", id, x.Read.Raw, x.Expect.Raw, x.Verdict)
					}
				}
			}
		}
		if accused > 20 {
			t.Fatal("too many")
		}
	}
	t.Logf("%d clean runs: %d named, besides %d times a method that reads high", runs, accused, blameless)
}

// vary gives a made rig spurs, padding or very short cables.
func vary(r *rig.Rig, n int) *rig.Rig {
	for i := range r.Circuits {
		c := &r.Circuits[i]
		switch {
		case n%3 == 0 && c.Shape == rig.Ring:
			for k, p := range c.Points {
				if p.From == "" && k%3 == n%4 {
					c.Points = append(c.Points, rig.Point{ID: "x" + p.ID, Label: "spur", Kind: rig.Socket, PlugIn: true, From: p.ID, LengthM: 3 + float64(n%5)})
					break
				}
			}
		case n%3 == 1:
			for k := range c.Points {
				c.Points[k].LengthM = 1
			}
			if c.ReturnM > 0 {
				c.ReturnM = 1
			}
		case n%3 == 2 && c.Shape != rig.Lighting:
			c.Padding = &rig.Padding{StandsForM: 25, Rated: true}
		}
	}
	return r
}
