package rig

import (
	"slices"
	"testing"
)

func TestLengths(t *testing.T) {
	points := []Point{{ID: "s1"}, {ID: "s2", From: "s1"}, {ID: "s3"}}
	for _, c := range []struct {
		shape Shape
		want  []Length
	}{
		{Ring, []Length{{"", "s1"}, {"s1", "s2"}, {"s1", "s3"}, {"s3", ""}}}, // s2 is a spur
		{Radial, []Length{{"", "s1"}, {"s1", "s2"}, {"s2", "s3"}}},           // From names what is before it anyway
	} {
		if got := (&Circuit{Shape: c.shape, Points: points}).Lengths(); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.shape, got, c.want)
		}
	}
	lights := Circuit{Shape: Lighting, Points: []Point{{ID: "l1", Kind: Fitting}, {ID: "sw1", Kind: Switchbox, From: "l1"}, {ID: "l2", Kind: Fitting}}}
	if got, want := lights.Lengths(), []Length{{"", "l1"}, {"l1", "l2"}}; !slices.Equal(got, want) {
		t.Errorf("lighting: got %v, want %v", got, want)
	}
}
