package screen

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// spot is where a text is shown: a step of a program, its circuit and its RCD.
type spot struct {
	p *sequence.Program
	r *rig.Rig
	s *sequence.Step // nil: no step
	c *rig.Circuit   // nil: the board
	d *sequence.RCD  // nil: none
}

func spotOf(p *sequence.Program, step int) spot {
	x := spot{p: p, r: p.Rig}
	if step < 0 || step >= len(p.Steps) {
		return x
	}
	x.s = &p.Steps[step]
	if x.s.Circuit >= 0 {
		x.c = &p.Rig.Circuits[x.s.Circuit]
	}
	switch {
	case x.s.RCD >= 0 && x.s.RCD < len(p.RCDs):
		x.d = &p.RCDs[x.s.RCD]
	case x.c != nil:
		for i := range p.RCDs {
			if slices.Contains(p.RCDs[i].Circuits, x.s.Circuit) {
				x.d = &p.RCDs[i]
			}
		}
	}
	return x
}

// placeholder is one {name} that a sequence or a safety text may use.
type placeholder struct {
	name string
	// on says what must be there: "board" (always), "circuit", "rcd".
	on   string
	text func(spot) string // "" when this rig or circuit has no such thing
}

// placeholders is the closed list. Every one is rendered from the rig, so that a
// sequence reads right on any rig it is unrolled on.
var placeholders = []placeholder{
	{"rig", "board", func(x spot) string { return x.r.Title }},
	{"board", "board", func(x spot) string { return x.r.Board.Name }},
	{"board-place", "board", func(x spot) string { return x.r.Board.Location }},
	{"supplied-from", "board", func(x spot) string { return x.r.Board.SuppliedFrom }},
	{"main-switch", "board", func(x spot) string { return theLabel(x.r.Board.MainSwitch.Label) }},
	{"isolator", "board", func(x spot) string { return shortName(x.r.Isolation.Device) }},
	{"isolator-place", "board", func(x spot) string { return theLabel(x.r.Isolation.Device) }},
	{"emergency", "board", func(x spot) string { return emergencyOf(x.r) }},
	{"proving-source", "board", func(x spot) string { return theLabel(x.r.Isolation.ProvingSource) }},
	{"lamp", "board", func(x spot) string { return theLabel(x.r.Isolation.SupplySeenBy) }},
	{"stays-live", "board", func(x spot) string { return strings.Join(x.r.Isolation.StaysLive, "; ") }},
	{"met", "board", func(x spot) string { return x.r.Earthing.Terminal }},
	{"earthing-system", "board", func(x spot) string { return string(x.r.Supply.Earthing) }},
	{"earthing-size", "board", func(x spot) string { return size(x.r.Earthing.ConductorMM2) }},
	{"electrode", "board", func(x spot) string {
		if x.r.Earthing.Electrode == nil {
			return ""
		}
		return x.r.Earthing.Electrode.Kind
	}},
	{"supply-cable", "board", func(x spot) string { return x.r.Earthing.SupplyCable }},
	{"bonds", "board", func(x spot) string {
		var out []string
		for _, b := range x.r.Earthing.Bonds {
			out = append(out, b.To)
		}
		return list(out)
	}},
	{"bars", "board", func(x spot) string { return list(x.r.Bars()) }},
	{"pairs", "board", pairsOf},
	{"supply-pairs", "board", func(x spot) string { return list(safety.DeadPairs(x.r.Supply.Phases)) }},
	{"pfc-pairs", "board", func(x spot) string {
		var out []string
		for _, pair := range safety.DeadPairs(x.r.Supply.Phases) {
			if pair != "N-E" && (strings.HasSuffix(pair, "-N") || strings.HasSuffix(pair, "-E")) {
				out = append(out, pair)
			}
		}
		return list(out)
	}},
	{"test-points", "board", func(x spot) string {
		switch x.r.Isolation.Incoming {
		case rig.ShroudedPoints:
			return "shrouded test points"
		case rig.OpenTerminals:
			return "terminals"
		}
		return ""
	}},
	{"supervisor-measures", "board", supervisorMeasures},
	{"declared-source", "board", func(x spot) string { return x.r.Supply.Declared.Source }},

	{"circuit", "circuit", func(x spot) string { return circuitName(x.c) }},
	{"number", "circuit", func(x spot) string { return x.c.Number }},
	{"description", "circuit", func(x spot) string { return x.c.Description }},
	{"device", "circuit", func(x spot) string {
		return "way " + x.c.Number + " (" + sequence.DeviceName(x.c.Device) + ")"
	}},
	{"bar", "circuit", func(x spot) string { return x.r.BarOf(x.c) }},
	{"neutral-terminal", "circuit", func(x spot) string {
		switch {
		case x.c.RCD != nil:
			return "the N terminal of its own RCBO"
		case x.r.BarOf(x.c) == "":
			return ""
		}
		return "bar " + x.r.BarOf(x.c)
	}},
	{"other-bars", "circuit", func(x spot) string {
		var out []string
		for _, b := range x.r.Bars() {
			if b != x.r.BarOf(x.c) {
				out = append(out, "bar "+b)
			}
		}
		return list(out)
	}},
	{"lines", "circuit", func(x spot) string { return list(x.c.Lines) }},
	{"line-size", "circuit", func(x spot) string { return size(x.c.Cable.LineMM2) }},
	{"cpc-size", "circuit", func(x spot) string { return size(x.c.Cable.CPCMM2) }},
	{"points", "circuit", pointsOf},
	{"point-count", "circuit", func(x spot) string { return fmt.Sprint(len(x.c.Points)) }},
	{"near-point", "circuit", func(x spot) string { return pointName(x.c, 0) }},
	{"far-point", "circuit", func(x spot) string { return pointName(x.c, farPoint(x.c)) }},
	{"far-points", "circuit", func(x spot) string {
		var out []string
		for _, i := range sequence.Far(x.c) {
			out = append(out, pointName(x.c, i))
		}
		return list(out)
	}},
	{"loop-function", "circuit", func(x spot) string {
		if x.r.RCDOf(x.c) != nil || x.r.Supply.UpstreamRCD != nil {
			return "no-trip loop range"
		}
		return "loop range, high current"
	}},
	{"enclosures", "circuit", enclosuresOf},
	{"take-out", "circuit", func(x spot) string { return list(x.c.Takeout) }},
	{"electronics", "circuit", func(x spot) string { return x.c.Electronics }},
	{"earthed", "circuit", func(x spot) string { return x.c.Earthed }},
	{"switches", "circuit", func(x spot) string {
		var out []string
		for _, s := range x.c.Switches {
			out = append(out, s.Label)
		}
		return list(out)
	}},
	{"test-voltage", "circuit", func(x spot) string {
		if x.c.SPD || x.c.Electronics != "" {
			return "250 V"
		}
		return "500 V"
	}},
	{"lead", "circuit", func(x spot) string {
		for _, p := range x.c.Points {
			if !p.PlugIn {
				return "probes with finger barriers"
			}
		}
		return "the plug-in lead"
	}},
	{"stands-for", "circuit", func(x spot) string {
		if x.c.Padding == nil {
			return ""
		}
		return fmt.Sprintf("%g m", x.c.Padding.StandsForM)
	}},

	{"rcd", "rcd", func(x spot) string { return x.d.ID }},
	{"rcd-delay", "rcd", func(x spot) string {
		if x.d.Delay == "S" {
			return "S"
		}
		return "none"
	}},
	{"rcd-rating", "rcd", func(x spot) string { return fmt.Sprintf("%g mA", x.d.IdnMA) }},
	{"rcd-type", "rcd", func(x spot) string { return "type " + x.d.Type }},
	{"rcd-circuits", "rcd", func(x spot) string {
		var out []string
		for _, i := range x.d.Circuits {
			out = append(out, x.r.Circuits[i].Number)
		}
		return list(out)
	}},
	{"rcd-point", "rcd", func(x spot) string {
		c := x.c
		if c == nil && x.d.At >= 0 {
			c = &x.r.Circuits[x.d.At]
		}
		if c == nil {
			return ""
		}
		for i, p := range c.Points {
			if p.PlugIn {
				return pointName(c, i)
			}
		}
		return ""
	}},
}

// Placeholders lists the names that the texts of a sequence may use in braces:
//
//	always      rig board board-place supplied-from main-switch isolator isolator-place emergency
//	            proving-source lamp stays-live met earthing-system earthing-size electrode supply-cable
//	            bonds bars pairs supply-pairs pfc-pairs test-points supervisor-measures
//	            declared-source
//	a circuit's circuit number description device bar neutral-terminal other-bars lines line-size
//	            cpc-size points point-count near-point far-point far-points loop-function enclosures
//	            take-out electronics earthed switches test-voltage lead stands-for
//	an RCD's    rcd rcd-delay rcd-rating rcd-type rcd-circuits rcd-point
//
// supervisor-measures is a whole sentence with a space after it, or nothing: it stands
// at the start of a text.
//
// The circuit's need a step under a circuit or an RCD, the RCD's a step under an RCD
// or under a circuit that one protects.
func Placeholders() []string {
	out := make([]string, len(placeholders))
	for i, p := range placeholders {
		out[i] = p.name
	}
	return out
}

// Unfilled is a placeholder that could not be filled.
type Unfilled struct {
	Name string
	// Known is true for a placeholder of the list that has no value at this step: a
	// circuit's at a step of the board, an RCD's where none protects the circuit.
	Known bool
}

// Fill puts the names of the rig into a text of a sequence at a step (-1: at none).
// What cannot be filled stays in its braces and is listed.
func Fill(text string, p *sequence.Program, step int) (string, []Unfilled) {
	x := spotOf(p, step)
	filled, missing := substitute(text, x.value)
	var out []Unfilled
	for _, name := range missing {
		out = append(out, Unfilled{Name: name, Known: slices.Contains(Placeholders(), name)})
	}
	return filled, out
}

func (x spot) value(name string) (string, bool) {
	for _, p := range placeholders {
		if p.name != name {
			continue
		}
		if p.on == "circuit" && x.c == nil || p.on == "rcd" && x.d == nil {
			return "", false
		}
		v := p.text(x)
		return v, v != "" || name == mayBeEmpty
	}
	return "", false
}

// list joins names as a sentence does.
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// shortName is a name without the description after it: "bay isolator Q1, the red
// handle left of the wall" is "bay isolator Q1". Where it is stands in the question
// that sends somebody there for the first time.
func shortName(s string) string {
	if i := strings.IndexAny(s, ",:;("); i > 0 {
		s = s[:i]
	}
	return theLabel(s)
}

// emergencyOf is the emergency switch with its place, without what follows a colon.
func emergencyOf(r *rig.Rig) string {
	s, _, _ := strings.Cut(r.Isolation.EmergencySwitch, ":")
	return theLabel(s)
}

// theLabel puts an article before a common name: "main switch" is "the main switch",
// "Q1" stays.
func theLabel(s string) string {
	s = strings.TrimSpace(s)
	first, _, _ := strings.Cut(s, " ")
	switch strings.ToLower(first) {
	case "", "the", "a", "an":
		return s
	}
	name, _, _ := strings.Cut(s, ",")
	if strings.ToLower(first) != first || strings.ContainsAny(name, "0123456789") {
		return s // a proper name, or a kind with its mark: bay isolator Q1
	}
	return "the " + s
}

func size(mm2 float64) string {
	if mm2 <= 0 {
		return ""
	}
	return fmt.Sprintf("%g mm²", mm2)
}

// circuitName names a circuit so that it can stand in the middle of a sentence.
func circuitName(c *rig.Circuit) string { return "circuit " + c.Number + " (" + c.Description + ")" }

// mayBeEmpty is the one placeholder that is filled by nothing where it does not apply.
const mayBeEmpty = "supervisor-measures"

// supervisorMeasures says who holds the probes of a live test: where parts would be
// exposed, or on three phases, the supervisor does and the learner records.
func supervisorMeasures(x spot) string {
	exposed := x.s != nil && x.s.Want.Kind == safety.LiveIncoming && x.r.Isolation.Incoming != rig.ShroudedPoints
	if exposed || x.r.Supply.Phases == 3 {
		return "Your supervisor measures, you record. "
	}
	return ""
}

// pointName is a point as it is found on the rig: its mark and what stands there. A
// circuit's only point needs no mark.
func pointName(c *rig.Circuit, i int) string {
	if i < 0 || i >= len(c.Points) {
		return ""
	}
	if len(c.Points) == 1 {
		return c.Points[i].Label
	}
	return c.Points[i].ID + " " + c.Points[i].Label
}

// manyPoints is how many points are named one by one in a sentence; a longer row is
// named by its ends, and listed on a line of its own.
const manyPoints = 3

// pointsOf are the points of the step when it reads at points, else the circuit's.
func pointsOf(x spot) string {
	idx := stepPoints(x)
	if len(idx) > manyPoints {
		return x.c.Points[idx[0]].ID + " to " + x.c.Points[idx[len(idx)-1]].ID
	}
	var out []string
	for _, i := range idx {
		out = append(out, pointName(x.c, i))
	}
	return list(out)
}

func stepPoints(x spot) []int {
	var idx []int
	if x.s != nil {
		for _, p := range x.s.Parts {
			if p.Point >= 0 {
				idx = append(idx, p.Point)
			}
		}
	}
	if len(idx) == 0 && x.c != nil {
		for i := range x.c.Points {
			idx = append(idx, i)
		}
	}
	return idx
}

func enclosuresOf(x spot) string {
	var out []string
	for i, p := range x.c.Points {
		if !p.PlugIn {
			out = append(out, pointName(x.c, i))
		}
	}
	return list(out)
}

// farPoint is the point that a link for the neutral bar goes to: the last one of the
// way out that is not a switch. On a ring it is the last on the ring itself.
func farPoint(c *rig.Circuit) int {
	for i := len(c.Points) - 1; i >= 0; i-- {
		if c.Points[i].Kind != rig.Switchbox && (c.Shape != rig.Ring || c.Points[i].From == "") {
			return i
		}
	}
	return 0
}

// pairsOf are the pairs the step reads; without a reading the pairs of the circuit's
// insulation test, else those that prove the board dead.
func pairsOf(x spot) string {
	if x.s != nil && x.s.Test >= 0 && x.s.Form == sequence.Read {
		var out []string
		for _, p := range x.s.Parts {
			if p.Point < 0 && strings.Contains(p.ID, "-") {
				out = append(out, p.ID)
			}
		}
		if len(out) > 0 {
			return list(out)
		}
	}
	if x.c != nil {
		return list(safety.InsulationPairs(safety.Circuit{Lines: len(x.c.Lines), Electronics: x.c.Electronics != ""}))
	}
	return list(safety.DeadPairs(x.r.Supply.Phases))
}
