package signature

import (
	"bytes"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

func library(t *testing.T) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// TestRun: the JSON has exactly the keys of the contract in their order; what does not apply is left out.
func TestRun(t *testing.T) {
	lib := library(t)
	run := func(q Request) string {
		var b bytes.Buffer
		q.Rig, q.Edition, q.JSON = "reference", "bs7671-2018-a4", !q.JSON
		if err := Run(&b, lib, q); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	ring := run(Request{Circuit: "ring", Faults: []string{"F06"}, Exact: true})
	at := 0
	for _, key := range []string{`{"ring_ends":{"r1":`, `"rn":`, `"r2":`, `"ring_crossed":{"line_neutral":[`, `"line_cpc":[`, `"r1r2":`,
		`"insulation":{"L-N":null,"L-E":null,"N-E":null}`, `"ze":0.3`, `"zs":{"s1":`, `"s8":`, `"rcd":{"half":null,"one":28,"five":`, `"ramp_ma":22}}`} {
		i := strings.Index(ring[at:], key)
		if i < 0 {
			t.Fatalf("%s is not there or out of order in %s", key, ring)
		}
		at += i
	}
	if radial := run(Request{Circuit: "radial", Exact: true}); !strings.HasPrefix(radial, `{"r1r2":0.42922,"r2":0.2662,"insulation"`) {
		t.Error(radial)
	}
	if a, b := run(Request{Circuit: "ring", Seed: 4}), run(Request{Circuit: "ring", Seed: 4}); a != b || a == run(Request{Circuit: "ring", Seed: 5}) {
		t.Error("the seed does not decide the reading")
	}
	if text := run(Request{Circuit: "lighting", Faults: []string{"F20"}, Exact: true, JSON: true}); !strings.Contains(text, "R1+R2, highest                 open\n") {
		t.Error(text)
	}
	for _, q := range []Request{{Rig: "reference", Circuit: "rings"}, {Rig: "reference", Circuit: "ring", Faults: []string{"F99"}}, {Rig: "referense", Circuit: "ring"}} {
		var b bytes.Buffer
		q.Edition = "bs7671-2018-a4"
		if err := Run(&b, lib, q); err == nil || !strings.Contains(err.Error(), "hint:") || b.Len() > 0 {
			t.Errorf("%+v: %v, wrote %q", q, err, b.String())
		}
	}
}
