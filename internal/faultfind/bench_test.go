package faultfind

import "testing"

// BenchmarkHypotheses works out every measure of the reference rig's ring of eight for one hypothesis after the other:
// the bar is 10,000 in a second on one core.
func BenchmarkHypotheses(b *testing.B) {
	m, err := New(builtin(b, "reference"), copper(b), "ring", nil)
	if err != nil {
		b.Fatal(err)
	}
	var out answer
	b.ResetTimer()
	for n := range b.N {
		f := m.forms[n%len(m.forms)]
		size := 0.0
		if k := len(f.sizes); k > 0 {
			size = f.sizes[n%k]
		}
		out = m.predict(out, false, pick{f, size})
	}
	b.ReportMetric(float64(len(m.Measures)), "measures")
	b.ReportMetric(float64(len(m.stands)), "stands")
	b.ReportMetric(float64(len(m.forms)), "forms")
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
