// Package mark gives the marks of an exam, by a published rule, from the record and the
// opened key alone. Whoever was not there comes to the same marks.
package mark

import (
	"math"
	"slices"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/coach"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// item is one answer with one right value.
type item struct{ id, right string }

// reading is one marked reading.
type reading struct {
	id    string
	unit  quantity.Unit
	rng   paper.Range
	limit float64 // NaN: none
}

// stepPlan is what is marked of one step with readings.
type stepPlan struct {
	step       int
	id, test   string
	words      bool   // answered with words, not readings: positions of switches, something seen
	observed   bool   // seen, not measured
	inspected  bool   // an item of the visual inspection: alone there is nothing to look at
	set, wired []item // set-up and connection
	back       []item // reinstatement
	parts      []reading
	groups     [][]string
	after      []*stepPlan // marked steps that have to come before this one
}

// Plan is what marking needs of a paper on its sequence and rig. It is made once for all
// records of that content.
type Plan struct {
	Content truth.Content
	base    *coach.State
	tasks   [][]stepPlan
	benches benches
	taskOf  map[string]taskPart // question or reading id -> where its time and its observations belong
}

type taskPart struct {
	task int
	part paper.Part
}

// NewPlan works out what is marked.
func NewPlan(c truth.Content) *Plan {
	p := &Plan{Content: c, taskOf: map[string]taskPart{}, benches: benches{map[string]*truth.Bench{}, map[string][]*measurement{}}}
	p.base = coach.New(coach.Setup{Program: c.Program, Pack: c.Pack})
	for i := range c.Paper.Tasks {
		var steps []stepPlan
		for _, s := range truth.Steps(c.Program, &c.Paper.Tasks[i]) {
			steps = append(steps, p.stepPlan(s))
		}
		p.tasks = append(p.tasks, steps)
		for _, sp := range steps {
			p.place(i, sp)
		}
	}
	p.order()
	return p
}

func (p *Plan) place(task int, sp stepPlan) {
	put := func(id string, part paper.Part) {
		if _, ok := p.taskOf[id]; !ok {
			p.taskOf[id] = taskPart{task, part}
		}
	}
	for _, it := range sp.set {
		put(it.id, paper.SetUp)
	}
	for _, it := range sp.wired {
		put(it.id, paper.Connection)
	}
	put(sp.id, paper.Reading)
	for _, r := range sp.parts {
		put(r.id, paper.Reading)
	}
	put("state/"+sp.id, paper.Interpretation)
	put("why/"+sp.id, paper.Interpretation)
	for _, it := range sp.back {
		put(it.id, paper.Reinstatement)
	}
}

func (p *Plan) stepPlan(step int) stepPlan {
	prog := p.Content.Program
	st := &prog.Steps[step]
	test := prog.Tests[st.Test].Name
	sp := stepPlan{step: step, id: st.ID, test: test, observed: sitting.Looked(st), inspected: st.Form == sequence.Inspect, groups: p.base.GroupsOf(step)}
	sp.words = sp.observed || test == safety.TestSwitching
	if !sp.observed && !sitting.Calculated(test) {
		sp.set = append(sp.set, item{"function/" + st.ID, sitting.FunctionOf(test)})
		sp.wired = append(sp.wired, item{"leads/" + st.ID, sitting.LeadsRight})
	}
	p.around(&sp)
	behind := st.Circuit >= 0 && prog.Rig.RCDOf(&prog.Rig.Circuits[st.Circuit]) != nil
	limits := p.limits(step)
	for _, id := range p.base.PartsOf(step) {
		n, _ := p.base.PartOf(id)
		part := st.Parts[n-p.first(step)]
		r := reading{id: id, unit: coach.UnitOf(test, part.ID), rng: paper.RangeOf(test, part.ID, behind), limit: math.NaN()}
		if l, ok := limits[part.ID]; ok {
			r.limit = l
		}
		sp.parts = append(sp.parts, r)
	}
	return sp
}

func (p *Plan) first(step int) int {
	ids := p.base.PartsOf(step)
	n, _ := p.base.PartOf(ids[0])
	return n
}

// limits are the upper limits of a step's parts.
func (p *Plan) limits(step int) map[string]float64 {
	out := map[string]float64{}
	for _, a := range p.base.Ahead(step) {
		for _, l := range a.Limits {
			if l.Bound == "max" {
				for _, part := range a.Parts {
					out[part] = l.Value
				}
			}
		}
	}
	return out
}

// around finds what belongs to a reading in its block: what is asked and prepared since
// the reading before, what is opened for it, and the closing of what was opened.
func (p *Plan) around(sp *stepPlan) {
	steps := p.Content.Program.Steps
	from := sp.step
	for from > 0 && steps[from-1].Block == steps[sp.step].Block && !reads(&steps[from-1]) {
		from--
	}
	var opened []int
	for i := from; i < sp.step; i++ {
		st := &steps[i]
		it := item{st.ID, p.base.RightOption(i)}
		switch {
		case it.right == "" || st.Form == sequence.Note:
		case st.Opens >= 0:
			sp.wired = append(sp.wired, it)
			opened = append(opened, st.Opens)
		case st.Closes >= 0: // of the reading before
		case st.Form == sequence.Ask || st.Form == sequence.Act:
			sp.set = append(sp.set, it)
		}
	}
	for i := sp.step + 1; i < len(steps) && steps[i].Block == steps[sp.step].Block; i++ {
		if st := &steps[i]; st.Closes >= 0 && slices.Contains(opened, st.Closes) {
			sp.back = append(sp.back, item{st.ID, p.base.RightOption(i)})
		}
	}
}

// reads reports whether a step is a reading that could be marked for itself.
func reads(st *sequence.Step) bool { return st.Form == sequence.Read && st.Test >= 0 }
