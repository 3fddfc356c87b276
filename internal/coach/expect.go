package coach

import (
	"strings"

	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Ahead is what can be known of one group of readings before it is taken.
type Ahead struct {
	Parts    []string // ids of the group's parts within their step: "r1", "s3", "L-E"
	Open     bool     // it should be over range: no path
	Expected []judge.Expected
	Limits   []judge.Limit
	// Ze and R1R2 are what a calculated loop impedance is the sum of; not given where
	// there is no number yet.
	Ze, R1R2 quantity.Reading
}

// Expect returns what is expected of the readings of a step that are still to be
// taken, and the limits they will be held against, in the units of the test. It is
// empty for a step that takes no readings, and where nothing can be computed.
func (s *State) Expect(step int) ([]judge.Expected, []judge.Limit) {
	var es []judge.Expected
	var ls []judge.Limit
	for _, a := range s.Ahead(step) {
		es, ls = append(es, a.Expected...), append(ls, a.Limits...)
	}
	return es, ls
}

// Ahead is [State.Expect] group by group, so that each expectation keeps its point.
func (s *State) Ahead(step int) []Ahead {
	if step < 0 || step >= len(s.pl.p.Steps) || s.pl.p.Steps[step].Form != sequence.Read {
		return nil
	}
	var out []Ahead
	for _, g := range s.pl.groups[step] {
		taken := true
		for _, p := range g {
			taken = taken && s.class[p] != None && s.class[p] != SetUp
		}
		if !taken {
			out = append(out, s.aheadOf(step, g))
		}
	}
	return out
}

func (s *State) aheadOf(step int, g group) Ahead {
	st := &s.pl.p.Steps[step]
	var a Ahead
	for _, p := range g {
		a.Parts = append(a.Parts, s.pl.part(p).ID)
	}
	switch s.pl.testName(step) {
	case safety.TestBars, safety.TestSupplyCable:
		a.Open = true
		return a
	case safety.TestOwnBar:
		if a.Parts[0] != s.pl.r.BarOf(&s.pl.r.Circuits[st.Circuit]) {
			a.Open = true
			return a
		}
	case safety.TestInstrument:
		a.Open = strings.HasSuffix(a.Parts[0], "open")
		return a
	case safety.TestSwitching:
		return a
	}
	if s.pack == nil {
		return a
	}
	// The points of a ring are not read yet; what their band is follows from its ends.
	q := s.query(g)
	q.Points = nil
	a.Ze, a.R1R2 = q.Ze, q.R1R2
	// An edition without limits for this rig says so when the reading is judged.
	a.Expected, a.Limits, _ = judge.Before(s.pack, q)
	return a
}
