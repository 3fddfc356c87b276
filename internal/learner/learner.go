// Package learner remembers, on the learner's own machine, what was practised: how
// judgements of readings went, which usual mistakes came back, how many hints were
// asked for, and when each test is due again.
//
// When something is due follows the SM-2 method: P. A. Wozniak, "Optimization of
// learning", 1990, section 3.2 (from memory). After a repetition of quality q, 0 to 5,
//
//	I(1) = 1 day, I(2) = 6 days, I(n) = I(n−1) × EF, rounded up
//	EF' = EF + (0.1 − (5 − q) × (0.08 + (5 − q) × 0.02)), at least 1.3
//
// and a quality below 3 begins again at I(1) with EF as it was. How the quality follows from a
// session is this project's own, see [Practice.Quality].
//
// There is no clock and no disk in the memory itself: days are given as
// year-month-day.
package learner

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Version is that of the file's form.
const Version = 1

// Topic is what is remembered of one test.
type Topic struct {
	Repetitions  int     `json:"repetitions"` // in a row with a quality of 3 and more
	IntervalDays int     `json:"interval_days"`
	Ease         float64 `json:"ease"`
	Last         string  `json:"last"` // day
	Due          string  `json:"due"`
	Right        int     `json:"right"` // judgements
	Wrong        int     `json:"wrong"`
	Hints        int     `json:"hints"`
}

// Mistake is how often readings looked like a usual mistake.
type Mistake struct {
	Times int    `json:"times"`
	Last  string `json:"last"`
}

// Session is one session worked.
type Session struct {
	Day       string              `json:"day"`
	Rig       string              `json:"rig"`
	Sequence  string              `json:"sequence"`
	Ended     string              `json:"ended,omitempty"`
	Practised map[string]Practice `json:"practised"`
	Mistakes  []string            `json:"mistakes,omitempty"`
	Findings  int                 `json:"findings,omitempty"` // faults named right in all three parts
	Record    string              `json:"record,omitempty"`   // id of the session's record
	Events    int                 `json:"events,omitempty"`   // how many of the record's events are in this and what was noted before
}

// Practice is how one test went in a session.
type Practice struct {
	Right    int `json:"right"`
	Wrong    int `json:"wrong"`
	Hints    int `json:"hints,omitempty"`
	Answers  int `json:"answers,omitempty"`  // of the hints, those that gave the answer
	Mistakes int `json:"mistakes,omitempty"` // judgements at which a usual mistake was named
}

// Quality is a session's practice of a test on SM-2's scale: 5 every judgement right without help, 4 with a hint, 3 with
// the answer or a mistake of handling on the way, 2 some judgement wrong, 1 at least as many wrong as right.
// Common practice, no source.
func (p Practice) Quality() int {
	switch {
	case p.Wrong > 0 && p.Wrong >= p.Right:
		return 1
	case p.Wrong > 0:
		return 2
	case p.Answers > 0 || p.Mistakes > 0:
		return 3
	case p.Hints > 0:
		return 4
	}
	return 5
}

// Memory is everything that is remembered of one learner.
type Memory struct {
	Version  int                `json:"version"`
	Learner  string             `json:"learner"`
	Topics   map[string]Topic   `json:"topics"`
	Mistakes map[string]Mistake `json:"mistakes"`
	Sessions []Session          `json:"sessions"`
}

// New is the memory of a learner who has done nothing yet.
func New(name string) *Memory {
	return &Memory{Version: Version, Learner: name, Topics: map[string]Topic{}, Mistakes: map[string]Mistake{}}
}

const (
	firstEase = 2.5
	leastEase = 1.3
	// mostEase is far above what repetitions of quality 5 come to: each adds a tenth.
	mostEase = 1000
	// longest is the longest interval in days, a hundred years: a day further off is none that a date could name.
	longest = 36500
	day     = "2006-01-02"
)

// Repeat is the topic after a repetition of quality 0 to 5 on a day.
func (t Topic) Repeat(quality int, on string) Topic {
	if t.Ease == 0 {
		t.Ease = firstEase
	}
	if quality < 3 {
		t.Repetitions, t.IntervalDays = 0, 1
	} else {
		switch t.Repetitions {
		case 0:
			t.IntervalDays = 1
		case 1:
			t.IntervalDays = 6
		default:
			t.IntervalDays = int(min(longest, math.Ceil(float64(float64(t.IntervalDays)*t.Ease)-1e-9)))
		}
		t.Repetitions++
		d := float64(5 - quality)
		t.Ease = min(mostEase, max(leastEase, t.Ease+0.1-float64(d*(0.08+float64(d*0.02)))))
	}
	t.Last, t.Due = on, after(on, t.IntervalDays)
	return t
}

// isDay reports whether a text is a day, or empty.
func isDay(s string) bool {
	_, err := time.Parse(day, s)
	return s == "" || err == nil
}

func after(on string, days int) string {
	d, err := time.Parse(day, on)
	if err != nil {
		return on
	}
	return d.AddDate(0, 0, days).Format(day)
}

// Note adds a session. One in which nothing was judged and no hint was taken leaves no trace.
func (m *Memory) Note(s Session) {
	if len(s.Practised) == 0 && s.Findings == 0 {
		return
	}
	for name, p := range s.Practised {
		t := m.Topics[name]
		if p.Right+p.Wrong > 0 {
			t = t.Repeat(p.Quality(), s.Day)
		}
		t.Right, t.Wrong, t.Hints = t.Right+p.Right, t.Wrong+p.Wrong, t.Hints+p.Hints
		m.Topics[name] = t
	}
	for _, id := range s.Mistakes {
		x := m.Mistakes[id]
		m.Mistakes[id] = Mistake{Times: x.Times + 1, Last: s.Day}
	}
	m.Sessions = append(m.Sessions, s)
}

// Days is how many days lie between two days; 0 when one is no day.
func Days(from, to string) int {
	a, err := time.Parse(day, from)
	b, err2 := time.Parse(day, to)
	if err != nil || err2 != nil {
		return 0
	}
	return int(b.Sub(a).Hours() / 24)
}

// Order sorts tests for practice on a day: those overdue first, the longest relative to their interval at the head (which
// is the weakest: its interval is short), then what was never practised, then what is not due yet.
func (m *Memory) Order(tests []string, on string) []string {
	out := slices.Clone(tests)
	slices.SortStableFunc(out, func(a, b string) int {
		if c := cmp.Compare(m.class(a, on), m.class(b, on)); c != 0 {
			return c
		}
		if c := cmp.Compare(m.late(b, on), m.late(a, on)); c != 0 {
			return c
		}
		return cmp.Compare(m.Topics[a].Ease, m.Topics[b].Ease)
	})
	return out
}

func (m *Memory) class(test, on string) int {
	switch t, known := m.Topics[test]; {
	case !known || t.Last == "":
		return 1
	case t.Due <= on:
		return 0
	}
	return 2
}

// late is how late a topic is, in parts of its interval.
func (m *Memory) late(test, on string) float64 {
	t := m.Topics[test]
	if t.Last == "" {
		return 0
	}
	return float64(Days(t.Due, on)+1) / float64(max(1, t.IntervalDays))
}

// Recurring lists the mistakes that came back, the most frequent first.
func (m *Memory) Recurring() []string {
	var ids []string
	for id := range m.Mistakes {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, func(a, b string) int {
		if c := cmp.Compare(m.Mistakes[b].Times, m.Mistakes[a].Times); c != 0 {
			return c
		}
		return cmp.Compare(a, b)
	})
	return ids
}
