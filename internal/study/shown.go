package study

import (
	"strings"

	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
)

// between parts the readings of a row in a record.
const between = " | "

// refusedMark stands before a refusal in a record.
const refusedMark = "!"

// Text is what the display showed, as a record keeps it.
func (t *Taken) Text() string {
	if t == nil {
		return ""
	}
	var out []string
	for _, at := range t.At {
		if at.Shown.Refusal != "" {
			out = append(out, refusedMark+string(at.Shown.Refusal))
		} else {
			out = append(out, at.Shown.Text)
		}
	}
	return strings.Join(out, between)
}

// recorded puts the readings of a record in place of those just computed: what the
// learner saw then is what was judged, whatever today's program makes of the rig.
func (t *Taken) recorded(text string) *Taken {
	words := strings.Split(text, between)
	if t == nil || len(words) != len(t.At) || text == t.Text() {
		return t
	}
	old := *t
	old.At = append([]At(nil), t.At...)
	for i, w := range words {
		m := &old.At[i].Shown
		if refusal, ok := strings.CutPrefix(w, refusedMark); ok {
			m.Refusal, m.Text = meter.Refusal(refusal), ""
			continue
		}
		r, err := quantity.ParseSigned(w, m.Unit)
		if err != nil {
			continue
		}
		m.Refusal, m.Text, m.Value, m.Mark = "", w, r.Value, r.Mark
	}
	return &old
}

// Recorded is the session with what a record says was shown in place of what was
// computed for the last measurement.
func (s *State) Recorded(shown string) *State {
	if s.last == nil || shown == "" {
		return s
	}
	c := *s
	c.last = s.last.recorded(shown)
	return &c
}
