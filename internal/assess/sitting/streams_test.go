package sitting_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/checker"
	"wanderlead/internal/checker/told"
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
	"wanderlead/safety"
	"wanderlead/sequences"
)

// watched is a sitting with the session underneath done a second time, event by event, so
// that the independent checker can read it. The sitting says nothing of what it hands on:
// what it must have been is tried, and has to come to the same session.
type watched struct {
	t   *sitting.Sitting
	co  *coach.State
	chk checker.Checker
	now time.Time
	at  []journal.Event
	// deaf: the checker is not told of answers there. For the test of the test.
	deaf string
}

// coachEvents is what a sitting hands to the session underneath for an event.
func coachEvents(q sitting.Question, ev journal.Event) []coach.Event {
	pause := []coach.Event{{Type: coach.Paused}, {Type: coach.Resumed}}
	switch ev.Type {
	case journal.TypeStop:
		return []coach.Event{{Type: coach.Stop}}
	case journal.TypePause:
		return pause[:1]
	case journal.TypeResume:
		return pause[1:]
	case journal.TypeDecide:
		return pause
	case journal.TypeAnswer:
		if q.Coach {
			return []coach.Event{{Type: coach.Answer, At: ev.At, Raw: ev.Raw}}
		}
		if !strings.HasPrefix(q.ID, "check/") {
			return nil
		}
		parts := q.Parts
		if ev.At != q.ID {
			parts = []string{ev.At}
		}
		var out []coach.Event
		words := strings.Fields(ev.Raw)
		for i, p := range parts {
			if len(words) > 0 {
				out = append(out, coach.Event{Type: coach.Check, At: p, Raw: words[min(i, len(words)-1)]})
			}
		}
		return out
	}
	return nil
}

// step puts an event to the sitting and to the session beside it, and says what is wrong.
func (w *watched) step(q sitting.Question, ev journal.Event) (fb sitting.Feedback, bad string) {
	before := w.t.Coach()
	next, fb, err := w.t.Apply(ev)
	if err != nil {
		return fb, fmt.Sprintf("an event that fits is an error: %v", err)
	}
	w.t = next
	w.at = append(w.at[:len(w.at):len(w.at)], ev)
	if ev.Type == journal.TypeDecide {
		if was := moreTrue(before.Facts(), next.Coach().Facts()); was != "" {
			return fb, "a decision made true: " + was
		}
	}
	if next.Coach().Key() == w.co.Key() && (ev.Type != journal.TypeAnswer || !q.Coach) {
		return fb, ""
	}
	for _, e := range coachEvents(q, ev) {
		if bad := w.feed(e); bad != "" {
			return fb, bad
		}
	}
	for range 3 { // what the sitting answers by itself, with what the assessor gave before
		cq, _ := w.co.Question()
		switch {
		case w.co.Key() == next.Coach().Key():
		case cq.ID == "supervisor/name":
			w.feed(coach.Event{Type: coach.Answer, At: cq.ID, Raw: "Ruth Pallister"})
		case cq.ID == "supervisor/code":
			w.feed(coach.Event{Type: coach.Answer, At: cq.ID, Raw: code})
		}
	}
	if w.co.Key() != next.Coach().Key() {
		return fb, "the session underneath is not what the events come to"
	}
	return fb, ""
}

func (w *watched) feed(ev coach.Event) string {
	next, fb, err := w.co.Apply(ev)
	if err != nil {
		return "the session underneath: " + err.Error()
	}
	w.co = next
	if ev.Type == coach.Check { // the assessor's reading, written in place of the held one
		if q, ok := next.Question(); ok && q.TextID == "ask.doubt" {
			defer w.feed(coach.Event{Type: coach.Answer, At: q.ID, Raw: "go-on"})
		}
		ev.Type = coach.Correct
	}
	at := ev.At
	if at == "" {
		at = fb.At
	}
	if at == w.deaf {
		return ""
	}
	l := checker.Line{Type: string(ev.Type), At: at, Raw: ev.Raw, Params: map[string]string{}}
	for _, g := range record.Given(fb, "exam") {
		l.Give(g)
	}
	var bad []checker.Violation
	if w.chk, bad = w.chk.Step(l); len(bad) > 0 {
		return "the checker: " + bad[0].String()
	}
	return ""
}

// moreTrue names a fact that is true now and was not, or a supply that is nearer to on.
func moreTrue(was, is safety.Facts) string {
	if is.Supply > was.Supply {
		return "supply " + is.Supply.String()
	}
	a, b := reflect.ValueOf(was), reflect.ValueOf(is)
	for i := range a.NumField() {
		name := a.Type().Field(i).Name
		if a.Field(i).Kind() == reflect.Bool && !a.Field(i).Bool() && b.Field(i).Bool() && name != "Seen" {
			return name
		}
	}
	return ""
}

const code = "c0de"

// What the streams look for is found: a checker that was not told of the key finds hands on
// a rig that is not isolated, a session beside the sitting that goes by fewer rules is not
// the same, and a fact that became true is named.
func TestStreamsNotice(t *testing.T) {
	h := halls(t, "ring-dead")[0]
	r := rand.New(rand.NewPCG(1, 1))
	w := h.begin()
	if bad := h.stream(w, r, 2, 1000, &sat{}); bad != "" || w.t.Ended() != sitting.Complete {
		t.Fatal(bad, w.t.Ended())
	}
	w = h.begin()
	w.deaf = "safety/lock/key"
	if bad := h.stream(w, r, 2, 1000, &sat{}); !strings.Contains(bad, "the checker: isolated") {
		t.Errorf("not told of the key: %q", bad)
	}
	w = h.begin()
	w.co = coach.New(coach.Setup{Program: h.setup.Program, Pack: h.setup.Pack, Held: true, Rules: safety.Interlock().Without("notice")})
	if bad := h.stream(w, r, 2, 1000, &sat{}); !strings.Contains(bad, "the session underneath") {
		t.Errorf("other rules: %q", bad)
	}
	if moreTrue(safety.Facts{}, safety.Facts{BoardDead: true}) != "BoardDead" || moreTrue(safety.Facts{}, safety.Facts{Supply: safety.On}) == "" {
		t.Error("a fact that became true is not named")
	}
}

// hall is what sittings of one paper are made of.
type hall struct {
	setup sitting.Setup
	key   *seal.Key
	rig   *checker.Rig
	name  string
}

func halls(t *testing.T, only ...string) []hall {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	names, err := paper.Names(lib)
	if err != nil {
		t.Fatal(err)
	}
	var out []hall
	for _, name := range names {
		if len(only) > 0 && !slices.Contains(only, name) {
			continue
		}
		e, err := exam.Load(lib, name)
		if err != nil {
			t.Fatal(err)
		}
		r := told.Of(e.Kit.Rig)
		r.FromRecord, r.MeasuresOrigin = e.Kit.Sequence.FromRecord, e.Kit.Incoming == "measured"
		for _, s := range []paper.Setting{paper.Observed, paper.HoldPoints} { // alone there is no such session underneath
			k, err := truth.Of(e.Content, s, 3)
			if err != nil {
				continue // not a setting of this paper
			}
			out = append(out, hall{sitting.Setup{Content: e.Content, Setting: s, ExtraMinutes: 1 << 20}, k, r, name + "/" + string(s)})
		}
	}
	return out
}

// sat is what streams of sittings came to.
type sat struct {
	streams, events, halts, decisions, checks, gates, live, touching, ended int
	problems                                                                []string
}

// event is what happens next: what is right, most of the time.
func event(r *rand.Rand, w *watched, q sitting.Question, k *seal.Key, right float64) journal.Event {
	ev := journal.Event{Type: journal.TypeAnswer, At: q.ID, Raw: play.Right(w.t, q, k, code)}
	if q.Halt {
		ev.Type, ev.Raw = journal.TypeDecide, "looked at the rig together with the candidate"
		ev.Params = map[string]string{"decision": sitting.PutRight, "code": code}
		if r.IntN(4) == 0 {
			ev.Params["decision"] = []string{sitting.PutRightCounts, "carry-on", sitting.EndHere}[r.IntN(20)/9]
		}
		if r.IntN(6) == 0 {
			ev.Raw = "ok"
		}
		if r.IntN(6) == 0 {
			ev.Params["code"] = "other"
		}
		return ev
	}
	if r.Float64() < right {
		return ev
	}
	n := r.IntN(12)
	switch {
	case n == 0:
		return journal.Event{Type: journal.TypeStop}
	case n == 1:
		return journal.Event{Type: []string{journal.TypePause, journal.TypeResume, journal.TypeRemark, journal.TypeTime}[r.IntN(4)]}
	case q.ID == "assessor/name" || q.ID == "assessor/code":
		return ev
	case q.Kind == coach.Choice && len(q.Options) > 0:
		ev.Raw = q.Options[r.IntN(len(q.Options))].Value
	case q.Kind == coach.Secret:
		ev.Raw = "other"
	case len(q.Parts) > 0:
		words := strings.Fields(ev.Raw)
		i := 0
		if len(words) > 0 {
			i = r.IntN(len(words))
		}
		if len(words) == len(q.Parts) && r.IntN(3) == 0 {
			ev.At, words = q.Parts[i], words[i:i+1]
			i = 0
		}
		if len(words) > 0 && r.IntN(3) > 0 {
			words[i] = []string{"1.50", "0.02", ">1999", "0.30", "0.00", "99.9", "no-trip", "n/a", "reads", "-0.05", "500"}[r.IntN(11)]
		}
		ev.Raw = strings.Join(words, " ")
		if r.IntN(12) == 0 {
			ev.Raw = "limitation: boarded over"
		}
	case strings.Contains(ev.Raw, ", N-E") && r.IntN(2) == 0:
		ev.Raw = strings.Replace(ev.Raw, " 0", " 230", 1)
	default:
		ev.Raw = []string{"yes", "7", "gone", "4417", "9903", "", "L-N 0, L-E 0"}[r.IntN(7)]
	}
	return ev
}

func (h hall) begin() *watched {
	return &watched{t: sitting.New(h.setup), co: coach.New(coach.Setup{Program: h.setup.Program, Pack: h.setup.Pack, Held: true}),
		chk: checker.New(h.rig).Strict(), now: time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)}
}

// stream goes on from where a sitting stands. It reports what is wrong.
func (h hall) stream(w *watched, r *rand.Rand, right float64, n int, got *sat) string {
	rules := safety.Interlock()
	for range n {
		q, ok := w.t.Question()
		if !ok {
			if w.t.Ended() == "" {
				return "nothing is asked, and the exam has not ended"
			}
			return ""
		}
		if cq, ok := w.t.Coach().Question(); ok && cq.Own && cq.Step >= 0 {
			k := h.setup.Program.Steps[cq.Step].Want.Kind
			if k.Live() {
				got.live++
			}
			if k.Touches() {
				got.touching++
			}
			if lacks := w.t.Coach().Lacks(cq.Step, rules); len(lacks) > 0 {
				return fmt.Sprintf("%s is asked for without %v", cq.ID, lacks)
			}
		}
		ev := event(r, w, q, h.key, right)
		w.now = w.now.Add(20 * time.Second)
		ev.Time = w.now.Format(time.RFC3339)
		supply := w.t.Coach().Facts().Supply
		fb, bad := w.step(q, ev)
		if bad != "" {
			return bad
		}
		got.events++
		if fb.Halted {
			got.halts++
		}
		if ev.Type == journal.TypeDecide && fb.Taken {
			got.decisions++
		}
		if strings.HasPrefix(q.ID, "check/") && fb.Taken {
			got.checks++
		}
		if now := w.t.Coach().Facts().Supply; now != supply && now >= safety.Incoming {
			got.gates++
		}
		if w.t.Ended() != "" {
			got.ended++
			return ""
		}
	}
	return ""
}

// Random exams: a candidate who is right most of the time, stops, pauses, halts, decisions
// of the assessor right and wrong, codes, check readings. Nothing that fits is an error, no
// decision makes anything true, nothing is asked for without what it needs, and the session
// underneath, done a second time, is the same and has nothing the independent checker would
// complain about. Streams are stretches of some 25 events that go on from where an earlier
// one was. WANDERLEAD_LONG makes 60,000 of them, WANDERLEAD_STREAMS as many as it says.
func TestSittingStreams(t *testing.T) {
	n := 120
	if os.Getenv("WANDERLEAD_LONG") != "" {
		n = 60_000
	}
	if v, err := strconv.Atoi(os.Getenv("WANDERLEAD_STREAMS")); err == nil {
		n = v
	}
	list := halls(t)
	jobs := make(chan int)
	results := make([]sat, len(list))
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range jobs {
				results[i] = list[i].streams((n+len(list)-1)/len(list), uint64(i))
			}
		})
	}
	for i := range list {
		jobs <- i
	}
	close(jobs)
	wg.Wait()
	var all sat
	for i, s := range results {
		t.Logf("%-32s %d streams, %d events, %d halts, %d decisions, %d check readings, %d gates passed, %d live arrivals, %d touch arrivals, %d ended",
			list[i].name, s.streams, s.events, s.halts, s.decisions, s.checks, s.gates, s.live, s.touching, s.ended)
		all.streams, all.events, all.halts, all.decisions = all.streams+s.streams, all.events+s.events, all.halts+s.halts, all.decisions+s.decisions
		all.checks, all.gates, all.live, all.touching = all.checks+s.checks, all.gates+s.gates, all.live+s.live, all.touching+s.touching
		for _, p := range s.problems {
			t.Error(p)
		}
	}
	t.Logf("%d streams, %d events, %d halts, %d decisions, %d check readings, %d gates passed, %d live arrivals, %d touch arrivals",
		all.streams, all.events, all.halts, all.decisions, all.checks, all.gates, all.live, all.touching)
	if all.halts == 0 || all.decisions == 0 || all.checks == 0 || all.gates == 0 || all.touching < n {
		t.Error("too little was come to")
	}
}

func (h hall) streams(n int, seed uint64) (got sat) {
	r := rand.New(rand.NewPCG(1, seed))
	var way []watched // a sitting in which everything is right
	for w := h.begin(); w.t.Ended() == "" && len(way) < 2000; {
		way = append(way, *w)
		if bad := h.stream(w, r, 2, 1, &sat{}); bad != "" {
			got.problems = append(got.problems, h.name+", all right: "+bad)
			return got
		}
	}
	stands := make([]watched, 64)
	for i := range stands {
		stands[i] = way[r.IntN(len(way))]
	}
	for range n {
		slot := r.IntN(len(stands))
		w := stands[slot]
		if bad := h.stream(&w, r, [...]float64{0.5, 0.8, 0.95}[r.IntN(3)], 1+r.IntN(50), &got); bad != "" {
			text := ""
			for _, ev := range w.at[max(0, len(w.at)-30):] {
				text += fmt.Sprintf("\n  %s %s %q %v", ev.Type, ev.At, ev.Raw, ev.Params)
			}
			got.problems = append(got.problems, h.name+": "+bad+text)
			return got
		}
		got.streams++
		if w.t.Ended() != "" || r.IntN(5) == 0 {
			w = way[r.IntN(len(way))]
		}
		stands[slot] = w
	}
	return got
}
