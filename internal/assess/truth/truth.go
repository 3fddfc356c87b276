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
		if st.Form != sequence.Read && st.Form != sequence.Observe {
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
func (b *Bench) shown(built *faults.Built, id string, exact bool) (string, bool) {
	rid, ok := b.byID[id]
	if !ok {
		return "", false
	}
	o := b.options
	if exact {
		o.Instrument, o.Leads = meter.Instrument{Exact: true}, meter.Leads{}
	}
	s, err := signature.Reading(built, rid, 0, o)
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
		if s, ok := b.shown(b.Sound, id, false); ok {
			a.Raw, a.Sound = s, s
		}
		if s, ok := b.shown(b.Faulty, id, false); ok {
			a.Raw = s
		}
		return a
	}
	sound, ok := b.exact(b.Sound, id)
	faulty, okToo := b.exact(b.Faulty, id)
	if ok != okToo || sound != faulty {
		if s, ok := b.shown(b.Faulty, id, false); ok {
			a.Raw = s
		}
	}
	return a
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
	var out []seal.Planted
	for _, f := range draw {
		p := seal.Planted{Name: f.String(), Kind: f.Kind, Circuit: f.Circuit, NeverEnergise: kinds[f.Kind].NeverEnergise,
			Plant: "plant: " + kinds[f.Kind].Title, Clear: "clear: " + kinds[f.Kind].Title}
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
