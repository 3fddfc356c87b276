package e2e

import (
	"fmt"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/lint"
	"wanderlead/internal/record"
	"wanderlead/internal/report"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/sequences"
)

// pointsEach is how many points a circuit of the large rigs has: some ten times what a real one has.
const pointsEach = 30

// largeRig is the training bay with so many radial circuits, all alike, in place of its own.
func largeRig(r *rig.Rig, circuits int) *rig.Rig {
	model, _ := r.Circuit("radial-1")
	large := *r
	large.ID, large.Title, large.Circuits, large.Faults, large.Reference = "large", "A board of many ways", nil, nil, rig.Reference{}
	for i := range circuits {
		c := *model
		c.ID, c.Number, c.Points = fmt.Sprintf("way-%d", i+1), fmt.Sprint(i+1), nil
		for p := range pointsEach {
			c.Points = append(c.Points, rig.Point{ID: fmt.Sprintf("s%d", p+1), Label: "shelf", Kind: rig.Socket, LengthM: 1})
		}
		large.Circuits = append(large.Circuits, c)
	}
	return &large
}

// BenchmarkLargeRig is ten times what is real: 600 circuits of 30 points, with 60 to see that it grows in proportion. Unroll
// is a rig made into the steps of a whole board, answer one row of readings in the middle, whole the session answered rightly
// from its start to its schedule.
func BenchmarkLargeRig(b *testing.B) {
	w := newLargeWorld(b)
	for _, circuits := range []int{60, 600} {
		large := largeRig(w.kit.Rig, circuits)
		program := w.unroll(b, large)
		size := fmt.Sprintf("/circuits=%d", circuits)
		b.Run("unroll"+size, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				w.unroll(b, large)
			}
			b.ReportMetric(float64(len(program.Steps)), "steps")
		})
		fresh := func() *player {
			kit := &record.Kit{Sequence: w.kit.Sequence, Rig: large, Pack: w.kit.Pack, Program: program}
			return &player{t: b, kit: kit, st: coach.New(coach.Setup{Program: program, Pack: kit.Pack}), stage: -1}
		}
		b.Run("answer"+size, func(b *testing.B) {
			p := fresh()
			if !p.within(1<<20, fmt.Sprintf("way-%d/continuity", circuits/2)) {
				b.Fatal("the row is never asked", p.due().ID)
			}
			ev := coach.Event{Type: coach.Answer, At: p.due().ID, Raw: p.right()}
			b.ReportAllocs()
			for b.Loop() {
				if _, fb, err := p.st.Apply(ev); err != nil || fb.Class != coach.Pass {
					b.Fatal(err, fb.Class)
				}
			}
		})
		b.Run("whole"+size, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				p := fresh()
				p.within(1<<20, "")
				p.finish()
				if got := len(report.Build(p.st, report.Meta{}).Circuits); got != circuits {
					b.Fatalf("%d circuits in the schedule", got)
				}
				b.ReportMetric(float64(len(p.answers)), "answers")
			}
		})
	}
}

// BenchmarkLargestRig is what happens at every start, with the most circuits that a file may have and a tenth of them: the rig
// read, and the quick check of a whole board on it.
func BenchmarkLargestRig(b *testing.B) {
	w := newLargeWorld(b)
	for _, circuits := range []int{10, 100} {
		large := largeRig(w.kit.Rig, circuits)
		file := rig.Write(large)
		b.Run(fmt.Sprintf("read/circuits=%d", circuits), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(file)))
			for b.Loop() {
				if _, err := rig.Parse("large.yaml", file); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("check/circuits=%d", circuits), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if bad := lint.Quick(w.lib, w.kit.Sequence, large, w.kit.Incoming).Bad(); len(bad) > 0 {
					b.Fatal(bad[0])
				}
			}
		})
	}
}

type largeWorld struct {
	lib *content.Library
	kit *record.Kit
}

func newLargeWorld(b *testing.B) largeWorld {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		b.Fatal(err)
	}
	return largeWorld{lib, play(b, "", "whole-board", "training-bay", "").kit}
}

func (w largeWorld) unroll(b *testing.B, r *rig.Rig) *sequence.Program {
	p, problems := sequence.UnrollFor(w.kit.Sequence, r, w.kit.Incoming, sequence.NewFinder(w.lib), record.Multiples(w.kit.Pack))
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	return p
}
