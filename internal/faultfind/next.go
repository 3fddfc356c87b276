package faultfind

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/signature"
)

// Next is the measurement that tells the remaining causes apart best.
type Next struct {
	Measure  *Measure
	GainBits float64 // how much it tells on average
	Before   int     // causes that are left
	After    float64 // of these, how many are left on average once it was read
	Splits   []Split // what it would show, the likeliest first
}

// Split is one outcome of a measurement: what is read, and which causes would show that.
type Split struct {
	Low, High float64 // +Inf over range or no trip, NaN no reading
	Share     float64
	Causes    []Cause
}

// suspect is a cause still in question, with what everything would show for it.
type suspect struct {
	picks []pick
	share float64
	shows answer
}

const (
	leastShare   = 0.0005 // causes below this are let go when the next measurement is chosen
	mostSuspects = 160
	leastGain    = 0.01 // bits; below it a measurement is not worth taking
)

// suspects are the causes in question. Kinds that nothing measured can show are left out, beside the sound installation
// that they look like.
func (m *Model) suspects(r *Result) []suspect {
	var out []suspect
	sum := 0.0
	for i, s := range r.picks {
		if len(out) == mostSuspects || s.share < leastShare && i > 0 {
			break
		}
		shows := m.shows(s.picks)
		if s.picks[0].form.Kind != None && m.alike(shows, m.sound) {
			continue
		}
		out = append(out, suspect{s.picks, s.share, shows})
		sum += s.share
	}
	for i := range out {
		out[i].share /= sum
	}
	return out
}

// shows is what everything shows for a hypothesis, the measures of a search among it.
func (m *Model) shows(picks []pick) answer {
	if f := picks[0].form; len(picks) == 1 {
		m.known(f, wide)
		return m.interpolated(nil, f, picks[0].size)
	}
	return m.exactly(picks, true)
}

// alike says whether no measure tells two predictions apart.
func (m *Model) alike(a, b answer) bool { return !m.differs(a, b, wide) }

// differs says whether some measure tells two predictions apart, as far as a level.
func (m *Model) differs(a, b answer, to level) bool {
	for i, x := range m.Measures {
		if !x.unknown && (to == wide || !x.Extra) && (to >= usual || !x.Live) && !x.blurred(a[i], b[i]) {
			return true
		}
	}
	return false
}

// blurred says whether an instrument may show the same for two values: one digit of scatter and rounding on either side,
// and for what it reads less sharply than it shows, that.
func (x *Measure) blurred(a, b float64) bool {
	if nothing(a) || nothing(b) {
		if x.function == signature.Insulating {
			return (nothing(a) || a >= soundMegohm) && (nothing(b) || b >= soundMegohm)
		}
		return nothing(a) == nothing(b) || x.function == signature.Volts && (math.IsNaN(a) || math.IsNaN(b))
	}
	d, mean := math.Abs(a-b), (a+b)/2
	switch x.function {
	case signature.LowOhm:
		return d <= float64(2*x.digit(mean))+float64(0.01*mean)
	case signature.Insulating:
		return a >= soundMegohm && b >= soundMegohm || d <= 0.04+float64(0.15*mean)
	case signature.RCDTime:
		return d <= 5+float64(0.2*mean)
	case signature.RCDRamp:
		return d <= float64(2*x.digit(mean))+float64(0.05*mean)
	case signature.Volts:
		return d <= 5+float64(0.04*mean)
	}
	return d <= float64(4*x.digit(mean))+float64(0.05*mean)
}

// split puts suspects into the outcomes of a measure: numbers that lie apart by more than the instrument blurs, and
// nothing. Group is the outcome of each suspect.
func (m *Model) split(measure int, all []suspect, order, group []int) int {
	x := m.Measures[measure]
	for i := range all {
		order[i] = i
	}
	value := func(i int) float64 {
		v := all[i].shows[measure]
		if math.IsNaN(v) {
			return math.Inf(1)
		}
		return v
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(value(i), value(j)), cmp.Compare(i, j)) })
	count := 0
	for k, i := range order {
		if k > 0 && !x.blurred(all[order[k-1]].shows[measure], all[i].shows[measure]) {
			count++
		}
		group[i] = count
	}
	return count + 1
}

// gain is the information in bits that a measure gives.
func gain(all []suspect, group []int, outcomes int) float64 {
	var p [mostSuspects]float64
	for i := range all {
		p[group[i]] += all[i].share
	}
	bits := 0.0
	for _, v := range p[:outcomes] {
		if v > 0 {
			bits -= float64(v * math.Log2(v))
		}
	}
	return bits
}

var neverEnergise = func() map[string]bool {
	out := map[string]bool{}
	for _, k := range faults.Kinds() {
		out[k.ID] = k.NeverEnergise
	}
	return out
}()

// liveAllowed says whether a live measurement may be named at all: not while a fault is in question with which a circuit
// is never made live. That all dead tests have passed before it is for whoever takes it to see to.
func liveAllowed(all []suspect) bool {
	for _, s := range all {
		for _, p := range s.picks {
			if neverEnergise[p.form.Kind] {
				return false
			}
		}
	}
	return true
}

// Next finds the measurement that splits the causes left best: dead before live, and of those that tell nearly the same
// the one that costs least to set up. nil when none tells anything.
func (m *Model) Next(r *Result, taken []Reading) *Next {
	all := m.suspects(r)
	if len(all) < 2 {
		return nil
	}
	skip := map[int]bool{}
	tests := map[string]bool{}
	for _, t := range taken {
		if i, ok := m.Find(t.ID); ok {
			skip[i] = true
			tests[m.Measures[i].Test] = true
		}
	}
	best := m.choose(all, skip, tests)
	if best < 0 {
		return nil
	}
	return m.explain(best, all)
}

// choose is the number of the measure to take next, −1 when none tells anything.
func (m *Model) choose(all []suspect, skip map[int]bool, tests map[string]bool) int {
	order, group := make([]int, len(all)), make([]int, len(all))
	type option struct {
		measure    int
		gain, cost float64
	}
	for _, live := range []bool{false, true} {
		if live && !liveAllowed(all) {
			break
		}
		var options []option
		top := 0.0
		for i, x := range m.Measures {
			if x.Live != live || skip[i] || x.unknown && slices.ContainsFunc(all, func(s suspect) bool { return s.shows[i] < 0 }) {
				continue
			}
			if bits := gain(all, group, m.split(i, all, order, group)); bits > leastGain {
				cost := x.Cost
				if tests[x.Test] {
					cost /= 2 // it is set up already
				}
				options = append(options, option{i, bits, cost})
				top = max(top, bits)
			}
		}
		options = slices.DeleteFunc(options, func(o option) bool { return o.gain < 0.92*top })
		if len(options) == 0 {
			continue
		}
		return slices.MinFunc(options, func(a, b option) int {
			return cmp.Or(cmp.Compare(a.cost/a.gain, b.cost/b.gain), cmp.Compare(a.measure, b.measure))
		}).measure
	}
	return -1
}

// explain says what a measure would show for whom.
func (m *Model) explain(measure int, all []suspect) *Next {
	order, group := make([]int, len(all)), make([]int, len(all))
	outcomes := m.split(measure, all, order, group)
	n := &Next{Measure: m.Measures[measure], GainBits: gain(all, group, outcomes), Before: len(all), Splits: make([]Split, outcomes)}
	for k := range n.Splits {
		n.Splits[k] = Split{Low: math.Inf(1), High: math.Inf(-1)}
	}
	counts := make([]int, outcomes)
	for i, s := range all {
		k := &n.Splits[group[i]]
		v := s.shows[measure]
		if nothing(v) {
			k.Low, k.High = v, v
		} else {
			k.Low, k.High = min(k.Low, v), max(k.High, v)
		}
		k.Share += s.share
		counts[group[i]]++
		for _, p := range s.picks {
			k.Causes = append(k.Causes, causeOf(p))
		}
	}
	for k, c := range counts {
		n.After += float64(n.Splits[k].Share * float64(c))
	}
	slices.SortStableFunc(n.Splits, func(x, y Split) int { return cmp.Compare(y.Share, x.Share) })
	return n
}

// Apart reports the kinds that no measure tells from nothing being wrong: a matter for looking, not for measuring. A spur
// is not one of them; it shows at its own socket-outlet.
func (m *Model) Apart() (unseen []string) {
	if m.apart != nil {
		return m.apart
	}
	shows := map[string]bool{None: true, "F09": true, "F10": true}
	m.apart = []string{}
	for _, f := range m.forms {
		if !shows[f.Kind] && m.showsAnywhere(f) {
			shows[f.Kind] = true
		}
	}
	for _, f := range m.forms {
		if !shows[f.Kind] && !slices.Contains(m.apart, f.Kind) {
			m.apart = append(m.apart, f.Kind)
		}
	}
	return m.apart
}

// showsAnywhere says whether some measure tells a form, at some size, from nothing being wrong.
func (m *Model) showsAnywhere(f *form) bool {
	for to := dead; to <= wide; to++ {
		for _, known := range m.known(f, to) {
			if m.differs(known, m.sound, f.level) {
				return true
			}
		}
	}
	return false
}

// place is where a cause sits, as words of ids.
func (c Cause) place() string {
	switch {
	case c.Point != "":
		return c.Point
	case c.From != "" || c.To != "":
		return strings.Join([]string{orBoard(c.From), orBoard(c.To)}, "-")
	}
	return ""
}

func orBoard(p string) string {
	if p == "" {
		return "board"
	}
	return p
}
