package coach

import (
	"slices"

	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// plan is what can be worked out once from a program and never changes: where each
// step's parts lie in the flat list of readings, and which of them each gate needs.
type plan struct {
	p       *sequence.Program
	r       *rig.Rig
	partOff []int // first part of each step
	parts   []partRef
	byID    map[string]int // part id -> part
	groups  [][]group      // per step: parts judged together

	deadParts []int   // parts of dead tests and inspections of the program
	needs     []need  // required dead tests
	byCircuit [][]int // indexes of needs per circuit
	origin    []int   // parts that make up the measured origin
	fault     []int   // parts of prospective fault current
	// supplyRead and loopRead: the sequence measures supply voltage and polarity, and
	// the external loop. One without the other is no origin.
	supplyRead, loopRead bool
	gated                bool            // the program has a gate, or live steps
	gateOf               [2]int          // first incoming gate, installation gate; -1
	switchOf             []int           // per circuit: step that switches it on, -1
	relied               []map[int]int   // per step: items that stand open when it is due, and by which step
	closers              [][]int         // per item: the steps that close it, in order
	ref                  map[int]float64 // commissioned reading per part
	refRaw               map[int]string  // the same, as the instrument showed it
	pack                 *edition.Pack
	declare              int // step by which the supervisor declares the origin, -1
	accept               int // step by which the supervisor accepts an earlier record, -1
}

type partRef struct {
	step, n int // n: index among the step's parts
	id      string
}

// group is a set of parts judged together, as indexes into plan.parts.
type group []int

// need is one required dead test: every listed alternative set must be covered.
type need struct {
	circuit int
	test    string
	// slots lists, for each thing that must be read, the parts that may serve. An
	// empty slot can never be filled: the sequence has no step for it.
	slots [][]int
}

func newPlan(p *sequence.Program) *plan {
	pl := &plan{p: p, r: p.Rig, byID: map[string]int{}, gateOf: [2]int{-1, -1}, declare: -1, accept: -1}
	pl.closers = make([][]int, len(p.Items))
	pl.switchOf = make([]int, len(p.Rig.Circuits))
	for i := range pl.switchOf {
		pl.switchOf[i] = -1
	}
	for i := range p.Steps {
		pl.addStep(i)
	}
	pl.addNeeds()
	pl.findRelied()
	return pl
}

func (pl *plan) addStep(i int) {
	st := &pl.p.Steps[i]
	pl.partOff = append(pl.partOff, len(pl.parts))
	for n, part := range st.Parts {
		id := st.ID + "/" + part.ID
		if part.ID == "seen" || part.ID == "value" {
			id = st.ID
		}
		pl.byID[id] = len(pl.parts)
		if pl.dated(i) || st.Test >= 0 && (st.Want.Kind.OnDead() || pl.p.Tests[st.Test].Name == safety.TestInspection) {
			pl.deadParts = append(pl.deadParts, len(pl.parts))
		}
		if st.Test >= 0 {
			switch pl.p.Tests[st.Test].Name {
			case safety.TestPFC:
				pl.fault = append(pl.fault, len(pl.parts))
			case safety.TestSupply, safety.TestZe, safety.TestElectrode:
				if pl.p.Tests[st.Test].Name == safety.TestSupply {
					pl.supplyRead = true
				} else {
					pl.loopRead = true
				}
				pl.origin = append(pl.origin, len(pl.parts))
			}
		}
		pl.parts = append(pl.parts, partRef{step: i, n: n, id: id})
	}
	pl.groups = append(pl.groups, pl.groupsOf(i))
	switch {
	case st.Want.Kind == safety.EnergiseIncoming && pl.gateOf[0] < 0:
		pl.gateOf[0] = i
	case st.Want.Kind == safety.EnergiseInstallation && pl.gateOf[1] < 0:
		pl.gateOf[1] = i
	case st.Form == sequence.Switch && st.Circuit >= 0:
		pl.switchOf[st.Circuit] = i
	case st.Form == sequence.Declare:
		pl.declare = i
	case st.Form == sequence.Accept && pl.accept < 0:
		pl.accept = i
	case st.Closes >= 0:
		pl.closers[st.Closes] = append(pl.closers[st.Closes], i)
	}
	pl.gated = pl.gated || st.Want.Kind.IsGate() || st.Want.Kind.Live()
}

// groupsOf says which parts of a step are judged together: the three ends of a
// ring, and the points of a crossed ring, only make sense side by side.
func (pl *plan) groupsOf(i int) []group {
	st, off := &pl.p.Steps[i], pl.partOff[i]
	if len(st.Parts) == 0 {
		return nil
	}
	together := false
	if st.Test >= 0 {
		switch pl.p.Tests[st.Test].Name {
		case safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestSwitching:
			together = true
		}
	}
	var gs []group
	for n := range st.Parts {
		if together && n > 0 {
			gs[0] = append(gs[0], off+n)
		} else {
			gs = append(gs, group{off + n})
		}
	}
	return gs
}

func (pl *plan) addNeeds() {
	pl.byCircuit = make([][]int, len(pl.r.Circuits))
	for _, n := range pl.p.Needs {
		nd := need{circuit: n.Circuit, test: n.Test}
		switch {
		case len(n.Parts) > 0:
			for _, id := range n.Parts {
				nd.slots = append(nd.slots, pl.partsWith(n.Tests, func(p sequence.Part) bool { return p.ID == id }))
			}
		case n.Points:
			for pi := range pl.r.Circuits[n.Circuit].Points {
				if pl.r.Circuits[n.Circuit].Points[pi].Kind == rig.Switchbox {
					continue
				}
				for _, line := range pl.linesAt(n.Tests, pi) {
					nd.slots = append(nd.slots, pl.partsWith(n.Tests, func(p sequence.Part) bool { return p.Point == pi && p.Line == line }))
				}
			}
		default:
			for _, part := range pl.partsWith(n.Tests, func(sequence.Part) bool { return true }) {
				nd.slots = append(nd.slots, []int{part})
			}
		}
		if len(nd.slots) == 0 {
			nd.slots = [][]int{nil}
		}
		if n.Circuit >= 0 {
			pl.byCircuit[n.Circuit] = append(pl.byCircuit[n.Circuit], len(pl.needs))
		}
		pl.needs = append(pl.needs, nd)
	}
	if len(pl.needs) == 0 {
		// An empty rig, or a board with nothing that needs testing, opens no gate.
		pl.needs = append(pl.needs, need{circuit: -1, slots: [][]int{nil}})
	}
}

// linesAt lists the line conductors that a point's parts are read on: one unnamed,
// or each of three. A point without any part still counts, and is missed.
func (pl *plan) linesAt(tests []int, point int) []string {
	lines := []string{}
	for _, p := range pl.partsWith(tests, func(p sequence.Part) bool { return p.Point == point }) {
		if l := pl.part(p).Line; !slices.Contains(lines, l) {
			lines = append(lines, l)
		}
	}
	if len(lines) == 0 {
		return []string{""}
	}
	return lines
}

// closer is the step that closes an item when work has come to a step: the last
// closing before it, else the first there is; -1 when the sequence has none.
func (pl *plan) closer(item, step int) int {
	best := -1
	for _, c := range pl.closers[item] {
		if best < 0 || c < step {
			best = c
		}
	}
	return best
}

func (pl *plan) partsWith(tests []int, ok func(sequence.Part) bool) []int {
	var out []int
	for _, t := range tests {
		for i := range pl.p.Steps {
			st := &pl.p.Steps[i]
			if st.Test != t {
				continue
			}
			for n := range st.Parts {
				if ok(st.Parts[n]) {
					out = append(out, pl.partOff[i]+n)
				}
			}
		}
	}
	return out
}

func (pl *plan) part(i int) *sequence.Part { return &pl.p.Steps[pl.parts[i].step].Parts[pl.parts[i].n] }

func (pl *plan) testName(step int) string {
	if t := pl.p.Steps[step].Test; t >= 0 {
		return pl.p.Tests[t].Name
	}
	if pl.p.Steps[step].Form == sequence.Read {
		return safety.TestInstrument
	}
	return ""
}
