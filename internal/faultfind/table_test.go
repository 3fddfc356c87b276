package faultfind

import (
	"os"
	"strings"
	"testing"
)

// TestFaultsAreFound plants every kind of fault at every place on rings of 4 to 12 socket-outlets, radials of 3 to 8 and
// the reference lighting circuit, reads it as an instrument shows it, and asks for it back. Of what the usual tests can
// tell apart at all, at least nine in ten have to be named first and 98 in 100 among the first three (the figures are
// the order's). Without WANDERLEAD_LONG the shortest of each are taken.
func TestFaultsAreFound(t *testing.T) {
	step, least := 99, 150
	if os.Getenv("WANDERLEAD_LONG") != "" {
		step, least = 1, 2500
	}
	scores := map[string]*Score{}
	for i, trial := range Trials(builtin(t, "reference"), step) {
		if err := Evaluate(trial, copper(t), uint64(i+1), 1, scores); err != nil {
			t.Fatal(err)
		}
	}
	var b strings.Builder
	WriteTable(&b, scores)
	t.Log("\n" + b.String())
	apart, first, three := 0, 0, 0
	for _, s := range scores {
		apart += s.Cases - s.Ties
		first += s.First
		three += s.Three
		for _, w := range s.Wrong {
			t.Logf("%s: %s", s.Kind, w)
		}
	}
	if missing := Unplantable(scores); len(missing) > 0 {
		t.Errorf("not planted: %v", missing)
	}
	if apart < least || float64(first) < 0.9*float64(apart) || float64(three) < 0.98*float64(apart) {
		t.Errorf("of %d that can be told apart %d were first, %d among three", apart, first, three)
	}
}

// TestFaultsOfOtherSizesAreFound is the same with every size doubled and, in the long run, halved, and other instruments.
func TestFaultsOfOtherSizesAreFound(t *testing.T) {
	step, least, sizes := 99, 150, []float64{2}
	if os.Getenv("WANDERLEAD_LONG") != "" {
		step, least, sizes = 4, 800, []float64{2, 0.5}
	}
	for n, times := range sizes {
		scores := map[string]*Score{}
		for i, trial := range Trials(builtin(t, "reference"), step) {
			if err := Evaluate(trial, copper(t), uint64(100*n+i+50), times, scores); err != nil {
				t.Fatal(err)
			}
		}
		apart, first, three := 0, 0, 0
		for _, s := range scores {
			apart += s.Cases - s.Ties
			first += s.First
			three += s.Three
		}
		t.Logf("sizes × %g: of %d that can be told apart %d first, %d among three", times, apart, first, three)
		for _, w := range Misses(scores) {
			t.Log(w)
		}
		if apart < least || float64(first) < 0.9*float64(apart) || float64(three) < 0.98*float64(apart) {
			t.Errorf("sizes × %g: of %d that can be told apart %d were first, %d among three", times, apart, first, three)
		}
	}
}
