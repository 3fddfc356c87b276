package lint

import (
	"wanderlead/internal/content"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

func (c *check) sequence(name string) error {
	s, err := sequence.Load(c.lib, name)
	if err != nil {
		if !c.complain("sequence", err) {
			return err
		}
		return nil
	}
	return c.checkSequence(s)
}

// checkSequence checks a sequence on every rig that it is for. A part that others include is only looked at as text;
// what it does is checked with the sequences that include it.
func (c *check) checkSequence(s *sequence.Sequence) error {
	l := newLinter(c.lib, c.pack)
	c.linters = append(c.linters, l)
	if c.reached == nil {
		c.reached = map[place]bool{}
	}
	l.reached = c.reached
	loaded := l.load(s)
	c.places = append(c.places, s.Places()...)
	if !s.Whole() {
		c.checked("part", s.ID)
		return nil
	}
	if !loaded {
		c.checked("sequence", s.ID)
		return nil
	}
	fits := 0
	var unfit Problems
	for _, r := range c.rigList {
		for _, o := range c.origins(s, r) {
			before := len(l.problems)
			done := c.onRig(l, s, r, o)
			if found := l.problems[before:]; found.Unfit() {
				unfit = append(unfit, found...)
				l.problems = l.problems[:before]
				continue
			}
			fits++
			c.rep.Checked = append(c.rep.Checked, done)
		}
	}
	if fits == 0 {
		l.problems = append(l.problems, unfit...)
		if len(unfit) == 0 && len(c.rigList) > 0 {
			l.add("unfit", s.At(), "", "this sequence measures the origin, and no rig it was tried on offers an incoming gate")
		}
	}
	if c.q.Rig == "" {
		l.onEmpty(s)
	}
	return nil
}

func (c *check) origins(s *sequence.Sequence, r *rig.Rig) []sequence.Origin {
	var out []sequence.Origin
	for _, o := range Origins(s, r) {
		if c.q.Incoming == "" || string(o) == c.q.Incoming || len(s.Origins) == 0 {
			out = append(out, o)
		}
	}
	return out
}

func (c *check) onRig(l *linter, s *sequence.Sequence, r *rig.Rig, o sequence.Origin) Checked {
	before := len(l.problems)
	p, d := l.on(s, r, o)
	done := Checked{Kind: "sequence", Name: s.ID, Rig: r.ID, Answers: d.Answers, FirstReading: d.FirstReading}
	if len(s.Origins) > 0 {
		done.Incoming = string(o)
	}
	if c.q.Walk != nil && len(l.problems[before:].Bad()) == 0 {
		w := l.walk(p, c.q.Options)
		done.Walk = &w
	}
	return done
}

// unreached remarks on steps that stand in no program on any rig that was tried: a condition that never holds, or a
// part that nothing includes. It says nothing when only one rig was asked for.
func (c *check) unreached(l *linter) {
	if c.q.Rig != "" || len(c.rigList) == 0 || len(l.problems.Bad()) > 0 {
		return
	}
	var parts []content.Value
	for _, v := range c.places {
		if !c.reached[placeOf(v)] {
			parts = append(parts, v)
		}
	}
	if len(c.q.Names) > 0 {
		// A part on its own is reached by sequences that were not asked for.
		for _, n := range c.q.Names {
			if s, err := sequence.Load(c.lib, n); err == nil && !s.Whole() {
				return
			}
		}
	}
	for _, v := range parts {
		l.remark("unreached", v, "see its when: and unless:, or leave it out", "this step is reached on none of the rigs that were tried")
	}
}
