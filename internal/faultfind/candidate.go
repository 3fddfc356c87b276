package faultfind

import (
	"wanderlead/internal/faults"
	"wanderlead/internal/rig"
)

// pairOf names the conductors a kind is in or between.
var pairOf = map[string]string{
	"F01": "E", "F02": "L", "F03": "N", "F04": "L-N-E", "F05": "L", "F06": "L", "F07": "N", "F08": "E", "F09": "L-N-E", "F10": "L-N-E",
	"F11": "L-N-E", "F12": "L-N-E", "F13": "L-N-E", "F14": "L-N-E", "F15": "L-N", "F16": "N-E", "F17": "L-E", "F18": "L-N", "F19": "E",
	"F20": "E", "F21": "E", "F22": "E", "F23": "L-E", "F24": "L-E", "F25": "L-N", "F26": "N-E", "F27": "L-E", "F28": "N", "F29": "N",
	"F30": "N", "F31": "N", "F32": "L", "F33": "E", "F34": "E", "F35": "E", "F36": "E", "F37": "E", "F38": "E", "F46": "L-N",
	LoadIn: "L-N",
}

// oncePerCircuit are kinds whose place package faults fixes, or that have none.
var oncePerCircuit = map[string]bool{"F11": true, "F13": true, "F14": true, "F19": true, "F28": true, "F31": true, "F32": true, "F39": true,
	"F40": true, "F41": true, "F42": true, "F43": true, "F44": true, "F45": true}

// atPoints are kinds that sit at a point; the rest sit in a length of cable.
var atPoints = map[string]bool{"F09": true, "F10": true, "F15": true, "F16": true, "F17": true, "F22": true, "F23": true, "F24": true,
	"F25": true, "F26": true, "F27": true, "F30": true}

// candidates lists every cause that makes sense on a circuit, sizes open.
func candidates(r *rig.Rig, c *rig.Circuit) []Cause {
	out := []Cause{{Kind: None, Circuit: c.ID}, {Kind: LoadIn, Circuit: c.ID, Pair: "L-N", Unit: "Ω"}}
	for _, p := range c.Points {
		if p.Kind == rig.Socket || p.Kind == rig.Outlet {
			out = append(out, Cause{Kind: SwitchOff, Circuit: c.ID, Point: p.ID})
		}
	}
	for _, k := range faults.Kinds() {
		owner := c.ID
		if len(k.Shapes) == 0 {
			owner = ""
		}
		if faults.Fits(r, owner, k.ID) != nil || k.ID == "F08b" { // F08b is F08 with another size
			continue
		}
		if (k.ID == "F37" || k.ID == "F38") && r.Supply.Earthing != rig.TT {
			continue
		}
		base := Cause{Kind: k.ID, Circuit: owner, Pair: pairOf[k.ID], Unit: sizesOf[k.ID].unit}
		switch {
		case owner == "" || oncePerCircuit[k.ID]:
			out = append(out, base)
		case atPoints[k.ID]:
			out = append(out, atEach(c, base)...)
		default:
			out = append(out, inEach(c, base)...)
		}
	}
	return out
}

func atEach(c *rig.Circuit, base Cause) (out []Cause) {
	for _, p := range c.Points {
		switch {
		case p.Kind == rig.Switchbox && (base.Kind != "F22" || c.Shape != rig.Lighting):
			continue
		case base.Kind == "F09" || base.Kind == "F10":
			if p.From != "" { // off the ring itself
				continue
			}
		}
		at := base
		at.Point = p.ID
		out = append(out, at)
		if base.Kind == "F23" || base.Kind == "F24" { // package faults plants it line to cpc; any pair may be damp or pierced
			for _, pair := range []string{"L-N", "N-E"} {
				at.Pair = pair
				out = append(out, at)
			}
		}
	}
	return out
}

// inEach puts a kind into each length. A loose line in a length that begins or ends at the board is F06, elsewhere F05.
func inEach(c *rig.Circuit, base Cause) (out []Cause) {
	for _, l := range c.Lengths() {
		atBoard := l[0] == "" || l[1] == ""
		if base.Kind == "F05" && atBoard || base.Kind == "F06" && !atBoard {
			continue
		}
		in := base
		in.From, in.To = l[0], l[1]
		out = append(out, in)
	}
	return out
}
