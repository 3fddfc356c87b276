package journal

import (
	"maps"
	"slices"
	"strconv"
)

// Recomputed is what a replay of one event came to, to be held against the
// record.
type Recomputed struct {
	Seq   int
	Shown string // reading the simulated instrument shows on replay
	Given []Given
}

// Difference is one value that a replay did not find as recorded. Recorded or
// Replayed is empty where that side has none.
type Difference struct {
	Seq      int    // event
	Gave     int    // which of its gave lines, counted from 1; 0: the said line
	Field    string // "shown", "verdict", "params value" …; "line": a whole line
	Recorded string
	Replayed string
	// Cut is true for gave lines missing after the last event of a record
	// that is not closed, or of a stretch that was taken up again: the session
	// was cut off before it wrote them.
	Cut bool
}

// Compare holds recomputed events against a record and lists every difference,
// in the order of the record. None means that the same events gave the same
// readings and verdicts.
func Compare(recorded []Line, replay []Recomputed) []Difference {
	var out []Difference
	events, closed := eventsOf(recorded)
	resumed := resumedAt(recorded)
	bySeq := make(map[int]Recomputed, len(replay))
	for _, r := range replay {
		bySeq[r.Seq] = r
	}
	for i, was := range events {
		now, ok := bySeq[was.Seq]
		delete(bySeq, was.Seq)
		if !ok {
			out = append(out, Difference{Seq: was.Seq, Field: "event", Recorded: "present"})
			continue
		}
		d := differ{seq: was.Seq, cut: resumed[was.Seq+1] || !closed && i == len(events)-1}
		d.value("shown", was.Shown, now.Shown)
		for n := range max(len(was.Given), len(now.Given)) {
			d.gave = n + 1
			d.given(was.Given, now.Given, n)
		}
		out = append(out, d.out...)
	}
	for _, seq := range slices.Sorted(maps.Keys(bySeq)) {
		out = append(out, Difference{Seq: seq, Field: "event", Replayed: "present"})
	}
	return out
}

// CutOff returns the gave lines of the latest event that an interruption kept from being written, as the replay has them.
// Who takes a session up again writes them first: they follow from what is stored.
func CutOff(recorded []Line, replay []Recomputed) []Given {
	events, closed := eventsOf(recorded)
	if closed || len(events) == 0 || len(replay) == 0 {
		return nil
	}
	was, now := events[len(events)-1], replay[len(replay)-1]
	if was.Seq != now.Seq || len(now.Given) <= len(was.Given) {
		return nil
	}
	return now.Given[len(was.Given):]
}

// eventsOf groups the gave lines of a record under their events.
func eventsOf(lines []Line) (events []Recomputed, closed bool) {
	for _, l := range lines {
		switch {
		case l.Said != nil:
			events = append(events, Recomputed{Seq: l.Said.Seq, Shown: l.Said.Shown})
		case l.Gave != nil && len(events) > 0:
			last := &events[len(events)-1]
			last.Given = append(last.Given, l.Gave.Given)
		case l.Closed != nil:
			closed = true
		}
	}
	return events, closed
}

// resumedAt holds the events by which the session was taken up again.
func resumedAt(lines []Line) map[int]bool {
	at := map[int]bool{}
	for _, l := range lines {
		if l.Said != nil && l.Said.Type == TypeResume {
			at[l.Said.Seq] = true
		}
	}
	return at
}

type differ struct {
	seq, gave int
	cut       bool
	out       []Difference
}

func (d *differ) value(field, was, now string) {
	if was != now {
		d.out = append(d.out, Difference{Seq: d.seq, Gave: d.gave, Field: field, Recorded: was, Replayed: now})
	}
}

func (d *differ) given(was, now []Given, n int) {
	switch {
	case n >= len(was):
		d.out = append(d.out, Difference{Seq: d.seq, Gave: d.gave, Field: "line", Replayed: now[n].Verdict, Cut: d.cut})
	case n >= len(now):
		d.out = append(d.out, Difference{Seq: d.seq, Gave: d.gave, Field: "line", Recorded: was[n].Verdict})
	default:
		d.both(was[n], now[n])
	}
}

func (d *differ) both(was, now Given) {
	d.value("at", was.At, now.At)
	d.value("verdict", was.Verdict, now.Verdict)
	d.value("rule", was.Rule, now.Rule)
	d.value("limit", was.Limit, now.Limit)
	d.value("edition", was.Edition, now.Edition)
	d.params("params", was.Params, now.Params)
	for i := range max(len(was.Feedback), len(now.Feedback)) {
		var a, b Feedback
		if i < len(was.Feedback) {
			a = was.Feedback[i]
		}
		if i < len(now.Feedback) {
			b = now.Feedback[i]
		}
		field := "feedback " + strconv.Itoa(i+1)
		d.value(field, a.ID, b.ID)
		d.params(field, a.Params, b.Params)
	}
}

func (d *differ) params(field string, was, now map[string]string) {
	keys := slices.Collect(maps.Keys(was))
	for k := range now {
		if _, ok := was[k]; !ok {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	for _, k := range keys {
		a, inA := was[k]
		b, inB := now[k]
		if inA != inB && a == b { // a key with an empty value on one side only
			d.out = append(d.out, Difference{Seq: d.seq, Gave: d.gave, Field: field + " " + k,
				Recorded: presence(inA), Replayed: presence(inB)})
			continue
		}
		d.value(field+" "+k, a, b)
	}
}

func presence(in bool) string {
	if in {
		return "empty"
	}
	return "absent"
}
