package spicetest

import (
	"math"
	"testing"
)

// TestDivider: Ohm's law on paper, direct and alternating.
func TestDivider(t *testing.T) {
	Need(t)
	got, err := Run([]string{"I1 0 n1 DC 1", "R1 n1 n2 0.3", "R2 n2 0 0.5"}, "op", "v(n1)", "v(n2)")
	if err != nil || math.Abs(real(got["v(n1)"])-0.8) > 1e-12 || math.Abs(real(got["v(n2)"])-0.5) > 1e-12 {
		t.Error(got, err)
	}
	got, err = Run([]string{"V1 n1 0 DC 0 AC 230 90", "R1 n1 n2 1", "R2 n2 0 22"}, "ac lin 1 50 50", "v(n2)", "i(v1)")
	if err != nil || math.Abs(imag(got["v(n2)"])-220) > 1e-9 || math.Abs(imag(got["i(v1)"])+10) > 1e-9 || math.Abs(real(got["v(n2)"])) > 1e-9 {
		t.Error(got, err)
	}
}

// TestBrokenNetlists: a netlist that is not what was meant does not get by.
func TestBrokenNetlists(t *testing.T) {
	Need(t)
	for name, elements := range map[string][]string{
		"a resistor with one end": {"I1 0 n1 DC 1", "R1 n1 n2 0.3", "R2 n2"},
		"a node that floats":      {"I1 0 n1 DC 1", "R1 n1 0 0.3", "R2 n2 n3 1"},
		"no resistance":           {"I1 0 n1 DC 1", "R1 n1 n2", "R2 n2 0 0.5"},
		"an element nobody knows": {"I1 0 n1 DC 1", "R1 n1 n2 0.3", "R2 n2 0 0.5", "Y1 n1 n2 5"},
	} {
		if got, err := Run(elements, "op", "v(n1)"); err == nil {
			t.Errorf("%s: ngspice gave %v and nothing was noticed", name, got)
		}
	}
}
