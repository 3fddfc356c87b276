package app

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/journal"
	"wanderlead/internal/prompt"
)

// askResume asks whether to go on after a pause.
func (d *desk) askResume(s *seat) error {
	r, err := d.front.Ask(prompt.Question{ID: "resume", Kind: prompt.Choice, Seats: len(d.seats), Lines: []string{"", d.heading(s)},
		Ask: s.view.text("assess.ask.pause", nil), Options: []prompt.Option{{Value: "go-on", Label: "go on"}}})
	switch {
	case err != nil:
		return d.stopped(s, prompt.Question{}, err)
	case r.Command == prompt.CommandSwitch:
		return d.take(s, sitting.Question{}, r)
	case r.Command != "":
		return nil
	}
	return d.turn(s, journal.Event{Type: journal.TypeResume})
}

// stopped ends a run that could not go on asking.
func (d *desk) stopped(s *seat, q prompt.Question, err error) error {
	d.front.Show(s.view.open(s.t)...)
	var se *prompt.ScriptError
	switch {
	case errors.Is(err, prompt.ErrInterrupted):
		return fail(ExitInterrupted, errors.New("interrupted"), d.hint())
	case errors.Is(err, prompt.ErrGateNeedsTerminal):
		return fail(ExitRefused, err, d.hint())
	case errors.As(err, &se):
		return fail(ExitUsage, err, d.hint())
	case errors.Is(err, prompt.ErrEnd), errors.Is(err, io.EOF):
		return fail(ExitUsage, errors.New("the input ended"), d.hint())
	}
	return fail(ExitUsage, fmt.Errorf("%s: %w", q.ID, err), d.hint())
}

// finish closes the record of a seat, and signs it when the key was given.
func (d *desk) finish(s *seat) error {
	s.done = true
	if err := s.j.CloseRecord(s.t.Ended(), d.a.now()); err != nil {
		return fail(ExitUsage, err)
	}
	if err := s.j.Close(); err != nil {
		return fail(ExitUsage, err)
	}
	d.front.Show("", s.header.Fields["candidate"]+": "+s.view.text("assess.ended."+s.t.Ended(), nil))
	d.front.Show(s.view.open(s.t)...)
	if d.script != nil {
		if n, line := d.script.Left(); n > 0 {
			fmt.Fprintf(d.a.errs(), "wanderlead: %d answers were not used, the first at line %d\n", n, line)
		}
	}
	if d.o.key != "" {
		if err := d.a.sign(d.o, s.record); err != nil {
			return err
		}
	}
	if d.a.opt.json {
		return json.NewEncoder(d.a.jsonOut()).Encode(map[string]string{"candidate": s.header.Fields["candidate"], "record": s.record, "ended": s.t.Ended()})
	}
	d.front.Show("Record: " + s.record)
	return nil
}
