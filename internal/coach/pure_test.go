package coach_test

import (
	"slices"
	"testing"

	"wanderlead/internal/coach"
)

// A state is never changed in place: an earlier state answers the same after later
// ones were made from it. Readings of a ring's ends are judged together, so the last
// one typed says what the first came to.
func TestApplyLeavesEarlierStatesAlone(t *testing.T) {
	s := drive(t, training(t), func(q coach.Question) bool { return q.ID == "ring-1/ends" })
	one := apply(t, s, coach.Event{Type: coach.Answer, At: "ring-1/ends/r1", Raw: "0.40"})
	before, entry := one.Key(), *one.Entries()[len(one.Entries())-1]
	two := apply(t, one, coach.Event{Type: coach.Answer, At: "ring-1/ends/rn", Raw: "0.40"})
	three := apply(t, two, coach.Event{Type: coach.Answer, Raw: "0.65"})
	if one.Key() != before {
		t.Error("an earlier state has another key once its group was judged")
	}
	if now := *one.Entries()[len(one.Entries())-1]; now != entry {
		t.Errorf("an earlier state's entry became %+v, was %+v", now, entry)
	}
	es := three.Entries()
	if n := len(one.Entries()) + 2; len(es) != n {
		t.Fatalf("%d entries, should be %d", len(es), n)
	}
	for _, e := range es[len(es)-3:] {
		if e.Class != coach.Pass {
			t.Errorf("entry %s has class %q, should be pass", e.Raw, e.Class)
		}
	}
	rs := three.Results()
	i := slices.IndexFunc(rs, func(r coach.Result) bool { return r.ID == "ring-1/ends/r1" })
	if got := rs[i].Latest(); got != es[len(es)-3] {
		t.Errorf("the result holds another entry than the list: %+v", got)
	}
}
