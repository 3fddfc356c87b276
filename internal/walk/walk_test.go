package walk_test

import (
	"os"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
	"wanderlead/safety"
)

// long reports whether the whole figures are wanted: minutes, not seconds.
func long() bool { return os.Getenv("WANDERLEAD_LONG") != "" }

// Every state of the lessons, and of a whole board cut to one circuit: no live step
// and no touched conductor without what it needs, and from every state right answers
// reach a completed end.
func TestWalk(t *testing.T) {
	h := load(t)
	for _, w := range []struct {
		seq      string
		circuits []string
		origin   sequence.Origin
	}{
		{"lesson-isolation", []string{"ring-2"}, sequence.Declared},
		{"lesson-ring", []string{"ring-2"}, sequence.Declared},
		{"lesson-zs", []string{"radial-2"}, sequence.Declared},
		{"origin", []string{"radial-2"}, sequence.Measured},
	} {
		t.Run(w.seq, func(t *testing.T) {
			rep := walk.Run(h.setup(t, w.seq, h.rig(t, "training-bay", w.circuits...), w.origin), walk.Options{Observer: observer(h.rig(t, "training-bay", w.circuits...), w.seq, w.origin)})
			report(t, w.seq, rep)
			if !rep.OK() || rep.TouchArrivals == 0 {
				t.Error("the walk was not whole, or touched nothing")
			}
		})
	}
}

// The long figures: each whole sequence on each rig, and pairs of shapes with two
// things wrong at once.
func TestWalkWhole(t *testing.T) {
	if !long() {
		t.Skip("WANDERLEAD_LONG is not set")
	}
	h := load(t)
	for _, shape := range []string{"cooker-1", "radial-1", "ring-2", "lighting-1", "lighting-2"} {
		t.Run("whole-board/"+shape, func(t *testing.T) {
			r := h.rig(t, "training-bay", shape)
			rep := walk.Run(h.setup(t, "whole-board", r, sequence.Measured), walk.Options{Observer: observer(r, "whole-board", sequence.Measured)})
			report(t, shape, rep)
		})
	}
	names, err := rig.Names(h.lib)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		for _, origin := range []sequence.Origin{sequence.Declared, sequence.Measured} {
			t.Run("whole-board/"+name+"/"+string(origin), func(t *testing.T) {
				r := h.rig(t, name)
				if origin == sequence.Measured && r.Isolation.At != rig.Upstream {
					t.Skip("no incoming gate")
				}
				rep := walk.Run(h.setup(t, "whole-board", r, origin), walk.Options{MaxStates: 6_000_000, Observer: observer(r, "whole-board", origin)})
				report(t, name, rep)
			})
		}
	}
}

// An empty rig, and a board whose sequence leaves insulation out, open no gate.
func TestNoGateOpens(t *testing.T) {
	h := load(t)
	empty := &rig.Rig{ID: "empty", Isolation: rig.Isolation{At: rig.Upstream}}
	for name, setup := range map[string]coach.Setup{
		"empty rig":     h.setup(t, "gates-only", empty, sequence.Declared),
		"no insulation": h.setup(t, "no-insulation", h.rig(t, "training-bay", "radial-2"), sequence.Declared),
	} {
		rep := walk.Run(setup, walk.Options{MaxStates: 60_000})
		if rep.LiveArrivals > 0 || rep.RightEnd == "complete" {
			t.Errorf("%s: %s", name, rep.String())
		}
		t.Log(name, rep.String())
	}
}

// Each line of the interlock, taken out, is missed: a walk then asks for an act that
// the full table forbids.
func TestEachRuleIsMissed(t *testing.T) {
	h := load(t)
	bay := h.rig(t, "training-bay", "radial-2")
	atMain := h.rig(t, "training-bay", "radial-2")
	atMain.Isolation.At = rig.AtMainSwitch
	type where struct {
		name  string
		setup coach.Setup
	}
	setups := []where{
		{"lesson-isolation", h.setup(t, "lesson-isolation", bay, sequence.Declared)},
		{"lesson-zs", h.setup(t, "lesson-zs", bay, sequence.Declared)},
		{"origin", h.setup(t, "origin", bay, sequence.Measured)},
		{"planted", h.setup(t, "lesson-zs", bay, sequence.Declared)},
		{"at the main switch", h.setup(t, "incoming-at-main", atMain, sequence.Declared)},
		{"no insulation", h.setup(t, "no-insulation", bay, sequence.Declared)},
		{"board left open", h.setup(t, "board-open", bay, sequence.Declared)},
		{"no origin", h.setup(t, "no-origin", bay, sequence.Declared)},
		{"circuit untested", h.setup(t, "circuit-untested", bay, sequence.Declared)},
		{"test before its circuit is on", h.setup(t, "circuit-off", bay, sequence.Declared)},
	}
	setups[3].setup.Planted = true
	for _, rule := range safety.Interlock() {
		caught := ""
		for _, w := range setups {
			s := w.setup
			s.Rules = safety.Interlock().Without(rule.ID)
			rep := walk.Run(s, walk.Options{MaxStates: 40_000, Problems: 1})
			if len(rep.Problems) > 0 {
				caught = w.name + ": " + rep.Problems[0].Kind + ": " + rep.Problems[0].Text
				break
			}
		}
		if caught == "" {
			t.Errorf("nothing misses the rule %q (%s)", rule.ID, rule.Why)
		} else {
			t.Logf("%-22s %s", rule.ID, caught)
		}
	}
}
