package sequence

import (
	"fmt"
	"slices"

	"wanderlead/internal/content"
	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// RCD is one residual current device of the rig with the circuits it protects.
type RCD struct {
	*rig.RCD
	Circuits []int
	At       int // circuit at whose first plug-in point it is tested, -1 when none has one
}

// Program is a sequence unrolled on a rig.
type Program struct {
	Seq    *Sequence
	Rig    *rig.Rig
	Origin Origin
	Stages []Stage
	Steps  []Step
	Items  []Item
	Tests  []Test
	Needs  []Need
	RCDs   []RCD
	Blocks int

	steps map[string]int
	items map[string]int
	tests map[testKey]int
}

type testKey struct {
	name         string
	circuit, rcd int
}

// Problem is one complaint about a program, at the place of the step that caused it.
type Problem struct {
	At   content.Value
	Via  []content.Value // includes that led to it, outermost first
	Text string
	Hint string
	// Unfit: nothing is wrong with the sequence, but this rig is not one for it.
	Unfit bool
}

// Error prints file:line:col: text.
func (p Problem) Error() string {
	file, line, col := p.At.Pos()
	return fmt.Sprintf("%s:%d:%d: %s", file, line, col, p.Text)
}

// Finder finds sequences by name, for includes.
type Finder func(name string) (*Sequence, error)

// The bounds keep a file of a few lines from unrolling without end: includes that nest, includes that are included
// many times over, and complaints about each of them.
const (
	maxIncludes = 20
	maxVisits   = 20_000 // 600 circuits of a whole board take 11,000
	maxProblems = 200
)

// Unroll fills a sequence in for a rig. Problems are complaints about the
// combination, all of them; the program is for looking at when there are any.
func Unroll(seq *Sequence, r *rig.Rig, origin Origin, find Finder) (*Program, []Problem) {
	return UnrollFor(seq, r, origin, find, nil)
}

// Multiples says at which multiples of its rated residual current an edition wants an
// RCD timed.
type Multiples func(d *rig.RCD) []float64

// UnrollFor is Unroll with the timed RCD tests that an edition requires; nil stands
// for one test at the rated residual current.
func UnrollFor(seq *Sequence, r *rig.Rig, origin Origin, find Finder, multiples Multiples) (*Program, []Problem) {
	p := &Program{Seq: seq, Rig: r, Origin: origin,
		steps: map[string]int{}, items: map[string]int{}, tests: map[testKey]int{}}
	p.RCDs = rcdsOf(r)
	u := &unroller{p: p, find: find}
	s := scope{rig: r, origin: origin, circuit: -1, rcd: -1, rcds: p.RCDs, multiples: multiples, names: []string{seq.ID}}
	for _, st := range seq.Stages {
		u.stage = len(p.Stages)
		p.Stages = append(p.Stages, Stage{ID: st.id, Title: st.title})
		u.newBlock()
		u.nodes(st.steps, s, 0)
	}
	if len(seq.Stages) == 0 {
		p.Stages = append(p.Stages, Stage{ID: seq.ID, Title: seq.Title})
		u.newBlock()
		u.nodes(seq.Steps, s, 0)
	}
	u.finish()
	p.Needs = needsOf(p)
	for i := range p.Steps {
		if k := p.Steps[i].Want.Kind; k.Live() || k.IsGate() {
			p.Stages[p.Steps[i].Stage].Live = true
		}
	}
	return p, u.problems
}

type unroller struct {
	p        *Program
	find     Finder
	stage    int
	block    int
	visits   int
	problems []Problem
}

func (u *unroller) newBlock() { u.block = u.p.Blocks; u.p.Blocks++ }

func (u *unroller) complain(s scope, at content.Value, hint, format string, args ...any) {
	u.add(Problem{At: at, Via: s.via, Hint: hint, Text: fmt.Sprintf(format, args...)})
}

func (u *unroller) add(p Problem) {
	if len(u.problems) < maxProblems {
		u.problems = append(u.problems, p)
	}
}

func (u *unroller) nodes(ns []node, s scope, depth int) {
	for i := range ns {
		if u.visits++; u.visits > maxVisits {
			if u.visits == maxVisits+1 {
				// Said even when there are too many complaints to say any other.
				u.problems = append(u.problems, Problem{At: ns[i].at, Via: s.via, Hint: "include each part once",
					Text: fmt.Sprintf("the sequence unrolls to more than %d steps", maxVisits)})
			}
			return
		}
		// The conditions of a repetition are asked of each circuit.
		if ns[i].each != "" || s.holds(&ns[i]) {
			u.node(&ns[i], s, depth)
		}
	}
}

func (u *unroller) node(n *node, s scope, depth int) {
	switch {
	case n.include != "":
		u.include(n, s, depth)
	case n.each == "circuit":
		for _, i := range u.circuits(n, s) {
			in := s
			in.circuit = i
			u.newBlock()
			u.nodes(n.steps, in, depth)
			u.newBlock()
		}
	case n.each == "rcd":
		for _, i := range u.rcds(n, s) {
			in := s
			in.rcd = i
			if s.circuit < 0 {
				in.circuit = u.p.RCDs[i].testedAt()
			}
			u.newBlock()
			u.nodes(n.steps, in, depth)
			u.newBlock()
		}
	case n.block != "":
		u.newBlock()
		u.nodes(n.steps, s, depth)
		u.newBlock()
	default:
		u.step(n, s)
	}
}

func (u *unroller) include(n *node, s scope, depth int) {
	if slices.Contains(s.names, n.include) {
		u.complain(s, n.at, "a sequence must not include itself, nor one that includes it", "%s includes itself", n.include)
		return
	}
	if depth >= maxIncludes {
		u.complain(s, n.at, "include fewer sequences that include others", "includes nest deeper than %d", maxIncludes)
		return
	}
	inc, err := u.find(n.include)
	if err != nil {
		u.complain(s, n.at, "", "include %s: %v", n.include, err)
		return
	}
	if len(inc.Stages) > 0 {
		u.complain(s, n.at, "include sequences that have steps:, not stages:", "%s is a whole sequence", n.include)
		return
	}
	if n.as != "" {
		s.as += n.as + "/"
	}
	s.via = append(slices.Clip(s.via), n.at)
	s.names = append(slices.Clip(s.names), n.include)
	u.nodes(inc.Steps, s, depth+1)
}

func (u *unroller) step(n *node, s scope) {
	id := s.as + n.id
	if prefix := u.prefix(s); prefix != "" {
		id = prefix + "/" + id
	}
	st := Step{ID: id, Form: n.form, Stage: u.stage, Block: u.block, Circuit: s.circuit, RCD: s.rcd,
		Test: -1, Opens: -1, Closes: -1, Choose: n.choose, Right: n.right, Wrong: n.wrong, Text: &n.text, At: n.at, Via: s.via}
	board, points := n.board, n.points
	if n.form == Read && u.p.Seq.FromRecord {
		board, points = safety.TodayPlaces(n.test, s.outlets(n.parts))
	}
	st.Want = safety.Want{Kind: n.kind, Board: board, Circuit: s.circuit}
	if n.test != "" && n.form != Inspect {
		st.Want.Kind, _ = safety.TestKindOn(n.test, s.rig.Isolation.Incoming == rig.ShroudedPoints)
		st.Want.EarthWhole = safety.NeedsEarth(n.test)
	}
	if points && s.circuit >= 0 {
		st.Want.Points = safety.CircuitPlace(s.circuit)
	}
	if !u.belongs(n, s, id) {
		return
	}
	if old, dup := u.p.steps[id]; dup {
		u.complain(s, n.at, "give one of them another id", "step %s stands twice, first at line %d", id, lineOf(u.p.Steps[old].At))
		return
	}
	u.item(n, s, &st)
	u.test(n, s, &st)
	u.p.steps[id] = len(u.p.Steps)
	u.p.Steps = append(u.p.Steps, st)
}

// prefix is the first part of the ids of a circuit's or an RCD's steps.
func (u *unroller) prefix(s scope) string {
	switch {
	case s.rcd >= 0:
		return u.p.RCDs[s.rcd].ID
	case s.circuit >= 0:
		return s.rig.Circuits[s.circuit].ID
	}
	return ""
}

func (u *unroller) item(n *node, s scope, st *Step) {
	if !n.opens && !n.closes {
		return
	}
	id := n.item
	if s.circuit >= 0 {
		id = s.rig.Circuits[s.circuit].ID + "/" + id
	}
	i, known := u.p.items[id]
	if !known {
		i = len(u.p.Items)
		u.p.items[id] = i
		u.p.Items = append(u.p.Items, Item{ID: id, Class: n.class, Circuit: s.circuit, OpenBy: -1, CloseBy: -1})
	}
	it := &u.p.Items[i]
	if it.Class != n.class {
		u.complain(s, n.at, "write the same class on both", "item %s is a %s here and a %s where it was opened", id, n.class, it.Class)
	}
	at := len(u.p.Steps)
	if n.opens {
		st.Opens = i
		if it.OpenBy < 0 {
			it.OpenBy = at
		}
	} else {
		st.Closes = i
		it.CloseBy = at
		if it.OpenBy < 0 {
			u.complain(s, n.at, "", "item %s is closed here, but nothing before opens it", id)
		}
	}
}

func (u *unroller) test(n *node, s scope, st *Step) {
	if n.form == Note {
		st.Parts = named("value")
		return
	}
	if n.test == "" || n.test == safety.TestInstrument {
		if n.test == safety.TestInstrument {
			st.Parts = partsOf(s, n)
		}
		return
	}
	k := testKey{n.test, s.circuit, s.rcd}
	if n.form == Inspect {
		k.rcd = -1
	}
	i, ok := u.p.tests[k]
	if !ok {
		i = len(u.p.Tests)
		u.p.tests[k] = i
		u.p.Tests = append(u.p.Tests, Test{Name: n.test, Circuit: s.circuit, RCD: k.rcd})
	}
	st.Test = i
	switch {
	case n.form == Inspect && n.expects != "":
		st.Parts = expectedParts(s.rig, u.p.RCDs, n.expects)
	case n.form == Read:
		st.Parts = partsOf(s, n)
	default:
		st.Parts = []Part{{ID: "seen", Label: "", Point: -1}}
	}
	if len(st.Parts) == 0 {
		u.complain(s, n.at, "leave it out with when: or where:", "step %s has nothing to read on rig %s", st.ID, s.rig.ID)
	}
}

func (u *unroller) finish() {
	for _, it := range u.p.Items {
		if it.OpenBy >= 0 && it.CloseBy < it.OpenBy {
			st := u.p.Steps[it.OpenBy]
			u.complain(scope{via: st.Via}, st.At, "add the act that closes it, before the next gate", "step %s opens %s and nothing after closes it", st.ID, it.ID)
		}
	}
}

func lineOf(v content.Value) int {
	_, line, _ := v.Pos()
	return line
}
