package sequence

import (
	"fmt"
	"slices"

	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// partsOf fills in where a test is read on this rig. An empty list means that the
// test has no place on it, which the linter reports.
func partsOf(s scope, n *node) []Part {
	c := s.circ()
	switch n.test {
	case safety.TestEnds:
		return named("r1", "rn", "r2")
	case safety.TestContinuity:
		return lineParts(c, pointParts(c, selectPoints(c, n.parts)))
	case safety.TestCrossedLN, safety.TestCrossedLE, safety.TestLongLead:
		return pointParts(c, selectPoints(c, n.parts))
	case safety.TestZs:
		return pointParts(c, livePoints(c, n.parts))
	case safety.TestInsulation:
		if n.parts == "joined" {
			return named(safety.JoinedPair)
		}
		return named(safety.InsulationPairs(safetyCircuit(s.rig, c))...)
	case safety.TestOwnBar:
		return named(s.rig.Bars()...)
	case safety.TestBars:
		return named(barPairs(s.rig.Bars())...)
	case safety.TestBonding:
		var parts []Part
		for _, b := range s.rig.Earthing.Bonds {
			parts = append(parts, Part{ID: b.ID, Label: b.To, Point: -1})
		}
		return parts
	case safety.TestSwitching:
		return switchParts(c)
	case safety.TestSupply:
		return named(safety.DeadPairs(s.rig.Supply.Phases)...)
	case safety.TestPFC:
		return named(pfcPairs(s.rig.Supply.Phases)...)
	case safety.TestRCD:
		return rcdParts(s, n.parts)
	case safety.TestZsCalculated:
		return named("sum")
	case safety.TestInstrument:
		if n.parts == "with-long-lead" {
			return named("low-ohm-open", "long-lead", "insulation-open", "insulation-shorted")
		}
		if n.parts != "" {
			return named(n.parts)
		}
	}
	return named("value")
}

func named(ids ...string) []Part {
	parts := make([]Part, len(ids))
	for i, id := range ids {
		parts[i] = Part{ID: id, Label: id, Point: -1}
	}
	return parts
}

func pointParts(c *rig.Circuit, points []int) []Part {
	var parts []Part
	for _, i := range points {
		parts = append(parts, Part{ID: c.Points[i].ID, Label: c.Points[i].Label, Point: i})
	}
	return parts
}

// lineParts makes a part a line conductor of parts read at points, where a circuit has
// three: "o1-L2" is read from L2 to the cpc at point o1.
func lineParts(c *rig.Circuit, points []Part) []Part {
	if c == nil || len(c.Lines) < 2 {
		return points
	}
	var parts []Part
	for _, p := range points {
		for _, line := range c.Lines {
			parts = append(parts, Part{ID: p.ID + "-" + line, Label: p.Label + " " + line, Point: p.Point, Line: line})
		}
	}
	return parts
}

func selectPoints(c *rig.Circuit, how string) []int {
	if c == nil {
		return nil
	}
	all := measuredPoints(c)
	switch how {
	case "far":
		return Far(c)
	case "first-plug-in":
		if p := pluggable(c); len(p) > 0 {
			return p[:1]
		}
		return nil
	case "used":
		return usedPoints(c)
	}
	return all
}

// outlets reports whether a choice of parts is read at socket-outlets alone, nothing opened.
func (s scope) outlets(parts string) bool {
	return (parts == "used" || parts == "joined") && s.circuit >= 0 && len(pluggable(s.circ())) > 0
}

// usedPoints are where the built-in sequences measure live: the far plug-in points, for the loop, and the first one,
// for the RCD.
func usedPoints(c *rig.Circuit) []int {
	plug := pluggable(c)
	if len(plug) == 0 {
		return nil
	}
	out := append(Far(c), plug[0])
	slices.Sort(out)
	return slices.Compact(out)
}

// livePoints are where a loop test needs nothing opened: socket-outlets only.
func livePoints(c *rig.Circuit, how string) []int {
	if c == nil {
		return nil
	}
	plug := pluggable(c)
	switch how {
	case "all":
		return plug
	case "first-plug-in":
		if len(plug) > 0 {
			return plug[:1]
		}
		return nil
	}
	return Far(c)
}

// Far lists the plug-in points with the longest way to the board, as indexes: the
// middle of a ring and every spur, the end of each branch of a radial. It is where
// the highest earth fault loop impedance is to be found.
func Far(c *rig.Circuit) []int {
	if c.Shape == rig.Ring {
		return farOnRing(c)
	}
	hasNext := map[string]bool{}
	for i, p := range c.Points {
		from := p.From
		if from == "" && i > 0 {
			from = c.Points[i-1].ID
		}
		hasNext[from] = true
	}
	var out []int
	for i, p := range c.Points {
		if p.PlugIn && !hasNext[p.ID] {
			out = append(out, i)
		}
	}
	if plug := pluggable(c); len(out) == 0 && len(plug) > 0 {
		out = plug[len(plug)-1:]
	}
	return out
}

func farOnRing(c *rig.Circuit) []int {
	far := middleOfRing(c)
	var out []int
	for i := range c.Points {
		if (i == far || isSpur(c, i)) && c.Points[i].PlugIn {
			out = append(out, i)
		}
	}
	return out
}

// middleOfRing is the index of the ring's point with the longest way to the board by
// its shorter side, -1 when there is none.
func middleOfRing(c *rig.Circuit) int {
	total, at := 0.0, map[int]float64{}
	for i, p := range c.Points {
		if !isSpur(c, i) {
			total += p.LengthM
			at[i] = total
		}
	}
	total += c.ReturnM
	best, far := -1.0, -1
	for i := range c.Points {
		if x, on := at[i]; on {
			if m := min(x, total-x); m > best+1e-9 {
				best, far = m, i
			}
		}
	}
	return far
}

// FarPoint is the index of the point that a link for the neutral bar test goes to:
// the middle of a ring, else the last point that readings are taken at.
func FarPoint(c *rig.Circuit) int {
	if c.Shape == rig.Ring {
		return max(middleOfRing(c), 0)
	}
	for i := len(c.Points) - 1; i >= 0; i-- {
		if c.Points[i].Kind != rig.Switchbox {
			return i
		}
	}
	return 0
}

func barPairs(bars []string) []string {
	var pairs []string
	for i := range bars {
		for j := i + 1; j < len(bars); j++ {
			pairs = append(pairs, bars[i]+"-"+bars[j])
		}
	}
	return pairs
}

// switchParts are the positions of a lighting circuit's switches. Two two-way
// switches have four; a one-way switch has on and off.
func switchParts(c *rig.Circuit) []Part {
	if c == nil || len(c.Switches) == 0 {
		return nil
	}
	if twoWay(c) {
		var a, b string
		for _, s := range c.Switches {
			if s.TwoWay && a == "" {
				a = s.Label
			} else if s.TwoWay {
				b = s.Label
			}
		}
		var parts []Part
		for i, pos := range []string{"up-up", "up-down", "down-up", "down-down"} {
			_ = i
			parts = append(parts, Part{ID: pos, Label: fmt.Sprintf("%s / %s: %s", a, b, pos), Point: -1})
		}
		return parts
	}
	return []Part{{ID: "on", Label: "switch on", Point: -1}, {ID: "off", Label: "switch off", Point: -1}}
}

func pfcPairs(phases int) []string {
	if phases == 3 {
		return []string{"L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E"}
	}
	return []string{"L-N", "L-E"}
}

// rcdParts are the timed tests: the edition's required one, or the full set a
// learner should have seen. The ramp gives milliamperes, the rest milliseconds.
func rcdParts(s scope, set string) []Part {
	if set == "full" {
		return named("half-0", "half-180", "one-0", "one-180", "five-0", "five-180", "ramp")
	}
	times := []float64{1}
	if s.multiples != nil && s.rcd >= 0 {
		times = s.multiples(s.rcds[s.rcd].RCD)
	}
	var parts []Part
	for _, t := range times {
		switch t {
		case 0.5:
			parts = append(parts, named("half-0", "half-180")...)
		case 1:
			parts = append(parts, named("one-0", "one-180")...)
		case 5:
			parts = append(parts, named("five-0", "five-180")...)
		}
	}
	return parts
}

// safetyCircuit is what the safety rules need to know of a circuit.
func safetyCircuit(r *rig.Rig, c *rig.Circuit) safety.Circuit {
	return safety.Circuit{
		Shape: safety.Shape(c.Shape), Lines: len(c.Lines), Switches: len(c.Switches),
		Electronics: c.Electronics != "", Bars: len(r.Bars()),
	}
}
