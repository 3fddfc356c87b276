package faults

import (
	"wanderlead/internal/rig"
)

var (
	rings      = []rig.Shape{rig.Ring}
	lights     = []rig.Shape{rig.Lighting}
	everywhere = []rig.Shape{rig.Ring, rig.Radial, rig.Lighting, rig.Fixed}
	straight   = []rig.Shape{rig.Radial, rig.Lighting, rig.Fixed}
)

// kinds is filled by init, because the functions look kinds up themselves.
var kinds map[string]Kind

func init() {
	kinds = map[string]Kind{}
	for _, k := range append(append(conductorKinds(), connectionKinds()...), boardKinds()...) {
		kinds[k.ID] = k
	}
}

// conductorKinds are breaks, loose joints, spurs and bridges.
func conductorKinds() []Kind {
	return []Kind{
		{ID: "F01", Title: "open cpc in a ring", Shapes: rings, onPlan: func(s *site) { s.open("E") }},
		{ID: "F02", Title: "open line in a ring", Shapes: rings, onPlan: func(s *site) { s.open("L") }},
		{ID: "F03", Title: "open neutral in a ring", Shapes: rings, onPlan: func(s *site) { s.open("N") }},
		{ID: "F04", Title: "cable of a ring cut through", Shapes: rings, onPlan: func(s *site) { s.open("L", "N", "E") }},
		{ID: "F05", Title: "loose line", Shapes: everywhere, Ohm: 1.0, onPlan: func(s *site) { s.loose("L") }},
		{ID: "F06", Title: "loose line near the board", Shapes: everywhere, Ohm: 1.0, onPlan: func(s *site) { s.loose("L") }},
		{ID: "F07", Title: "loose neutral", Shapes: everywhere, Ohm: 0.5, onPlan: func(s *site) { s.loose("N") }},
		{ID: "F08", Title: "loose cpc", Shapes: everywhere, Ohm: 0.5, onPlan: func(s *site) { s.loose("E") }},
		{ID: "F08b", Title: "very loose cpc", Shapes: everywhere, Ohm: 2.0, onPlan: func(s *site) { s.loose("E") }},
		{ID: "F09", Title: "unfused spur off a ring", Shapes: rings, Metre: 8, onRig: func(s *site) { s.spur(s.Point, s.Metre) }},
		{ID: "F10", Title: "spur off a spur", Shapes: rings, Metre: 8, onRig: func(s *site) {
			s.spur(s.spur(s.Point, s.Metre), 5)
		}},
		{ID: "F11", Title: "ring bridged across", Shapes: rings, Metre: 5, onPlan: (*site).bridge, fits: enoughPoints},
		{ID: "F12", Title: "ring bridged across, and a line broken inside", Shapes: rings, Metre: 5, fits: enoughPoints, onPlan: func(s *site) {
			s.bridge()
			s.open("L")
		}},
		{ID: "F13", Title: "ring joined to another by one cable", Shapes: rings, Metre: 3, fits: enoughPoints,
			onRig: (*site).secondRing, onPlan: func(s *site) { s.toOther(0) }},
		{ID: "F14", Title: "ring joined to another at two points", Shapes: rings, Metre: 3, fits: enoughPoints,
			onRig: (*site).secondRing, onPlan: func(s *site) {
				s.freeEnds()
				s.toOther(0)
				s.toOther(1)
			}},
		{ID: "F19", Title: "cpc too small", Shapes: everywhere, onRig: (*site).smallerCPC, fits: cpcShrinks},
		{ID: "F20", Title: "open cpc", Shapes: straight, NeverEnergise: true, onPlan: func(s *site) { s.open("E") }},
		{ID: "F21", Title: "open cpc hidden by a neutral-earth short beyond it", Shapes: straight, NeverEnergise: true, onPlan: func(s *site) {
			s.open("E")
			s.join("N", "E", 0)
		}},
		{ID: "F22", Title: "no cpc to one point", Shapes: everywhere, NeverEnergise: true, onPlan: (*site).noFlyLead},
	}
}

// connectionKinds are exchanged conductors, shorts, leaks and what is borrowed.
func connectionKinds() []Kind {
	return []Kind{
		{ID: "F15", Title: "line and neutral reversed at a point", Shapes: everywhere, NeverEnergise: true, onPlan: func(s *site) { s.reverse("L", "N") }},
		{ID: "F16", Title: "neutral and cpc reversed at a point", Shapes: everywhere, NeverEnergise: true, onPlan: func(s *site) { s.reverse("N", "E") }},
		{ID: "F17", Title: "line and cpc reversed at a point", Shapes: everywhere, NeverEnergise: true, onPlan: func(s *site) { s.reverse("L", "E") }},
		{ID: "F18", Title: "line and neutral of one cable crossed", Shapes: rings, NeverEnergise: true, onPlan: (*site).crossOne},
		{ID: "F23", Title: "damp joint", Shapes: everywhere, Ohm: 500e3, onPlan: func(s *site) { s.join("L", "E", s.Ohm) }},
		{ID: "F24", Title: "nail through a cable", Shapes: everywhere, Ohm: 5e3, onPlan: func(s *site) { s.join("L", "E", s.Ohm) }},
		{ID: "F25", Title: "line-neutral short", Shapes: everywhere, NeverEnergise: true, onPlan: func(s *site) { s.join("L", "N", 0) }},
		{ID: "F26", Title: "neutral-earth short", Shapes: everywhere, NeverEnergise: true, onPlan: func(s *site) { s.join("N", "E", 0) }},
		{ID: "F27", Title: "line-earth short", Shapes: everywhere, NeverEnergise: true, onPlan: func(s *site) { s.join("L", "E", 0) }},
		{ID: "F28", Title: "neutral on the wrong bar", Shapes: everywhere, fits: otherHome, onPlan: (*site).wrongBar},
		{ID: "F29", Title: "borrowed neutral", Shapes: lights, Metre: 3, fits: otherCircuit, onPlan: func(s *site) { s.borrow("N") }},
		{ID: "F30", Title: "neutrals of two sections joined", Shapes: everywhere, fits: otherSection, onPlan: (*site).joinNeutrals},
		{ID: "F31", Title: "switch in the neutral", Shapes: lights, NeverEnergise: true, onPlan: (*site).switchNeutral, fits: hasSwitch},
		{ID: "F32", Title: "common exchanged with a strapper at a two-way switch", Shapes: lights, onPlan: (*site).commonSwapped, fits: hasPair},
		{ID: "F33", Title: "borrowed earth", Shapes: straight, Metre: 3, fits: otherCircuit, onPlan: func(s *site) { s.borrow("E") }},
	}
}

// boardKinds are faults of supply, earthing and devices.
func boardKinds() []Kind {
	return []Kind{
		{ID: "F34", Title: "main bonding missing or loose", fits: hasBond, onPlan: func(s *site) {
			s.Plan.Open("bond/" + s.Rig.Earthing.Bonds[0].ID + "@clamp")
		}},
		{ID: "F35", Title: "external loop impedance too high", Ohm: 0.6, fits: onTN, onPlan: func(s *site) { s.Plan.AddOhm("supply/E", s.Ohm) }},
		{ID: "F36", Title: "earthing conductor open at the main earthing terminal", onPlan: func(s *site) { s.Plan.Open("board/earthing-conductor") }},
		{ID: "F37", Title: "broken electrode connection", Ohm: 9000, onRig: (*site).ownElectrode, onPlan: func(s *site) {
			s.Plan.AddOhm("electrode/clamp", max(0, s.Ohm-s.Rig.Earthing.Electrode.Ohm))
		}},
		{ID: "F38", Title: "poor electrode", Ohm: 480, onRig: func(s *site) {
			s.ownElectrode()
			s.Rig.Earthing.Electrode.Ohm = s.Ohm
		}},
		{ID: "F39", Title: "slow RCD", Shapes: everywhere, fits: hasRCD, onRig: func(s *site) { s.rcd(29.0/30, 340) }},
		{ID: "F40", Title: "RCD that trips only well above its rating", Shapes: everywhere, fits: hasRCD, onRig: func(s *site) { s.rcd(40.0/30, 600) }},
		{ID: "F41", Title: "RCD too sensitive", Shapes: everywhere, fits: hasRCD, onRig: func(s *site) { s.rcd(13.0/30, 0) }},
		{ID: "F42", Title: "RCD that never trips on residual current", Shapes: everywhere, fits: hasRCD, onRig: func(s *site) { s.rcd(never, 0) }},
		{ID: "F43", Title: "breaker rated above its cable", Shapes: everywhere, onRig: (*site).overRated},
		{ID: "F44", Title: "breaker of the next type", Shapes: everywhere, fits: hasCurve, onRig: (*site).nextCurve},
		{ID: "F45", Title: "Type AC RCD before electronic loads", Shapes: everywhere, fits: hasRCD, onRig: func(s *site) { s.rcdOf().Type = "AC" }},
		{ID: "F46", Title: "incoming polarity reversed", onPlan: (*site).reversedSupply},
	}
}
