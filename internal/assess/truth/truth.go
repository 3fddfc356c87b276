// Package truth works out what the readings of a paper should be: the reference answers
// that a candidate's own are marked by.
//
// On a rig a reading that the planted faults do not touch is the commissioned one; one
// that they touch, and every reading of a paper sat alone, is what the virtual rig
// shows.
package truth

import (
	"fmt"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// Content is what a paper stands on.
type Content struct {
	Paper   *paper.Paper
	Program *sequence.Program
	Pack    *edition.Pack
}

// Steps lists the steps of a program whose readings a task marks, as indexes.
func Steps(p *sequence.Program, t *paper.Task) []int {
	var out []int
	for i := range p.Steps {
		st := &p.Steps[i]
		if st.Test < 0 || p.Tests[st.Test].Name != t.Test || len(st.Parts) == 0 {
			continue
		}
		if st.Form != sequence.Read && st.Form != sequence.Observe && st.Form != sequence.Inspect {
			continue
		}
		owner := ""
		if st.Circuit >= 0 {
			owner = p.Rig.Circuits[st.Circuit].ID
		}
		if owner == t.Circuit || st.RCD >= 0 && p.RCDs[st.RCD].ID == t.Circuit {
			out = append(out, i)
		}
	}
	return out
}

// instrumentSeed is the instrument of the rig papers: its errors are the same for all.
const instrumentSeed = 1

// Bench is the virtual rig of one candidate, sound and with the drawn faults.
type Bench struct {
	Sound, Faulty *faults.Built
	options       signature.Options
	byID          map[string]rig.ReadingID
	alone         bool
}

// Plantings are the drawn faults as the virtual rig plants them.
func Plantings(r *rig.Rig, draw []paper.Fault) ([]faults.Planting, error) {
	var out []faults.Planting
	for _, f := range draw {
		name := f.ID
		if name == "" {
			name = f.Kind
		}
		p, err := faults.Lookup(r, f.Circuit, name)
		if err != nil {
			return nil, err
		}
		if p, err = faults.Settle(r, p); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// NewBench builds the virtual rig for a draw. The seed is the candidate's; in the
// setting alone it gives them an instrument of their own.
func NewBench(c Content, draw []paper.Fault, s paper.Setting, seed uint64) (*Bench, error) {
	r := c.Program.Rig
	plantings, err := Plantings(r, draw)
	if err != nil {
		return nil, err
	}
	b := &Bench{byID: map[string]rig.ReadingID{}, alone: s == paper.Alone}
	b.options = signature.Options{Wiring: wiring.Usual(signature.Copper(c.Pack)), Instrument: meter.Instrument{Seed: instrumentSeed}, Leads: meter.Nulled(0.08)}
	if b.alone {
		b.options.Instrument.Seed = seed
	}
	if b.Sound, err = faults.Build(r, b.options.Wiring); err != nil {
		return nil, err
	}
	if b.Faulty, err = faults.Build(r, b.options.Wiring, plantings...); err != nil {
		return nil, err
	}
	for _, id := range r.Readings() {
		b.byID[id.ID] = id
	}
	return b, nil
}

// shown is what the instrument shows, empty when it shows no reading.
func (b *Bench) shown(built *faults.Built, id string) (string, bool) {
	rid, ok := b.byID[id]
	if !ok {
		return "", false
	}
	s, err := signature.Reading(built, rid, 0, b.options)
	if err != nil || s.Text == "" {
		return "", false
	}
	return s.Text, true
}

// Answer is the reference reading of a part whose commissioned reading (or what lengths
// and impedances come to) is known.
func (b *Bench) Answer(id, commissioned string) seal.Answer {
	a := seal.Answer{ID: id, Raw: commissioned, Sound: commissioned}
	if b.alone {
		if s, ok := b.shown(b.Sound, id); ok {
			a.Raw, a.Sound = s, s
		}
		if s, ok := b.shown(b.Faulty, id); ok {
			a.Raw = s
		}
		return a
	}
	if b.Touched(id) {
		if s, ok := b.shown(b.Faulty, id); ok {
			a.Raw = s
		}
	}
	return a
}

// Touched reports whether the drawn faults change a reading at all.
func (b *Bench) Touched(id string) bool {
	sound, ok := b.exact(b.Sound, id)
	faulty, okToo := b.exact(b.Faulty, id)
	return ok != okToo || sound != faulty
}

// exact is a reading of a perfect instrument, as text, for telling whether faults touch
// it: five digits, far below any instrument's.
func (b *Bench) exact(built *faults.Built, id string) (string, bool) {
	rid, ok := b.byID[id]
	if !ok {
		return "", false
	}
	o := b.options
	o.Instrument, o.Leads = meter.Instrument{Exact: true}, meter.Leads{}
	s, err := signature.Reading(built, rid, 0, o)
	if err != nil {
		return "", false
	}
	return fmt.Sprintf("%s %.5g %s", s.Mark, s.Value, s.Refusal), true
}

// Of works out the sealed key of one candidate: the draw, every reference reading of
// the sequence, and what the marked groups of readings come to. Salt and session are
// filled in by the caller.
func Of(c Content, s paper.Setting, seed uint64) (*seal.Key, error) {
	draw := c.Paper.Draw(seed)
	b, err := NewBench(c, draw, s, seed)
	if err != nil {
		return nil, err
	}
	k := &seal.Key{Paper: c.Paper.ID, Setting: string(s), Seed: seed, Draw: planted(c.Program.Rig, draw)}
	st := coach.New(coach.Setup{Program: c.Program, Pack: c.Pack})
	readings := map[string]string{}
	for i := range c.Program.Steps {
		step := &c.Program.Steps[i]
		if step.Form != sequence.Read && step.Form != sequence.Observe && step.Form != sequence.Inspect {
			continue
		}
		for _, id := range st.PartsOf(i) {
			part, _ := st.PartOf(id)
			a := seal.Answer{ID: id, Raw: step.Right.Say, Sound: step.Right.Say}
			if step.Right.Say == "" {
				a = b.Answer(id, st.RightReading(part))
			}
			if step.Form != sequence.Read {
				a.Raw = b.seen(c.Program, step, id, a.Sound, draw)
			}
			if step.Want.Kind.Live() {
				a.Raw = a.Sound // whatever is planted has been cleared before anything goes on
			}
			k.Answers = append(k.Answers, a)
			readings[id] = a.Raw
		}
	}
	k.Verdicts = verdicts(c, st.Suppose(readings), k.Answers)
	return k, nil
}

// verdicts judges the reference readings of every marked group.
func verdicts(c Content, st *coach.State, answers []seal.Answer) []seal.Verdict {
	byID := map[string]seal.Answer{}
	for _, a := range answers {
		byID[a.ID] = a
	}
	var out []seal.Verdict
	for i := range c.Paper.Tasks {
		for _, step := range Steps(c.Program, &c.Paper.Tasks[i]) {
			for _, g := range st.GroupsOf(step) {
				class, _ := st.VerdictOf(g[0])
				var got, sound []string
				for _, id := range g {
					got, sound = append(got, byID[id].Raw), append(sound, byID[id].Sound)
				}
				out = append(out, seal.Verdict{ID: g[0], Verdict: class.String(), Why: Why(c.Paper.Tasks[i].Test, class, got, sound)})
			}
		}
	}
	return out
}

func planted(r *rig.Rig, draw []paper.Fault) []seal.Planted {
	kinds := map[string]faults.Kind{}
	for _, k := range faults.Kinds() {
		kinds[k.ID] = k
	}
	where, err := Plantings(r, draw)
	var out []seal.Planted
	for i, f := range draw {
		p := seal.Planted{Name: f.String(), Kind: f.Kind, Circuit: f.Circuit, NeverEnergise: kinds[f.Kind].NeverEnergise}
		what := kinds[f.Kind].Title
		if err == nil {
			what += place(where[i])
		}
		p.Plant, p.Clear = "put in: "+what, "take out: "+what
		for _, l := range r.Faults {
			if l.ID == f.ID {
				p.Kind, p.Circuit, p.Plant, p.Clear = l.Kind, l.Circuit, l.Plant, l.Clear
				p.NeverEnergise = p.NeverEnergise || l.NeverEnergise
			}
		}
		out = append(out, p)
	}
	return out
}

// place says where a fault sits and how large it is.
func place(p faults.Planting) string {
	out := ""
	if p.From != "" && p.To != "" {
		out += ", between " + p.From + " and " + p.To
	}
	if p.Point != "" {
		out += ", at " + p.Point
	}
	if p.Ohm > 0 {
		out += fmt.Sprintf(", %g Ω", p.Ohm)
	}
	if p.Metre > 0 {
		out += fmt.Sprintf(", %g m", p.Metre)
	}
	return out
}

// functions are the words of the exam for what an instrument is set to.
var functions = map[string]signature.Function{"low-ohm": signature.LowOhm, "insulation": signature.Insulating, "voltage": signature.Volts,
	"loop": signature.LoopNoTrip, "fault-current": signature.FaultAmps, "rcd": signature.RCDTime}

// Show is what the candidate's instrument shows for a reading when it is set to a
// function and its leads are where they say: as the test wants them ("as-the-test"), the
// second one on the earth bar ("earth-bar"), or both on one conductor
// ("one-conductor"). Where no number is shown the refusal stands in its place.
func (b *Bench) Show(id, function, leads string) string {
	rid, ok := b.byID[id]
	if !ok {
		return ""
	}
	u, err := signature.SetUpOf(b.Faulty, rid)
	if err != nil {
		return ""
	}
	if f := functions[function]; f != "" && f != u.Function && !(f == signature.LoopNoTrip && u.Function == signature.LoopHigh) &&
		!(f == signature.RCDTime && u.Function == signature.RCDRamp) {
		u.Function, u.TestV = f, 500
		u.RCD = meter.RCDTest{IdnMA: 30, Multiple: 1}
	}
	switch leads {
	case "earth-bar":
		u.B = "board/met"
	case "one-conductor":
		u.B = u.A
	}
	s, err := u.Read(b.Faulty, b.options, 0)
	switch {
	case err != nil:
		return "no reading"
	case s.Text == "":
		return "no reading, " + string(s.Refusal)
	}
	return s.Text
}
