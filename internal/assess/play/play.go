// Package play sits an exam by rote: right answers with the reference readings, and
// whatever else it is told to say. Tests and benchmarks make records with it; no
// command uses it.
package play

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/rig"
	"wanderlead/internal/study/pilot"
	"wanderlead/safety"
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

// player is a sitting under way.
type player struct {
	c    Candidate
	t    *sitting.Sitting
	see  func(journal.Event, sitting.Feedback)
	now  time.Time
	step time.Duration
	said map[string]int
	n    int
	err  error
}

// movesPerAnswer is how many moves at the bench take as long as another answer.
const movesPerAnswer = 5

// most ends a sitting that gets nowhere.
const most = 8000

// Sit works through a sitting to its end and gives every event with what came of it.
func Sit(t *sitting.Sitting, c Candidate, see func(journal.Event, sitting.Feedback)) (*sitting.Sitting, error) {
	p := &player{c: c, t: t, see: see, now: c.Start, step: time.Duration(max(c.Seconds, 1)) * time.Second, said: map[string]int{}}
	if p.now.IsZero() {
		p.now = time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	}
	if c.Seconds == 0 {
		p.step = 20 * time.Second
	}
	for p.more() {
		q, ok := p.t.Question()
		if !ok {
			return p.t, fmt.Errorf("nothing is asked after %d answers, and the exam has not ended: %w", p.n, p.t.Err())
		}
		if q.ID == "study/bench" {
			p.atBench()
			continue
		}
		p.answer("")
	}
	if p.err == nil && p.t.Ended() == "" && p.n >= most {
		p.err = fmt.Errorf("no end after %d answers", p.n)
	}
	return p.t, p.err
}

func (p *player) more() bool {
	return p.err == nil && p.t.Ended() == "" && p.n < most && (p.c.Most == 0 || p.n < p.c.Most)
}

// answer gives the answer that is due, or another at a menu of the bench, and reports
// whether it was taken.
func (p *player) answer(menu string) bool {
	q, ok := p.t.Question()
	if !ok || !p.more() {
		return false
	}
	p.n++
	ev := p.c.event(p.t, q, p.said, menu)
	if strings.HasPrefix(q.ID, "study/") {
		p.now = p.now.Add(p.step / movesPerAnswer)
	} else {
		p.now = p.now.Add(p.step)
	}
	if w := p.c.Wait[q.ID]; w > 0 && p.said["waited "+q.ID] == 0 {
		p.said["waited "+q.ID]++
		p.now = p.now.Add(time.Duration(w) * time.Second)
	}
	fb := p.apply(ev)
	if p.err != nil {
		return false
	}
	if p.said["answered "+ev.At]++; p.said["answered "+ev.At] > 1 {
		return fb.Taken
	}
	after := p.c.After[ev.At]
	if note := p.c.Observe[ev.At]; note != "" {
		after = append([]journal.Event{{Type: journal.TypeObserve, At: ev.At, Raw: note}}, after...)
	}
	for _, o := range after {
		if p.t.Ended() == "" && p.err == nil {
			p.apply(o)
		}
	}
	return fb.Taken
}

func (p *player) apply(ev journal.Event) sitting.Feedback {
	ev.Time = p.now.Format(time.RFC3339)
	next, fb, err := p.t.Apply(ev)
	if err != nil {
		p.err = fmt.Errorf("%s %q: %w", ev.At, ev.Raw, err)
		return fb
	}
	p.see(ev, fb)
	p.t = next
	return fb
}

// atBench takes the next step at the bench with a careful hand. What is asked between
// two of its menus is answered as everywhere.
func (p *player) atBench() {
	hand := &pilot.Pilot{S: p.t.Bench()}
	hand.Answer = func(raw string) bool {
		taken := p.answer(raw)
		for taken && p.more() {
			if q, ok := p.t.Question(); !ok || strings.HasPrefix(q.ID, "study/") && q.ID != "study/sure" {
				break
			}
			taken = p.answer("")
		}
		hand.S = p.t.Bench()
		if !p.more() || p.t.Halted() { // what was planned is begun again
			hand.Err = errors.New("broken off")
		}
		return taken
	}
	hand.Exam()
}

func (c Candidate) event(t *sitting.Sitting, q sitting.Question, said map[string]int, menu string) journal.Event {
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
	} else if ev.Raw = menu; menu == "" {
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
	if q.Bench && len(q.Parts) == 0 {
		return atBench(t, q)
	}
	if q.Bench || q.Step >= 0 && t.Task(q.Step) != nil && (len(q.Parts) > 0 || sitting.Looked(&t.Setup().Program.Steps[q.Step]) && q.ID == t.Setup().Program.Steps[q.Step].ID) {
		parts := q.Parts
		if len(parts) == 0 {
			parts = t.Coach().PartsOf(q.Step)
		}
		var row []string
		for _, p := range parts {
			row = append(row, reference(k, p, false))
		}
		return strings.Join(row, " ")
	}
	return t.Coach().RightAnswer(coach.Cast{Supervisor: "Ruth Pallister", Code: code, Padlock: "4417", MainPadlock: "4418",
		People: "Sam Orrell at the gate", Reason: "looked at, as it should be", TestedBy: "A. Candidate", Instrument: "BY-07", Calibration: "2027-12-31"})
}

// atBench is the right answer to a question of the bench, but for its menus, which are
// left.
func atBench(t *sitting.Sitting, q sitting.Question) string {
	right := map[string]string{"safety/lock/number": "4417", "safety/lock/key": "on-me", "safety/notice/where": "at-isolator", "study/sure": "hand-in"}
	if a := right[q.ID]; a != "" {
		return a
	}
	place, ok := strings.CutPrefix(q.ID, "safety/")
	place, what, _ := strings.Cut(place, "/")
	switch {
	case !ok:
		return "back"
	case what == "indicator":
		return "two-pole"
	case what == "prove-again":
		return "works"
	}
	r := t.Setup().Program.Rig
	var row []string
	for _, pair := range safety.DeadPairs(r.Supply.Phases) {
		row = append(row, pair+" 0")
	}
	if c, ok := r.Circuit(place); ok {
		n := 0
		for _, p := range c.Points {
			if p.Kind != rig.Switchbox || c.Shape != rig.Lighting {
				n++
			}
		}
		row = append(row, fmt.Sprint("points ", n))
	}
	return strings.Join(row, ", ")
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
