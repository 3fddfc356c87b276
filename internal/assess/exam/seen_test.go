package exam

import (
	"strings"
	"testing"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/truth"
)

// What eyes find changes the reference answers, and nothing else does. The answers are written by hand from the store's
// description: B32 C16 B20 B6 C20, every RCBO of type A. (An over-rated device is of at least twice the rating that
// belongs there, the next type of B is C and of C is D: internal/faults.)
func TestWhatIsSeenIsMarkedAgainstTheDraw(t *testing.T) {
	sound := map[string]string{"inspection/devices/ring-1": "B32", "inspection/devices/radial-1": "C16", "inspection/devices/radial-2": "B20",
		"inspection/devices/lighting-1": "B6", "inspection/devices/fixed-1": "C20", "inspection/rcd-types/rcbo-1": "A", "inspection/rcd-types/rcbo-2": "A",
		"inspection/cables": "fits", "inspection/earthing": "present", "inspection/connections": "sound", "inspection/accessories": "sound",
		"inspection/identification": "fits", "radial-1/polarity": "right", "radial-2/polarity": "right", "ring-1/polarity": "right", "lighting-1/polarity": "right"}
	for _, c := range []struct {
		fault paper.Fault
		want  map[string]string
	}{
		{paper.Fault{Kind: "F44", Circuit: "radial-1"}, map[string]string{"inspection/devices/radial-1": "D16"}},
		{paper.Fault{Kind: "F44", Circuit: "ring-1"}, map[string]string{"inspection/devices/ring-1": "C32"}},
		{paper.Fault{Kind: "F43", Circuit: "radial-2"}, map[string]string{"inspection/devices/radial-2": "B40", "inspection/cables": "over-rated"}},
		{paper.Fault{Kind: "F45", Circuit: "ring-1"}, map[string]string{"inspection/rcd-types/rcbo-1": "AC"}},
		{paper.Fault{Kind: "F34"}, map[string]string{"inspection/earthing": "missing"}},
		{paper.Fault{Kind: "F15", Circuit: "radial-1"}, map[string]string{"radial-1/polarity": "reversed"}},
		{paper.Fault{Kind: "F17", Circuit: "ring-1"}, map[string]string{"ring-1/polarity": "line-earth"}},
		{paper.Fault{Kind: "F31", Circuit: "lighting-1"}, map[string]string{"lighting-1/polarity": "neutral-switched"}},
		{paper.Fault{Kind: "F05", Circuit: "ring-1"}, nil}, // behind the wall
		{paper.Fault{Kind: "F23", Circuit: "radial-1"}, nil},
	} {
		e, err := Load(library(t), "store-look")
		if err != nil {
			t.Fatal(err)
		}
		e.Paper.Pools, e.Paper.Fixed = nil, []paper.Fault{c.fault}
		k, err := truth.Of(e.Content, paper.Observed, 1)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, a := range k.Answers {
			want, ok := sound[a.ID]
			if !ok {
				continue
			}
			n++
			if a.Sound != want {
				t.Errorf("%s: %s of the sound rig is %q, not %q", c.fault, a.ID, a.Sound, want)
			}
			if w := c.want[a.ID]; w != "" {
				want = w
			}
			if a.Raw != want {
				t.Errorf("%s: %s is %q, not %q", c.fault, a.ID, a.Raw, want)
			}
		}
		if n != len(sound) {
			t.Errorf("%d of %d answers are there", n, len(sound))
		}
	}
}

// A fault that the rig lists is described as it is computed: who plants by the words has the device that is marked.
func TestListedDeviceFaultsSayWhatIsMarked(t *testing.T) {
	e, err := Load(library(t), "store-look")
	if err != nil {
		t.Fatal(err)
	}
	e.Paper.Pools, e.Paper.Fixed = nil, []paper.Fault{{ID: "wrong-letter"}}
	e.Paper.SettleFaults(Listed(e.Program.Rig))
	k, err := truth.Of(e.Content, paper.Observed, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range k.Answers {
		if a.ID == "inspection/devices/fixed-1" && !strings.Contains(k.Draw[0].Plant, a.Raw) {
			t.Errorf("marked against %q, and planted by the words %q", a.Raw, k.Draw[0].Plant)
		}
	}
}

// A fault that only eyes find is refused for a paper that may be sat alone, and for one that marks no inspection.
func TestVisibleFaultsNeedAnInspection(t *testing.T) {
	for _, c := range []struct{ name, want string }{{"alone", "found by looking only"}, {"no task", "touches no reading"}} {
		e, err := Load(library(t), "store-look")
		if err != nil {
			t.Fatal(err)
		}
		if c.name == "alone" {
			e.Paper.Settings = append(e.Paper.Settings, paper.Alone)
		} else {
			e.Paper.Tasks = e.Paper.Tasks[1:]
		}
		if ps := e.Problems(); len(ps) == 0 || !strings.Contains(ps.Error(), c.want) {
			t.Errorf("%s: %v", c.name, ps)
		}
	}
}
