package lint

import (
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

func unrolled(t *testing.T, name, rigName string, o sequence.Origin) *sequence.Program {
	t.Helper()
	lib := library(t, "")
	p, problems := sequence.Unroll(loadSeq(t, lib, name), loadRig(t, lib, rigName), o, sequence.NewFinder(lib))
	for _, x := range problems {
		t.Fatal(x)
	}
	return p
}

// TestEveryOrderLineIsCaught exchanges, for each line of the order and each pair of tests that a built-in sequence does
// in that order, the steps that take them first. The line is then complained about.
func TestEveryOrderLineIsCaught(t *testing.T) {
	programs := []*sequence.Program{
		unrolled(t, "whole-board", "training-bay", sequence.Measured),
		unrolled(t, "whole-board", "slip-outbuilding", sequence.Measured),
		unrolled(t, "whole-board", "winch-workshop", sequence.Declared),
		unrolled(t, "lesson-insulation", "training-bay", sequence.Declared),
	}
	for _, o := range safety.TestOrder() {
		tried := 0
		for _, p := range programs {
			first := firstSteps(p)
			for a := range p.Tests {
				for b := range p.Tests {
					if !o.Speaks(p.Tests[a].Name, p.Tests[b].Name) || !inScope(o.Scope, &p.Tests[a], &p.Tests[b]) || tried > 20 {
						continue
					}
					if first[a] > first[b] {
						t.Errorf("%s: built-in %s stands after %s", o.ID, p.Tests[a].Name, p.Tests[b].Name)
						continue
					}
					tried++
					q := *p
					q.Steps = slices.Clone(p.Steps)
					q.Steps[first[a]], q.Steps[first[b]] = q.Steps[first[b]], q.Steps[first[a]]
					l := &linter{}
					l.order(&q)
					if !slices.ContainsFunc(l.problems, func(x Problem) bool { return strings.Contains(x.Message, o.Why) }) {
						t.Errorf("%s: %s before %s is not complained about", o.ID, p.Tests[b].Name, p.Tests[a].Name)
					}
				}
			}
		}
		if tried == 0 {
			t.Errorf("%s: no built-in sequence does what this line speaks of", o.ID)
		}
		if o.Why == "" || o.Source == "" {
			t.Errorf("%s says neither why nor where it is from", o.ID)
		}
	}
}

// TestEmptyRigOpensNoGate: whatever a built-in sequence asks, on a rig with nothing on it no gate opens.
func TestEmptyRigOpensNoGate(t *testing.T) {
	lib := library(t, "")
	names, err := sequence.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		t.Fatal(err)
	}
	asked := 0
	for _, n := range names {
		s := loadSeq(t, lib, n)
		for _, o := range []sequence.Origin{sequence.Measured, sequence.Declared} {
			for _, at := range []rig.IsolationPoint{"", rig.Upstream, rig.AtMainSwitch} {
				r := EmptyRig()
				r.Isolation.At = at
				p, _ := sequence.Unroll(s, r, o, sequence.NewFinder(lib))
				p = p.Lean()
				d := (&linter{pack: pack}).driven(p, coach.New(coach.Setup{Program: p, Pack: pack}))
				if d.GatePassed {
					t.Errorf("%s, %s, isolated at %q: a gate opens on an empty rig", n, o, at)
				}
				asked += d.Answers
			}
		}
	}
	if asked < 100 {
		t.Errorf("only %d questions were put", asked)
	}
}

// TestGateOnEmptyRigIsCaught takes the line that asks for the dead tests out of the interlock: the check on the empty rig
// is what notices.
func TestGateOnEmptyRigIsCaught(t *testing.T) {
	lib := library(t, "")
	pack, err := edition.Load(lib, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		rules  safety.Rules
		caught bool
	}{{nil, false}, {safety.Interlock().Without("tests").Without("gate-doubts"), true}} {
		l := newLinter(lib, pack)
		l.rules = c.rules
		l.onEmpty(loadSeq(t, lib, "whole-board"))
		if caught := slices.ContainsFunc(l.problems, func(p Problem) bool { return p.Rule == "empty" }); caught != c.caught {
			t.Errorf("caught %v, want %v", caught, c.caught)
		}
	}
}

// TestRightReadingThatFails: a rig whose reference readings cannot be those of a sound circuit is told at the step.
func TestRightReadingThatFails(t *testing.T) {
	lib := library(t, "")
	r := loadRig(t, lib, "training-bay")
	changed := false
	for i := range r.Reference.Readings {
		if x := &r.Reference.Readings[i]; x.At == "radial-1/insulation/L-E" {
			x.Values, changed = []string{"0.2"}, true
		}
	}
	if !changed {
		t.Fatal("the rig has no such reading")
	}
	ps := Quick(lib, loadSeq(t, lib, "whole-board"), r, sequence.Declared).Bad()
	if len(ps) != 1 || ps[0].Rule != "drive" || !strings.Contains(ps[0].Message, "radial-1/insulation") || !strings.HasSuffix(ps[0].File, "insulation-circuit.yaml") {
		t.Errorf("got %v", ps)
	}
}

// TestSameProblemOnManyRigsIsOne: a complaint about a line of a file comes once, with the rigs it shows on.
func TestSameProblemOnManyRigsIsOne(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "close-board.yaml", edited(t, "close-board.yaml", "{board}", "{circuit}"))
	rep, err := Run(library(t, dir), Request{Names: []string{"lesson-isolation"}})
	if err != nil {
		t.Fatal(err)
	}
	bad := rep.Problems.Bad()
	if len(bad) != 2 {
		t.Fatalf("%d problems, should be one for each wording:\n%v", len(bad), bad)
	}
	for _, p := range bad {
		if len(p.Rigs) != 5 {
			t.Errorf("on %v, should be all five rigs", p.Rigs)
		}
	}
}

func BenchmarkQuick(b *testing.B) {
	lib := library(b, "")
	s, r := loadSeq(b, lib, "whole-board"), loadRig(b, lib, "training-bay")
	for b.Loop() {
		if ps := Quick(lib, s, r, sequence.Measured); len(ps.Bad()) > 0 {
			b.Fatal(ps)
		}
	}
}
