package mark

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/study"
)

// Alone, set-up, connection and reinstatement are marked from the candidate's own moves
// at the bench: how the instrument was set and the rig stood at each measurement, and
// how it stood at the end.

// measured is one reading of a measurement with the entry that took it.
type measured struct {
	seq int
	*measurement
}

// measurement is one reading as it was set up, with what it comes to for readings of the
// paper on the rig of a draw. Records share it: most candidates do the same.
type measurement struct {
	study.Measured
	came map[asReading]truth.Moves
}

type asReading struct {
	bench *truth.Bench
	id    string
}

// moves are what a record holds of the bench.
type moves struct {
	all []measured
	end study.Stand
}

func (m *Marker) movesOf(es []entry) moves {
	out := moves{all: make([]measured, 0, 64)}
	var end map[string]string
	known := m.plan.benches.known
	for i := range es {
		e := &es[i]
		if e.verdict != "taken" || e.came["lead"] == "" {
			continue
		}
		// Of a measurement the stand before it is kept. A test can open a device, no more.
		end = e.came
		if e.came["function"] == "" {
			continue
		}
		key := standKey(e.came)
		rows, ok := known[key]
		if !ok {
			for _, x := range study.ParseMeasured(e.came) {
				rows = append(rows, &measurement{x, map[asReading]truth.Moves{}})
			}
			known[key] = rows
		}
		for _, x := range rows {
			out.all = append(out.all, measured{e.seq, x})
		}
	}
	out.end = study.ParseStand(end)
	return out
}

// standKey is the same for the same params.
func standKey(p map[string]string) string {
	n := 0
	for _, k := range standParams {
		n += len(p[k]) + 1
	}
	b := make([]byte, 0, n)
	for _, k := range standParams {
		b = append(append(b, p[k]...), '\n')
	}
	return string(b)
}

var standParams = []string{"function", "volt", "rcd", "leads", "covers", "lifted", "out", "in", "open", "moved", "position", "links", "null", "lead", "cleared"}

// benches are the virtual rigs of the draws met so far, with what measurements came to
// on them.
type benches struct {
	byDraw map[string]*truth.Bench
	known  map[string][]*measurement
}

// bench is the rig of the marker's draw, nil where it cannot be built.
func (m *Marker) bench() *truth.Bench {
	if m.built {
		return m.rig
	}
	draw := m.plan.Content.Paper.Draw(m.seed)
	name := fmt.Sprint(draw)
	b, ok := m.plan.benches.byDraw[name]
	if !ok {
		var err error
		if b, err = truth.NewBench(m.plan.Content, draw, paper.Observed, 0); err != nil {
			b = nil
		}
		m.plan.benches.byDraw[name] = b
	}
	m.rig, m.built = b, true
	return b
}

// atBench marks set-up, connection and reinstatement of one step.
func (m *Marker) atBench(sp *stepPlan, w *work, typed map[string]*typed, items map[paper.Part][]Item) {
	b := m.bench()
	if b == nil || sp.observed {
		return
	}
	opens, wanted := false, 0
	var used []measured
	set := Item{ID: "function/" + sp.id, Entries: []int{}, Right: true, Why: "right"}
	for _, r := range sp.parts {
		on, marked := w.rests[r.id]
		if !marked {
			continue
		}
		wanted++
		wired := Item{ID: "leads/" + r.id, Entries: []int{}, Why: "missing"}
		opens = opens || b.Opens(r.id)
		if on.ok {
			used = append(used, on.measured)
			wired.Given, wired.Reference, wired.Entries = on.came.Leads, on.came.LeadsRight, []int{on.seq, typed[r.id].by.seq}
			wired.Right, wired.Why = on.came.Connection, rightOr(on.came.Connection, "wrong")
		}
		set.instrument(on.measured, on.came, on.ok)
		items[paper.Connection] = append(items[paper.Connection], wired)
	}
	if wanted > 0 {
		items[paper.SetUp] = append(items[paper.SetUp], set)
	}
	if opens {
		items[paper.Reinstatement] = append(items[paper.Reinstatement], m.back(sp, *w.mv, used))
	}
}

// instrument adds a measurement to what the instrument was set to for a step: it has to
// be right for each of its readings. What was wrong first is what is shown.
func (it *Item) instrument(x measured, came truth.Moves, ok bool) {
	if ok && !slices.Contains(it.Entries, x.seq) {
		it.Entries = append(it.Entries, x.seq)
	}
	switch {
	case !it.Right:
	case !ok:
		it.Right, it.Why = false, "missing"
	default:
		it.Given, it.Reference = came.Set, came.SetRight
		it.Right, it.Why = came.SetUp, rightOr(came.SetUp, "wrong")
	}
}

func rightOr(right bool, other string) string {
	if right {
		return "right"
	}
	return other
}

// rest is what one reading is taken to rest on.
type rest struct {
	measured
	came truth.Moves
	ok   bool
	// done is the entry by which the reading had first been measured, as right as it was ever measured; 0: its conductors
	// were never measured.
	done int
}

// restOf is the measurement that a reading is taken to rest on: among those before it,
// the last that was set up and connected right, else the last with its leads where they
// belong, else the last of all. A reading that was never entered rests on none.
func (m *Marker) restOf(b *truth.Bench, id string, mv *moves, t *typed) rest {
	var out rest
	rank, until := -1, math.MaxInt
	if t != nil {
		until = t.by.seq
	}
	for _, x := range mv.all {
		if x.seq > until {
			break
		}
		c, ok := x.as(b, id)
		if !ok {
			return rest{}
		}
		n := 0
		switch {
		case c.SetUp && c.Connection:
			n = 2
		case c.There:
			n = 1
		}
		if n > rank && n > 0 {
			out.done = x.seq
		}
		if n >= rank {
			out.measured, out.came, rank = x, c, n
		}
	}
	out.ok = rank >= 0 && t != nil
	return out
}

// rests works out for each reading of the paper what it rests on.
func (m *Marker) rests(w *work) map[string]rest {
	b := m.bench()
	if b == nil {
		return nil
	}
	out := map[string]rest{}
	for i := range m.plan.tasks {
		for s := range m.plan.tasks[i] {
			sp := &m.plan.tasks[i][s]
			for _, r := range sp.parts {
				if !sp.observed && b.Marked(r.id) {
					out[r.id] = m.restOf(b, r.id, w.mv, w.typed[i][s][r.id])
				}
			}
		}
	}
	return out
}

// as is what a measurement comes to for a reading, worked out once.
func (x *measurement) as(b *truth.Bench, id string) (truth.Moves, bool) {
	key := asReading{b, id}
	c, ok := x.came[key]
	if !ok {
		if c, ok = b.Moves(id, x.Measured); !ok {
			return c, false
		}
		x.came[key] = c
	}
	return c, true
}

// back marks the return of what stood open for a step: it has to be in its own place at
// the end of the record.
func (m *Marker) back(sp *stepPlan, mv moves, used []measured) Item {
	it := Item{ID: "back/" + sp.id, Entries: []int{}, Why: "missing"}
	if len(used) == 0 {
		return it
	}
	owner := ""
	if c := m.plan.Content.Program.Steps[sp.step].Circuit; c >= 0 {
		owner = m.plan.Content.Program.Rig.Circuits[c].ID + "/"
	}
	end := stoodOpen(mv.end, owner)
	var left []string
	for _, u := range used {
		if !slices.Contains(it.Entries, u.seq) {
			it.Entries = append(it.Entries, u.seq)
		}
		for _, name := range stoodOpen(u.Stand, owner) {
			if slices.Contains(end, name) && !slices.Contains(left, name) {
				left = append(left, name)
			}
		}
	}
	for _, name := range end { // put into another place than its own
		if strings.Contains(name, "=") && !slices.Contains(left, name) {
			left = append(left, name)
		}
	}
	sort.Ints(it.Entries)
	sort.Strings(left)
	it.Right, it.Why, it.Given = len(left) == 0, rightOr(len(left) == 0, "wrong"), strings.Join(left, ", ")
	return it
}

// stoodOpen names what is out of its terminal, in another one, joined or disconnected, of one
// circuit, or of all.
func stoodOpen(d study.Stand, owner string) []string {
	var out []string
	mine := func(name string) bool { return strings.HasPrefix(name, owner) }
	for _, set := range []map[string]bool{d.Cond.Lifted, d.Cond.Out} {
		for name, is := range set {
			if is && mine(name) {
				out = append(out, name)
			}
		}
	}
	for name, to := range d.Cond.Moved {
		if mine(name) {
			out = append(out, name+"="+to)
		}
	}
	for _, l := range d.Cond.Links {
		if mine(l.A) || mine(l.B) {
			out = append(out, l.A+"="+l.B)
		}
	}
	sort.Strings(out)
	return out
}
