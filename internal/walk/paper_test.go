package walk_test

import (
	"bytes"

	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
)

// sheet is a file in memory, for records.
type sheet struct{ b []byte }

func (s *sheet) WriteAt(p []byte, off int64) (int, error) {
	s.b = append(s.b[:off], p...)
	return len(p), nil
}
func (s *sheet) Truncate(n int64) error { s.b = s.b[:n]; return nil }
func (s *sheet) Sync() error            { return nil }
func (s *sheet) Close() error           { return nil }

// replayed writes events to a record, reads it back and replays it.
func replayed(setup coach.Setup, events []coach.Event) (*coach.State, error) {
	const time = "2027-03-01T09:00:00Z"
	file, name := &sheet{}, func(s string) journal.Content { return journal.Content{Name: s, Text: s} }
	j, err := journal.New(file, journal.Header{Version: "test", Created: time, Session: "s-1", Edition: setup.Pack.Name,
		Sequence: name("sequence"), Rig: name("rig"), Pack: name("pack")})
	if err != nil {
		return nil, err
	}
	for _, ev := range events {
		if _, err := j.Said(record.Said(ev, time)); err != nil {
			return nil, err
		}
	}
	lines, err := journal.Read(bytes.NewReader(file.b))
	if err != nil {
		return nil, err
	}
	s := coach.New(setup)
	for _, l := range lines {
		if l.Said == nil {
			continue
		}
		if s, _, err = s.Apply(record.Event(l.Said.Event)); err != nil {
			return nil, err
		}
	}
	return s, nil
}
