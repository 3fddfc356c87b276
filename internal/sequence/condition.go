package sequence

import (
	"sort"

	"wanderlead/internal/content"
	"wanderlead/internal/rig"
)

// scope is where in the unrolling a step stands.
type scope struct {
	rig       *rig.Rig
	origin    Origin
	circuit   int // -1: the board
	rcd       int // -1: none
	rcds      []RCD
	multiples Multiples
	as        string          // prefix of ids, from includes
	via       []content.Value // includes that led here, outermost first
	names     []string        // names of the sequences that the includes lead through
}

func (s scope) circ() *rig.Circuit {
	if s.circuit < 0 {
		return nil
	}
	return &s.rig.Circuits[s.circuit]
}

// boardConditions and circuitConditions are the closed list of what a step may
// depend on. Each reads the rig, never the session: the list of steps is known
// before anybody touches anything.
var boardConditions = map[string]func(scope) bool{
	"more-bars":    func(s scope) bool { return len(s.rig.Bars()) > 1 },
	"bonds":        func(s scope) bool { return len(s.rig.Earthing.Bonds) > 0 },
	"tt":           func(s scope) bool { return s.rig.Supply.Earthing == rig.TT },
	"electrode":    func(s scope) bool { return s.rig.Earthing.Electrode != nil },
	"supply-cable": func(s scope) bool { return s.rig.Earthing.SupplyCable != "" },
	"upstream":     func(s scope) bool { return s.rig.Isolation.At == rig.Upstream },
	"shrouded":     func(s scope) bool { return s.rig.Isolation.Incoming == rig.ShroudedPoints },
	"measured":     func(s scope) bool { return s.origin == Measured },
	"declared":     func(s scope) bool { return s.origin == Declared },
	"three-phase":  func(s scope) bool { return s.rig.Supply.Phases == 3 },
	"board-spd":    func(s scope) bool { return s.rig.Board.SPD != nil },
	"rcd-point":    func(s scope) bool { return s.rcd >= 0 && s.rcds[s.rcd].At >= 0 },
	"any-rcd":      func(s scope) bool { return len(s.rcds) > 0 },
	"transformer":  func(s scope) bool { return s.rig.Supply.Transformer != nil },
	"neutral-earthed": func(s scope) bool {
		return s.rig.Supply.Transformer == nil || s.rig.Supply.Transformer.NeutralEarthed
	},
}

var circuitConditions = map[string]func(scope) bool{
	"enclosures":  func(s scope) bool { return len(enclosed(s.circ())) > 0 },
	"plug-in":     func(s scope) bool { return len(pluggable(s.circ())) > 0 },
	"all-plug-in": func(s scope) bool { return len(enclosed(s.circ())) == 0 },
	"take-out":    func(s scope) bool { return len(s.circ().Takeout) > 0 },
	"electronics": func(s scope) bool { return s.circ().Electronics != "" },
	"spd":         func(s scope) bool { return s.circ().SPD },
	"switches":    func(s scope) bool { return len(s.circ().Switches) > 0 },
	"two-way":     func(s scope) bool { return twoWay(s.circ()) },
	"three-line":  func(s scope) bool { return len(s.circ().Lines) == 3 },
	"spurs":       func(s scope) bool { return hasSpur(s.circ()) },
	"rcbo":        func(s scope) bool { return s.circ().RCD != nil },
	"rcd":         func(s scope) bool { return s.rig.RCDOf(s.circ()) != nil },
	"earthed":     func(s scope) bool { return s.circ().Earthed != "" },
}

func isCondition(w string) bool { return boardConditions[w] != nil || circuitConditions[w] != nil }

func conditionNames() []string {
	var names []string
	for n := range boardConditions {
		names = append(names, n)
	}
	for n := range circuitConditions {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// holds reports whether a node belongs on this rig at this place. A condition of a
// circuit never holds for the board.
func (s scope) holds(n *node) bool {
	for _, w := range n.when {
		if !s.is(w) {
			return false
		}
	}
	for _, w := range n.unless {
		if s.is(w) {
			return false
		}
	}
	return true
}

func (s scope) is(w string) bool {
	if f := boardConditions[w]; f != nil {
		return f(s)
	}
	return s.circuit >= 0 && circuitConditions[w](s)
}

// measured lists the indexes of the points of a circuit where a reading of the
// circuit is taken: all but switches.
func measuredPoints(c *rig.Circuit) []int {
	var out []int
	for i, p := range c.Points {
		if p.Kind != rig.Switchbox {
			out = append(out, i)
		}
	}
	return out
}

func enclosed(c *rig.Circuit) []int {
	var out []int
	for i, p := range c.Points {
		if !p.PlugIn {
			out = append(out, i)
		}
	}
	return out
}

func pluggable(c *rig.Circuit) []int {
	var out []int
	for i, p := range c.Points {
		if p.PlugIn {
			out = append(out, i)
		}
	}
	return out
}

func twoWay(c *rig.Circuit) bool {
	n := 0
	for _, s := range c.Switches {
		if s.TwoWay {
			n++
		}
	}
	return n == 2
}

func hasSpur(c *rig.Circuit) bool {
	for _, p := range c.Points {
		if c.Shape == rig.Ring && p.From != "" {
			return true
		}
	}
	return false
}

// isSpur reports whether a ring's point hangs off another instead of lying on the
// ring: on a ring only a spur names the point its cable comes from.
func isSpur(c *rig.Circuit, i int) bool { return c.Points[i].From != "" }
