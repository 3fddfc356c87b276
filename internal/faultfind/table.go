package faultfind

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
)

// Score is how a kind of fault is found: every fault planted on a rig, read as an instrument shows it, and ranked.
type Score struct {
	Kind  string
	Cases int
	Ties  int // no reading of the usual run tells it from another cause
	First int // of the rest: named first
	Three int // of the rest: among the first three
	Exact int // of the first: named at the very place, not at one that reads the same
	Among int // of the first: places named together, summed
	With  map[string]int
	Wrong []string // what was not first, where and what was
}

// Trial is one circuit on which faults are planted.
type Trial struct {
	Rig     *rig.Rig
	Circuit string
}

// Trials are rings of 4 to 12 socket-outlets, radials of 3 to 8, and the lighting circuit of a rig, made from its own;
// with an earth electrode for the faults of one. Step leaves some lengths out: 1 takes all.
func Trials(reference *rig.Rig, step int) []Trial {
	var out []Trial
	for n := 4; n <= 12; n += step {
		out = append(out, Trial{lengthened(reference, rig.Ring, n), "ring"})
	}
	for n := 3; n <= 8; n += step {
		out = append(out, Trial{lengthened(reference, rig.Radial, n), "radial"})
	}
	out = append(out, Trial{reference, "lighting"})
	tt := *lengthened(reference, rig.Radial, 3)
	tt.Supply.Earthing = rig.TT
	tt.Earthing.Electrode = &rig.Electrode{Kind: "rod", Ohm: 20}
	return append(out, Trial{&tt, "radial"})
}

// lengthened is the rig with n points on its circuit of that shape, of the length of its first.
func lengthened(r *rig.Rig, shape rig.Shape, n int) *rig.Rig {
	out := *r
	out.Reference.Readings = nil
	out.Circuits = slices.Clone(r.Circuits)
	for i := range out.Circuits {
		c := &out.Circuits[i]
		if c.Shape != shape {
			continue
		}
		first := c.Points[0]
		c.Points = nil
		for k := range n {
			p := first
			p.ID, p.Label = fmt.Sprintf("s%d", k+1), fmt.Sprintf("socket s%d", k+1)
			c.Points = append(c.Points, p)
		}
	}
	return &out
}

// Evaluate plants every kind of fault at every place of a trial and finds it again from the readings of the usual run,
// as an instrument of that seed shows them. Times makes every size smaller or larger than the one for which the fault is
// known.
func Evaluate(t Trial, copper func(float64) (float64, bool), seed uint64, times float64, into map[string]*Score) error {
	c, ok := t.Rig.Circuit(t.Circuit)
	if !ok {
		return fmt.Errorf("there is no circuit %q on %s", t.Circuit, t.Rig.ID)
	}
	plain, err := New(t.Rig, copper, t.Circuit, nil)
	if err != nil {
		return err
	}
	spur := fmt.Sprintf("s%d", len(c.Points)+1)
	spurred := map[string]*Model{}
	for _, cause := range plantable(t.Rig, c) {
		cause.Size = float64(cause.Size * times)
		m := plain
		if cause.Kind == "F09" || cause.Kind == "F10" { // the socket-outlets on the wall that the rig does not list are read as well
			extra := []string{spur}
			if cause.Kind == "F10" {
				extra = append(extra, fmt.Sprintf("s%d", len(c.Points)+2))
			}
			if spurred[cause.Kind] == nil {
				if spurred[cause.Kind], err = New(t.Rig, copper, t.Circuit, extra); err != nil {
					return err
				}
			}
			m = spurred[cause.Kind]
		}
		if err := m.trial(cause, seed, into); err != nil {
			return fmt.Errorf("%s at %s: %w", cause.Kind, cause.place(), err)
		}
	}
	return nil
}

// plantable lists the faults in the sizes for which they are known; every place, and for leaks every pair.
func plantable(r *rig.Rig, c *rig.Circuit) []Cause {
	usual := map[string]faults.Kind{}
	for _, k := range faults.Kinds() {
		usual[k.ID] = k
	}
	var out []Cause
	for _, cause := range candidates(r, c) {
		k, ok := usual[cause.Kind]
		if !ok {
			continue
		}
		switch cause.Unit {
		case "Ω":
			cause.Size = k.Ohm
		case "m":
			cause.Size = k.Metre
		}
		out = append(out, cause)
		if cause.Kind == "F08" {
			cause.Size, cause.very = usual["F08b"].Ohm, true
			out = append(out, cause)
		}
	}
	return out
}

// name is the kind as the list of faults has it.
func (c Cause) name() string {
	if c.Kind == "F08" && c.very {
		return "F08b"
	}
	return c.Kind
}

// usualRun says whether a measure belongs to the tests that every circuit gets, the positions of switches and the
// metalwork of fittings included.
func (x *Measure) usualRun() bool { return !x.Extra || x.Test == TestLampholder || x.Test == TestPlate }

func (m *Model) trial(cause Cause, seed uint64, into map[string]*Score) error {
	b, err := cause.built(m.plain, m.o)
	if err != nil {
		return err
	}
	seen, err := m.shown(b, seed)
	if err != nil {
		return err
	}
	r := m.rank(seen)
	s := into[cause.name()]
	if s == nil {
		s = &Score{Kind: cause.name(), With: map[string]int{}}
		into[s.Kind] = s
	}
	s.Cases++
	planted := m.formOf(cause)
	truth := m.predict(nil, true, pick{planted, cause.Size})
	place, tie := 0, ""
	for _, a := range r.Answers {
		place++
		is := a.picks[0].form
		if len(a.picks) == 1 && is.Kind == cause.Kind && is.Pair == cause.Pair && (is == planted || m.sameRun(m.predict(nil, true, a.picks...), truth)) {
			break
		}
		if len(a.picks) == 1 && m.sameRun(m.predict(nil, true, a.picks...), truth) {
			tie = a.Causes[0].Kind
			break
		}
		if place == len(r.Answers) {
			place = math.MaxInt
			break
		}
	}
	switch {
	case tie != "":
		s.Ties++
		s.With[tie]++
		return nil
	case place == 1:
		s.First++
		s.Three++
		s.Among += len(r.Answers[0].Causes)
		if r.Answers[0].picks[0].form == planted {
			s.Exact++
		}
	case place <= 3:
		s.Three++
	}
	if place > 1 {
		top := r.Answers[0]
		s.Wrong = append(s.Wrong, fmt.Sprintf("%s, %d points, %s %s: %s %s of %.3g came first with %.2f", m.Circuit.ID, len(m.Circuit.Points), cause.Pair,
			cause.place(), top.Causes[0].Kind, top.Causes[0].place(), top.Causes[0].Size, top.Share))
	}
	return nil
}

// sameRun says whether the usual run cannot tell two predictions apart.
func (m *Model) sameRun(a, b answer) bool {
	for i, x := range m.Measures {
		if x.usualRun() && a[i] >= 0 == (b[i] >= 0) && !x.blurred(a[i], b[i]) {
			return false
		}
	}
	return true
}

func (m *Model) formOf(c Cause) *form {
	for _, f := range m.forms {
		if f.Kind == c.Kind && f.place() == c.place() && f.Pair == c.Pair {
			return f
		}
	}
	return nil
}

// shown takes the usual run on an installation, with an instrument of that seed.
func (m *Model) shown(b *faults.Built, seed uint64) ([]observed, error) {
	var seen []observed
	o := signature.Options{Wiring: m.o, Instrument: meter.Instrument{Seed: seed}, Leads: meter.Nulled(0.08)}
	for i, x := range m.Measures {
		if !x.usualRun() {
			continue
		}
		if x.unknown && !slices.Contains(b.Plan.Terminals(), x.aOn) {
			continue
		}
		s, err := x.setUp.Read(b, o, 0)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", x.ID, err)
		}
		v := s.Value
		switch {
		case s.Refusal != "":
			v = math.NaN()
		case s.Mark != "":
			v = math.Inf(1)
		}
		seen = append(seen, observed{i, v})
	}
	return seen, nil
}

// WriteTable prints scores by kind, and their sum: how many were planted, how many of them another cause reads like, and
// of the rest how many are named first and among the first three, at the very place, and among how many places.
func WriteTable(w io.Writer, scores map[string]*Score) {
	fmt.Fprintf(w, "%-5s %6s %6s %6s %8s %8s %8s %7s  %s\n", "fault", "cases", "ties", "apart", "first", "three", "place", "places", "tied with")
	sum := Score{Kind: "all"}
	for _, k := range slices.Sorted(maps.Keys(scores)) {
		s := scores[k]
		with := ""
		for _, other := range slices.Sorted(maps.Keys(s.With)) {
			with += fmt.Sprintf("%s ×%d ", other, s.With[other])
		}
		writeRow(w, s, with)
		sum.Cases, sum.Ties, sum.First, sum.Three = sum.Cases+s.Cases, sum.Ties+s.Ties, sum.First+s.First, sum.Three+s.Three
		sum.Exact, sum.Among = sum.Exact+s.Exact, sum.Among+s.Among
	}
	writeRow(w, &sum, "")
}

func writeRow(w io.Writer, s *Score, with string) {
	apart, places := s.Cases-s.Ties, "–"
	share := func(n int) string {
		if apart == 0 {
			return "–"
		}
		return fmt.Sprintf("%.1f%%", 100*float64(n)/float64(apart))
	}
	if s.First > 0 {
		places = fmt.Sprintf("%.1f", float64(s.Among)/float64(s.First))
	}
	fmt.Fprintf(w, "%-5s %6d %6d %6d %8s %8s %8s %7s  %s\n", s.Kind, s.Cases, s.Ties, apart, share(s.First), share(s.Three), share(s.Exact), places, with)
}

// Unplantable are the kinds of the list that no trial held, so that a table cannot leave one out unnoticed.
func Unplantable(scores map[string]*Score) (missing []string) {
	for _, k := range faults.Kinds() {
		if scores[k.ID] == nil {
			missing = append(missing, k.ID)
		}
	}
	return missing
}

// Misses lists what was not named first, and what was.
func Misses(scores map[string]*Score) (lines []string) {
	for _, k := range slices.Sorted(maps.Keys(scores)) {
		for _, w := range scores[k].Wrong {
			lines = append(lines, k+": "+w)
		}
	}
	return lines
}
