package meter

import (
	"math"
	"strings"

	"wanderlead/internal/network"
	"wanderlead/internal/quantity"
	"wanderlead/internal/wiring"
)

func (b Bench) trips() wiring.Trips { return wiring.TripsOf(b.Rig) }

// Volts is what a voltmeter or two-pole indicator shows between two terminals, in whole volts. Below 10 V an indicator
// shows nothing.
func (m Instrument) Volts(b Bench, x, y string, w Where) (Shown, error) {
	s, err := b.Plan.Energise(b.Cond, b.trips(), []string{x, y}, nil, false)
	if err != nil {
		return Shown{}, err
	}
	v, ok := s.Volts(x, y)
	volt := network.Size(v)
	if !ok {
		volt = 0
	}
	shown := m.show(max(0, m.read(volt, 1, "volt", "", w)), quantity.Volt, []scale{{999, 0}})
	if volt == 0 && !m.Exact {
		shown = m.show(0, quantity.Volt, []scale{{999, 0}})
	}
	shown.Opened = s.Tripped
	return shown, nil
}

// steps are the lamps of a two-pole voltage indicator, in volts (common practice, no source).
var steps = []float64{690, 400, 230, 120, 50, 24, 12}

// Step is the highest lamp of a two-pole indicator that lights at a voltage, 0 for none: a lamp lights from 85 % of its
// voltage on (common practice, no source).
func Step(volt float64) float64 {
	for _, s := range steps {
		if volt >= 0.85*s {
			return s
		}
	}
	return 0
}

// Rotation is what a phase sequence indicator shows on three terminals: "1-2-3" when they follow each other, "3-2-1" when
// two are exchanged, "" when the three voltages are not about equal: one is missing, or a lead is not on a line.
func (m Instrument) Rotation(b Bench, l1, l2, l3 string) (string, error) {
	s, err := b.Plan.Energise(b.Cond, b.trips(), []string{l1, l2, l3}, nil, false)
	if err != nil {
		return "", err
	}
	v12, ok12 := s.Volts(l1, l2)
	v23, ok23 := s.Volts(l2, l3)
	v31, ok31 := s.Volts(l3, l1)
	if !ok12 || !ok23 || !ok31 {
		return "", nil
	}
	a, b3, c := network.Size(v12), network.Size(v23), network.Size(v31)
	if least := min(a, b3, c); least < 100 || max(a, b3, c) > 1.2*least {
		return "", nil
	}
	if turn := network.Times(v23, complex(real(v12), -imag(v12))); imag(turn) < 0 {
		return "1-2-3", nil
	}
	return "3-2-1", nil
}

// A loop tester needs a voltage within these bounds between its leads (common practice, no source).
const (
	leastLoopV = 100
	mostLoopV  = 440
)

// Currents of loop tests, in amperes: high-current testers draw 20 to 25 A, no-trip ones not more than 15 mA (trade
// articles on loop testing and unwanted tripping).
const (
	highCurrentA = 25
	noTripA      = 0.015
)

var loopScales = []scale{{9.995, 2}, {99.95, 1}, {1999, 0}}

// Loop is the loop impedance between two live terminals in ohms. A high-current test makes RCDs trip, and is refused on
// a circuit whose padding is not rated for it; a no-trip test through an RCD reads somewhat high, by the device's own
// coil.
func (m Instrument) Loop(b Bench, line, earth string, highCurrent bool, w Where) (Shown, error) {
	ohm, refused, err := m.loop(b, line, earth, highCurrent)
	if err != nil || refused.Refusal != "" {
		refused.Unit = quantity.Ohm
		return refused, err
	}
	function := "no-trip"
	if highCurrent {
		function = "loop"
	} else if !m.Exact {
		ohm += m.uplift(b, line)
	}
	if !m.Exact {
		ohm = max(0, m.read(ohm, digitOf(ohm, loopScales), function, "", w))
	}
	return m.show(ohm, quantity.Ohm, loopScales), nil
}

// loop finds the supply's loop impedance at two terminals: what a small added current changes in the voltage between
// them, which is the resistance between them with the sources at rest.
func (m Instrument) loop(b Bench, line, earth string, highCurrent bool) (float64, Shown, error) {
	if c, ok := b.Rig.Circuit(owner(line)); ok && highCurrent && c.Padding != nil && !c.Padding.Rated {
		return 0, Shown{Refusal: Padding}, nil
	}
	terminals := []string{line, earth}
	s, err := b.Plan.Energise(b.Cond, b.trips(), terminals, nil, false)
	if err != nil {
		return 0, Shown{}, err
	}
	v, ok := s.Volts(line, earth)
	if volt := network.Size(v); !ok || volt < leastLoopV || volt > mostLoopV {
		return 0, Shown{Refusal: NoSupply, VoltV: math.Round(volt), Opened: s.Tripped}, nil
	}
	n, err := b.Plan.Net(s.Cond)
	if err != nil {
		return 0, Shown{}, err
	}
	ohm, err := n.Ohm(line, earth)
	if err != nil || m.Exact {
		return ohm, Shown{}, err
	}
	amp := noTripA
	if highCurrent {
		amp = min(highCurrentA, network.Size(v)/(ohm+network.Size(v)/highCurrentA))
	} else {
		amp = min(amp, network.Size(v)/ohm)
	}
	during, err := b.Plan.Energise(s.Cond, b.trips(), terminals, []wiring.Current{{A: line, B: earth, Amp: complex(amp, 0), Step: true}}, false)
	if err != nil {
		return 0, Shown{}, err
	}
	if len(during.Tripped) > 0 {
		return 0, Shown{Refusal: Tripped, Opened: during.Tripped}, nil
	}
	return ohm, Shown{}, nil
}

// uplift is what the coil of the RCD before a place adds to a no-trip reading: up to 0.3 Ω, the same each time for one
// device and instrument (trade articles report up to about 0.5 Ω).
func (m Instrument) uplift(b Bench, terminal string) float64 {
	c, ok := b.Rig.Circuit(owner(terminal))
	if !ok {
		return 0
	}
	d := b.Rig.RCDOf(c)
	if d == nil {
		return 0
	}
	return float64(0.15 * (1 + m.hash("uplift", d.ID)))
}

// owner is the first part of a terminal's name: its circuit, or "board", "origin".
func owner(terminal string) string {
	o, _, _ := strings.Cut(terminal, "/")
	return o
}

var pfcScales = []scale{{9.995, 2}, {19.9, 1}}

// Prospective is the prospective fault current between two terminals in kiloamperes: voltage over loop impedance. It is a
// high-current test unless the supply comes through an RCD, which that would open.
func (m Instrument) Prospective(b Bench, x, y string, w Where) (Shown, error) {
	ohm, refused, err := m.loop(b, x, y, b.Rig.Supply.UpstreamRCD == nil)
	if err != nil || refused.Refusal != "" {
		refused.Unit = quantity.Kiloampere
		return refused, err
	}
	volt, err := b.liveBetween(x, y)
	if err != nil {
		return Shown{}, err
	}
	ka := volt / ohm / 1000
	return m.show(max(0, m.read(ka, digitOf(ka, pfcScales), "pfc", "", w)), quantity.Kiloampere, pfcScales), nil
}
