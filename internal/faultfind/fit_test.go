package faultfind

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"wanderlead/internal/signature"
)

// TestSizesInBetween: what a reading is taken to be between the sizes at which the network was solved is what the network
// gives there, for every fault that has a size, at sizes drawn at random. An instrument's digit is 0.01 Ω.
func TestSizesInBetween(t *testing.T) {
	for _, circuit := range []string{"ring", "radial", "lighting"} {
		m, err := New(builtin(t, "reference"), copper(t), circuit, nil)
		if err != nil {
			t.Fatal(err)
		}
		m.learnAll(usual)
		var sized []*form
		for _, f := range m.forms {
			if len(f.sizes) > 0 && f.Unit != "" {
				sized = append(sized, f)
			}
		}
		rapid.Check(t, func(t *rapid.T) {
			f := sized[rapid.IntRange(0, len(sized)-1).Draw(t, "form")]
			part := rapid.Float64Range(0, 1).Draw(t, "part")
			size := f.sizes[0] * math.Pow(f.sizes[len(f.sizes)-1]/f.sizes[0], part)
			between, solved := m.interpolated(nil, f, size), m.predict(nil, false, pick{f, size})
			for i, x := range m.Measures {
				if x.Extra || nothing(between[i]) || nothing(solved[i]) {
					continue // where a device opens or a range ends in between, Rank solves the network again
				}
				switch x.function {
				case signature.LowOhm, signature.LoopNoTrip, signature.Insulating:
					if math.Abs(between[i]-solved[i]) > 0.003+0.002*solved[i] { // a third of a display's digit
						t.Fatalf("%s of %g %s: %s is %g between sizes, %g solved", f.Kind, size, f.Unit, x.ID, between[i], solved[i])
					}
				}
			}
		})
	}
}

// TestBilinear: three points of a resistance beside another give the rest of the curve exactly.
func TestBilinear(t *testing.T) {
	parallel := func(s float64) float64 { return 0.3 + s*0.7/(s+0.7) }
	for _, s := range []float64{0.01, 0.2, 3, 50, 4000} {
		got := bilinear(0.1, parallel(0.1), 1, parallel(1), 10, parallel(10), s)
		if math.Abs(got-parallel(s)) > 1e-9 {
			t.Errorf("%g: %g, want %g", s, got, parallel(s))
		}
	}
}
