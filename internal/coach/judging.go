package coach

import (
	"slices"
)

// judgeStep judges every group of a step that is complete and not judged yet.
func (s *State) judgeStep(step int, fb *Feedback) {
	again := false // a repeat replaces what later readings were compared with
	for _, g := range s.pl.groups[step] {
		ready, waiting := true, false
		for _, p := range g {
			ready = ready && judgeable(s.class[p])
			waiting = waiting || s.class[p] == Pending
		}
		if ready && waiting {
			s.judgeGroup(g, fb)
			again = again || s.latest[g[0]].Earlier != nil
		}
	}
	if again {
		s.rejudgeOthers(step, fb)
	}
	s.noteAct(step, fb)
	if len(s.remaining(step)) == 0 {
		s.finishStep(step, fb)
	}
}

// judgeable reports whether a part holds a reading that can stand in a verdict. A
// limitation or a test not done can not: with one in a group the others stay pending,
// and the group opens nothing.
func judgeable(c Class) bool {
	switch c {
	case Pending, Pass, Doubt, Accepted, Fail:
		return true
	}
	return false
}

// judgeGroup judges a group, stores what came of it and says so.
func (s *State) judgeGroup(g group, fb *Feedback) {
	if s.hold(g) {
		return
	}
	class, v, notes := s.verdict(g)
	for _, p := range g {
		s.setClass(p, class)
	}
	s.stamp(g, class, v)
	fb.Judged = append(fb.Judged, s.judged(g, class, v))
	fb.Notes = append(fb.Notes, notes...)
	if rank(class) > rank(fb.Class) || fb.Class == None {
		fb.Class, fb.Verdict = class, v
	}
	if class == Doubt {
		s.doubtReason = "" // it was given for other doubts
		if s.dialog == noDialog {
			s.dialog, s.dialogPart = askDoubted, g[0]
		}
	}
}

// stamp notes in the entries of a group what they came to. An entry typed before this
// event belongs to earlier states too, so it is replaced by a copy, and so is every
// later entry, for they are linked to it.
func (s *State) stamp(g group, class Class, v *Verdict) {
	waiting := 0
	due := func(e *Entry) bool {
		return e.Verdict == nil && e.Class == None && slices.Contains(g, e.Part) && s.latest[e.Part] == e
	}
	for _, p := range g {
		if due(s.latest[p]) {
			waiting++
		}
	}
	var chain []*Entry
	for e := s.last; e != nil && waiting > 0; e = e.Prev {
		chain = append(chain, e)
		if due(e) {
			waiting--
		}
	}
	s.own()
	copies := make(map[*Entry]*Entry, len(chain))
	for i := len(chain) - 1; i >= 0; i-- {
		old := chain[i]
		e := *old
		if c := copies[old.Prev]; c != nil {
			e.Prev = c
		}
		if c := copies[old.Earlier]; c != nil {
			e.Earlier = c
		}
		if due(old) {
			e.Class, e.Verdict = class, v
		}
		if s.latest[e.Part] == old {
			s.latest[e.Part] = &e
		}
		copies[old], s.last = &e, &e
	}
}

// judged is what one group came to, for whoever reads the record without the sequence.
func (s *State) judged(g group, class Class, v *Verdict) Judged {
	step := s.pl.parts[g[0]].step
	j := Judged{Part: s.pl.parts[g[0]].id, Test: s.pl.testName(step), Class: class, Verdict: v}
	if c := s.pl.p.Steps[step].Circuit; c >= 0 {
		j.Circuit = s.pl.r.Circuits[c].ID
	}
	for _, p := range g {
		j.Parts = append(j.Parts, s.pl.part(p).ID)
	}
	return j
}
