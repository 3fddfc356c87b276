// Package play sits an exam by rote: right answers with the reference readings, and
// whatever else it is told to say. Tests and benchmarks make records with it; no
// command uses it.
package play

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
)

// Candidate is how somebody sits an exam.
type Candidate struct {
	Key *seal.Key
	// Say puts other answers in place of the right ones, by question id; the first of a
	// list is given first, and after the last the right one.
	Say map[string][]string
	// Seconds is how long each answer takes; 0 is 20.
	Seconds int
	// Decide is what the assessor decides at a stop; empty: put-right.
	Decide string
	Code   string // what the front would hand over for the assessor's code
	// Observe is what the assessor notes, by question id.
	Observe map[string]string
	// After are events that follow the first answer to a question; their times are filled
	// in.
	After map[string][]journal.Event
	// Wait is how many seconds pass before the first answer to a question, besides the
	// usual ones.
	Wait map[string]int
	// Each are readings entered one at a time, by the id of the part, in place of a row.
	Each  [][2]string
	Start time.Time
	Most  int // stop after so many answers; 0: go on to the end
}

// Answer is one answer of a sitting.
type Answer struct {
	Question sitting.Question
	Event    journal.Event
}

// Sit works through a sitting to its end and gives every event with what came of it.
func Sit(t *sitting.Sitting, c Candidate, see func(journal.Event, sitting.Feedback)) (*sitting.Sitting, error) {
	now := c.Start
	if now.IsZero() {
		now = time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	}
	step := time.Duration(max(c.Seconds, 1)) * time.Second
	if c.Seconds == 0 {
		step = 20 * time.Second
	}
	said := map[string]int{}
	for n := 0; t.Ended() == "" && (c.Most == 0 || n < c.Most); n++ {
		q, ok := t.Question()
		if !ok || n > 5000 {
			return t, fmt.Errorf("stuck at %q after %d answers", q.ID, n)
		}
		ev := c.event(t, q, said)
		now = now.Add(step)
		if w := c.Wait[q.ID]; w > 0 && said["waited "+q.ID] == 0 {
			said["waited "+q.ID]++
			now = now.Add(time.Duration(w) * time.Second)
		}
		ev.Time = now.Format(time.RFC3339)
		next, fb, err := t.Apply(ev)
		if err != nil {
			return t, fmt.Errorf("%s %q: %w", ev.At, ev.Raw, err)
		}
		see(ev, fb)
		t = next
		if said["answered "+ev.At]++; said["answered "+ev.At] > 1 {
			continue
		}
		after := c.After[ev.At]
		if note := c.Observe[ev.At]; note != "" {
			after = append([]journal.Event{{Type: journal.TypeObserve, At: ev.At, Raw: note}}, after...)
		}
		for _, o := range after {
			if t.Ended() != "" {
				break
			}
			o.Time = now.Format(time.RFC3339)
			if next, fb, err = t.Apply(o); err != nil {
				return t, err
			}
			see(o, fb)
			t = next
		}
	}
	return t, nil
}

func (c Candidate) event(t *sitting.Sitting, q sitting.Question, said map[string]int) journal.Event {
	ev := journal.Event{Type: journal.TypeAnswer, At: q.ID}
	for _, e := range c.Each {
		if slices.Contains(q.Parts, e[0]) && said["each "+e[0]] == 0 {
			said["each "+e[0]]++
			ev.At, ev.Raw = e[0], e[1]
			return ev
		}
	}
	if own := c.Say[q.ID]; said[q.ID] < len(own) {
		ev.Raw = own[said[q.ID]]
		said[q.ID]++
		if !q.Halt {
			return ev
		}
	} else {
		ev.Raw = Right(t, q, c.Key, c.Code)
	}
	if q.Halt {
		ev.Type = journal.TypeDecide
		decision := c.Decide
		if decision == "" {
			decision = sitting.PutRight
		}
		if ev.Raw == "" {
			ev.Raw = "looked at the rig together with the candidate"
		}
		ev.Params = map[string]string{"decision": decision, "code": c.Code}
	}
	return ev
}

// Right is the right answer to a question: the reference readings, and what they come
// to.
func Right(t *sitting.Sitting, q sitting.Question, k *seal.Key, code string) string {
	id := q.ID
	switch {
	case id == "assessor/name":
		return "Ruth Pallister"
	case q.Kind == coach.Secret:
		return code
	case q.Halt:
		return ""
	case strings.HasPrefix(id, "function/"):
		p := t.Setup().Program
		return sitting.FunctionOf(p.Tests[p.Steps[q.Step].Test].Name)
	case strings.HasPrefix(id, "leads/"):
		return sitting.LeadsRight
	case strings.HasPrefix(id, "state/"), strings.HasPrefix(id, "why/"):
		return stated(t, q, k)
	case strings.HasPrefix(id, "check/"):
		var row []string
		for _, p := range q.Parts {
			row = append(row, reference(k, p, true))
		}
		return strings.Join(row, " ")
	}
	if len(q.Parts) > 0 && t.Task(q.Step) != nil {
		var row []string
		for _, p := range q.Parts {
			row = append(row, reference(k, p, false))
		}
		return strings.Join(row, " ")
	}
	return t.Coach().RightAnswer(coach.Cast{Supervisor: "Ruth Pallister", Code: code, Padlock: "4417", MainPadlock: "4418",
		People: "Sam Orrell at the gate", Reason: "looked at, as it should be", TestedBy: "A. Candidate", Instrument: "BY-07", Calibration: "2027-01-31"})
}

func reference(k *seal.Key, id string, sound bool) string {
	for _, a := range k.Answers {
		if a.ID == id {
			if sound {
				return a.Sound
			}
			return a.Raw
		}
	}
	return ""
}

// stated is what the reference readings of a step come to.
func stated(t *sitting.Sitting, q sitting.Question, k *seal.Key) string {
	worst, why := "pass", "as-expected"
	for _, id := range t.Coach().PartsOf(q.Step) {
		for _, v := range k.Verdicts {
			if v.ID == id && v.Verdict != "pass" && worst != "fail" {
				worst, why = "fail", strings.Fields(v.Why)[0]
			}
			if v.ID == id && v.Verdict == "fail" {
				why = strings.Fields(v.Why)[0]
			}
		}
	}
	if strings.HasPrefix(q.ID, "state/") {
		return worst
	}
	return why
}

// Lines makes the lines of a record of a sitting, as a reader would give them.
func Lines(h journal.Header, t *sitting.Sitting, c Candidate) ([]journal.Line, *sitting.Sitting, error) {
	lines := []journal.Line{{Number: 1, Kind: journal.KindHeader, Header: &h}}
	seq := 0
	end, err := Sit(t, c, func(ev journal.Event, fb sitting.Feedback) {
		seq++
		lines = append(lines, journal.Line{Number: len(lines) + 1, Kind: journal.KindSaid, Said: &journal.Said{Seq: seq, Event: ev}})
		for _, g := range fb.Given(h.Edition) {
			lines = append(lines, journal.Line{Number: len(lines) + 1, Kind: journal.KindGave, Gave: &journal.Gave{Said: seq, Given: g}})
		}
	})
	if err != nil {
		return nil, end, err
	}
	lines = append(lines, journal.Line{Number: len(lines) + 1, Kind: journal.KindClosed, Closed: &journal.Closed{Lines: len(lines) + 1, How: end.Ended()}})
	return lines, end, nil
}

// Fields fills in what a header says about a candidate.
func Fields(h *journal.Header, candidate string, s paper.Setting, minutes, extra int) {
	h.Session, h.Created, h.Version = "0123456789abcdef0123456789abcdef", "2027-03-01T09:00:00Z", "test"
	h.Fields["candidate"], h.Fields["setting"] = candidate, string(s)
	h.Fields["minutes"], h.Fields["extra_minutes"] = fmt.Sprint(minutes), fmt.Sprint(extra)
}
