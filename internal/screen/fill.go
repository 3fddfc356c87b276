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

	word Wording
}

// Wording is a text by its id, filled from pairs of name and value.
type Wording func(id string, kv ...string) string

// ByID is the wording of who only asks what can be filled: every text is its id.
func ByID(id string, _ ...string) string { return id }

func spotOf(word Wording, p *sequence.Program, step int) spot {
	x := spot{p: p, r: p.Rig, word: word}
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

// Unfilled is a placeholder that could not be filled.
type Unfilled struct {
	Name string
	// Known is true for a placeholder of the list that has no value at this step: a
	// circuit's at a step of the board, an RCD's where none protects the circuit.
	Known bool
}

// Fill puts the names of the rig into a text of a sequence at a step (-1: at none), joined as the wording's language joins
// them. What cannot be filled stays in its braces and is listed.
func Fill(word Wording, text string, p *sequence.Program, step int) (string, []Unfilled) {
	x := spotOf(word, p, step)
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
		return v, v != "" || mayBeEmpty[name]
	}
	return "", false
}

// list joins names as a sentence does.
func (x spot) list(names []string) string { return listed(x.word, names) }

func listed(word Wording, names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return word("fill.and", "first", strings.Join(names[:n-1], ", "), "last", names[n-1])
	}
}

// shortName is a name without the description after it: "bay isolator Q1, the red
// handle left of the wall" is "bay isolator Q1". Where it is stands in the question
// that sends somebody there for the first time.
func (x spot) shortName(s string) string {
	if i := strings.IndexAny(s, ",:;("); i > 0 {
		s = s[:i]
	}
	return x.theLabel(s)
}

// emergency is the emergency switch with its place, without what follows a colon.
func (x spot) emergency() string {
	s, _, _ := strings.Cut(x.r.Isolation.EmergencySwitch, ":")
	return x.theLabel(s)
}

// theLabel puts an article before a common name: "main switch" is "the main switch",
// "Q1" stays.
func (x spot) theLabel(s string) string {
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
	return x.word("fill.the", "name", s)
}

func size(mm2 float64) string {
	if mm2 <= 0 {
		return ""
	}
	return fmt.Sprintf("%g mm²", mm2)
}

// circuitName names a circuit so that it can stand in the middle of a sentence.
func (x spot) circuitName(c *rig.Circuit) string {
	return x.word("fill.circuit", "number", c.Number, "description", c.Description)
}

// mayBeEmpty are the placeholders that are filled by nothing where they do not apply.
var mayBeEmpty = map[string]bool{"supervisor-measures": true, "padded": true}

// supervisorMeasures says who holds the probes of a live test: where parts would be
// exposed, or on three phases, the supervisor does and the learner records.
func supervisorMeasures(x spot) string {
	exposed := x.s != nil && x.s.Want.Kind == safety.LiveIncoming && x.r.Isolation.Incoming != rig.ShroudedPoints
	if exposed || x.r.Supply.Phases == 3 {
		return x.word("fill.supervisor-measures") + " "
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
		return x.word("fill.from-to", "first", x.c.Points[idx[0]].ID, "last", x.c.Points[idx[len(idx)-1]].ID)
	}
	var out []string
	for _, i := range idx {
		out = append(out, pointName(x.c, i))
	}
	return x.list(out)
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
	return x.list(out)
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
			return x.list(out)
		}
	}
	if x.c != nil {
		return x.list(safety.InsulationPairs(safety.Circuit{Lines: len(x.c.Lines), Electronics: x.c.Electronics != ""}))
	}
	return x.list(safety.DeadPairs(x.r.Supply.Phases))
}
