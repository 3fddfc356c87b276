package judge

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// Outcome is "pass", "doubt" or "fail".
type Outcome string

// The outcomes. Only Pass opens a gate.
const (
	Pass  Outcome = "pass"
	Doubt Outcome = "doubt"
	Fail  Outcome = "fail"
)

// Rank orders outcomes: a worse one is higher.
func (o Outcome) Rank() int { return map[Outcome]int{Pass: 1, Doubt: 2, Fail: 3}[o] }

// ofRank is the outcome of a rank; what is not worse than a pass is one.
func ofRank(rank int) Outcome { return [...]Outcome{Pass, Pass, Doubt, Fail}[rank] }

// Named is a reading by the name of its key.
type Named struct {
	Name    string
	Reading quantity.Reading
}

// Expected is a value computed from other facts. Formula has the numbers in it.
type Expected struct {
	Name    string
	Value   float64
	Unit    quantity.Unit
	Formula string
	From    string // FromCommissioned … FromLength; "" when computed from readings
}

// Limit is a limit that bears on the reading.
type Limit struct {
	Name    string
	Value   float64
	Unit    quantity.Unit
	Bound   string // "max", "min"
	Edition string
	Source  string // table or standard, and the formula where one was used
	Status  edition.Status
	idle    bool // listed for the trace, not what the reading is compared with
}

// Reason is the id of a text and the values that go into it. A value that
// starts with "@" is the id of another text.
type Reason struct {
	ID     string
	Params map[string]string
}

// Verdict is what judge has to say about one test.
type Verdict struct {
	Test     string
	Verdict  Outcome
	Edition  string
	Value    quantity.Reading // the reading judged; not given for several, or when computed
	Unit     quantity.Unit
	Readings []Named
	Expected []Expected
	Limits   []Limit
	// MarginPercent is the room to the nearest limit over that limit, positive
	// when it is met; nil where there is no limit or no number.
	MarginPercent *float64
	Reasons       []Reason // the worst first, remarks last
	Next          []Reason // what to do now
	// InLow and InHigh are what each point of a crossed ring may read to be taken as
	// fitting, Ω: the expected values with what is to spare beside them and what all
	// points share as contacts. Both are 0 for other tests. For drawings; not part of the
	// command's output.
	InLow, InHigh float64
}

// run collects one verdict.
type run struct {
	pack    *edition.Pack
	q       Query
	before  bool // only expectations and limits are wanted
	v       Verdict
	found   []finding
	subject *float64 // what the limits are compared with
}

type finding struct {
	rank   int // 0: a remark
	reason Reason
	next   string
}

// find adds a reason. Params are name, value, name, value …; next is the id of
// what to do, "" for nothing.
func (r *run) find(o Outcome, id, next string, params ...string) {
	r.found = append(r.found, finding{o.Rank(), r.reason(id, params...), next})
}

// remark adds a reason that does not bear on the verdict.
func (r *run) remark(id string, params ...string) {
	r.found = append(r.found, finding{0, r.reason(id, params...), ""})
}

func (r *run) reason(id string, params ...string) Reason {
	m := map[string]string{"value": r.q.Value.String(), "point": r.q.Point, "pair": r.q.Between}
	for i := 0; i+1 < len(params); i += 2 {
		m[params[i]] = params[i+1]
	}
	return Reason{id, m}
}

func (r *run) expect(name string, value float64, unit quantity.Unit, formula, from string) {
	r.v.Expected = append(r.v.Expected, Expected{name, value, unit, formula, from})
}

func (r *run) limit(name string, value float64, unit quantity.Unit, bound string, e edition.Entry) {
	r.v.Limits = append(r.v.Limits, Limit{Name: name, Value: value, Unit: unit, Bound: bound,
		Edition: r.pack.Name, Source: e.Source, Status: e.Status})
}

func (r *run) entryLimit(name string, e edition.Entry, unit quantity.Unit, bound string) {
	r.limit(name, e.Value, unit, bound, e)
}

// finish puts the worst first, drops what was in order when something was not,
// and works out the margin.
func (r *run) finish() Verdict {
	worst := r.worstRank(0)
	slices.SortStableFunc(r.found, func(a, b finding) int { return cmp.Compare(b.rank, a.rank) })
	for _, f := range r.found {
		if f.rank == Pass.Rank() && worst > f.rank {
			continue
		}
		r.v.Reasons = append(r.v.Reasons, f.reason)
		if f.next != "" && f.rank == worst && !slices.ContainsFunc(r.v.Next, func(n Reason) bool { return n.ID == f.next }) {
			r.v.Next = append(r.v.Next, Reason{f.next, f.reason.Params})
		}
	}
	r.v.Verdict = ofRank(worst)
	r.v.MarginPercent = r.margin()
	return r.v
}

// worstRank is that of the worst finding from a place on.
func (r *run) worstRank(from int) int {
	worst := Pass.Rank()
	for _, f := range r.found[from:] {
		worst = max(worst, f.rank)
	}
	return worst
}

func (r *run) margin() *float64 {
	if r.subject == nil {
		return nil
	}
	var best *float64
	nearest := math.Inf(1)
	for _, l := range r.v.Limits {
		if l.idle || l.Value == 0 {
			continue
		}
		room := l.Value - *r.subject
		if l.Bound == "min" {
			room = -room
		}
		if math.Abs(room) < nearest {
			nearest = math.Abs(room)
			percent := math.Round(float64(room/l.Value*1e5)) / 1e3 // to a thousandth of a per cent
			best = &percent
		}
	}
	return best
}

func (r *run) judged(value float64) { r.subject = &value }

// shown is a computed resistance as a sentence gives it: to the two places that an
// instrument shows. Limits keep their digits; see ohm.
func shown(v float64) string {
	if math.Abs(v) >= 100 {
		return ohm(v)
	}
	return fmt.Sprintf("%.2f %s", v, quantity.Ohm)
}

func ohm(v float64) string { return quantity.Format(v, quantity.Ohm) }
