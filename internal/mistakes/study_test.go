package mistakes_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/mistakes"
	"wanderlead/internal/record"
	"wanderlead/internal/sequence"
	"wanderlead/internal/study"
	"wanderlead/internal/study/pilot"
)

// TestStudyNeverContradicts works a study session up to a step, sets it up wrongly, and holds what the readings look like
// against what the moves were: after the judgement nothing is named that the moves do not bear out, and nothing at all
// where the set-up was right and the rig is at fault.
func TestStudyNeverContradicts(t *testing.T) {
	b := book(t)
	cases := []struct {
		name   string
		step   string // stop before the step whose id ends so
		spoil  []string
		faults []string
		want   string // a mistake that is named; empty: none may be
	}{
		{"null cleared", "/ends", strings.Fields("change lift-live change lift-cpc leads null-clear low-ohm at-board leg1-L-leg2-L write ring-1/ends/r1 low-ohm at-board leg1-N-leg2-N write ring-1/ends/rn low-ohm at-board leg1-E-leg2-E write ring-1/ends/r2"), nil, "leads-not-nulled"},
		{"loose null", "/ends", strings.Fields("change lift-live change lift-cpc leads null-loose low-ohm at-board leg1-L-leg2-L write ring-1/ends/r1 low-ohm at-board leg1-N-leg2-N write ring-1/ends/rn low-ohm at-board leg1-E-leg2-E write ring-1/ends/r2"), nil, "loose-null"},
		{"ends in place", "/ends", strings.Fields("leads null low-ohm at-board leg1-L-leg2-L write ring-1/ends/r1 low-ohm at-board leg1-N-leg2-N write ring-1/ends/rn low-ohm at-board leg1-E-leg2-E write ring-1/ends/r2"), nil, "ends-still-in-terminals"},
		{"a fault, all done right", "/ends", strings.Fields("change lift-live change lift-cpc leads null low-ohm at-board leg1-L-leg2-L write ring-1/ends/r1 low-ohm at-board leg1-N-leg2-N write ring-1/ends/rn low-ohm at-board leg1-E-leg2-E write ring-1/ends/r2"), []string{"F05?circuit=ring-1&ohm=0.4"}, ""},
		{"cut, all done right", "/ends", strings.Fields("change lift-live change lift-cpc leads null low-ohm at-board leg1-L-leg2-L write ring-1/ends/r1 low-ohm at-board leg1-N-leg2-N write ring-1/ends/rn low-ohm at-board leg1-E-leg2-E write ring-1/ends/r2"), []string{"F04?circuit=ring-1"}, ""},
		{"same leg", "/crossed-line-neutral", strings.Fields("isolate prove-points isolate-own change same-leg-line-neutral low-ohm each-point L-N write ring-1/crossed-line-neutral"), nil, "wrong-ends-crossed"},
		{"no link", "/crossed-line-neutral", strings.Fields("isolate prove-points isolate-own low-ohm each-point L-N write ring-1/crossed-line-neutral"), nil, "ring-rejoined-plainly"},
		{"loads in", "/insulation", strings.Fields("change lift-live change loads-in insulation 500 at-board L-N write ring-1/insulation/L-N"), nil, "appliance-left-in"},
		{"a short, all done right", "/insulation", strings.Fields("change lift-live insulation 500 at-board L-N write ring-1/insulation/L-N"), []string{"F23?circuit=ring-1"}, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := &pilot.Pilot{S: ringSession(t, 7, c.faults)}
			p.Run(func(s *sequence.Step) bool { return strings.HasSuffix(s.ID, c.step) })
			var last study.Feedback
			p.Saw = func(fb study.Feedback) {
				if fb.Written != nil {
					last = fb
				}
			}
			for _, w := range c.spoil {
				if w == "isolate-own" {
					w = "before-and-after"
				}
				if !p.Do(w) {
					t.Fatalf("%q: %v %v", w, p.Err, p.Refused)
				}
				if q, _ := p.S.Question(); q.ID == "study/claim" {
					p.Do("fail")
				}
			}
			if last.Written == nil {
				t.Fatal("nothing was judged")
			}
			var focus []string
			for _, j := range last.Written.Judged {
				for _, x := range p.S.Sheet().State().Results() {
					if strings.HasPrefix(x.ID, j.Part[:strings.LastIndex(j.Part, "/")]) {
						focus = append(focus, x.ID)
					}
				}
			}
			named := mistakes.Consistent(b.Name(mistakes.Of(p.S.Sheet().State()), focus...), last.Moves)
			has := slices.ContainsFunc(named, func(n mistakes.Named) bool { return n.ID == c.want })
			if c.want != "" && !has {
				t.Errorf("moves %v: named %v, not %s", last.Moves, named, c.want)
			}
			for _, n := range named {
				if len(last.Moves) == 0 {
					t.Errorf("the set-up was right, and %s is named", n)
				}
				if !slices.ContainsFunc(n.Moves, func(m string) bool { return slices.Contains(last.Moves, m) }) {
					t.Errorf("moves %v do not bear out %s", last.Moves, n)
				}
			}
		})
	}
}

// TestRandomSetUps spoils the set-up of a step at random, one to three ways at once, and holds whatever is then named
// against the moves.
func TestRandomSetUps(t *testing.T) {
	b := book(t)
	moves := []string{"leads null-loose", "leads null-clear", "leads long-lead-on", "change loads-in", "change back-line",
		"change same-leg-line-neutral", "change same-leg-line-cpc", "change join-L-cpc", "change cross-line-cpc", "switch main-switch", "change unlink-1"}
	reads := map[string][]string{
		"/ends": {"change lift-live", "change lift-cpc", "leads null", "*", "low-ohm at-board leg1-L-leg2-L write ring-1/ends/r1",
			"low-ohm at-board leg1-N-leg2-N write ring-1/ends/rn", "low-ohm at-board leg1-E-leg2-E write ring-1/ends/r2"},
		"/crossed-line-neutral": {"isolate prove-points before-and-after", "change cross-line-neutral", "*", "low-ohm each-point L-N write ring-1/crossed-line-neutral"},
		"/insulation":           {"change unlink-2", "change unlink-1", "*", "insulation 500 at-board L-N write ring-1/insulation/L-N", "insulation 500 at-board L-E write ring-1/insulation/L-E"},
	}
	judged, said := 0, 0
	for seed := range uint64(45) {
		r := rand.New(rand.NewPCG(seed, 1))
		step := []string{"/ends", "/crossed-line-neutral", "/insulation"}[seed%3]
		p := &pilot.Pilot{S: ringSession(t, seed, nil)}
		p.Run(func(s *sequence.Step) bool { return strings.HasSuffix(s.ID, step) })
		p.Saw = func(fb study.Feedback) {
			if fb.Written == nil {
				return
			}
			judged++
			var focus []string
			for _, j := range fb.Written.Judged {
				focus = append(focus, p.S.Sheet().Group(j.Part)...)
			}
			for _, n := range mistakes.Consistent(b.Name(mistakes.Of(p.S.Sheet().State()), focus...), fb.Moves) {
				said++
				if !n.Told() && !n.Blameless && !slices.ContainsFunc(n.Moves, func(m string) bool { return slices.Contains(fb.Moves, m) }) {
					t.Errorf("seed %d: moves %v do not bear out %s", seed, fb.Moves, n)
				}
			}
		}
		try := func(words string) {
			for _, w := range strings.Fields(words) {
				q, ok := p.S.Question()
				if !ok || !slices.ContainsFunc(q.Options, func(o study.Option) bool { return o.Say == w }) {
					if q.ID != "study/bench" {
						p.Do("back")
					}
					return
				}
				p.Do(w)
				if q, _ := p.S.Question(); q.ID == "study/claim" {
					p.Do("doubt")
				}
			}
		}
		for _, words := range reads[step] {
			if words != "*" {
				try(words)
				continue
			}
			for range 1 + r.IntN(3) {
				try(moves[r.IntN(len(moves))])
			}
		}
		if p.Err != nil {
			t.Fatalf("seed %d: %v", seed, p.Err)
		}
	}
	t.Logf("%d judgements, %d times a mistake was named", judged, said)
	if judged < 20 || said < 10 {
		t.Errorf("only %d judgements and %d mistakes named", judged, said)
	}
}

func ringSession(t *testing.T, seed uint64, planted []string) *study.State {
	t.Helper()
	kit, err := record.Gather(library(t), "lesson-ring", "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := study.Only(kit.Rig, "ring-1")
	if err != nil {
		t.Fatal(err)
	}
	if kit, err = kit.WithRig(r); err != nil {
		t.Fatal(err)
	}
	st, err := study.New(study.Setup{Program: kit.Program, Pack: kit.Pack, Seed: seed, Start: study.Isolated, Plantings: plantingsOf(t, planted)})
	if err != nil {
		t.Fatal(err)
	}
	return st
}
