package faults

import (
	"reflect"
	"testing"

	"wanderlead/internal/wiring"
)

// TestPlantIsBuild: planting in an installation already drawn gives, for every kind, what drawing it anew does, and leaves
// the sound one as it was.
func TestPlantIsBuild(t *testing.T) {
	r, o := reference(t), wiring.Usual(copper)
	sound, err := Build(r, o)
	if err != nil {
		t.Fatal(err)
	}
	before := sound.Plan.Text()
	for _, f := range r.Faults {
		p := Listed(r, f)
		a, err := Build(r, o, p)
		if err != nil {
			t.Fatal(err)
		}
		b, err := sound.Plant(o, p)
		if err != nil {
			t.Fatal(err)
		}
		if a.Plan.Text() != b.Plan.Text() || !reflect.DeepEqual(a.Rig, b.Rig) {
			t.Errorf("%s: planted in what was drawn it is another installation", f.ID)
		}
		if sound.Plan.Text() != before {
			t.Fatalf("%s: the sound installation changed", f.ID)
		}
	}
}
