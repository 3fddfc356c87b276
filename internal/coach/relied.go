package coach

import "wanderlead/safety"

// findRelied works out, for every step, the items that stand open when it is due, each
// with the step that opened it: those of its block, and any cover of the place it
// works at, wherever that was taken off. Items that were closed again are left out.
func (pl *plan) findRelied() {
	steps := pl.p.Steps
	opened := make([]int, len(pl.p.Items)) // step that opened the item last, -1 when it is closed
	for i := range opened {
		opened[i] = -1
	}
	pl.relied = make([]map[int]int, len(steps))
	for i := range steps {
		for it, by := range opened {
			if by < 0 || steps[by].Block != steps[i].Block && !pl.covers(it, i) {
				continue
			}
			if pl.relied[i] == nil {
				pl.relied[i] = map[int]int{}
			}
			pl.relied[i][it] = by
		}
		if it := steps[i].Closes; it >= 0 {
			opened[it] = -1
		}
		if it := steps[i].Opens; it >= 0 {
			opened[it] = i
		}
	}
}

// covers reports whether an item is a cover of the place a step works at.
func (pl *plan) covers(item, step int) bool {
	it, st := &pl.p.Items[item], &pl.p.Steps[step]
	switch {
	case it.Class != safety.Cover:
		return false
	case it.Circuit < 0:
		return st.Want.Board
	}
	return it.Circuit == st.Circuit && st.Want.Points != safety.NoPlace
}

// prepare marks as to be done again the openings that a step relies on and that do not
// stand open now, since another test's closing, or other hands, may have closed them
// meanwhile. It reports whether there were any.
func (s *State) prepare(step int) bool {
	if st := &s.pl.p.Steps[step]; st.Opens >= 0 && s.open.has(st.Opens) || st.Closes >= 0 && !s.open.has(st.Closes) {
		return false // done already in all but name; see settle
	}
	found := false
	for it, by := range s.pl.relied[step] {
		if !s.open.has(it) && s.needsOpen(step, it) && s.done.has(by) {
			s.done = s.done.without(by)
			found = true
		}
	}
	return found
}

// needsOpen reports whether a step cannot do without an item it relies on: a reading
// would be of something else with it closed; an act only has to be reached, behind a
// cover; a gate is passed with open what the readings behind it need, since that is
// opened while all is dead.
func (s *State) needsOpen(step, item int) bool {
	st, class := &s.pl.p.Steps[step], s.pl.p.Items[item].Class
	return len(st.Parts) > 0 || class == safety.Cover || safety.Tolerated(st.Want.Kind, class)
}

// linkAway is the step that takes off a test link which does not belong to a step, -1
// when none is in the way. After a repair, or a reading asked for again, work goes back
// to before a link that is still in: with it in, a reading would be of two conductors at
// once, and a second link would join three. What is read with the link later puts it on
// again; see prepare.
func (s *State) linkAway(step int) int {
	st := &s.pl.p.Steps[step]
	if len(st.Parts) == 0 && (st.Opens < 0 || s.pl.p.Items[st.Opens].Class != safety.TestLink) {
		return -1
	}
	for i, it := range s.pl.p.Items {
		if it.Class != safety.TestLink || !s.open.has(i) || i == st.Opens {
			continue
		}
		if _, relied := s.pl.relied[step][i]; !relied {
			return s.pl.closer(i, step)
		}
	}
	return -1
}
