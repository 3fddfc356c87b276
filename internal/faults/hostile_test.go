package faults_test

import (
	"math"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/hostile"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/sequences"
)

// FuzzPlanting: a text that names a fault is refused, or read with figures that a conductor can have; read again from how
// it is written it is the same, and building the rig with it does not panic.
func FuzzPlanting(f *testing.F) {
	for _, s := range []string{"F01", "F21?circuit=ring&point=3", "F05?ohm=0.5", "F05?ohm=NaN", "F05?ohm=-1", "F05?ohm=1e400", "F05?metre=Inf&circuit=ring", "F46", "", "?", "F01?%", "F01#a", "http://a/F01",
		"F01?circuit=%1b%5b2J", "F01?from=\u202e", "//", "F01?ohm=0x1p-2", "F01?ohm=1_0"} {
		f.Add(s)
	}
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		f.Fatal(err)
	}
	r, err := rig.Load(lib, "reference")
	if err != nil {
		f.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := faults.ParsePlanting(s)
		if bad := hostile.Said(err); bad != "" {
			t.Error(bad)
		}
		if err != nil {
			return
		}
		for _, v := range []float64{p.Ohm, p.Metre} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Errorf("%q is read with %v", s, v)
			}
		}
		if again, err := faults.ParsePlanting(p.String()); err != nil || again != p {
			t.Errorf("%q is %+v, and written and read again %+v, %v", s, p, again, err)
		}
		p2, err := faults.Settle(r, p)
		if bad := hostile.Said(err); bad != "" {
			t.Error(bad)
		}
		if err == nil {
			_, err = faults.Build(r, wiring.Options{Copper: signature.Copper(pack)}, p2)
			if bad := hostile.Said(err); bad != "" {
				t.Error(bad)
			}
		}
	})
}
