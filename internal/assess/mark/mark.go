package mark

import (
	"sort"
	"strings"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/quantity"
)

// Marker marks records of one paper with one draw.
type Marker struct {
	plan    *Plan
	answers map[string]seal.Answer
	base    *coach.State
	seed    uint64
	rig     *truth.Bench // of the draw, once it was asked for
	built   bool
}

// Marker prepares the marking of records with the key's draw. Keys of equal draws may
// share one.
func (p *Plan) Marker(k *seal.Key) *Marker {
	m := &Marker{plan: p, seed: k.Seed, answers: make(map[string]seal.Answer, len(k.Answers))}
	readings := make(map[string]string, len(k.Answers))
	for _, a := range k.Answers {
		m.answers[a.ID], readings[a.ID] = a, a.Raw
	}
	m.base = p.base.Suppose(readings)
	return m
}

// Mark marks one record. Fields of the header that say whose it is are taken over.
func (m *Marker) Mark(lines []journal.Line) *Result {
	es := entries(lines)
	ix := index(es)
	r := &Result{Rule: Rule, Paper: m.plan.Content.Paper.ID, Tasks: []TaskMark{}, Halts: []Halt{}, Notes: []Note{}}
	r.header(lines)
	w := work{es: es, ix: ix}
	if r.Setting == string(paper.Alone) {
		mine := m.movesOf(es)
		w.mv = &mine
	}
	w.typed = make([][]map[string]*typed, len(m.plan.tasks))
	for i, steps := range m.plan.tasks {
		for s := range steps {
			w.typed[i] = append(w.typed[i], readings(&steps[s], es))
		}
	}
	if w.mv != nil {
		w.rests = m.rests(&w)
	}
	for i := range m.plan.Content.Paper.Tasks {
		r.Tasks = append(r.Tasks, m.task(i, &w))
	}
	r.NotMarked = m.plan.notMarked(paper.Setting(r.Setting))
	m.times(r, es)
	r.instrument(es)
	r.halts(es)
	r.notes(es)
	r.sum(m.plan.Content.Paper.PassPercent)
	return r
}

func (r *Result) header(lines []journal.Line) {
	for _, l := range lines {
		switch {
		case l.Header != nil:
			f := l.Header.Fields
			r.Session, r.Edition, r.Scripted = l.Header.Session, l.Header.Edition, l.Header.Scripted
			r.Candidate, r.Setting = f["candidate"], f["setting"]
			r.Instrument, r.Calibration = f["instrument"], f["calibration"]
			r.Allowed, r.Extra = 60*(atoi(f["minutes"])+atoi(f["extra_minutes"])), atoi(f["extra_minutes"])
		case l.Closed != nil:
			r.Ended = l.Closed.How
		}
	}
}

func atoi(s string) int {
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' {
			return 0
		}
		n = n*10 + int(c-'0')
	}
	return n
}

// work is what one record holds, sorted for marking.
type work struct {
	es    []entry
	ix    map[string]*given
	mv    *moves                // alone only
	typed [][]map[string]*typed // by task and step: readings as they count
	rests map[string]rest       // alone only, by reading
}

func (m *Marker) task(i int, w *work) TaskMark {
	t := &m.plan.Content.Paper.Tasks[i]
	items := map[paper.Part][]Item{}
	for s := range m.plan.tasks[i] {
		sp := &m.plan.tasks[i][s]
		typed := w.typed[i][s]
		if w.mv != nil && sp.inspected {
			continue
		}
		if w.mv != nil {
			m.atBench(sp, w, typed, items)
			items[paper.Order] = append(items[paper.Order], w.order(sp, typed)...)
		} else {
			asked(sp, w.ix, items)
		}
		items[paper.Reading] = append(items[paper.Reading], m.readings(sp, typed, w.ix)...)
		items[paper.Record] = append(items[paper.Record], record(sp, typed)...)
		if !sp.observed {
			items[paper.Interpretation] = append(items[paper.Interpretation], m.interpretation(sp, typed, w.ix)...)
		}
	}
	out := TaskMark{Task: t.ID, Title: t.Title, Parts: []PartMark{}}
	for _, p := range paper.Parts {
		if len(items[p]) == 0 || t.Marks[p] == 0 {
			continue
		}
		pm := PartMark{Part: p, Of: t.Marks[p], Items: items[p]}
		pm.ByRule = share(pm.Of, items[p])
		pm.Mark = pm.ByRule
		out.Parts = append(out.Parts, pm)
	}
	return out
}

// asked marks set-up, connection and reinstatement from what was asked.
func asked(sp *stepPlan, ix map[string]*given, items map[paper.Part][]Item) {
	for _, it := range sp.set {
		items[paper.SetUp] = append(items[paper.SetUp], choice(it, ix))
	}
	for _, it := range sp.wired {
		items[paper.Connection] = append(items[paper.Connection], choice(it, ix))
	}
	for _, it := range sp.back {
		items[paper.Reinstatement] = append(items[paper.Reinstatement], choice(it, ix))
	}
}

// share is the rule that turns items into marks: all right, all; at least half, half,
// rounded down; else none.
func share(of int, items []Item) int {
	right := 0
	for _, it := range items {
		if it.Right {
			right++
		}
	}
	switch {
	case right == len(items):
		return of
	case 2*right >= len(items):
		return of / 2
	}
	return 0
}

// choice marks an answer that is one of a list.
func choice(it item, ix map[string]*given) Item {
	out := Item{ID: it.id, Reference: it.right, Entries: []int{}, Why: "missing"}
	g := ix[it.id]
	if g == nil {
		return out
	}
	out.observed(g)
	if g.first == nil {
		return out
	}
	out.Entries = append(out.Entries, g.first.seq)
	out.Given = g.first.raw
	switch {
	case g.prompted != nil:
		out.Why = "prompted"
		out.Entries = append(out.Entries, g.prompted.seq)
	case g.first.verdict == "late":
		out.Why = "late"
	case g.first.raw != it.right || g.first.verdict == "halt":
		out.Why = "wrong"
	default:
		out.Right, out.Why = true, "right"
	}
	return out
}

func (it *Item) observed(g *given) {
	switch {
	case g.prompted != nil:
		it.Observed = "prompted"
	case g.notSeen != nil:
		it.Observed = "not-seen"
	case g.seen != nil:
		it.Observed = "seen"
	}
}

// readings marks each reading of a step against the reference reading.
func (m *Marker) readings(sp *stepPlan, got map[string]*typed, ix map[string]*given) []Item {
	out := make([]Item, 0, len(sp.parts))
	for _, r := range sp.parts {
		it := Item{ID: r.id, Reference: m.answers[r.id].Raw, Entries: []int{}, Why: "missing"}
		prompted := false
		for _, id := range []string{r.id, sp.id} {
			if g := ix[id]; g != nil {
				it.observed(g)
				if g.prompted != nil {
					prompted = true
					it.Entries = append(it.Entries, g.prompted.seq)
					break
				}
			}
		}
		t := got[r.id]
		if t != nil {
			it.Entries = append(it.Entries, t.by.seq)
			it.Given = t.raw
			if t.corrected != nil {
				it.Entries = append(it.Entries, t.corrected.seq)
			}
			switch {
			case t.missing:
				it.Given = t.by.raw
			case prompted:
				it.Why = "prompted"
			case t.late:
				it.Why = "late"
			default:
				it.Right, it.Why = m.agrees(sp, r, t.raw)
			}
		}
		sort.Ints(it.Entries)
		out = append(out, it)
	}
	return out
}

func (m *Marker) agrees(sp *stepPlan, r reading, raw string) (bool, string) {
	want := m.answers[r.id].Raw
	if sp.words {
		if strings.EqualFold(raw, want) {
			return true, "right"
		}
		return false, "wrong"
	}
	a, err := quantity.ParseSigned(raw, r.unit)
	if err != nil {
		return false, "unread"
	}
	b, err := quantity.ParseSigned(want, r.unit)
	if err != nil {
		return false, "unread"
	}
	tol, ok := m.plan.Content.Paper.Tolerances.For(r.rng)
	if ok && tol.Accepts(a, b, r.limit) {
		return true, "right"
	}
	return false, "wrong"
}

// record marks how the readings were put down.
func record(sp *stepPlan, got map[string]*typed) []Item {
	out := make([]Item, 0, len(sp.parts))
	for _, r := range sp.parts {
		it := Item{ID: r.id, Entries: []int{}, Why: "missing"}
		if t := got[r.id]; t != nil {
			it.Entries = append(it.Entries, t.by.seq)
			it.Given = t.raw
			switch {
			case t.missing:
			case t.late:
				it.Why = "late"
			case t.corrected != nil:
				it.Why = "corrected"
				it.Entries = append(it.Entries, t.corrected.seq)
			case t.refused > 0:
				it.Why = "refused"
			default:
				it.Right, it.Why = true, "right"
			}
		}
		out = append(out, it)
	}
	return out
}

// interpretation marks statement and reason against the candidate's own readings.
func (m *Marker) interpretation(sp *stepPlan, got map[string]*typed, ix map[string]*given) []Item {
	class, whys := m.own(sp, got)
	state := Item{ID: "state/" + sp.id, Entries: []int{}, Why: "missing"}
	why := Item{ID: "why/" + sp.id, Entries: []int{}, Why: "missing", Reference: whys}
	switch class {
	case coach.Pass:
		state.Reference = "pass"
	case coach.Doubt:
		state.Reference = "pass fail"
	case coach.None:
	default:
		state.Reference = "fail"
	}
	told(&state, ix)
	told(&why, ix)
	why.Right = why.Right && state.Right
	if why.Why == "right" && !state.Right {
		why.Why = "statement"
	}
	return []Item{state, why}
}

// told holds an answer against the words that will do.
func told(it *Item, ix map[string]*given) {
	g := ix[it.ID]
	if g == nil {
		return
	}
	it.observed(g)
	if g.first == nil {
		return
	}
	it.Given = g.first.raw
	it.Entries = append(it.Entries, g.first.seq)
	right := false
	for _, w := range strings.Fields(it.Reference) {
		right = right || w == g.first.raw
	}
	switch {
	case g.prompted != nil:
		it.Why = "prompted"
		it.Entries = append(it.Entries, g.prompted.seq)
	case g.first.verdict == "late":
		it.Why = "late"
	case right:
		it.Right, it.Why = true, "right"
	default:
		it.Why = "wrong"
	}
}

// own is the worst class that the candidate's own readings of a step come to, with the
// reasons that fit those that decided. None when a reading is missing.
func (m *Marker) own(sp *stepPlan, got map[string]*typed) (coach.Class, string) {
	mine := map[string]string{}
	for _, r := range sp.parts {
		if t := got[r.id]; t != nil && !t.missing {
			mine[r.id] = t.raw
		}
	}
	if len(mine) < len(sp.parts) {
		return coach.None, ""
	}
	st := m.base.Suppose(mine)
	worst, words := coach.None, map[string]bool{}
	for _, g := range sp.groups {
		class, _ := st.VerdictOf(g[0])
		var got, sound []string
		for _, id := range g {
			got, sound = append(got, mine[id]), append(sound, m.answers[id].Sound)
		}
		if worse(class) > worse(worst) {
			worst, words = class, map[string]bool{}
		}
		if worse(class) == worse(worst) {
			for _, w := range strings.Fields(truth.Why(sp.test, class, got, sound)) {
				words[w] = true
			}
		}
	}
	if worst == coach.Pass {
		return worst, truth.AsExpected
	}
	var list []string
	for w := range words {
		list = append(list, w)
	}
	sort.Strings(list)
	return worst, strings.Join(list, " ")
}

func worse(c coach.Class) int {
	switch c {
	case coach.None:
		return 0
	case coach.Pass, coach.NotApplicable, coach.Accepted:
		return 1
	case coach.Doubt:
		return 2
	}
	return 3
}
