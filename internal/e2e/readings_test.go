package e2e

import (
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/record"
	"wanderlead/internal/report"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// moment is a question for readings in a right run of the whole board.
type moment struct {
	before *coach.State
	ids    []string
	words  []string // what the bay gives, in order
	typed  typed    // everything typed up to then, this row included
	answer int      // index among the answers of the run
	dead   bool     // the supply is off
}

// readings plays the whole board rightly and keeps every question for readings.
func readings(t *testing.T) (*player, []moment) {
	t.Helper()
	p := play(t, "", "whole-board", "training-bay", "")
	all := typed{}
	var list []moment
	for p.st.Ended() == "" {
		q := p.due()
		if q.Own && q.Step >= 0 && p.kit.Program.Steps[q.Step].Form == sequence.Read {
			m := moment{before: p.st, ids: q.PartIDs, words: strings.Fields(p.right()), answer: len(p.answers), dead: p.st.Facts().Supply == safety.Off || p.st.Facts().Supply == safety.Found}
			for i, id := range m.ids {
				all = all.with(id, m.words[i])
			}
			m.typed = all
			list = append(list, m)
		}
		p.step()
	}
	return p, list
}

// changed is the row of a moment with one reading changed.
func (m *moment) changed(i int, raw string) string {
	words := append([]string{}, m.words...)
	words[i] = raw
	return strings.Join(words, " ")
}

// TestEveryReadingChanged changes each reading of the whole board in turn, asks an
// independent judgement what that comes to, and looks at what the session, the record
// and the schedule make of it; and that no dead reading beyond its limit reaches
// anything live.
func TestEveryReadingChanged(t *testing.T) {
	p, moments := readings(t)
	var count struct{ readings, changes, pass, doubt, fail, setUp int }
	for mi := range moments {
		m := &moments[mi]
		for i, id := range m.ids {
			count.readings++
			for _, c := range changes(t, p.kit.Pack, id, m.typed) {
				count.changes++
				want := "fail"
				if c.what != "the other way" {
					want = oracle(t, p.kit.Pack, id, m.typed.with(id, c.raw), m.words[i])
				}
				x := &changedRun{t: t, p: p, m: m, i: i, id: id, raw: c.raw, name: id + " " + c.what + " (" + c.raw + ")"}
				x.check(want)
				switch want {
				case "pass":
					count.pass++
				case "doubt":
					count.doubt++
				case "fail":
					count.fail++
				default:
					count.setUp++
				}
			}
		}
	}
	t.Logf("%d readings, %d changes: %d pass, %d in doubt, %d fail, %d set-up", count.readings, count.changes, count.pass, count.doubt, count.fail, count.setUp)
	if count.readings < 100 || count.fail < count.readings/2 || count.doubt < 50 {
		t.Error("too little was changed for this test to show anything")
	}
}

// changedRun is a session from the moment of one changed reading on.
type changedRun struct {
	t    *testing.T
	p    *player
	m    *moment
	i    int
	id   string
	raw  string
	name string
	st   *coach.State
}

func (x *changedRun) say(raw string) coach.Feedback {
	q, _ := x.st.Question()
	next, fb, err := x.st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: raw})
	if err != nil {
		x.t.Fatalf("%s: %s %q: %v", x.name, q.ID, raw, err)
	}
	x.st = next
	return fb
}

func (x *changedRun) due() string { q, _ := x.st.Question(); return q.ID }

func (x *changedRun) check(want string) {
	x.st = x.m.before
	fb := x.say(x.m.changed(x.i, x.raw))
	if fb.Refused != "" {
		x.t.Errorf("%s: refused as %s; a reading is stored as typed", x.name, fb.Refused)
		return
	}
	if got := classOf(fb, x.id); got != want {
		x.t.Errorf("%s: came to %q, want %q", x.name, got, want)
		return
	}
	x.recorded(fb, want)
	x.onSchedule(want)
	switch want {
	case "fail":
		x.leavesOrStops()
	case "doubt":
		x.doubtOpensNothing()
	case "set-up":
		if due := x.due(); due != x.id {
			x.t.Errorf("%s: %s is asked next, want the same reading again", x.name, due)
		}
	}
}

// classOf is the class that the feedback gives the group a reading belongs to.
func classOf(fb coach.Feedback, id string) string {
	for _, j := range fb.Judged {
		step := j.Part
		if len(j.Parts) > 0 && strings.HasSuffix(j.Part, "/"+j.Parts[0]) {
			step = strings.TrimSuffix(j.Part, "/"+j.Parts[0])
		}
		for _, part := range j.Parts {
			if step+"/"+part == id || j.Part == id {
				return j.Class.String()
			}
		}
	}
	return ""
}

// recorded looks at the lines that the record would get.
func (x *changedRun) recorded(fb coach.Feedback, want string) {
	for _, g := range record.Given(fb, x.p.kit.Pack.Name) {
		if g.Verdict == want && (g.Rule != "" || want == "set-up" || len(g.Feedback) > 0) && g.Edition == x.p.kit.Pack.Name {
			return
		}
	}
	x.t.Errorf("%s: no line of the record gives the verdict %s with its rule", x.name, want)
}

// onSchedule looks at the schedule as it would be reported now.
func (x *changedRun) onSchedule(want string) {
	s := report.Build(x.st, report.Meta{})
	lists := [][]report.Reading{s.Board.Readings}
	for _, c := range s.Circuits {
		lists = append(lists, c.Readings)
	}
	for _, d := range s.Board.RCDs {
		lists = append(lists, d.Readings)
	}
	for _, l := range lists {
		for _, r := range l {
			if r.ID != x.id {
				continue
			}
			if r.Raw != x.raw {
				x.t.Errorf("%s: the schedule has %q", x.name, r.Raw)
			}
			if want != "set-up" && r.Verdict != want {
				x.t.Errorf("%s: the schedule says %q, want %q", x.name, r.Verdict, want)
			}
			if want == "fail" && r.Why == "" {
				x.t.Errorf("%s: the schedule does not say why", x.name)
			}
			return
		}
	}
	x.t.Errorf("%s: the reading is not on the schedule", x.name)
}

// leavesOrStops: a fail asks what it was, and nothing else can be done; leaving ends
// the session as left, with nothing live that was not live before.
func (x *changedRun) leavesOrStops() {
	if due := x.due(); !strings.HasSuffix(due, "/decide") {
		x.t.Errorf("%s: %s is asked after a fail", x.name, due)
	}
	supply := x.st.Facts().Supply
	x.say("leave")
	if x.st.Ended() != "left" {
		x.t.Errorf("%s: ended %q, want left", x.name, x.st.Ended())
	}
	if x.m.dead && (supply == safety.On || supply == safety.Incoming) {
		x.t.Errorf("%s: the supply is %s after a dead reading that fails", x.name, supply)
	}
}

// doubtOpensNothing: with the doubt left open, nothing live happens until the
// supervisor has accepted it at a gate.
func (x *changedRun) doubtOpensNothing() {
	accepted := false
	for n := 0; x.st.Ended() == "" && n < most; n++ {
		q, _ := x.st.Question()
		if q.TextID == "ask.fail" { // something else no longer fits the changed reading
			x.say("leave")
			return
		}
		accepted = accepted || strings.HasSuffix(q.ID, "/doubts")
		fb := x.say(x.st.RightAnswer(cast))
		if !x.m.dead || fb.Done == nil || accepted {
			continue
		}
		if k := fb.Done.Kind; k.Live() || k.IsGate() {
			x.t.Errorf("%s: %s was done with the doubt open", x.name, k)
			return
		}
	}
	if x.m.dead && !accepted {
		x.t.Errorf("%s: the session ended %q and nobody was asked about the doubt", x.name, x.st.Ended())
	}
}
