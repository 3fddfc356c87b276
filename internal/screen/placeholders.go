package screen

import (
	"fmt"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

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
	{"main-switch", "board", func(x spot) string { return x.theLabel(x.r.Board.MainSwitch.Label) }},
	{"isolator", "board", func(x spot) string { return x.shortName(x.r.Isolation.Device) }},
	{"isolator-place", "board", func(x spot) string { return x.theLabel(x.r.Isolation.Device) }},
	{"emergency", "board", func(x spot) string { return x.emergency() }},
	{"proving-source", "board", func(x spot) string { return x.theLabel(x.r.Isolation.ProvingSource) }},
	{"lamp", "board", func(x spot) string { return x.theLabel(x.r.Isolation.SupplySeenBy) }},
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
		return x.list(out)
	}},
	{"bars", "board", func(x spot) string { return x.list(x.r.Bars()) }},
	{"pairs", "board", pairsOf},
	{"supply-pairs", "board", func(x spot) string { return x.list(safety.DeadPairs(x.r.Supply.Phases)) }},
	{"pfc-pairs", "board", func(x spot) string {
		var out []string
		for _, pair := range safety.DeadPairs(x.r.Supply.Phases) {
			if pair != "N-E" && (strings.HasSuffix(pair, "-N") || strings.HasSuffix(pair, "-E")) {
				out = append(out, pair)
			}
		}
		return x.list(out)
	}},
	{"test-points", "board", func(x spot) string {
		switch x.r.Isolation.Incoming {
		case rig.ShroudedPoints:
			return x.word("fill.shrouded")
		case rig.OpenTerminals:
			return x.word("fill.terminals")
		}
		return ""
	}},
	{"means-at", "", func(x spot) string {
		if x.r.Earthing.MeansAt == "" {
			return x.word("fill.means-at")
		}
		return x.r.Earthing.MeansAt
	}},
	{"loop-range-origin", "", func(x spot) string {
		if x.r.Supply.UpstreamRCD != nil {
			return x.word("fill.loop-range-no-trip")
		}
		return x.word("fill.loop-range-high")
	}},
	{"supervisor-measures", "board", supervisorMeasures},
	{"declared-source", "board", func(x spot) string { return x.r.Supply.Declared.Source }},

	{"circuit", "circuit", func(x spot) string { return x.circuitName(x.c) }},
	{"number", "circuit", func(x spot) string { return x.c.Number }},
	{"description", "circuit", func(x spot) string { return x.c.Description }},
	{"device", "circuit", func(x spot) string {
		return x.word("fill.device", "number", x.c.Number, "device", sequence.DeviceName(x.c.Device))
	}},
	{"bar", "circuit", func(x spot) string { return x.r.BarOf(x.c) }},
	{"neutral-terminal", "circuit", func(x spot) string {
		switch {
		case x.c.RCD != nil:
			return x.word("fill.own-rcbo")
		case x.r.BarOf(x.c) == "":
			return ""
		}
		return x.word("fill.bar", "bar", x.r.BarOf(x.c))
	}},
	{"other-bars", "circuit", func(x spot) string {
		var out []string
		for _, b := range x.r.Bars() {
			if b != x.r.BarOf(x.c) {
				out = append(out, x.word("fill.bar", "bar", b))
			}
		}
		return x.list(out)
	}},
	{"lines", "circuit", func(x spot) string {
		if len(x.c.Lines) < 2 {
			return x.word("fill.line")
		}
		return x.list(x.c.Lines)
	}},
	{"padded", "circuit", func(x spot) string {
		if x.c.Padding == nil {
			return ""
		}
		return x.word("fill.padded", "metres", fmt.Sprintf("%g", x.c.Padding.StandsForM)) + " "
	}},
	{"line-size", "circuit", func(x spot) string { return size(x.c.Cable.LineMM2) }},
	{"cpc-size", "circuit", func(x spot) string { return size(x.c.Cable.CPCMM2) }},
	{"points", "circuit", pointsOf},
	{"point-count", "circuit", func(x spot) string { return fmt.Sprint(len(x.c.Points)) }},
	{"near-point", "circuit", func(x spot) string { return pointName(x.c, 0) }},
	{"far-point", "circuit", func(x spot) string { return pointName(x.c, sequence.FarPoint(x.c)) }},
	{"far-points", "circuit", func(x spot) string {
		var out []string
		for _, i := range sequence.Far(x.c) {
			out = append(out, pointName(x.c, i))
		}
		return x.list(out)
	}},
	{"loop-function", "circuit", func(x spot) string {
		if x.r.RCDOf(x.c) != nil || x.r.Supply.UpstreamRCD != nil {
			return x.word("fill.loop-no-trip")
		}
		return x.word("fill.loop-high")
	}},
	{"enclosures", "circuit", enclosuresOf},
	{"take-out", "circuit", func(x spot) string { return x.list(x.c.Takeout) }},
	{"electronics", "circuit", func(x spot) string { return x.c.Electronics }},
	{"earthed", "circuit", func(x spot) string { return x.c.Earthed }},
	{"switches", "circuit", func(x spot) string {
		var out []string
		for _, s := range x.c.Switches {
			out = append(out, s.Label)
		}
		return x.list(out)
	}},
	{"test-voltage", "board", func(x spot) string {
		spdStays := x.p.Seq.FromRecord && x.r.Board.SPD != nil // today's check opens nothing
		if x.c != nil && (x.c.SPD || x.c.Electronics != "" || spdStays) {
			return "250 V"
		}
		return "500 V"
	}},
	{"lead", "circuit", func(x spot) string {
		for _, p := range x.c.Points {
			if !p.PlugIn {
				return x.word("fill.probes")
			}
		}
		return x.word("fill.plug-in")
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
		return x.word("fill.no-delay")
	}},
	{"rcd-rating", "rcd", func(x spot) string { return fmt.Sprintf("%g mA", x.d.IdnMA) }},
	{"rcd-tests", "rcd", func(x spot) string {
		if x.s == nil {
			return ""
		}
		var out []string
		for _, p := range x.s.Parts {
			multiple, angle, timed := strings.Cut(p.ID, "-")
			times := map[string]string{"half": "½ ×", "one": "1 ×", "five": "5 ×"}[multiple]
			switch {
			case timed && times != "":
				out = append(out, x.word("fill.at-angle", "times", times, "angle", angle))
			case p.ID == "ramp":
				out = append(out, x.word("fill.ramp"))
			}
		}
		return x.list(out)
	}},
	{"rcd-type", "rcd", func(x spot) string { return x.word("fill.rcd-type", "type", x.d.Type) }},
	{"rcd-circuits", "rcd", func(x spot) string {
		var out []string
		for _, i := range x.d.Circuits {
			out = append(out, x.r.Circuits[i].Number)
		}
		return x.list(out)
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
//	            loop-range-origin means-at
//	            declared-source
//	a circuit's circuit number description device bar neutral-terminal other-bars lines line-size
//	            cpc-size points point-count near-point far-point far-points loop-function enclosures
//	            padded take-out electronics earthed switches test-voltage lead stands-for
//	an RCD's    rcd rcd-delay rcd-rating rcd-tests rcd-type rcd-circuits rcd-point
//
// supervisor-measures and padded are whole sentences with a space after them, or
// nothing: they stand at the start of a text.
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
