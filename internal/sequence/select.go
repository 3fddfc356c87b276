package sequence

import (
	"slices"
	"sort"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// shapeNames are the words that where: and first: take for a circuit's shape.
var shapeNames = []string{string(rig.Ring), string(rig.Radial), string(rig.Lighting), string(rig.Fixed)}

// isTrait reports whether a word picks circuits: a shape, or a condition of a circuit.
func isTrait(w string) bool { return slices.Contains(shapeNames, w) || circuitConditions[w] != nil }

func traitNames() []string {
	names := slices.Clone(shapeNames)
	for n := range circuitConditions {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// circuits lists the circuits of the rig that a repetition goes over, as indexes.
func (u *unroller) circuits(n *node, s scope) []int {
	if s.circuit >= 0 || s.rcd >= 0 {
		u.complain(s, n.at, "write them one after the other", "each: circuit stands inside another each:")
		return nil
	}
	for _, id := range n.where["circuit"] {
		if _, ok := s.rig.Circuit(id); !ok {
			u.add(Problem{At: n.at, Via: s.via, Unfit: true, Text: "rig " + s.rig.ID + " has no circuit " + id,
				Hint: "its circuits are: " + strings.Join(circuitIDs(s.rig), ", ")})
		}
	}
	var out []int
	for i := range s.rig.Circuits {
		in := s
		in.circuit = i
		if !in.matches(n.where) || !in.holds(n) {
			continue
		}
		if out = append(out, i); len(n.where["first"]) > 0 {
			return out
		}
	}
	if want := n.where["first"]; len(want) > 0 {
		u.add(Problem{At: n.at, Via: s.via, Unfit: true, Text: "rig " + s.rig.ID + " has no circuit that is " + strings.Join(want, " and "),
			Hint: "choose another rig for this sequence"})
	}
	return out
}

func circuitIDs(r *rig.Rig) []string {
	var ids []string
	for _, c := range r.Circuits {
		ids = append(ids, c.ID)
	}
	return ids
}

// matches reports whether the scope's circuit is one that where: asks for. One of the shapes and one of the names has
// to fit, and every word of first:.
func (s scope) matches(where map[string][]string) bool {
	c := s.circ()
	for _, w := range where["first"] {
		if w != string(c.Shape) && (circuitConditions[w] == nil || !circuitConditions[w](s)) {
			return false
		}
	}
	in := func(key, have string) bool {
		want, asked := where[key]
		return !asked || slices.Contains(want, have)
	}
	return in("shape", string(c.Shape)) && in("circuit", c.ID)
}

// rcds lists the RCDs that a repetition goes over: all of the board (condition rcd-point: one that can be tested at a plug-in point), or, inside
// each: circuit, the one that protects the circuit.
func (u *unroller) rcds(n *node, s scope) []int {
	if s.rcd >= 0 {
		u.complain(s, n.at, "write them one after the other", "each: rcd stands inside another each: rcd")
		return nil
	}
	var out []int
	for i := range u.p.RCDs {
		in := s
		if in.rcd = i; s.circuit < 0 {
			in.circuit = u.p.RCDs[i].testedAt()
		}
		if !in.holds(n) {
			continue
		}
		if s.circuit < 0 || slices.Contains(u.p.RCDs[i].Circuits, s.circuit) && len(pluggable(s.circ())) > 0 {
			out = append(out, i)
		}
	}
	return out
}

// belongs complains about a step that stands where it cannot be done: a circuit's step at the board, the board's at a
// circuit, an RCD's at none.
func (u *unroller) belongs(n *node, s scope, id string) bool {
	what := n.test
	if what == "" {
		what = n.form.String()
	}
	switch {
	case s.circuit < 0 && (n.points || n.form == Switch || n.choose != "" || ofCircuit(n.test)):
		u.complain(s, n.at, "put it under each: circuit", "step %s (%s) is done at a circuit, but belongs to none", id, what)
	case s.rcd < 0 && (n.test == safety.TestRCD || n.test == safety.TestRCDButton):
		u.complain(s, n.at, "put it under each: rcd", "step %s (%s) is done at an RCD, but belongs to none", id, what)
	case (s.circuit >= 0 || s.rcd >= 0) && ofBoard(n):
		u.complain(s, n.at, "put it outside each:", "step %s (%s) is done once for the board, not for each circuit", id, what)
	default:
		return true
	}
	return false
}

// ofCircuit reports whether a test is one circuit's.
func ofCircuit(test string) bool {
	switch test {
	case safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead,
		safety.TestOwnBar, safety.TestSwitching, safety.TestInsulation, safety.TestPolarity, safety.TestZs,
		safety.TestZsCalculated:
		return true
	}
	return false
}

// ofBoard reports whether a step is the board's own: the gates, whoever answers for them, and the tests at the origin.
func ofBoard(n *node) bool {
	switch n.form {
	case Gate, Declare, Accept, Finish, Inspect:
		return true
	}
	switch n.test {
	case safety.TestEarthing, safety.TestBonding, safety.TestBars, safety.TestSupplyCable, safety.TestSupply,
		safety.TestZe, safety.TestElectrode, safety.TestPFC:
		return true
	}
	return false
}

// testedAt is the circuit that has to be on for the RCD to be worked: the one with
// the plug-in point it is timed at, else the first it protects.
func (d RCD) testedAt() int {
	if d.At >= 0 {
		return d.At
	}
	return d.Circuits[0]
}
