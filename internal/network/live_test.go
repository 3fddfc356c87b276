package network

import (
	"errors"
	"math"
	"math/cmplx"
	"testing"
)

func closeTo(a, b complex128, tol float64) bool { return cmplx.Abs(a-b) <= tol }

// TestLiveDivider: Ohm's law on paper. 230 V behind 0.3 Ω, a load of 22.7 Ω: 10 A.
func TestLiveDivider(t *testing.T) {
	l := NewLive(3)
	s := l.Source(0, 2, 230, 0.3)
	m := l.Meter(0, 1, 0)
	l.Admittance(1, 2, complex(1/22.7, 0))
	got, err := l.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if v, ok := got.Volts(1, 2); !ok || !closeTo(v, 227, 1e-10) || !closeTo(got.Amps(m), 10, 1e-12) || !closeTo(got.Amps(s), -10, 1e-12) {
		t.Error(v, ok, got.Amps(m), got.Amps(s))
	}
}

// TestLiveThreePhase: three equal line-to-neutral loads leave the neutral without current, one alone puts its whole
// current there, and line to line stands √3 times line to neutral.
func TestLiveThreePhase(t *testing.T) {
	a := cmplx.Rect(1, 2*math.Pi/3)
	for _, c := range []struct {
		loads   []float64
		neutral float64
	}{{[]float64{23, 23, 23}, 0}, {[]float64{23, 0, 0}, 10}, {[]float64{23, 23, 0}, 10}} {
		l := NewLive(5)
		for i, phase := range []complex128{1, 1 / a, a} {
			l.Source(i, 4, 230*phase, 1e-9)
			if ohm := c.loads[i]; ohm != 0 {
				l.Admittance(i, 3, complex(1/ohm, 0))
			}
		}
		neutral := l.Meter(3, 4, 1e-9)
		got, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if v, _ := got.Volts(0, 1); math.Abs(cmplx.Abs(v)-230*math.Sqrt(3)) > 1e-6 {
			t.Errorf("line to line %g", cmplx.Abs(v))
		}
		if i := cmplx.Abs(got.Amps(neutral)); math.Abs(i-c.neutral) > 1e-6 {
			t.Errorf("loads %v: neutral %g A, want %g", c.loads, i, c.neutral)
		}
	}
}

func TestLiveIslandsAndContradictions(t *testing.T) {
	l := NewLive(4)
	l.Source(0, 1, 230, 1)
	l.Draw(0, 1, 0.03)
	got, err := l.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if v, ok := got.Volts(0, 1); !ok || !closeTo(v, 230-0.03, 1e-12) {
		t.Error(v, ok)
	}
	if _, ok := got.Volts(0, 2); ok {
		t.Error("the voltage to a loose end counts as determined")
	}
	for name, make := range map[string]func(*Live){
		"two ideal sources side by side": func(l *Live) { l.Source(0, 1, 230, 0); l.Source(0, 1, 231, 0) },
		"current into a loose end":       func(l *Live) { l.Draw(0, 1, 1) },
	} {
		l := NewLive(2)
		make(l)
		if _, err := l.Solve(); !errors.Is(err, ErrContradiction) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestLiveWithLeaks: metal joints and insulation in one solution; the leak's current is right to its own accuracy.
func TestLiveWithLeaks(t *testing.T) {
	s := spec{nodes: 4, rs: []resistor{{0, 1, 0.01}, {1, 2, 200e6}, {2, 3, 0.01}}}
	ports, err := s.build(t).Reduce(0, 3)
	if err != nil {
		t.Fatal(err)
	}
	l := NewLive(3)
	l.AddPorts(ports, 0)
	l.Source(0, 2, 500, 0)
	m := l.Meter(1, 2, 0)
	got, err := l.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if want := 500 / (200e6 + 0.02); math.Abs(real(got.Amps(m))-want) > 1e-9*want {
		t.Errorf("leak %g A, want %g", real(got.Amps(m)), want)
	}
}
