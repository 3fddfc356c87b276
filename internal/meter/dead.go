package meter

import (
	"math"
	"strconv"

	"wanderlead/internal/network"
	"wanderlead/internal/quantity"
)

// Leads are an instrument's leads as they are now, and what it subtracts for them. All in ohms.
type Leads struct {
	Ohm     float64 // both leads together, as they came with the instrument
	Added   float64 // a long lead or clip added after the null
	Contact float64 // of the probes on what they touch: dirt, paint, a barely pressed tip
	Null    float64 // what was stored when the tips were shorted
}

// Nulled are leads of that resistance, nulled at the tips as they should be.
func Nulled(ohm float64) Leads { return Leads{Ohm: ohm, Null: ohm} }

// StoreNull nulls the leads as they are, with what the shorted tips add: barely touching tips store too much.
func (l Leads) StoreNull(tipsOhm float64) Leads {
	l.Null = l.Ohm + l.Added + tipsOhm
	return l
}

// LiveV is the voltage between its leads from which a dead range warns and does not test (common practice, no source).
const LiveV = 10

// liveBetween is the voltage that stands between two terminals.
func (b Bench) liveBetween(x, y string) (float64, error) {
	s, err := b.Plan.Energise(b.Cond, b.trips(), []string{x, y}, nil, false)
	if err != nil {
		return 0, err
	}
	v, ok := s.Volts(x, y)
	if !ok {
		return 0, nil
	}
	return network.Size(v), nil
}

// refuseLive is the warning of a dead range on a live circuit.
func (b Bench) refuseLive(x, y string, unit quantity.Unit) (Shown, bool, error) {
	v, err := b.liveBetween(x, y)
	if err != nil || v < LiveV {
		return Shown{}, false, err
	}
	return Shown{Unit: unit, Refusal: Live, VoltV: math.Round(v)}, true, nil
}

// lowOhmScales: 0.01 Ω up to 9.99 Ω, 0.1 Ω up to 99.9 Ω.
var lowOhmScales = []scale{{9.995, 2}, {99.9, 1}}

// LowOhm is a continuity reading between two terminals, at not less than 200 mA. Negative values appear when the null
// stored more than the leads are.
func (m Instrument) LowOhm(b Bench, x, y string, l Leads, w Where) (Shown, error) {
	if s, live, err := b.refuseLive(x, y, quantity.Ohm); live || err != nil {
		return s, err
	}
	n, err := b.Plan.Net(b.Cond)
	if err != nil {
		return Shown{}, err
	}
	ohm, err := n.Ohm(x, y)
	if err != nil {
		return Shown{}, err
	}
	if !m.Exact {
		ohm += l.Ohm + l.Added + l.Contact
		least := min(0, ohm-l.Null) // scatter alone never shows less than nothing
		ohm = max(least, m.read(ohm, digitOf(ohm, lowOhmScales), "low-ohm", "", w)-l.Null)
	}
	return m.show(ohm, quantity.Ohm, lowOhmScales), nil
}

// insulationScales are the ranges by test voltage: the top is what the display marks with ">" (common practice, no
// source).
var insulationScales = map[float64][]scale{
	250:  {{9.995, 2}, {99.95, 1}, {199, 0}},
	500:  {{9.995, 2}, {99.95, 1}, {299, 0}},
	1000: {{9.995, 2}, {99.95, 1}, {999, 0}},
}

// chargingMegohm is how a cable's charging current looks after one second of testing; it grows with time (common
// practice, no source).
const chargingMegohm = 400

// Insulation is an insulation reading in megohms at 250, 500 or 1000 V d.c.; other voltages are read on the 500 V scale.
// Seconds is how long the button was held; 0 is until the reading settled.
func (m Instrument) Insulation(b Bench, x, y string, testV, seconds float64, w Where) (Shown, error) {
	if s, live, err := b.refuseLive(x, y, quantity.Megohm); live || err != nil {
		return s, err
	}
	ohm, err := b.Plan.OhmAt(b.Cond, x, y, testV)
	if err != nil {
		return Shown{}, err
	}
	megohm := ohm / 1e6
	scales := insulationScales[testV]
	if scales == nil {
		scales = insulationScales[500]
	}
	if !m.Exact {
		if seconds > 0 && megohm > 0 {
			megohm = 1 / (1/megohm + 1/(chargingMegohm*seconds))
		}
		if top := scales[len(scales)-1].upTo; megohm <= 2*top {
			megohm = max(0, m.read(megohm, digitOf(megohm, scales), "insulation", strconv.FormatFloat(testV, 'f', -1, 64), w))
		}
	}
	return m.show(megohm, quantity.Megohm, scales), nil
}
