package exam

import (
	"testing"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/sequences"
)

func library(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// Every paper that ships is without complaint, and somebody who does everything right
// reaches its end in each setting, whatever is drawn, with all marks.
func TestPapersCanBeSat(t *testing.T) {
	lib := library(t)
	names, err := paper.Names(lib)
	if err != nil || len(names) < 3 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		e, err := Load(lib, name)
		if err != nil {
			t.Fatal(err)
		}
		if ps := e.Problems(); len(ps) > 0 {
			t.Errorf("%s: %v", name, ps)
			continue
		}
		plan := mark.NewPlan(e.Content)
		for _, s := range e.Paper.Settings {
			for seed := uint64(0); seed < 3; seed++ {
				k, err := truth.Of(e.Content, s, seed)
				if err != nil {
					t.Fatal(err)
				}
				h, err := e.Header()
				if err != nil {
					t.Fatal(err)
				}
				play.Fields(&h, "C-01", s, e.Paper.Minutes, 0)
				lines, end, err := play.Lines(h, sitting.New(e.Setup(&h)), play.Candidate{Key: k, Code: "c0de"})
				if err != nil {
					t.Fatalf("%s, %s, seed %d: %v", name, s, seed, err)
				}
				r := plan.Marker(k).Mark(lines)
				if end.Ended() != sitting.Complete || r.Mark != r.Of || r.Of == 0 {
					t.Errorf("%s, %s, seed %d: %s, %d of %d", name, s, seed, end.Ended(), r.Mark, r.Of)
					for _, tm := range r.Tasks {
						for _, p := range tm.Parts {
							for _, it := range p.Items {
								if !it.Right {
									t.Log(tm.Task, p.Part, it)
								}
							}
						}
					}
				}
			}
		}
	}
}

// No candidate's reading opens a gate: everybody halts there, whatever they typed and
// whatever is planted, until the assessor's own readings pass.
func TestEverybodyHaltsAtTheGate(t *testing.T) {
	e, err := Load(library(t), "store-board")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []paper.Setting{paper.Observed, paper.HoldPoints} {
		k, err := truth.Of(e.Content, s, 5)
		if err != nil {
			t.Fatal(err)
		}
		h, err := e.Header()
		if err != nil {
			t.Fatal(err)
		}
		play.Fields(&h, "C-01", s, e.Paper.Minutes, 0)
		checks, refused := 0, 0
		first := true
		c := play.Candidate{Key: k, Code: "c0de", Say: map[string][]string{"check/ring-1/insulation": {"0.00 0.00 0.00"}}}
		tt := sitting.New(e.Setup(&h))
		_, err = play.Sit(tt, c, func(ev journal.Event, fb sitting.Feedback) {
			if len(ev.At) > 6 && ev.At[:6] == "check/" {
				checks++
				if first && s == paper.HoldPoints && checks == 1 {
					first = false
				}
				if !fb.Taken {
					refused++
				}
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		if checks < 10 || refused != 1 {
			t.Errorf("%s: %d check readings, %d refused", s, checks, refused)
		}
	}
}
