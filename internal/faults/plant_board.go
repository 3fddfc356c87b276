package faults

import (
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

func hasSwitch(_ *rig.Rig, c *rig.Circuit) string {
	if len(c.Switches) == 0 {
		return "it has no switch"
	}
	return ""
}

// switchNeutral feeds the switches from the neutral: the lampholder's line contact then hangs on the line, and what the
// switch opens is its neutral contact.
func (s *site) switchNeutral() {
	c := s.circuit()
	for _, p := range c.Points {
		if p.Kind != rig.Fitting {
			continue
		}
		at := c.ID + "/" + p.ID + "/"
		for _, end := range s.Plan.Ends(at + "L") {
			if strings.Contains(end, "/feed@") {
				s.Plan.Into(end, at+"N")
			}
		}
		for _, end := range s.Plan.Ends(at + "SL") {
			s.Plan.Into(end, at+"SN")
		}
		s.Plan.Open(at + "SN")
		s.Plan.Put(wiring.Element{Name: at + "SL", Kind: wiring.Joint, A: at + "SL", B: at + "L"})
	}
}

// pair are the two-way switches of a circuit.
func pair(c *rig.Circuit) []string {
	var ids []string
	for _, s := range c.Switches {
		if s.TwoWay {
			ids = append(ids, s.ID)
		}
	}
	return ids
}

func hasPair(_ *rig.Rig, c *rig.Circuit) string {
	if len(pair(c)) != 2 {
		return "it has no two-way switches"
	}
	return ""
}

func (s *site) commonSwapped() {
	c := s.circuit()
	second := pair(c)[1]
	s.Plan.Swap(c.ID+"/"+second+"/return@"+second, c.ID+"/strapper-1@"+second)
}

func hasBond(r *rig.Rig, _ *rig.Circuit) string {
	if len(r.Earthing.Bonds) == 0 {
		return "it has no main bonding"
	}
	return ""
}

func onTN(r *rig.Rig, _ *rig.Circuit) string {
	if r.Supply.Earthing == rig.TT || r.Supply.Transformer != nil && !r.Supply.Transformer.NeutralEarthed {
		return "it has no earth from the supplier"
	}
	return ""
}

// ownElectrode makes an installation rely on an electrode of its own, which is where a fault of the electrode makes
// sense; one that does already is left alone. 20 Ω is common practice, no source.
func (s *site) ownElectrode() {
	if s.Rig.Supply.Earthing != rig.TT || s.Rig.Earthing.Electrode == nil {
		s.Rig.Supply.Earthing = rig.TT
		s.Rig.Earthing.Electrode = &rig.Electrode{Kind: "rod", Ohm: 20}
	}
}

func (s *site) rcdOf() *rig.RCD { return s.Rig.RCDOf(s.circuit()) }

func hasRCD(r *rig.Rig, c *rig.Circuit) string {
	if r.RCDOf(c) == nil {
		return "no RCD protects it"
	}
	return ""
}

// rcd changes how the circuit's RCD behaves: the part of its rated residual current that trips it, and its time at the
// rated residual current, unless 0.
func (s *site) rcd(part, ms float64) {
	d := s.rcdOf()
	d.TripMA = float64(part * d.IdnMA)
	if ms != 0 {
		d.TripMS = ms
	}
}

// overRated fits a breaker of twice the rating, or the next above that is made (BS EN 60898-1 preferred values, from
// memory).
func (s *site) overRated() {
	c := s.circuit()
	made := []float64{6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125}
	at := slices.IndexFunc(made, func(a float64) bool { return a >= 2*c.Device.RatingA })
	if at < 0 {
		at = len(made) - 1
	}
	c.Device.RatingA = made[at]
}

func hasCurve(_ *rig.Rig, c *rig.Circuit) string {
	if c.Device.Curve != "B" && c.Device.Curve != "C" {
		return "its device has no next type"
	}
	return ""
}

func (s *site) nextCurve() {
	c := s.circuit()
	c.Device.Curve = map[string]string{"B": "C", "C": "D"}[c.Device.Curve]
}

// reversedSupply exchanges line and neutral at the supplier's terminals.
func (s *site) reversedSupply() {
	line := "L"
	if s.Rig.Supply.Phases == 3 {
		line = "L1"
	}
	s.Plan.Edit("supply/"+line, func(e *wiring.Element) { e.B = "origin/N" })
	s.Plan.Edit("supply/N", func(e *wiring.Element) { e.B = "origin/" + line })
}
