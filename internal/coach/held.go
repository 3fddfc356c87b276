package coach

import (
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Check is a reading taken by the supervisor in a held session. At names the part, as
// for a correction. It is judged like any reading, and only such readings open a gate
// there.
const Check EventType = "check"

// hold keeps a group of readings without judging it: in a held session what is typed
// counts for whoever marks it later, and opens nothing. It reports whether it did. Who
// tests and with which instrument is taken as ever.
func (s *State) hold(g group) bool {
	if !s.held || s.pl.p.Steps[s.pl.parts[g[0]].step].Form == sequence.Note {
		return false
	}
	for _, p := range g {
		s.setClass(p, Limitation)
	}
	s.stamp(g, Limitation, nil)
	return true
}

// check takes a reading of the supervisor's own beside the held one.
func (s *State) check(ev Event, fb *Feedback) {
	held := s.held
	s.held = false
	s.correct(ev, fb)
	s.held = held
}

// Unmet lists the parts that keep the gate shut which is due now: those of the dead
// tests and of the origin whose reading does not open it. It is empty when no gate is
// kept shut by readings.
func (s *State) Unmet() []string {
	d := s.due()
	if d.kind != dueTests {
		return nil
	}
	parts := append([]int(nil), s.pl.deadParts...)
	if d.want.Kind == safety.EnergiseInstallation || s.facts.Supply == safety.On || d.fact == safety.FactOrigin {
		parts = append(parts, s.pl.origin...)
	}
	var ids []string
	for _, p := range parts {
		// A doubt is not read again here: it goes to the gate, to be accepted with a reason.
		if s.latest[p] != nil && !s.class[p].opens() && s.class[p] != Doubt {
			ids = append(ids, s.pl.parts[p].id)
		}
	}
	return ids
}

// DueToAssessor reports whether the question that is due belongs to the supervisor, not
// to whoever is tested: name and code, what keeps a gate shut, declarations and
// acceptances.
func (s *State) DueToAssessor() bool {
	d := s.due()
	switch d.kind {
	case dueSupervisorName, dueSupervisorCode, dueTests, dueBarred, dueDialog:
		return true
	case dueFact:
		return d.fact == safety.FactSupervisor || d.fact == safety.FactFaults || d.fact == safety.FactDoubts
	case dueStep:
		f := s.pl.p.Steps[d.step].Form
		return f == sequence.Declare || f == sequence.Accept
	}
	return false
}

// CodeIs reports whether a hash is that of the supervisor's code set at the start.
func (s *State) CodeIs(hash string) bool { return s.codeHash != "" && s.codeHash == hash }

// RightOption is the right answer of a step that is answered by choosing, empty for
// others.
func (s *State) RightOption(step int) string {
	st := &s.pl.p.Steps[step]
	if st.Choose != "" {
		right, _ := s.drawnAnswers(st)
		return right
	}
	return st.Right.Say
}

// PartsOf lists the ids of a step's parts.
func (s *State) PartsOf(step int) []string {
	var ids []string
	for _, p := range s.allParts(step) {
		ids = append(ids, s.pl.parts[p].id)
	}
	return ids
}

// GroupsOf lists which parts of a step are judged together.
func (s *State) GroupsOf(step int) [][]string {
	var out [][]string
	for _, g := range s.pl.groups[step] {
		var ids []string
		for _, p := range g {
			ids = append(ids, s.pl.parts[p].id)
		}
		out = append(out, ids)
	}
	return out
}

// Suppose is the session with readings put in at once, whatever step is due: what a
// set of readings amounts to can then be asked with [State.VerdictOf]. It is for
// marking, and is no session to go on with. Readings that do not parse are left out.
func (s *State) Suppose(readings map[string]string) *State {
	c := s.clone()
	c.own()
	for p := range c.pl.parts {
		raw, ok := readings[c.pl.parts[p].id]
		if !ok {
			continue
		}
		step := c.pl.parts[p].step
		r := quantity.Reading{Raw: raw}
		if test := c.pl.testName(step); c.pl.p.Steps[step].Form == sequence.Read && test != safety.TestSwitching {
			parsed, err := quantity.ParseSigned(raw, UnitOf(test, c.pl.part(p).ID))
			if err != nil {
				continue
			}
			r = parsed
		}
		c.latest[p] = &Entry{Part: p, How: "first", Raw: raw, Reading: r, State: stateOf(r, c.pl.testName(step))}
		if c.memo != nil {
			c.latest[p].number = c.memo.number(raw)
		}
		c.class[p] = Pending
	}
	return c.handed()
}

// VerdictOf judges the group that a part belongs to; None when a reading of the group is
// missing.
func (s *State) VerdictOf(id string) (Class, *Verdict) {
	p, ok := s.pl.byID[id]
	if !ok {
		return None, nil
	}
	g := s.groupOf(p)
	for _, q := range g {
		if s.latest[q] == nil {
			return None, nil
		}
	}
	class, v, _ := s.verdict(g)
	return class, v
}
