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

// prepared is the step to be done for the sake of another: the first opening it relies
// on that does not stand open now, since another test's closing, or other hands, may
// have closed it meanwhile; else the step itself.
func (s *State) prepared(step int) int {
	if st := &s.pl.p.Steps[step]; st.Opens >= 0 && s.open.has(st.Opens) || st.Closes >= 0 && !s.open.has(st.Closes) {
		return step // done already in all but name; see settle
	}
	for range len(s.pl.p.Items) + 1 {
		first := -1
		for it, by := range s.pl.relied[step] {
			if !s.open.has(it) && (first < 0 || by < first) {
				first = by
			}
		}
		if first < 0 {
			return step
		}
		step = first
	}
	return step
}
