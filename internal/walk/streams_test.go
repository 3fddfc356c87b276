package walk_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
	"wanderlead/safety"
)

// course is what streams run through: one sequence on one rig.
type course struct {
	name    string
	setup   coach.Setup
	watched walk.Observer
	whole   bool // right answers reach a completed end
	alone   bool // only the checker judges, not the full interlock
	free    bool // nothing is led to its end
}

// courses are all built-in sequences on all rigs that they suit, with the origin
// measured and declared; the first of them once more with a fault planted that bars the
// gate, and as an exam, where readings are held and the assessor takes their own.
func courses(t testing.TB) []course {
	h := load(t)
	names, err := rig.Names(h.lib)
	if err != nil {
		t.Fatal(err)
	}
	var out []course
	for _, seq := range h.wholes(t) {
		for _, name := range names {
			for _, origin := range []sequence.Origin{sequence.Declared, sequence.Measured} {
				r := h.rig(t, name)
				setup, fromRecord, ok := h.suits(t, seq, r, origin)
				if !ok {
					continue
				}
				c := course{name: name + "/" + seq + "/" + string(origin), setup: setup, watched: observer(r, fromRecord), whole: true}
				out = append(out, c)
				if name != "training-bay" {
					continue
				}
				planted := c
				planted.name, planted.setup.Planted, planted.whole = c.name+"/planted", true, false
				held := c
				held.name, held.setup.Held, held.whole = c.name+"/held", true, false
				out = append(out, planted, held)
			}
		}
	}
	return out
}

// seen is what streams came to.
type seen struct {
	streams, events, refused, misfits, corrections, ahead              int
	live, touching, opening, gates, passed, completed, played, resumed int
	problems                                                           []string
}

func (a *seen) add(b seen) {
	for _, x := range [...][2]*int{{&a.streams, &b.streams}, {&a.events, &b.events}, {&a.refused, &b.refused}, {&a.misfits, &b.misfits},
		{&a.corrections, &b.corrections}, {&a.ahead, &b.ahead}, {&a.live, &b.live}, {&a.touching, &b.touching}, {&a.opening, &b.opening},
		{&a.gates, &b.gates}, {&a.passed, &b.passed}, {&a.completed, &b.completed}, {&a.played, &b.played}, {&a.resumed, &b.resumed}} {
		*x[0] += *x[1]
	}
	a.problems = append(a.problems, b.problems...)
}

func (a *seen) String() string {
	return fmt.Sprintf("%d streams, %d events, %d live arrivals, %d touch arrivals, %d openings, %d gate arrivals, %d gates passed, %d refusals, "+
		"%d corrections, %d typed ahead, %d misfits, %d ended complete, %d led to their end, %d resumed from their record",
		a.streams, a.events, a.live, a.touching, a.opening, a.gates, a.passed, a.refused, a.corrections, a.ahead, a.misfits, a.completed, a.played, a.resumed)
}

// stood is where a stream may begin: what right answers, or another stream, came to.
type stood struct {
	state *coach.State
	obs   walk.Observer
	last  *step
}

// step is an event with those before it.
type step struct {
	before *step
	ev     coach.Event
}

func (s *step) list() []coach.Event {
	var back []coach.Event
	for ; s != nil; s = s.before {
		back = append(back, s.ev)
	}
	for i, j := 0, len(back)-1; i < j; i, j = i+1, j-1 {
		back[i], back[j] = back[j], back[i]
	}
	return back
}

const (
	keptStands  = 256 // places of a shard from which streams begin
	leadEvery   = 200 // one stream in so many is led to its end by right answers
	resumeEvery = 100 // one in so many goes on from what its record replays to
)

// stream runs streams of one course. Each begins where right answers or an earlier
// stream of the same shard came to.
type stream struct {
	c      course
	seed   uint64
	rules  safety.Rules
	r      *rand.Rand
	right  []stood // along the way of right answers
	stands []stood
	got    seen
}

func newStream(c course, seed, shard uint64) *stream {
	c.setup.Memo = coach.NewMemo()
	x := &stream{c: c, seed: shard, rules: safety.Interlock(), r: rand.New(rand.NewPCG(seed, shard))}
	at := stood{state: coach.New(c.setup), obs: c.watched}
	h := &hand{r: x.r, held: c.setup.Held, right: 2}
	for n := 0; n < 4000 && at.state.Ended() == ""; n++ {
		x.right = append(x.right, at)
		q, _ := at.state.Question()
		before := at.state.Key()
		if !x.apply(&at, q, h.next(at.state, q)) || at.state.Key() == before {
			break
		}
	}
	x.got = seen{problems: x.got.problems} // the way itself is not a stream
	for range keptStands {
		x.stands = append(x.stands, x.right[x.r.IntN(len(x.right))])
	}
	return x
}

func (x *stream) problem(at *stood, format string, args ...any) bool {
	if len(x.got.problems) < 3 {
		x.got.problems = append(x.got.problems, tell(walk.Problem{Kind: x.c.name, Text: fmt.Sprintf(format, args...), Trace: at.last.list()}))
	}
	return false
}

// run runs n streams.
func (x *stream) run(n int) {
	if len(x.got.problems) > 0 {
		return
	}
	for i := range n {
		slot := x.r.IntN(len(x.stands))
		at := x.stands[slot]
		h := &hand{r: x.r, held: x.c.setup.Held, right: [...]float64{0.3, 0.6, 0.8, 0.9}[x.r.IntN(4)]}
		if i%resumeEvery == 0 && !x.c.setup.Held && !x.resume(&at) || !x.one(&at, h, 1+x.r.IntN(2*meanEvents)) {
			return
		}
		x.got.streams++
		if i%leadEvery == 0 && !x.c.free && at.state.Ended() == "" && !x.lead(at) {
			return
		}
		if at.state.Ended() != "" || x.r.IntN(6) == 0 {
			at = x.right[x.r.IntN(len(x.right))]
		}
		x.stands[slot] = at
	}
}

// resume takes a session up again from its record: everything said so far is written
// down as a journal does it, read back and replayed. What comes of it is the same
// session, and the stream goes on with that one.
func (x *stream) resume(at *stood) bool {
	x.got.resumed++
	again, err := replayed(x.c.setup, at.last.list())
	if err != nil {
		return x.problem(at, "the record: %v", err)
	}
	if again.Key() != at.state.Key() {
		return x.problem(at, "the record replays to another session")
	}
	at.state = again
	q, ok := again.Question()
	return !ok || x.apply(at, q, turn{ev: coach.Event{Type: coach.Resumed}})
}

// meanEvents is how long streams are on the average.
const meanEvents = 32

func (x *stream) one(at *stood, h *hand, events int) bool {
	for range events {
		q, ok := at.state.Question()
		if !ok {
			if at.state.Ended() == "" {
				return x.problem(at, "nothing is asked, and the session has not ended")
			}
			return true
		}
		t := h.next(at.state, q)
		if t.ev.At == "" && t.ev.Type == coach.Answer {
			x.got.ahead++
		}
		if !x.apply(at, q, t) {
			return false
		}
	}
	return true
}

// apply puts one event, and says whether all is as it must be.
func (x *stream) apply(at *stood, q coach.Question, t turn) bool {
	x.arrival(at, q)
	before := at.state
	next, fb, err := before.Apply(t.ev)
	x.got.events++
	switch {
	case t.misfit:
		x.got.misfits++
		if err == nil || next != before {
			return x.problem(at, "an event that does not fit is taken: %s %s %q", t.ev.Type, t.ev.At, t.ev.Raw)
		}
		return true
	case err != nil:
		return x.problem(at, "an event that fits is an error: %s %s %q: %v", t.ev.Type, t.ev.At, t.ev.Raw, err)
	case fb.Refused != "":
		x.got.refused++
	}
	at.last = &step{at.last, t.ev}
	if t.ev.Type == coach.Correct || t.ev.Type == coach.Check {
		x.got.corrections++
	}
	if t.bare && next.Key() != before.Key() {
		return x.problem(at, "an answer without content changes something at %s", q.ID)
	}
	if a, b := before.Facts().Supply, next.Facts().Supply; a != b && (b == safety.Incoming || b == safety.On) {
		x.got.passed++
	}
	if next.Ended() == "complete" {
		x.got.completed++
	}
	at.state = next
	obs, bad := at.obs.Observe(t.ev, &fb)
	at.obs = obs
	if bad != "" {
		return x.problem(at, "the checker: %s", bad)
	}
	return len(x.got.problems) == 0
}

// arrival counts what is come to, and holds it against the interlock.
func (x *stream) arrival(at *stood, q coach.Question) {
	if !q.Own || q.Step < 0 {
		return
	}
	switch k := at.state.Program().Steps[q.Step].Want.Kind; {
	case k.Live():
		x.got.live++
	case k.Touches():
		x.got.touching++
	case k.Exposes():
		x.got.opening++
	case k.IsGate():
		x.got.gates++
	}
	if !x.c.alone {
		if lacks := at.state.Lacks(q.Step, x.rules); len(lacks) > 0 {
			x.problem(at, "the interlock: %s is asked for without %v", q.ID, lacks)
		}
	}
}

// lead gives right answers until the session ends. They reach a completed end, unless
// rig or mode bar a gate.
func (x *stream) lead(at stood) bool {
	x.got.played++
	h := &hand{r: x.r, held: x.c.setup.Held, right: 1}
	for n := 0; at.state.Ended() == ""; n++ {
		before := at.state.Key()
		if !x.one(&at, h, 1) {
			return false
		}
		if q, _ := at.state.Question(); n > 4000 || at.state.Key() == before && !h.held {
			return x.problem(&at, "right answers lead nowhere at %s", q.ID)
		}
	}
	if x.c.whole && at.state.Ended() != "complete" {
		return x.problem(&at, "right answers end %q", at.state.Ended())
	}
	return true
}

// runStreams runs about n streams over all courses. Those of a course are cut into shards,
// each with a seed of its own, so that they come to the same however many run side by side.
func runStreams(list []course, n, shards int, seed uint64) (seen, map[string]seen) {
	type job struct {
		c     course
		shard int
	}
	jobs := make(chan job)
	var mu sync.Mutex
	var all seen
	by := map[string]seen{}
	var wg sync.WaitGroup
	each := (n + len(list)*shards - 1) / (len(list) * shards)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for j := range jobs {
				x := newStream(j.c, seed, uint64(j.shard))
				x.run(each)
				mu.Lock()
				all.add(x.got)
				s := by[j.c.name]
				s.add(x.got)
				by[j.c.name] = s
				mu.Unlock()
			}
		})
	}
	for i, c := range list {
		for s := range shards {
			jobs <- job{c, i*shards + s}
		}
	}
	close(jobs)
	wg.Wait()
	return all, by
}

// Random events against every built-in sequence on every rig that it suits: right answers
// most of the time, and wrong ones, readings of every kind, corrections, stops, pauses,
// lines typed ahead, decisions and readings of an exam's assessor, sessions taken up from
// their record. Nothing is done without what it needs, by the word of the interlock and of
// the independent checker; nothing that fits is an error, nothing else is taken; and right
// answers still reach the end.
//
// A stream is a stretch of some 25 events, not a whole session: it begins where right
// answers or an earlier stream came to, so that together they are as long as sessions are,
// and most of them are deep in one. A million of them take minutes; without
// WANDERLEAD_LONG there are some hundred. WANDERLEAD_STREAMS says how many instead.
func TestStreams(t *testing.T) {
	var few []course
	list := courses(t)
	n, shards := 400, 1
	if long() {
		n, shards = 1_000_000, 4
	} else { // some of each kind
		for i := range list {
			if i%4 == 3 {
				few = append(few, list[i])
			}
		}
		list = few
	}
	if v, err := strconv.Atoi(os.Getenv("WANDERLEAD_STREAMS")); err == nil {
		n = v
	}
	all, by := runStreams(list, n, shards, 1)
	for _, c := range list {
		s := by[c.name]
		t.Logf("%-56s %s", c.name, s.String())
	}
	t.Log(all.String())
	for i, p := range all.problems {
		if i < 5 {
			t.Error(p)
		}
	}
	if len(all.problems) == 0 && (all.streams < n || all.live < n/10 || all.passed < n/20 || all.touching < n || all.resumed == 0 || all.played == 0) {
		t.Error("too little was come to")
	}
}

// A line of the interlock that is taken out is missed by some stream: the checker sees what
// is then done without it; for the one line that no record shows the full table does; and
// where another line holds the same, right answers lead nowhere. In the gate three lines are
// tried, else all, and none at all: then there is nothing to see.
func TestStreamsFindAHole(t *testing.T) {
	list := bads(t)
	for _, rule := range append(safety.Interlock(), safety.Rule{ID: "none"}) {
		if !long() && !slices.Contains([]string{"key", "dead-points", "live-people"}, rule.ID) || heldTwice[rule.ID] != "" {
			continue
		}
		found, streams := "", 0
		for chunk := 0; found == "" && chunk < 40; chunk++ {
			for _, b := range list {
				c := course{name: b.name, setup: b.setup, watched: b.obs, alone: rule.ID != "no-fault"}
				c.setup.Rules = safety.Interlock().Without(rule.ID)
				x := newStream(c, uint64(chunk), 0)
				x.run(20)
				streams += x.got.streams
				if len(x.got.problems) > 0 && found == "" {
					found, _, _ = strings.Cut(x.got.problems[0], "\n")
				}
			}
		}
		if (found == "") != (rule.ID == "none") {
			t.Errorf("without %q, %d streams: found %q", rule.ID, streams, found)
		}
		t.Logf("%-22s %5d streams: %s", rule.ID, streams, found)
	}
}
