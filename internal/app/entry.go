package app

import (
	"errors"
	"strings"
	"time"

	"wanderlead/internal/journal"
)

// entryClock watches whether the clock goes back between the entries of a record. Entries count by their number, so nothing
// depends on it but what a reader of the times will think: it is said once.
type entryClock struct {
	last time.Time
	told bool
}

// since takes the times of a record that is taken up again.
func (c *entryClock) since(lines []journal.Line) {
	for _, l := range lines {
		switch {
		case l.Header != nil:
			c.back(l.Header.Created)
		case l.Said != nil:
			c.back(l.Said.Time)
		}
	}
	c.told = false
}

// back takes the time of the next entry. It reports, the first time only, that the clock stands before the last one, and how
// the two are written.
func (c *entryClock) back(at string) (now, last string, ok bool) {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return "", "", false
	}
	was := c.last
	c.last = t
	if !t.Before(was) || c.told {
		return "", "", false
	}
	c.told = true
	return t.UTC().Format(time.DateTime), was.UTC().Format(time.DateTime), true
}

// say is the line about a clock that went back before an entry at this time; none when it did not, or when it was said.
func (c *entryClock) say(v *view, at string) []string {
	now, last, ok := c.back(at)
	if !ok {
		return nil
	}
	return append([]string{""}, v.wrap(v.text("record.clock-back", map[string]string{"now": now, "last": last}))...)
}

// again reports whether the same answer may be given once more after the record could not be written: nothing of it was kept.
func again(err error) bool {
	var w *journal.WriteError
	return errors.As(err, &w) && w.Retry && !w.Said
}

// firstLine is what an error says, without its hints.
func firstLine(err error) string {
	first, _, _ := strings.Cut(err.Error(), "\n")
	return plainText(first)
}

// writeCut writes what an interruption kept from being written of the latest event, before the session goes on.
func writeCut(j *journal.Journal, given []journal.Given) error {
	for _, g := range given {
		if err := j.Gave(j.Seq(), g); err != nil {
			return err
		}
	}
	return nil
}
