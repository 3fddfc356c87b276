package faultfind

import (
	"testing"

	"wanderlead/internal/faults"
)

// BenchmarkHypotheses solves the network for every usual reading of the reference rig's ring of eight, dead and live, for
// one fault after the other, at each of its places and sizes: the bar is 10,000 in a second on one core.
func BenchmarkHypotheses(b *testing.B) {
	m := model(b, "ring")
	var out answer
	b.ResetTimer()
	before := cpuSeconds()
	for n := range b.N {
		f := m.forms[n%len(m.forms)]
		size := 0.0
		if k := len(f.sizes); k > 0 {
			size = f.sizes[n%k]
		}
		out = m.predict(out, false, pick{f, size})
	}
	if used := cpuSeconds() - before; used > 0 {
		b.ReportMetric(float64(b.N)/used, "hypotheses/cpu-s")
	}
	b.ReportMetric(1e9/float64(b.Elapsed().Nanoseconds())*float64(b.N), "hypotheses/s")
}

// BenchmarkModel makes a model, as the command does once a run.
func BenchmarkModel(b *testing.B) {
	r, of := builtin(b, "reference"), copper(b)
	for range b.N {
		if _, err := New(r, of, "ring", nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAnswer ranks a full set of readings of a ring with a fault, names the next measurement and explains both: what
// somebody waits for in a session, the bar being 100 ms. The first answer, which works out what later ones use again, is
// FirstAnswer.
func BenchmarkAnswer(b *testing.B) {
	m := model(b, "ring")
	seen := faultyRing(b, m)
	m.answerTo(seen)
	b.ResetTimer()
	for range b.N {
		m.answerTo(seen)
	}
}

// BenchmarkFirstAnswer is the first answer of a new model, the model's own making not counted.
func BenchmarkFirstAnswer(b *testing.B) {
	for range b.N {
		b.StopTimer()
		m := model(b, "ring")
		seen := faultyRing(b, m)
		b.StartTimer()
		m.answerTo(seen)
	}
}

func (m *Model) answerTo(seen []observed) *Next {
	r := m.rank(seen)
	var taken []Reading
	for _, o := range seen {
		taken = append(taken, Reading{ID: m.Measures[o.measure].ID})
	}
	return m.Next(r, taken)
}

func faultyRing(b *testing.B, m *Model) []observed {
	b.Helper()
	p, err := faults.Lookup(m.Rig, "ring", "F07")
	if err != nil {
		b.Fatal(err)
	}
	built, err := faults.Build(m.Rig, m.o, p)
	if err != nil {
		b.Fatal(err)
	}
	seen, err := m.shown(built, 1)
	if err != nil {
		b.Fatal(err)
	}
	return seen
}
