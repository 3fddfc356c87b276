package faultfind

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/internal/signature"
	"wanderlead/safety"
)

// Reading is one reading that was taken: the id of the measure and what was read, in the measure's unit.
type Reading struct {
	ID   string
	Read quantity.Reading
}

// Sure says how far the readings decide.
type Sure string

// Only: no other cause this package knows comes near. Likely: others are possible, this one is clearly ahead. OneOf: the
// readings so far cannot tell several apart. Possible: behind the first.
const (
	Only     Sure = "only"
	Likely   Sure = "likely"
	OneOf    Sure = "one-of"
	Possible Sure = "possible"
)

// Evidence is one reading against what a cause predicts for it and what it would be with nothing wrong.
type Evidence struct {
	Measure                *Measure
	Read, Predicted, Sound float64
}

// Answer is one kind of cause, with the places that the readings so far cannot tell apart, the likeliest first. Second is
// set where two faults together are meant.
type Answer struct {
	Causes   []Cause
	Second   *Cause
	Share    float64 // of all causes known here, 0 to 1
	Sure     Sure
	Fits     bool     // every reading lies within the instrument's accuracy of what this predicts
	LeadsOhm *float64 // leads that were not nulled, estimated along; nil: nulled
	Evidence []Evidence
	Untested bool // no reading so far would look otherwise if nothing were wrong: neither shown nor excluded

	innocent bool
	picks    []pick
	log      float64
	loopOhm  float64 // what the loop tester's method adds to every Zs, estimated along
}

// Innocent says whether nothing in the installation is wrong.
func (a *Answer) Innocent() bool { return a.innocent }

// Result is what the readings say about a circuit.
type Result struct {
	Answers []Answer // the likeliest first; those below a thousandth are left out
	Fits    bool     // some answer reproduces the readings
	Unseen  []string // kinds that no measurement tells from nothing being wrong: a matter for looking
	Count   int      // hypotheses weighed
	Next    *Next    // nil until asked for, and when no measurement would tell more

	worst Evidence // the reading that the first answer misses most

	picks []scored
}

// scored is a hypothesis with its weight.
type scored struct {
	picks []pick
	fit   fit
	log   float64 // with the prior
	share float64
}

// Seen resolves readings by the ids of the measures. The error names the first that is not known, or that is in another
// unit; an id may leave out the circuit or the RCD it belongs to.
func (m *Model) Seen(readings []Reading) ([]observed, error) {
	var out []observed
	for _, r := range readings {
		i, ok := m.Find(r.ID)
		if !ok {
			return nil, fmt.Errorf("%s has no reading %q", m.Circuit.ID, r.ID)
		}
		v := r.Read.Value
		switch r.Read.Mark {
		case quantity.OverRange, quantity.NoTrip:
			v = math.Inf(1)
		case quantity.Nothing:
			v = math.NaN()
		}
		out = append(out, observed{i, v})
	}
	return out, nil
}

// Find gives the number of a measure by its id.
func (m *Model) Find(id string) (int, bool) {
	names := []string{id, m.Circuit.ID + "/" + id}
	if d := m.Rig.RCDOf(m.Circuit); d != nil {
		names = append(names, d.ID+"/"+id)
	}
	for _, n := range names {
		if i, ok := m.measured[n]; ok {
			return i, true
		}
	}
	return 0, false
}

// Rank weighs every cause by how well it reproduces the readings.
func (m *Model) Rank(readings []Reading) (*Result, error) {
	seen, err := m.Seen(readings)
	if err != nil {
		return nil, err
	}
	return m.rank(seen), nil
}

func (m *Model) rank(seen []observed) *Result {
	r := &Result{}
	extras := slices.ContainsFunc(seen, func(o observed) bool { return m.Measures[o.measure].Extra })
	all := m.singles(seen, extras)
	r.Count = len(all)
	if best := all[0]; !m.fits(m.exactly(best.picks, extras), seen, best.fit) {
		pairs, tried := m.pairs(all, seen, extras)
		r.Count += tried
		all = append(all, pairs...)
		sortScored(all)
	}
	share(all)
	r.picks = all
	r.Answers = m.gather(all, seen, extras)
	r.Fits = slices.ContainsFunc(r.Answers, func(a Answer) bool { return a.Fits })
	r.worst = m.worst(all[0], seen, extras)
	return r
}

func sortScored(all []scored) {
	slices.SortStableFunc(all, func(x, y scored) int { return cmp.Compare(y.log, x.log) })
}

func share(all []scored) {
	sum := 0.0
	for i := range all {
		all[i].share = math.Exp(all[i].log - all[0].log)
		sum += all[i].share
	}
	for i := range all {
		all[i].share /= sum
	}
}

// singles weighs each form at its best size, the best ones with the network solved at that size.
func (m *Model) singles(seen []observed, extras bool) []scored {
	var buffer answer
	to := dead
	switch {
	case extras:
		to = wide
	case slices.ContainsFunc(seen, func(o observed) bool { return m.Measures[o.measure].Live }):
		to = usual
	}
	m.learnAll(to)
	all := make([]scored, 0, len(m.forms))
	for _, f := range m.forms {
		size, fit := m.sized(f, seen, &buffer)
		all = append(all, scored{picks: []pick{{f, size}}, fit: fit, log: fit.log + f.prior + f.sizePrior(size)})
	}
	sortScored(all)
	for i := range min(len(all), 8) {
		if s := &all[i]; len(s.picks[0].form.sizes) > 0 {
			m.settle(s, seen, extras, &buffer)
		}
	}
	sortScored(all)
	return all
}

// settle solves the network for a single at its size, and where that is not what the sizes beside it promised, as when a
// device opens at some size between them, looks around for a better one.
func (m *Model) settle(s *scored, seen []observed, extras bool, buffer *answer) {
	f, promised := s.picks[0].form, s.fit.log
	weigh := func(size float64) fit {
		*buffer = m.predict(*buffer, extras, pick{f, size})
		return m.against(*buffer, seen)
	}
	s.fit = weigh(s.picks[0].size)
	if s.fit.log < promised-1 {
		from := s.picks[0].size
		for _, factor := range []float64{0.2, 0.35, 0.5, 0.7, 0.85, 1.2, 1.4, 2, 3, 5} {
			size := float64(from * factor)
			if size < f.sizes[0] || size > f.sizes[len(f.sizes)-1] {
				continue
			}
			if t := weigh(size); t.log > s.fit.log {
				s.fit, s.picks[0].size = t, size
			}
		}
	}
	s.log = s.fit.log + f.prior + f.sizePrior(s.picks[0].size)
}

// exactly is what a hypothesis predicts with the network solved for it.
func (m *Model) exactly(picks []pick, extras bool) answer {
	return m.predict(nil, extras, picks...)
}

// fits says whether every reading lies within the instrument's accuracy, and a contact's few hundredths of an ohm, of
// what is predicted.
func (m *Model) fits(pred answer, seen []observed, f fit) bool {
	for _, o := range seen {
		if m.away(pred, o, f) > 1 {
			return false
		}
	}
	return true
}

// away is the distance of a reading from its prediction in accuracies.
func (m *Model) away(pred answer, o observed, f fit) float64 {
	x, p := m.Measures[o.measure], m.expected(pred, o)
	switch {
	case x.function == signature.LowOhm && !nothing(p) && !nothing(o.value):
		return math.Abs(o.value-p-f.offset-float64(f.gain*p)) / (float64(0.02*p) + float64(2*x.digit(p)) + 0.02)
	case x.Test == safety.TestZs && !nothing(p) && !nothing(o.value):
		return math.Abs(o.value-p-f.loop-float64(f.loopGain*p)) / (float64(0.05*p) + float64(5*x.digit(p)))
	}
	return -m.alone(x, p, o.value) / 8
}

// worst is the reading that a hypothesis misses most.
func (m *Model) worst(s scored, seen []observed, extras bool) (e Evidence) {
	pred, most := m.exactly(s.picks, extras), -1.0
	for _, o := range seen {
		if d := m.away(pred, o, s.fit); d > most {
			most, e = d, Evidence{m.Measures[o.measure], o.value, m.expected(pred, o), m.expected(m.sound, o)}
		}
	}
	return e
}

// gather puts hypotheses of one kind together.
func (m *Model) gather(all []scored, seen []observed, extras bool) []Answer {
	var out []Answer
	at := map[string]int{}
	for _, s := range all {
		if s.share < 1e-4 {
			break
		}
		key := keyOfPicks(s.picks)
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			a := Answer{picks: s.picks, log: s.log, innocent: s.picks[0].form.innocent && len(s.picks) == 1}
			pred := m.exactly(s.picks, extras)
			a.Fits = m.fits(pred, seen, s.fit)
			if !s.fit.nulled {
				offset := s.fit.offset
				a.LeadsOhm = &offset
			}
			a.loopOhm = s.fit.loop
			if len(s.picks) > 1 {
				second := causeOf(s.picks[1])
				a.Second = &second
			}
			a.Evidence = m.evidence(pred, seen)
			a.Untested = s.picks[0].form.Kind != None && !slices.ContainsFunc(a.Evidence, telling)
			out = append(out, a)
		}
		a := &out[i]
		a.Share += s.share
		if s.log > a.log-3 {
			a.Causes = append(a.Causes, causeOf(s.picks[0]))
		}
	}
	slices.SortStableFunc(out, func(x, y Answer) int { return cmp.Compare(y.Share, x.Share) })
	for i := range out {
		switch a := &out[i]; {
		case i == 0 && a.Share >= 0.95 && len(a.Causes) == 1:
			a.Sure = Only
		case i == 0 && a.Share >= 0.7:
			a.Sure = Likely
		case a.Share >= out[0].Share/4:
			a.Sure = OneOf
		default:
			a.Sure = Possible
		}
	}
	return slices.DeleteFunc(out, func(a Answer) bool { return a.Share < 1e-3 && len(out) > 1 })
}

func keyOfPicks(picks []pick) string {
	var parts []string
	for _, p := range picks {
		c := causeOf(p)
		parts = append(parts, c.Kind+" "+c.Pair)
		if len(picks) > 1 {
			parts = append(parts, c.From, c.To, c.Point)
		}
	}
	return strings.Join(parts, " ")
}

// causeOf is a form at a size. What a leak is called follows its size: a short, something through the cable, damp.
func causeOf(p pick) Cause {
	c := p.form.Cause
	c.Size = p.size
	return c
}

// evidence are the readings that speak most for a cause against nothing being wrong, at most three.
func (m *Model) evidence(pred answer, seen []observed) []Evidence {
	var out []Evidence
	for _, o := range seen {
		out = append(out, Evidence{m.Measures[o.measure], o.value, m.expected(pred, o), m.expected(m.sound, o)})
	}
	weight := Evidence.weight
	slices.SortStableFunc(out, func(x, y Evidence) int { return cmp.Compare(weight(y), weight(x)) })
	for i, e := range out {
		if i == 3 || i > 0 && weight(e) < 2 {
			return out[:i]
		}
	}
	return out
}

// weight is how far a cause moves a reading from what it would be with nothing wrong, in digits and a bit.
func (e Evidence) weight() float64 {
	switch {
	case nothing(e.Predicted) != nothing(e.Sound):
		if e.Measure.function == signature.Insulating && (e.Predicted >= soundMegohm || e.Sound >= soundMegohm) && !(e.Predicted < soundMegohm) {
			return 0
		}
		return 1e9
	case nothing(e.Predicted):
		return 0
	}
	return math.Abs(e.Predicted-e.Sound) / (e.Measure.digit(e.Sound) + float64(0.02*e.Sound))
}

// telling says whether a reading looks otherwise with the cause than without.
func telling(e Evidence) bool { return !e.Measure.blurred(e.Predicted, e.Sound) }
