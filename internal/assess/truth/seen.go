package truth

import (
	"strings"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// What is seen and not measured: an inspection item, or an observation. The answers of a sequence are those of the sound
// rig; a drawn fault that eyes can find changes them.

// shows are the faults that an item with a list of answers shows, by test or by the item's own id, and the answer then.
// (A loose joint is none of them: on a rig it is a resistor behind the wall.)
var shows = map[string][]struct{ kind, say string }{
	safety.TestPolarity:   {{"F15", "reversed"}, {"F17", "line-earth"}, {"F31", "neutral-switched"}},
	"inspection/cables":   {{"F43", "over-rated"}},
	"inspection/earthing": {{"F34", "missing"}},
}

// seen is what the rig with the drawn faults shows of one part of a step, where the sound one shows right.
func (b *Bench) seen(p *sequence.Program, st *sequence.Step, id, right string, draw []paper.Fault) string {
	of, _ := strings.CutPrefix(id, st.ID+"/")
	switch {
	case st.Right.Say != "":
		return drawn(p, st, right, draw)
	case st.ID == "inspection/rcd-types":
		for i := range b.Faulty.Rig.Circuits {
			if d := b.Faulty.Rig.RCDOf(&b.Faulty.Rig.Circuits[i]); d != nil && d.ID == of {
				return d.Type
			}
		}
	case st.ID == "inspection/devices":
		if c, ok := b.Faulty.Rig.Circuit(of); ok {
			return sequence.DeviceName(c.Device)
		}
	}
	return right
}

// drawn is the answer of a list that a drawn fault makes the right one.
func drawn(p *sequence.Program, st *sequence.Step, right string, draw []paper.Fault) string {
	list := shows[st.ID]
	if st.Test >= 0 && st.Form == sequence.Observe {
		list = shows[p.Tests[st.Test].Name]
	}
	for _, f := range draw {
		for _, s := range list {
			if f.Kind == s.kind && onSameCircuit(p.Rig, st, f.Circuit) && offers(st, s.say) {
				return s.say
			}
		}
	}
	return right
}

// onSameCircuit reports whether a fault sits where a step looks: the board's items look at everything.
func onSameCircuit(r *rig.Rig, st *sequence.Step, circuit string) bool {
	return st.Circuit < 0 || r.Circuits[st.Circuit].ID == circuit
}

func offers(st *sequence.Step, say string) bool {
	for _, w := range st.Wrong {
		if w.Say == say {
			return true
		}
	}
	return false
}

// Shows reports whether the drawn faults of a bench change what is seen at a step.
func (b *Bench) Shows(p *sequence.Program, st *sequence.Step, id, right string, draw []paper.Fault) bool {
	return b.seen(p, st, id, right, draw) != right
}
