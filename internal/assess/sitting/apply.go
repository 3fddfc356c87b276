package sitting

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/internal/study"
	"wanderlead/safety"
)

// ErrEnded is returned for an event after the exam has ended.
var ErrEnded = errors.New("the exam has ended")

// Feedback is what came of an event. It never says whether an answer was right.
type Feedback struct {
	Taken bool
	// Rule says why something was not taken: its form, never its content.
	Rule   string
	Halted bool // stop, call the assessor
	Late   bool // kept, and marked as late
	Ended  string
	// Alone only: what came of a move at the bench, and what the record keeps of it.
	Bench  *study.Feedback
	Params map[string]string
}

// Given is the feedback as the record keeps it.
func (f Feedback) Given(edition string) []journal.Given {
	g := journal.Given{Verdict: "taken", Rule: f.Rule, Edition: "", Params: map[string]string{}}
	maps.Copy(g.Params, f.Params)
	switch {
	case f.Halted:
		g.Verdict = "halt"
	case !f.Taken:
		g.Verdict = "not-taken"
	case f.Late:
		g.Verdict = "late"
	}
	if f.Ended != "" {
		g.Params["ended"] = f.Ended
	}
	return []journal.Given{g}
}

// Check reports whether an event fits the exam as it stands, before anything is
// written down.
func (t *Sitting) Check(ev journal.Event) error {
	if t.ended != "" {
		return ErrEnded
	}
	if _, err := time.Parse(time.RFC3339, ev.Time); err != nil {
		return fmt.Errorf("an event needs its time (RFC 3339): %w", err)
	}
	switch ev.Type {
	case answer, decide:
		q, _ := t.Question()
		if ev.At != q.ID && !slices.Contains(q.Parts, ev.At) {
			return &coach.NotDueError{At: ev.At, Due: append([]string{q.ID}, q.Parts...)}
		}
		if q.Halt != (ev.Type == decide) {
			return fmt.Errorf("at %s an event of type %q does not fit", q.ID, ev.Type)
		}
	case correct:
		if _, ok := t.co.PartOf(ev.At); !ok {
			return &coach.UnknownReadingError{At: ev.At}
		}
	case observe:
		if ev.Raw != Seen && ev.Raw != NotSeen && ev.Raw != Prompted {
			return fmt.Errorf("an observation is %s, %s or %s, not %q", Seen, NotSeen, Prompted, ev.Raw)
		}
	case stop, remark, paused, resumed, timeMark:
	default:
		return fmt.Errorf("unknown event type %q", ev.Type)
	}
	return nil
}

// Apply takes one event and gives the next state. An error means that the event does
// not fit (see [Sitting.Check]).
func (t *Sitting) Apply(ev journal.Event) (*Sitting, Feedback, error) {
	if err := t.Check(ev); err != nil {
		return t, Feedback{}, err
	}
	c := t.clone()
	c.begin(ev)
	fb := Feedback{Taken: true}
	q, _ := t.Question()
	c.pass(ev, q.Who == Candidate && ev.Type == answer, &fb)
	switch ev.Type {
	case answer:
		c.answer(q, ev, &fb)
	case decide:
		c.decide(ev, &fb)
	case correct:
		if c.bench != nil {
			c.correctBench(ev, &fb)
		}
	case stop:
		c.feed(coach.Event{Type: coach.Stop})
		c.halt(&fb)
	case paused:
		c.onPause, c.running = true, false
		c.feed(coach.Event{Type: coach.Paused})
	case resumed:
		c.onPause = false
		c.feed(coach.Event{Type: coach.Resumed})
		c.running = c.started() && !c.halted
	}
	if fb.Halted {
		c.haltAt, c.haltRaw = ev.At, strings.TrimSpace(ev.Raw)
		if ev.Type == stop {
			c.haltRaw = "stop"
		}
	}
	c.follow()
	if c.late && c.ended == "" && fb.Taken {
		c.ended = TimeOver
	}
	fb.Ended = c.ended
	return c, fb, nil
}

// begin gives the session the day it is sat on: a calibration that has run out by then
// is a doubt, put to the assessor with the others.
func (t *Sitting) begin(ev journal.Event) {
	if t.begun || t.bench != nil {
		return
	}
	t.begun = true
	t.co = newCoach(t.set, ev.Time[:len(time.DateOnly)])
}

// started reports whether the candidate's time has begun: once the assessor is named.
func (t *Sitting) started() bool { return t.codeHash != "" }

// pass lets the time of an event pass. Time runs between events while the exam is
// neither halted nor paused; a clock that was put back counts as standing still. An
// answer of the candidate after the time was over is kept and marked late, and is the
// last one.
func (t *Sitting) pass(ev journal.Event, fromCandidate bool, fb *Feedback) {
	at, _ := time.Parse(time.RFC3339, ev.Time)
	if t.running && ev.Type != resumed && at.After(t.last) {
		t.used += at.Sub(t.last)
	}
	t.last = at
	if t.used > t.Allowed() && (fromCandidate || ev.Type == timeMark) {
		t.late, fb.Late = true, true
	}
}

// feed hands an event to the session underneath.
func (t *Sitting) feed(ev coach.Event) coach.Feedback {
	if t.bench != nil {
		return coach.Feedback{} // on a computed rig nobody's hands come between
	}
	next, fb, err := t.co.Apply(ev)
	if err != nil {
		return coach.Feedback{Refused: "misfit"}
	}
	t.co = next
	t.prompt()
	return fb
}

// prompt answers the session's questions for supervisor and code with what the assessor
// gave at the start.
func (t *Sitting) prompt() {
	for {
		q, ok := t.co.Question()
		if !ok || t.codeHash == "" {
			return
		}
		ev := coach.Event{Type: coach.Answer, At: q.ID}
		switch q.ID {
		case "supervisor/name":
			ev.Raw = t.assessor
		case "supervisor/code":
			ev.Raw = t.codeHash
		default:
			return
		}
		next, fb, err := t.co.Apply(ev)
		if err != nil || fb.Refused != "" {
			return
		}
		t.co = next
	}
}

// halt stops candidate and clock.
func (t *Sitting) halt(fb *Feedback) {
	t.halted, t.running = true, false
	t.halts++
	fb.Halted, fb.Taken = true, false
}

func (t *Sitting) answer(q Question, ev journal.Event, fb *Feedback) {
	raw := strings.TrimSpace(ev.Raw)
	refuse := func(rule string) { fb.Taken, fb.Rule = false, rule }
	if raw == "" || raw == coach.NotYet {
		refuse("not-yet")
		return
	}
	if q.Kind == coach.Choice && !slices.ContainsFunc(q.Options, func(o coach.Option) bool { return o.Value == raw }) {
		refuse("no-such-answer")
		return
	}
	switch {
	case q.ID == "assessor/name":
		t.setAssessor(raw, refuse)
	case q.ID == "assessor/code":
		t.codeHash, t.running = raw, true
		if t.bench == nil {
			t.prompt()
		}
	case strings.HasPrefix(q.ID, "hold/"):
		if raw != t.codeHash {
			refuse("code")
			return
		}
		t.holds = append(t.holds, strings.Split(q.ID, "/")[1])
	case strings.HasPrefix(q.ID, "check/"):
		t.check(q, ev.At, raw, refuse)
	case q.Bench:
		t.move(ev, fb)
	case !q.Coach:
		switch t.stage {
		case stageFunction:
			t.function = raw
		case stageLeads:
			t.leads = raw
		}
		t.stage++
		if t.stage > stageWhy {
			t.stage = stageNone
		}
	default:
		t.session(q, ev, fb)
	}
}

func (t *Sitting) setAssessor(raw string, refuse func(string)) {
	letters := 0
	for _, r := range raw {
		if r > 127 || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			letters++
		}
	}
	if letters < 2 {
		refuse("name")
		return
	}
	t.assessor = raw
}

// lookedOver is where a candidate says what instrument and leads look like.
const lookedOver = "instrument/damage"

// session hands an answer to the session underneath. What it refuses for its form is
// asked again; anything else it refuses stops the candidate.
func (t *Sitting) session(q Question, ev journal.Event, fb *Feedback) {
	if q.ID == lookedOver && q.Step >= 0 && strings.TrimSpace(ev.Raw) != t.set.Program.Steps[q.Step].Right.Say {
		// Whether it was found or is about to be used: nobody works on with it before the assessor has looked.
		t.halt(fb)
		return
	}
	cf := t.feed(coach.Event{Type: coach.Answer, At: ev.At, Raw: ev.Raw})
	switch {
	case cf.Refused == "":
	case formOnly(cf.Refused) || q.Who == Assessor:
		fb.Taken, fb.Rule = false, plainRule(cf.Refused)
		return
	default:
		t.halt(fb)
		return
	}
	if q.Step == t.stageStep && t.stage == stageReading {
		if now, ok := t.co.Question(); ok && now.Own && now.Step == q.Step {
			return // some of its readings are still to come
		}
		t.stage = stageState
		if Looked(&t.set.Program.Steps[q.Step]) {
			t.stage = stageNone
		}
	}
}

// formOnly reports whether a refusal is about the form of an answer alone.
func formOnly(rule string) bool {
	switch rule {
	case "not-yet", "no-such-answer", "reading", "count", "unit-megohm", "unit-ohm", "not-applicable", "why", "name", "people", "note",
		"own-supervisor", "lock-number", "code", "reason", "position", "void", "pairs.unknown-pair", "pairs.no-value", "pairs.twice":
		return true
	}
	return false
}

// plainRule is what is said about the form: a unit that does not belong to the range is
// not told from other text that is no reading.
func plainRule(rule string) string {
	if strings.HasPrefix(rule, "unit-") || rule == "not-applicable" {
		return "reading"
	}
	return rule
}

// check takes the assessor's own readings of one step. Only what passes is taken: a
// check reading that does not pass leaves the gate shut and everything as it was.
func (t *Sitting) check(q Question, at, raw string, refuse func(string)) {
	parts := q.Parts
	if at != q.ID {
		parts = []string{at}
	}
	words := strings.Fields(raw)
	st := &t.set.Program.Steps[q.Step]
	if st.Form == sequence.Read && t.set.Program.Tests[max(st.Test, 0)].Name != safety.TestSwitching {
		var err error
		if words, err = quantity.SplitRow(raw); err != nil {
			refuse("reading")
			return
		}
	}
	if len(words) != len(parts) && len(words) != 1 {
		refuse("count")
		return
	}
	co := t.co
	for i, p := range parts {
		next, fb, err := co.Apply(coach.Event{Type: coach.Check, At: p, Raw: words[min(i, len(words)-1)]})
		if err != nil || fb.Refused != "" {
			refuse("reading")
			return
		}
		if fb.Class == coach.Fail || fb.Class == coach.SetUp {
			refuse("check-fails")
			return
		}
		co = next
		// A doubt is left for the gate, where the assessor accepts it with a reason.
		if dq, ok := co.Question(); ok && dq.TextID == "ask.doubt" {
			if next, _, err := co.Apply(coach.Event{Type: coach.Answer, At: dq.ID, Raw: "go-on"}); err == nil {
				co = next
			}
		}
	}
	t.co = co
}

// minReason is the fewest letters of a reason.
const minReason = 6

func (t *Sitting) decide(ev journal.Event, fb *Feedback) {
	letters := 0
	for _, r := range ev.Raw {
		if r > 127 || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			letters++
		}
	}
	if letters < minReason {
		fb.Taken, fb.Rule = false, "reason"
		return
	}
	if t.set.Setting != paper.Observed && ev.Params["code"] != t.codeHash {
		fb.Taken, fb.Rule = false, "code"
		return
	}
	switch ev.Params["decision"] {
	case PutRight, PutRightCounts:
		// Other hands may have been on the rig: what perishes is asked afresh, and nothing
		// that was refused has become true by the decision.
		t.halted, t.running = false, true
		t.feed(coach.Event{Type: coach.Paused})
		t.feed(coach.Event{Type: coach.Resumed})
	case EndHere:
		t.halted, t.ended = false, Stopped
	default:
		fb.Taken, fb.Rule = false, "no-such-answer"
	}
}
