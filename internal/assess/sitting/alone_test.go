package sitting_test

import (
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/journal"
	"wanderlead/internal/study"
)

// bench drives a sitting alone by hand: each word answers the question that is due.
type bench struct {
	t *testing.T
	x *sitting.Sitting
	n int
}

func atBench(t *testing.T) *bench {
	x, _ := start(t, paper.Alone, 0)
	b := &bench{t: t, x: x}
	b.say("Ruth Pallister", "c0de")
	return b
}

// say gives answers and returns what came of the last.
func (b *bench) say(words ...string) sitting.Feedback {
	b.t.Helper()
	var fb sitting.Feedback
	for _, w := range words {
		q, ok := b.x.Question()
		if !ok {
			b.t.Fatalf("%q: nothing is asked", w)
		}
		b.n++
		ev := journal.Event{Time: at, Type: journal.TypeAnswer, At: q.ID, Raw: w}
		if q.Halt {
			ev = journal.Event{Time: at, Type: journal.TypeDecide, At: q.ID, Raw: "looked at together", Params: map[string]string{"decision": w, "code": "c0de"}}
		}
		b.x, fb = apply(b.t, b.x, ev)
	}
	return fb
}

func (b *bench) isolate() {
	b.t.Helper()
	b.say("isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "at-isolator", "isolate", "cover-off-board",
		"isolate", "prove-board", "two-pole", "L-N 0, L-E 0, N-E 0", "works")
	if f := b.x.Bench().Facts(); !f.LockOn || !f.KeyHeld || !f.Notice || !f.BoardDead {
		b.t.Fatalf("%+v", f)
	}
}

// Moves that could hurt somebody stop the candidate: the same words for all, and nothing
// has become true by them. (The list of critical acts is common practice; that work
// begins only once a place is locked off and proved dead, before and after: HSG85.)
func TestCriticalMovesStop(t *testing.T) {
	for name, c := range map[string]struct {
		after  bool // isolated first
		words  []string
		lacked string
		act    string
	}{
		"off without having seen supply": {false, []string{"isolate", "off"}, "supply/seen", mark.ActBeforeProof},
		"cover off while live":           {false, []string{"isolate", "cover-off-board"}, "isolator/off", mark.ActBeforeProof},
		"a dead test on what is live":    {false, []string{"insulation", "500", "s1", "L-N"}, "isolator/off", mark.ActDeadTestLive},
		"key left in the lock":           {false, []string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "in-lock"}, "lock/key", mark.ActNotLocked},
		"no notice":                      {false, []string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "none"}, "notice/where", mark.ActNotLocked},
		"a pen as proof":                 {false, []string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "at-isolator", "isolate", "cover-off-board", "isolate", "prove-board", "pen"}, "dead", mark.ActWrongIndicator},
		"a pair left out":                {false, []string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "at-isolator", "isolate", "cover-off-board", "isolate", "prove-board", "two-pole", "L-N 0, L-E 0"}, "dead", mark.ActPairMissed},
		"not proved again":               {false, []string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "at-isolator", "isolate", "cover-off-board", "isolate", "prove-board", "two-pole", "L-N 0, L-E 0, N-E 0", "skipped"}, "dead", mark.ActNotProvedAgain},
		"hands in it before proof":       {false, []string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "at-isolator", "isolate", "cover-off-board", "change", "lift-live"}, "dead", mark.ActBeforeProof},
		"a test at points not proved":    {true, []string{"low-ohm", "each-point", "L-N"}, "dead", mark.ActBeforeProof},
		"supply asked for too early":     {true, []string{"isolate", "on-installation"}, "dead-tests", mark.ActEnergisedWrongly},
		"handed in with the cover off":   {true, []string{"finish"}, "ledger", ""},
		"an exposed live reading":        {false, []string{"volts", "origin", "L-N"}, "gate/incoming", mark.ActLiveTooEarly},
	} {
		b := atBench(t)
		if c.after {
			b.isolate()
		}
		was := b.x.Bench().Facts()
		fb := b.say(c.words...)
		at, _ := b.x.StoppedAt()
		if !fb.Halted || fb.Taken || fb.Rule != "" || !b.x.Halted() {
			t.Errorf("%s: %+v", name, fb)
			continue
		}
		if !slices.Contains(strings.Fields(fb.Params["lacked"]), c.lacked) {
			t.Errorf("%s: lacked %q", name, fb.Params["lacked"])
		}
		if act := mark.ActAtBench(journal.TypeAnswer, at, c.words[len(c.words)-1], fb.Params["wanted"], strings.Fields(fb.Params["lacked"])); act != c.act {
			t.Errorf("%s: named %q, %q is wanted", name, act, c.act)
		}
		is := b.x.Bench().Facts()
		if is.BoardDead && !was.BoardDead || is.Supply == 3 {
			t.Errorf("%s: a refusal made something true: %+v", name, is)
		}
		// A decision opens nothing: the same move stops again.
		b.say(sitting.PutRight)
		if b.x.Halted() || b.x.Bench().Facts() != is {
			t.Errorf("%s: after the decision %+v", name, b.x.Bench().Facts())
		}
		if last := c.words[max(0, len(c.words)-2):]; last[0] == "isolate" || last[0] == "change" {
			if fb := b.say(last...); !fb.Halted {
				t.Errorf("%s: taken after the decision: %+v", name, fb)
			}
		}
	}
}

// What is not possible as the rig stands, and what has not the form of an answer, is
// asked again and stops nobody.
func TestWhatIsOnlyFormStopsNobody(t *testing.T) {
	for name, c := range map[string]struct {
		words []string
		rule  string
	}{
		"behind a cover":    {[]string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "4417", "on-me", "at-isolator", "low-ohm", "at-board", "L-N"}, "covered"},
		"locked while on":   {[]string{"isolate", "lock"}, "not-possible"},
		"no padlock number": {[]string{"isolate", "see-supply", "isolate", "off", "isolate", "lock", "mine"}, "lock-number"},
		"too few readings":  {[]string{"write", "ring-1/ends", "0.40 0.40"}, "count"},
		"no reading":        {[]string{"write", "ring-1/ends", "much more here"}, "reading"},
		"a wrong unit":      {[]string{"write", "ring-1/ends", "0.40 0.40 0.65 MΩ"}, "reading"},
		"no such answer":    {[]string{"isolate", "whistle"}, "no-such-answer"},
	} {
		b := atBench(t)
		if fb := b.say(c.words...); fb.Halted || fb.Taken || fb.Rule != c.rule {
			t.Errorf("%s: %+v", name, fb)
		}
	}
}

// A hint, a verdict, a repair, a name for the fault: none of them is offered, and nothing
// that is offered depends on what the display would show.
func TestTheBenchOffersNoHelp(t *testing.T) {
	b := atBench(t)
	b.isolate()
	asked := map[string][]string{}
	see := func() {
		q, _ := b.x.Question()
		var says []string
		for _, o := range q.Options {
			says = append(says, o.Value)
		}
		if was := asked[q.ID]; was != nil && q.ID == "study/write" && strings.Join(was, " ") != strings.Join(says, " ") {
			t.Errorf("%s: %v, then %v", q.ID, was, says)
		}
		asked[q.ID] = says
	}
	see()
	for _, words := range [][]string{{"write", "back"}, {"low-ohm", "at-board", "leg1-L-leg2-L"}, {"write", "back"}, {"insulation", "500", "at-board", "L-E"}, {"write", "back"}} {
		for _, w := range words {
			b.say(w)
			see()
		}
	}
	for _, says := range asked {
		for _, bad := range []string{"hint", "name", "repair", "sum", "leave"} {
			if slices.Contains(says, bad) {
				t.Errorf("%s is offered", bad)
			}
		}
	}
	for _, n := range b.x.Bench().Standing() {
		if strings.Contains(n.ID, "dead") || strings.Contains(n.ID, "null") {
			t.Errorf("the rig says of itself %s", n.ID)
		}
	}
}

// The record of a move holds how it was made, to the terminal, and can be read back.
func TestTheRecordHoldsEveryMove(t *testing.T) {
	b := atBench(t)
	b.isolate()
	b.say("change", "lift-live", "change", "lift-cpc", "leads", "null-loose", "leads", "long-lead-on")
	fb := b.say("low-ohm", "at-board", "leg1-N-leg2-N")
	m := study.ParseMeasured(fb.Params)
	if len(m) != 1 {
		t.Fatalf("%v", fb.Params)
	}
	x := m[0]
	if x.Function != "low-ohm" || x.A != "ring-1/leg1/N" || x.B != "ring-1/leg2/N" || x.Stand.Null != 0.23 || x.Stand.Lead != 0.38 || !x.Stand.Cond.Lifted["ring-1/leg2/E"] {
		t.Errorf("%+v", x)
	}
	if p := x.Stand.Params(); p["lifted"] != fb.Params["lifted"] || p["open"] != fb.Params["open"] || p["in"] != fb.Params["in"] || p["covers"] != "board" {
		t.Errorf("%v\n%v", p, fb.Params)
	}
	fb = b.say("change", "cross-line-cpc")
	if d := study.ParseStand(fb.Params); len(d.Cond.Links) != 2 || d.Cond.Links[0].B != "ring-1/leg2/E" {
		t.Errorf("%+v", d.Cond.Links)
	}
	fb = b.say("insulation", "250", "at-board", "LN-E")
	if m := study.ParseMeasured(fb.Params); len(m) != 1 || m[0].TestV != 250 || len(m[0].Stand.Cond.Links) != 3 {
		t.Errorf("%+v", fb.Params)
	}
	for k := range fb.Params {
		if k == "shown" || strings.Contains(fb.Params[k], "Ω") {
			t.Errorf("the record holds %s %q", k, fb.Params[k])
		}
	}
}

// A reading may be entered one by one or in a row; once all of a step is there, the
// statement and the reason are asked for.
func TestReadingsAreTyped(t *testing.T) {
	b := atBench(t)
	b.say("write", "ring-1/ends/rn", "0.41", "write", "ring-1/ends", "0.40 0.66")
	if q, _ := b.x.Question(); q.ID != "state/ring-1/ends" {
		t.Fatalf("%s is asked", q.ID)
	}
	b.say("fail", "high")
	got := b.x.Bench().Entered()
	if got["ring-1/ends/r1"] != "0.40" || got["ring-1/ends/rn"] != "0.41" || got["ring-1/ends/r2"] != "0.66" {
		t.Errorf("%v", got)
	}
	var fb sitting.Feedback
	b.x, fb = apply(t, b.x, journal.Event{Time: at, Type: journal.TypeCorrect, At: "ring-1/ends/r2", Raw: "0.65"})
	if !fb.Taken || b.x.Bench().Entered()["ring-1/ends/r2"] != "0.65" {
		t.Errorf("%+v", fb)
	}
	if b.x, fb = apply(t, b.x, journal.Event{Time: at, Type: journal.TypeCorrect, At: "ring-1/ends/r2", Raw: "lots"}); fb.Taken {
		t.Error("a correction that is no reading was taken")
	}
	if b.x, fb = apply(t, b.x, journal.Event{Time: at, Type: journal.TypeCorrect, At: "ring-1/insulation/L-N", Raw: "0.65"}); fb.Taken {
		t.Error("what was never entered was corrected")
	}
}

// Nothing of what was typed decides whether the supervisor, played by the program, lets
// the supply on; only that all was tested, and closed. The faults are out then.
func TestTheGateAlone(t *testing.T) {
	x, c := startPaper(t, "store-board", paper.Alone)
	cleared := 0
	c.Say["ring-1/insulation"] = []string{"0.00 0.00 0.00"}
	end, err := play.Sit(x, c, func(ev journal.Event, fb sitting.Feedback) {
		if fb.Halted {
			t.Errorf("stopped at %s %q: %v", ev.At, ev.Raw, fb.Params)
		}
		if fb.Params["cleared"] != "" {
			cleared++
		}
	})
	if err != nil || end.Ended() != sitting.Complete || cleared == 0 || !end.Bench().Cleared() {
		t.Error(err, end.Ended(), cleared)
	}
}

// "Not tested" is no reading, and opens no gate.
func TestWordsOpenNoGate(t *testing.T) {
	x, c := startPaper(t, "store-board", paper.Alone)
	c.Say["ring-1/insulation"] = []string{"not tested, no time"}
	c.Decide = sitting.EndHere
	var lacked string
	end, err := play.Sit(x, c, func(_ journal.Event, fb sitting.Feedback) {
		if fb.Halted {
			lacked = fb.Params["lacked"]
		}
	})
	if err != nil || end.Ended() != sitting.Stopped || lacked != "dead-tests" {
		t.Error(err, end.Ended(), lacked)
	}
}

// A calibration that had run out on the day of the exam is a doubt, put to the assessor;
// one that ran out after it is none.
func TestTheCalibrationIsHeldAgainstTheDay(t *testing.T) {
	for until, want := range map[string]bool{"2027-02-28": true, "2027-03-01": false} {
		x, c := startPaper(t, "store-board", paper.HoldPoints)
		c.Say["instrument/calibration"], c.Say["instrument/label"] = []string{until}, []string{"BY-07 " + until}
		doubt := false
		if _, err := play.Sit(x, c, func(ev journal.Event, _ sitting.Feedback) {
			doubt = doubt || strings.HasSuffix(ev.At, "/doubts")
		}); err != nil {
			t.Fatal(err)
		}
		if doubt != want {
			t.Errorf("calibrated until %s: put to the assessor: %v", until, doubt)
		}
	}
}
