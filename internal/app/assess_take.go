package app

import (
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/prompt"
)

// decide asks for the reason of a decision at a stop, and for the code where somebody
// else than the assessor sits at the keys.
func (d *desk) decide(s *seat, q sitting.Question, decision string) error {
	ev := journal.Event{Type: journal.TypeDecide, At: q.ID, Params: map[string]string{"decision": decision}}
	r, err := d.front.Ask(prompt.Question{ID: q.ID + "/reason", Kind: prompt.Line, Ask: s.view.text("assess.ask.halt.reason", nil), Lines: []string{""}})
	if err != nil {
		return d.stopped(s, prompt.Question{}, err)
	}
	ev.Raw = r.Raw
	s.observe = "" // what there was to see is in the decision
	if s.t.Setup().Setting != paper.Observed {
		c, err := d.front.Ask(prompt.Question{ID: q.ID + "/code", Kind: prompt.Secret, Ask: s.view.text("assess.ask.halt.code", nil)})
		if err != nil {
			return d.stopped(s, prompt.Question{}, err)
		}
		hashed, err := journal.NewSecret(c.Raw).Hash(s.header.Session)
		if err != nil {
			return err
		}
		ev.Params["code"] = hashed.String()
	}
	return d.turn(s, ev)
}

func (d *desk) correct(s *seat, reply prompt.Reply) error {
	at, raw := reply.At, reply.Raw
	if d.script == nil {
		ask := s.view.correctWhich(s.t.Coach())
		if s.t.Bench() != nil {
			ask = s.view.correctAtBench(s.t)
		}
		ask.Left = d.left(s)
		which, err := d.front.Ask(ask)
		if err != nil {
			return d.stopped(s, prompt.Question{}, err)
		}
		if which.Command != "" || which.Raw == coach.NotYet {
			return nil
		}
		ask = s.view.correctValue(s.t.Coach(), which.Raw)
		ask.Left = d.left(s)
		value, err := d.front.Ask(ask)
		switch {
		case err != nil:
			return d.stopped(s, prompt.Question{}, err)
		case value.Command == prompt.CommandTime:
			return d.turn(s, journal.Event{Type: journal.TypeTime, At: which.Raw, Raw: value.Raw})
		case value.Command != "":
			return nil
		}
		at, raw = which.Raw, value.Raw
	}
	return d.turn(s, journal.Event{Type: journal.TypeCorrect, At: at, Raw: raw})
}
