package app

import (
	"math"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/faultfind"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
)

// longest is how many measurements a shorter route may have.
const longest = 8

// reason says, once the learner's answer to what is wrong is right, what the network makes of the readings on the
// schedule, and a route that would have needed fewer.
func (r *studyRunner) reason(st *study.State, fb study.Feedback) {
	if fb.Found == nil || fb.Found.Fault == nil || !fb.Found.Right() {
		return
	}
	prog := st.Sheet().State().Program()
	copper := signature.Copper(r.kit.Pack)
	m, err := faultfind.New(prog.Rig, copper, fb.Found.Circuit, nil)
	if err != nil {
		return
	}
	sp := &faultfind.Speaker{Cat: r.view.cat, Model: m}
	text := func(id string, kv ...string) string {
		params := map[string]string{}
		for i := 0; i+1 < len(kv); i += 2 {
			params[kv[i]] = kv[i+1]
		}
		return r.view.text(id, params)
	}
	var lines []string
	readings, err := m.Readings(standing(st.Sheet().State()), false)
	if err == nil && len(readings) > 0 {
		if res, err := m.Rank(readings); err == nil && len(res.Answers) > 0 {
			lines = append(lines, text("study.finding.reason", "text", sp.Explain(&res.Answers[0], true, 1)))
		}
	} else {
		lines = append(lines, text("study.finding.none"))
	}
	if n := len(r.route); n > 0 {
		more := ""
		if n > longest {
			more = strconv.Itoa(n - longest)
		}
		lines = append(lines, text("study.finding.route", "steps", strings.Join(r.route[:min(n, longest)], "; "), "n", more))
	}
	if route := r.shorter(m, sp, st, *fb.Found.Fault); len(route) > 0 && len(route) < fb.Found.Route {
		lines = append(lines, text("study.finding.shorter", "steps", strings.Join(route, "; then ")))
	}
	for _, k := range faults.Kinds() {
		if k.ID == fb.Found.Fault.Kind && k.NeverEnergise {
			lines = append(lines, text("study.finding.cleared"))
		}
	}
	r.front.Show(r.view.wrap(lines...)...)
}

// step is a measurement on the learner's route: between which terminals, and what the display showed.
func step(t *study.Taken) string {
	pair := func(at study.At) string {
		name := func(terminal string) string {
			_, rest, ok := strings.Cut(terminal, "/")
			if !ok {
				rest = terminal
			}
			return strings.ReplaceAll(rest, "/", " ")
		}
		return name(at.A) + " to " + name(at.B)
	}
	first, last := t.At[0], t.At[len(t.At)-1]
	if len(t.At) > 1 {
		return pair(first) + " … " + pair(last)
	}
	if first.Shown.Refusal != "" {
		return pair(first)
	}
	return pair(first) + " " + first.Shown.Text + " " + first.Shown.Unit.String()
}

// walked adds a measurement to the learner's route.
func (r *studyRunner) walked(fb study.Feedback) {
	if fb.Shown != nil && len(fb.Shown.At) > 0 {
		r.route = append(r.route, step(fb.Shown))
	}
}

// standing are the readings on the schedule.
func standing(st *coach.State) []faultfind.Typed {
	var out []faultfind.Typed
	for _, r := range st.Results() {
		if e := r.Latest(); e != nil && r.Stands() && e.Reading.Given() {
			out = append(out, faultfind.Typed{ID: r.ID, Raw: e.Raw})
		}
	}
	return out
}

// shorter takes, from nothing known, each time the measurement that tells most, on the rig with the fault in it, until
// one kind of cause is left well ahead.
func (r *studyRunner) shorter(m *faultfind.Model, sp *faultfind.Speaker, st *study.State, p faults.Planting) []string {
	prog := st.Sheet().State().Program()
	b, err := faults.Build(prog.Rig, wiring.Usual(signature.Copper(r.kit.Pack)), p)
	if err != nil {
		return nil
	}
	ids := map[string]rig.ReadingID{}
	for _, id := range prog.Rig.Readings() {
		ids[id.ID] = id
	}
	o := signature.Options{Instrument: meter.Instrument{Seed: st.Setup().Seed}, Leads: meter.Nulled(0.08)}
	var taken []faultfind.Reading
	var route []string
	for range longest {
		res, err := m.Rank(taken)
		if err != nil {
			return nil
		}
		if len(taken) > 0 && len(res.Answers) > 0 && res.Answers[0].Share >= 0.9 {
			return route
		}
		next := m.Next(res, taken)
		if next == nil { // nothing tells the rest apart
			return route
		}
		route = append(route, sp.Measure(next.Measure))
		read, ok := predicted(next, p)
		if id, usual := ids[next.Measure.ID]; usual {
			shown, err := signature.Reading(b, id, 0, o)
			ok = err == nil && shown.Refusal == ""
			read = quantity.Reading{Raw: shown.Text, Value: shown.Value, Unit: shown.Unit, Mark: shown.Mark}
		}
		if !ok {
			return nil
		}
		taken = append(taken, faultfind.Reading{ID: next.Measure.ID, Read: read})
	}
	return nil
}

// predicted is what a measurement outside the usual run would show of a fault: the middle of the outcome it belongs to.
func predicted(n *faultfind.Next, p faults.Planting) (quantity.Reading, bool) {
	best, score := -1, 0
	for i, split := range n.Splits {
		for _, c := range split.Causes {
			if c.Kind != p.Kind {
				continue
			}
			k := 1
			if c.Point == p.Point || c.From == p.From && c.To == p.To {
				k++
			}
			if k > score {
				best, score = i, k
			}
		}
	}
	if best < 0 || math.IsNaN(n.Splits[best].Low) {
		return quantity.Reading{}, false
	}
	low, high := n.Splits[best].Low, n.Splits[best].High
	if math.IsInf(high, 1) {
		r, err := quantity.Parse(">99.9", n.Measure.Unit)
		return r, err == nil
	}
	r, err := quantity.Parse(strconv.FormatFloat((low+high)/2, 'f', 2, 64), n.Measure.Unit)
	return r, err == nil
}
