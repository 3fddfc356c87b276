package sitting_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/sequences"
)

// start is a sitting of the ring paper, and somebody who sits it.
func start(t *testing.T, s paper.Setting, extra int) (*sitting.Sitting, play.Candidate) {
	t.Helper()
	return sitOf(t, "ring-dead", s, extra)
}

func startPaper(t *testing.T, name string, s paper.Setting) (*sitting.Sitting, play.Candidate) {
	t.Helper()
	return sitOf(t, name, s, 0)
}

// prepared are the papers read so far: they are read once for all tests.
var prepared = map[string]*exam.Exam{}

func sitOf(t *testing.T, name string, s paper.Setting, extra int) (*sitting.Sitting, play.Candidate) {
	t.Helper()
	e := prepared[name]
	if e == nil {
		lib, err := content.NewLibrary(sequences.FS, "")
		if err != nil {
			t.Fatal(err)
		}
		if e, err = exam.Load(lib, name); err != nil {
			t.Fatal(err)
		}
		prepared[name] = e
	}
	k, err := truth.Of(e.Content, s, 3)
	if err != nil {
		t.Fatal(err)
	}
	return sitting.New(sitting.Setup{Content: e.Content, Setting: s, ExtraMinutes: extra}), play.Candidate{Key: k, Code: "c0de", Say: map[string][]string{}}
}

func apply(t *testing.T, x *sitting.Sitting, ev journal.Event) (*sitting.Sitting, sitting.Feedback) {
	t.Helper()
	next, fb, err := x.Apply(ev)
	if err != nil {
		t.Fatalf("%s %q: %v", ev.At, ev.Raw, err)
	}
	return next, fb
}

const at = "2027-03-01T09:00:00Z"

// A decision at a stop opens nothing: the fact that was missing is asked again, and with
// it everything that other hands on the rig make doubtful. While stopped the clock
// stands.
func TestADecisionOpensNothing(t *testing.T) {
	x, c := start(t, paper.HoldPoints, 0)
	c.Say["safety/board/indicator"] = []string{"pen"}
	c.Most = 18
	x, err := play.Sit(x, c, func(journal.Event, sitting.Feedback) {})
	if err != nil {
		t.Fatal(err)
	}
	q, _ := x.Question()
	if !x.Halted() || !q.Halt || q.Who != sitting.Assessor {
		t.Fatalf("not stopped at %+v", q)
	}
	used := x.Used()
	decision := func(raw, code, what string) journal.Event {
		return journal.Event{Time: "2027-03-01T10:00:00Z", Type: journal.TypeDecide, At: q.ID, Raw: raw, Params: map[string]string{"decision": what, "code": code}}
	}
	for _, bad := range []journal.Event{decision("", "c0de", "put-right"), decision("looked at it", "other", "put-right"), decision("looked at it", "c0de", "carry on")} {
		if y, fb := apply(t, x, bad); fb.Taken || !y.Halted() {
			t.Errorf("taken: %+v", bad)
		}
	}
	if _, _, err := x.Apply(journal.Event{Time: at, Type: journal.TypeAnswer, At: q.ID, Raw: "put-right"}); err == nil {
		t.Error("a decision was taken as an answer")
	}
	y, fb := apply(t, x, decision("looked at the rig with the candidate", "c0de", "put-right"))
	if !fb.Taken || y.Halted() {
		t.Fatal("the decision was not taken")
	}
	if y.Used() != used {
		t.Errorf("the clock ran while stopped: %v, %v", used, y.Used())
	}
	if f := y.Coach().Facts(); f.BoardDead || f.LockOn {
		t.Errorf("a decision left or made something true: %+v", f)
	}
	if q, _ := y.Question(); q.ID != "safety/lock/number" {
		t.Errorf("%s is asked next", q.ID)
	}
}

// Time runs between events, stands while paused, and a clock that was put back counts as
// standing still. What is typed after it was over is kept, marked late, and is the last.
func TestTime(t *testing.T) {
	x, c := start(t, paper.Observed, 15)
	c.Most = 5
	x, err := play.Sit(x, c, func(journal.Event, sitting.Feedback) {})
	if err != nil {
		t.Fatal(err)
	}
	if x.Allowed() != 90*time.Minute {
		t.Errorf("%v allowed", x.Allowed())
	}
	used := x.Used()
	if used != time.Minute { // three answers after the code, 20 s each
		t.Errorf("%v used", used)
	}
	x, _ = apply(t, x, journal.Event{Time: "2027-03-01T09:02:00Z", Type: journal.TypePause})
	x, _ = apply(t, x, journal.Event{Time: "2027-03-01T11:00:00Z", Type: journal.TypeResume})
	if d := x.Used() - used; d != 20*time.Second {
		t.Errorf("a pause took %v", d)
	}
	x, _ = apply(t, x, journal.Event{Time: "2027-03-01T10:00:00Z", Type: journal.TypeRemark, Raw: "the clock was put back"})
	if d := x.Used() - used; d != 20*time.Second {
		t.Errorf("time went back: %v", d)
	}
	q, _ := x.Question()
	y, fb := apply(t, x, journal.Event{Time: "2027-03-01T11:40:00Z", Type: journal.TypeAnswer, At: q.ID, Raw: play.Right(x, q, c.Key, "c0de")})
	if !fb.Taken || !fb.Late || y.Ended() != sitting.TimeOver {
		t.Errorf("after the time: %+v, %q", fb, y.Ended())
	}
	if _, _, err := y.Apply(journal.Event{Time: at, Type: journal.TypeRemark}); !errors.Is(err, sitting.ErrEnded) {
		t.Error(err)
	}
	if g := fb.Given("")[0]; g.Verdict != "late" || g.Params["ended"] != sitting.TimeOver {
		t.Errorf("%+v", g)
	}
}

// Wrong answers about what is only asked are taken without a word, in the same way as
// right ones; readings too, whatever they are.
func TestNothingIsSaidAboutAnswers(t *testing.T) {
	for _, say := range []map[string][]string{
		{"ring-1/insulation/voltage": {"250 V"}, "function/ring-1/ends": {"loop"}, "leads/ring-1/ends": {"earth-bar"}},
		{"ring-1/ends": {"9.99 0.01 >1999"}, "state/ring-1/ends": {"pass"}, "why/ring-1/ends": {"low"}, "ring-1/polarity": {"reversed"}, "ring-1/insulation": {"0.00"}},
		{"ring-1/own-bar/which": {"NB"}, "instrument/low-ohm-open": {"0.00"}},
	} {
		x, c := start(t, paper.HoldPoints, 0)
		c.Say = say
		end, err := play.Sit(x, c, func(ev journal.Event, fb sitting.Feedback) {
			if !fb.Taken || fb.Rule != "" {
				t.Errorf("%s %q: %+v", ev.At, ev.Raw, fb)
			}
		})
		if err != nil || end.Ended() != sitting.Complete {
			t.Error(err, end.Ended())
		}
	}
}

// Each act that must not be stops the candidate, with the same feedback for all.
func TestCriticalActsStop(t *testing.T) {
	for id, raw := range map[string]string{"instrument/damage": "taped", "safety/isolator/off": "breaker", "safety/supply/seen": "not-looked", "safety/lock/key": "in-lock", "safety/notice/where": "none",
		"safety/board/indicator": "unproved", "safety/board/pairs": "L-N 0, L-E 0", "safety/board/prove-again": "skipped", "safety/ring-1/pairs": "L-N 0, L-E 0, N-E 0, points 7",
		"ring-1/ends/cpc-back": "connector"} {
		x, c := start(t, paper.HoldPoints, 0)
		c.Say[id] = []string{raw}
		stops := 0
		_, err := play.Sit(x, c, func(ev journal.Event, fb sitting.Feedback) {
			if fb.Halted {
				stops++
				if ev.At != id || fb.Rule != "" || fb.Taken {
					t.Errorf("%s: %+v", ev.At, fb)
				}
			}
		})
		if err != nil || stops != 1 {
			t.Errorf("%s %q: %d stops, %v", id, raw, stops, err)
		}
	}
}

// The assessor's code opens isolation and reinstatement at the hold points, and only
// there is it asked for.
func TestHoldPoints(t *testing.T) {
	for s, want := range map[paper.Setting]string{paper.HoldPoints: "hold/isolation/code hold/reinstatement/code", paper.Observed: "", paper.Alone: ""} {
		x, c := start(t, s, 0)
		var holds []string
		if s == paper.HoldPoints {
			c.Say["hold/isolation/code"] = []string{"wrong"}
		}
		refused := 0
		if _, err := play.Sit(x, c, func(ev journal.Event, fb sitting.Feedback) {
			if strings.HasPrefix(ev.At, "hold/") && fb.Taken {
				holds = append(holds, ev.At)
			} else if strings.HasPrefix(ev.At, "hold/") {
				refused++
			}
		}); err != nil {
			t.Fatal(err)
		}
		if strings.Join(holds, " ") != want || s == paper.HoldPoints && refused != 1 {
			t.Errorf("%s: %v, %d refused", s, holds, refused)
		}
	}
}

// An answer at the last second that is allowed is in time, one a second later is kept as late and is the last. What is left says
// the same at every moment, fractions of a second and all.
func TestTheLastSecond(t *testing.T) {
	for _, extra := range []int{0, 15} {
		x, c := start(t, paper.HoldPoints, extra)
		c.Most = 5
		x, err := play.Sit(x, c, func(journal.Event, sitting.Feedback) {})
		if err != nil {
			t.Fatal(err)
		}
		q, _ := x.Question()
		began, _ := time.Parse(time.RFC3339, at)
		began = began.Add(40 * time.Second) // the code was given as the second answer, 20 s after the first
		last := began.Add(time.Duration(75+extra) * time.Minute)
		for moment, late := range map[time.Time]bool{last: false, last.Add(999 * time.Millisecond): false, last.Add(time.Second): true} {
			_, fb := apply(t, x, journal.Event{Time: moment.Format(time.RFC3339), Type: journal.TypeAnswer, At: q.ID, Raw: play.Right(x, q, c.Key, "c0de")})
			if fb.Late != late || !fb.Taken {
				t.Errorf("at %v: %+v", moment, fb)
			}
			if left, ok := x.Left(moment); !ok || left <= 0 != late {
				t.Errorf("at %v %v is left", moment, left)
			}
		}
		y, fb := apply(t, x, journal.Event{Time: last.Add(time.Second).Format(time.RFC3339), Type: journal.TypeTime, At: q.ID, Raw: "0.4"})
		if !fb.Late || y.Ended() != sitting.TimeOver || fb.Given("")[0].Verdict != "late" {
			t.Errorf("what was being typed: %+v, %q", fb, y.Ended())
		}
		if _, ok := y.Left(last); ok {
			t.Error("time is left after the end")
		}
		x, _ = apply(t, x, journal.Event{Time: at, Type: journal.TypePause})
		if _, ok := x.Left(last.Add(time.Hour)); ok {
			t.Error("the time runs out in a pause")
		}
	}
}
