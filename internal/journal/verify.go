package journal

import (
	"errors"
	"fmt"
	"io"
	"time"
)

// Report is what Verify found.
type Report struct {
	Path     string
	Session  string
	Version  string
	Edition  string
	Mode     string
	Scripted bool

	Lines int // whole lines that hold
	Said  int
	Gave  int
	// Head is the SHA-256 of the last line that holds. Written down elsewhere
	// at the end of a session, it shows later that this is still that record.
	Head string

	Closed bool
	How    string // how it was closed

	Torn   *Torn   // an unfinished line follows
	Damage *Damage // the line after the last that holds is damaged

	// What deserves a look, though the record holds.
	Unanswered  bool  // no gave line follows the last said line
	ClockBack   []int // events whose time is before that of the event before
	BareSecrets []int // events whose hidden code was recorded in clear
	Exposed     bool  // others than the owner may read or change the file
}

// Holds reports whether every byte of the file is part of a whole, canonical,
// chained line. An open record can hold; a torn or damaged one does not.
func (r Report) Holds() bool { return r.Damage == nil && r.Torn == nil }

// Verify checks a record and never changes it nor anything beside it. The
// error is one of finding or reading the file; what is wrong with the record
// itself is in the report.
func Verify(path string) (Report, error) {
	f, err := osDisk{}.openToRead(path)
	if err != nil {
		return Report{}, err
	}
	defer f.Close()
	report, err := verify(f)
	report.Path = path
	report.Exposed = exposed(f)
	return report, withPath(err, path)
}

func verify(src io.Reader) (Report, error) {
	var report Report
	var before time.Time
	var hidden []string
	r := NewReader(src)
	for {
		line, err := r.Next()
		if err != nil {
			report.Head = r.prev.String()
			return report, report.end(err)
		}
		report.Lines++
		switch line.Kind {
		case KindHeader:
			h := line.Header
			hidden = h.Hidden
			report.Session, report.Version, report.Edition = h.Session, h.Version, h.Edition
			report.Mode, report.Scripted = h.Mode, h.Scripted
		case KindSaid:
			report.Said++
			report.Unanswered = true
			if bareSecret(&line.Said.Event, hidden) != "" {
				report.BareSecrets = append(report.BareSecrets, line.Said.Seq)
			}
			if now, err := time.Parse(time.RFC3339, line.Said.Time); err == nil {
				if now.Before(before) {
					report.ClockBack = append(report.ClockBack, line.Said.Seq)
				}
				before = now
			}
		case KindGave:
			report.Gave++
			report.Unanswered = false
		case KindClosed:
			report.Closed, report.How = true, line.Closed.How
		}
	}
}

// end puts the reader's last word into the report; what is left is an error of
// reading.
func (r *Report) end(err error) error {
	switch {
	case errors.Is(err, io.EOF):
		return nil
	case errors.As(err, &r.Torn), errors.As(err, &r.Damage):
		return nil
	}
	return err
}

// Text says in plain lines what holds, what does not, and what such a check
// can and cannot find.
func (r Report) Text() []string {
	var t []string
	say := func(format string, args ...any) { t = append(t, fmt.Sprintf(format, args...)) }
	say("%d lines hold: each is whole, in canonical form and carries the hash of the one before (%d said, %d gave).",
		r.Lines, r.Said, r.Gave)
	if r.Damage != nil {
		say("damaged at line %d (byte %d): %s. Nothing from there on can be relied on.", r.Damage.Line, r.Damage.Offset, r.damageDetail())
	}
	if r.Torn != nil {
		say("%d bytes of an unfinished line follow line %d: the last write was cut off.", len(r.Torn.Tail), r.Lines)
	}
	if r.Closed {
		say("closed: %s.", shorten(r.How))
	} else {
		say("not closed: it cannot show that no whole line is missing from its end.")
	}
	if r.Scripted {
		say("scripted: the answers came from a file, not from a person.")
	}
	if r.Unanswered && !r.Closed {
		say("the last event has no verdict yet: the session was cut off there.")
	}
	for _, seq := range r.ClockBack {
		say("the clock went back before event %d; order is by number, not by time.", seq)
	}
	for _, seq := range r.BareSecrets {
		say("event %d holds a code in clear.", seq)
	}
	if r.Exposed {
		say("others than the owner may open this file.")
	}
	if r.Lines > 0 {
		say("hash of the last line: %s", r.Head)
	}
	say("the chain has no key: it finds accidents, not forgers, who can compute every hash anew.")
	return t
}

func (r Report) damageDetail() string {
	if r.Damage.Reason == NoHeader {
		return "no whole line at all"
	}
	return r.Damage.Detail
}
