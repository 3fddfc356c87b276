package app

import (
	"fmt"
	"time"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/journal"
)

// left is the clock of the question that is about to be asked, nil where no time runs for it.
func (d *desk) left(s *seat) func() time.Duration {
	if d.script != nil {
		return nil
	}
	if _, runs := s.t.Left(d.a.sys.Now()); !runs {
		return nil
	}
	return func() time.Duration {
		left, _ := s.t.Left(d.a.sys.Now())
		return left
	}
}

// over reports whether an answer to the question that is due would be late.
func (d *desk) over(s *seat) bool {
	left := d.left(s)
	return left != nil && left() <= 0
}

// others ends the exams of those whose time has run out while somebody else was asked. Where the assessor may still have
// something to note about the last answer, it waits until they come back to it.
func (d *desk) others() error {
	if d.script != nil {
		return nil
	}
	for i, s := range d.seats {
		if i == d.active || s.done || s.t.Ended() != "" || !d.over(s) || s.observe != "" && s.t.Setup().Setting == paper.Observed {
			continue
		}
		q, _ := s.t.Question()
		d.front.Show("", fmt.Sprintf("[%d] %s", i+1, s.header.Fields["candidate"]))
		if err := d.turn(s, journal.Event{Type: journal.TypeTime, At: q.ID}); err != nil {
			return err
		}
		if s.t.Ended() == "" {
			continue
		}
		if err := d.finish(s); err != nil {
			return err
		}
	}
	return nil
}
