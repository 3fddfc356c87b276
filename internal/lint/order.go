package lint

import (
	"fmt"

	"wanderlead/internal/content"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// order complains where a test stands before one that has to come first.
func (l *linter) order(p *sequence.Program) {
	first := firstSteps(p)
	lines := safety.TestOrder()
	for a := range p.Tests {
		for b := range p.Tests {
			if first[a] < 0 || first[b] <= first[a] {
				continue
			}
			// b stands after a in the program; may it?
			for _, o := range lines {
				if o.Speaks(p.Tests[b].Name, p.Tests[a].Name) && inScope(o.Scope, &p.Tests[a], &p.Tests[b]) {
					l.misplaced(p, &p.Steps[first[a]], &p.Steps[first[b]], o)
				}
			}
		}
	}
}

// firstSteps is, for each test, the first step that takes it; -1 when none does.
func firstSteps(p *sequence.Program) []int {
	first := make([]int, len(p.Tests))
	for i := range first {
		first[i] = -1
	}
	for i := range p.Steps {
		if t := p.Steps[i].Test; t >= 0 && first[t] < 0 {
			first[t] = i
		}
	}
	return first
}

func inScope(s safety.Scope, a, b *sequence.Test) bool {
	switch s {
	case safety.SameCircuit:
		return a.Circuit >= 0 && a.Circuit == b.Circuit
	case safety.SameRCD:
		return a.RCD >= 0 && a.RCD == b.RCD
	}
	return true
}

// misplaced complains at the line that the author has to move: where the ways through the includes to the two steps
// part.
func (l *linter) misplaced(p *sequence.Program, early, late *sequence.Step, o safety.Order) {
	at, other, rest := parting(early, late)
	f, line, _ := other.Pos()
	q := l.add("order", at, fmt.Sprintf("move it after %s:%d", f, line), "%s stands before %s: %s (%s)",
		testOf(p, early), testOf(p, late), o.Why, o.Source)
	for _, v := range rest {
		f, line, _ := v.Pos()
		q.Hints = append(q.Hints, fmt.Sprintf("it stands at %s:%d", f, line))
	}
}

// parting finds where the ways to two steps part: the place on the way to the first, the place on the way to the
// second, and the step's own place when it lies deeper.
func parting(a, b *sequence.Step) (at, other content.Value, rest []content.Value) {
	wa, wb := append(cloneVia(a.Via), a.At), append(cloneVia(b.Via), b.At)
	i := 0
	for i < len(wa)-1 && i < len(wb)-1 && wa[i].SamePlace(wb[i]) {
		i++
	}
	if i < len(wa)-1 {
		rest = wa[len(wa)-1:]
	}
	return wa[i], wb[i], rest
}

func cloneVia(v []content.Value) []content.Value { return append([]content.Value(nil), v...) }

// testOf names a step's test in words an author knows: the test, with no circuit, since the same line of the file
// stands for many.
func testOf(p *sequence.Program, st *sequence.Step) string { return p.Tests[st.Test].Name }
