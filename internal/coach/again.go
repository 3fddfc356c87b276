package coach

import (
	"strings"

	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// redo asks for a part again: the part loses its class, its step is no longer done,
// and what the step relies on in its block is opened again and closed after it.
func (s *State) redo(part int, c Class) {
	for _, p := range s.groupOf(part) {
		s.setClass(p, c)
	}
	step := s.pl.parts[part].step
	s.done = s.done.without(step)
	s.replay(step)
}

func (s *State) groupOf(part int) group {
	for _, g := range s.pl.groups[s.pl.parts[part].step] {
		for _, p := range g {
			if p == part {
				return g
			}
		}
	}
	return group{part}
}

// replay marks the openings that a step relies on, and their closings, as to be
// done again: those of its block that stood open when the step was due, and in turn
// what each of those acts relied on.
func (s *State) replay(step int) { s.replayOnce(step, map[int]bool{}) }

func (s *State) replayOnce(step int, seen map[int]bool) {
	if seen[step] {
		return
	}
	seen[step] = true
	steps := s.pl.p.Steps
	for it, by := range s.pl.relied[step] {
		if by < 0 {
			continue
		}
		if !s.open.has(it) {
			s.done = s.done.without(by)
			s.replayOnce(by, seen)
		}
		for j := step + 1; j < len(steps) && steps[j].Block == steps[step].Block; j++ {
			if steps[j].Closes == it {
				s.done = s.done.without(j)
				s.replayOnce(j, seen)
				break
			}
		}
	}
}

// instrumentAgain asks again for a check of the instrument that a correction has undone, and for the dead readings taken
// with that function since: those of later steps, up to the next such check that stands.
func (s *State) instrumentAgain(part int, fb *Feedback) {
	check := s.pl.part(part).ID
	unit, open := UnitOf(safety.TestInstrument, check), strings.HasSuffix(check, "open")
	s.redo(part, SetUp)
	first := -1
	for i := s.pl.parts[part].step + 1; i < len(s.pl.p.Steps); i++ {
		st, test := &s.pl.p.Steps[i], s.pl.testName(i)
		if st.Form != sequence.Read || !st.Want.Kind.OnDead() && test != safety.TestInstrument {
			continue
		}
		for _, p := range s.allParts(i) {
			id := s.pl.part(p).ID
			switch {
			case !judgeable(s.class[p]) || UnitOf(test, id) != unit:
			case test != safety.TestInstrument:
				s.redo(p, None)
				if first < 0 {
					first = p
				}
			case strings.HasSuffix(id, "open") == open:
				i = len(s.pl.p.Steps)
			}
		}
	}
	if first >= 0 {
		fb.Notes = append(fb.Notes, Note{"instrument-again", params("part", s.pl.parts[first].id)})
	}
}

// repair sends every dead test of the circuit back to the start, from continuity
// on, and insulation of its section: a repair can disturb what was proved before. An
// RCD that was put right or replaced is tested again as a whole.
func (s *State) repair(part int) {
	step := s.pl.parts[part].step
	st := &s.pl.p.Steps[step]
	s.retest(st.Circuit)
	s.redo(part, None)
	if st.RCD < 0 {
		return
	}
	for i := range s.pl.p.Steps {
		if o := &s.pl.p.Steps[i]; o.RCD == st.RCD && o.Test >= 0 {
			for _, p := range s.allParts(i) {
				s.redo(p, None)
			}
		}
	}
}

// retest asks again for every dead test of a circuit (-1: the board) that has been
// taken, and for insulation of the circuits that share its section.
func (s *State) retest(circuit int) {
	section := ""
	if circuit >= 0 {
		section = s.pl.r.Circuits[circuit].Section
	}
	for i := range s.pl.p.Steps {
		st := &s.pl.p.Steps[i]
		if st.Test < 0 || len(st.Parts) == 0 {
			continue
		}
		name := s.pl.p.Tests[st.Test].Name
		mine := st.Circuit == circuit && st.Want.Kind.OnDead() && name != safety.TestInspection
		shared := circuit >= 0 && name == safety.TestInsulation && st.Circuit >= 0 && s.pl.r.Circuits[st.Circuit].Section == section
		if !mine && !shared {
			continue
		}
		for _, p := range s.allParts(i) {
			if s.class[p] != None {
				s.redo(p, None)
			}
		}
	}
}
