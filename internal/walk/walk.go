// Package walk tries everything that can be answered, in every state that can be
// reached, and reports where a session would lead to live work or to touched
// conductors without what they need, where it would get stuck, and where right
// answers would never reach the end.
//
// The walk is exhaustive up to a stated bound on how much may be wrong at once (see
// [Options]): a key with the class of every reading has millions of states on one
// circuit alone. What the bound leaves out is made up for by walks of small
// programs with a higher bound, and without one.
//
// Besides the bound it leaves out what comes to the same, each for its own reason:
//
//   - Two states are one when nothing later tells them apart. The session's key holds
//     classes of readings, not values; left out and out of reach are one class, due
//     again is one class however it came about. Where isolation is all that can follow,
//     what was answered at the gate before it is not in the key. The checker's key holds
//     of a reading only what can still change a judgement.
//   - A session that has ended takes no more events: how it ended is its key.
//   - A padlock's number matters only by being the same as one named before, so another
//     number is tried where one was named.
//   - A correction touches readings and what is due again because of them, never a
//     fact, except where something is energised or a gate is asked for. Elsewhere it
//     commutes with steps of other blocks, and is tried in its own block and at the
//     start of each stage; with something energised it leads to isolation and back to
//     the step that was due, whichever that is, so that it is tried at the first step
//     at the origin, the first on a circuit and the last of all.
//   - What makes facts fall (a stop, a pause, a lock gone, voltage found, a switch too
//     many) falls on facts, and an unpassed reading changes none: both at once are tried
//     where they meet, with something energised that the readings no longer allow, and
//     at the last question of a gate that doubts were accepted for.
//
// That nothing is lost by it is an argument, not a proof. A test walks a short program
// with none of it, every reading wrong at once and everything tried in every state, and
// comes to the same acts with the same facts, ledger and circuits on.
package walk

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"

	"wanderlead/internal/coach"
	"wanderlead/safety"
)

// Options bounds a walk.
type Options struct {
	// Unpassed is how many steps may have readings at once that do not pass. Zero
	// means one.
	Unpassed int
	// Unreduced explores corrections, stops and pauses in every state, any number of
	// unpassed readings, every group of readings. Only for small programs.
	Unreduced bool
	// MaxStates stops the walk; zero means no bound. A walk that was cut says so.
	MaxStates int
	// Problems is how many are kept; zero means ten. The walk ends when it has them.
	Problems int
	// Observer watches every event in lockstep, nil for none. Its key is part of the
	// key of a state.
	Observer Observer
	// Alone leaves judging to the observer: arrivals are not held against the full
	// interlock.
	Alone bool
	// Seen, when set, is shown every state in which an act of the sequence is asked for.
	Seen func(s *coach.State, q coach.Question)
	// Progress, if set, is told now and then how many states were found, how many of
	// them wait to be explored, and which was explored last.
	Progress func(states, waiting int, last *coach.State)
	// Change stands for a broken session in tests: it gives the state that takes the
	// place of the one an event led to.
	Change func(from *coach.State, ev coach.Event, to *coach.State) *coach.State
}

// progressEvery is after how many new states progress is told.
const progressEvery = 50_000

// Observer sees what a session would put on record.
type Observer interface {
	// Observe takes one event with what the session made of it. It returns the
	// observer that stands for the longer record, and what is wrong with it, if
	// anything.
	Observe(ev coach.Event, fb *coach.Feedback) (next Observer, violation string)
	// AppendKey appends what tells apart observers that may judge the same event
	// differently.
	AppendKey(b []byte) []byte
}

// Problem is something that must not be, with the events that lead to it.
type Problem struct {
	// Kind is "violation" (the observer's word), "interlock", "error", "stuck",
	// "endless", "bare-answer" or "left".
	Kind  string
	Text  string
	Trace []coach.Event
}

// Report is what a walk found.
type Report struct {
	States, Transitions int
	LiveArrivals        int // states in which a live act is asked for
	TouchArrivals       int // states in which hands or a dead-test instrument go on conductors
	OpenArrivals        int // states in which an enclosure is opened
	GateArrivals        int // states in which the last question of a gate is put
	Refusals            int // events refused
	Ended               map[string]int
	RightEnd            string // where right answers from the start lead: "complete" or "left"
	RightAnswers        int    // how many that takes
	Cut                 bool   // MaxStates was reached: nothing is proved
	Problems            []Problem
}

// OK reports whether the walk was whole and found nothing.
func (r *Report) OK() bool { return !r.Cut && len(r.Problems) == 0 }

// String is one line of figures.
func (r *Report) String() string {
	s := fmt.Sprintf("%d states, %d transitions, %d live arrivals, %d touch arrivals, %d openings, %d gate arrivals, %d refusals, right answers: %d to %s",
		r.States, r.Transitions, r.LiveArrivals, r.TouchArrivals, r.OpenArrivals, r.GateArrivals, r.Refusals, r.RightAnswers, r.RightEnd)
	if r.Cut {
		s += ", cut short"
	}
	return s
}

// key is 128 bits of what tells states apart: among ten million different ones two
// agree by chance once in 10^24 walks.
type key [2]uint64

func (w *walker) key(s *coach.State, obs Observer) key {
	b := append(w.buf[:0], s.Ended()...)
	if len(b) == 0 { // ended sessions take nothing more: how they ended is all there is
		b = s.AppendKey(b)
		if obs != nil {
			b = obs.AppendKey(b)
		}
	}
	w.buf = b
	sum := sha256.Sum256(b)
	return key{binary.LittleEndian.Uint64(sum[:]), binary.LittleEndian.Uint64(sum[8:])}
}

// node is what is kept of a state once it has been explored: the way back, and where
// the right answer leads.
type node struct {
	parent, event, right int32
	ended                uint8
}

const (
	running = iota
	complete
	left
)

type pending struct {
	id    int32
	state *coach.State
	obs   Observer
}

type walker struct {
	o      Options
	g      *generator
	rules  safety.Rules
	ids    map[key]int32
	nodes  []node
	events []coach.Event
	evIDs  map[coach.Event]int32
	queue  []pending
	rep    Report
	buf    []byte
}

// Run walks a session. The setup's own rules drive it; arrivals are checked against
// the full interlock.
func Run(setup coach.Setup, o Options) Report {
	if o.Unpassed == 0 {
		o.Unpassed = 1
	}
	if o.Unreduced {
		o.Unpassed = 1 << 20
	}
	setup.Memo = coach.NewMemo()
	if o.Problems == 0 {
		o.Problems = 10
	}
	w := &walker{o: o, g: newGenerator(setup, o), rules: safety.Interlock(), ids: map[key]int32{}, evIDs: map[coach.Event]int32{}}
	w.rep.Ended = map[string]int{}
	w.visit(coach.New(setup), o.Observer, -1, coach.Event{})
	told := 0
	for head := 0; head < len(w.queue) && len(w.rep.Problems) < o.Problems; head++ {
		p := w.queue[head]
		w.queue[head] = pending{}
		if head > 4096 && head*2 > len(w.queue) {
			w.queue = append([]pending(nil), w.queue[head:]...)
			head = 0
		}
		if o.MaxStates > 0 && len(w.nodes) > o.MaxStates {
			w.rep.Cut = true
			break
		}
		w.explore(p)
		if o.Progress != nil && len(w.nodes) >= told+progressEvery {
			told = len(w.nodes)
			o.Progress(len(w.nodes), len(w.queue)-head, p.state)
		}
	}
	w.rep.States = len(w.nodes)
	if !w.rep.Cut && len(w.rep.Problems) == 0 {
		w.ends()
	}
	w.rightRun(setup)
	return w.rep
}

// visit finds or makes the node of a state.
func (w *walker) visit(s *coach.State, obs Observer, parent int32, ev coach.Event) int32 {
	k := w.key(s, obs)
	if id, ok := w.ids[k]; ok {
		return id
	}
	id := int32(len(w.nodes))
	w.ids[k] = id
	n := node{parent: parent, event: w.eventID(ev), right: -1}
	switch s.Ended() {
	case "":
		w.queue = append(w.queue, pending{id, s, obs})
	case "complete":
		n.ended = complete
		w.rep.Ended["complete"]++
	default:
		n.ended = left
		w.rep.Ended[s.Ended()]++
	}
	w.nodes = append(w.nodes, n)
	return id
}

func (w *walker) eventID(ev coach.Event) int32 {
	if id, ok := w.evIDs[ev]; ok {
		return id
	}
	id := int32(len(w.events))
	w.events = append(w.events, ev)
	w.evIDs[ev] = id
	return id
}

func (w *walker) explore(p pending) {
	q, ok := p.state.Question()
	if !ok {
		w.problem("stuck", "nothing is asked, and the session has not ended", p.id)
		return
	}
	w.arrival(p, q)
	o := &w.o
	for _, t := range w.g.tries(p.state, q) {
		next, fb, err := p.state.Apply(t.ev)
		w.rep.Transitions++
		if err != nil {
			w.problem("error", err.Error(), p.id, t.ev)
			continue
		}
		if t.want != coach.None && !gave(&fb, t.want) {
			continue // the value does not come to that class here
		}
		if !t.right && !o.Unreduced && fb.Refused == "" && next.Amiss() > max(o.Unpassed, p.state.Amiss()) {
			continue // more at once than the bound
		}
		if fb.Refused != "" && q.Fact != "" && !w.g.mishaps(p.state, q) && next.Facts() != p.state.Facts() {
			continue // one thing at a time
		}
		if fb.Refused != "" {
			w.rep.Refusals++
		}
		if w.o.Change != nil {
			next = w.o.Change(p.state, t.ev, next)
		}
		obs := p.obs
		if obs != nil {
			var bad string
			if obs, bad = obs.Observe(t.ev, &fb); bad != "" {
				w.problem("violation", bad, p.id, t.ev)
				if len(w.rep.Problems) >= w.o.Problems {
					return
				}
				continue
			}
		}
		id := w.visit(next, obs, p.id, t.ev)
		if t.bare && id != p.id {
			w.problem("bare-answer", fmt.Sprintf("an answer without content changes something at %s", q.ID), p.id, t.ev)
		}
		if t.right {
			w.nodes[p.id].right = id
			if id == p.id {
				w.problem("stuck", fmt.Sprintf("the right answer changes nothing at %s (%s)", q.ID, fb.Refused), p.id, t.ev)
			}
		}
	}
}

// gave reports whether one of the groups judged came to the class.
func gave(fb *coach.Feedback, c coach.Class) bool { return fb.Class == c }

// arrival counts a state by what is asked in it, and holds it against the interlock.
func (w *walker) arrival(p pending, q coach.Question) {
	if !q.Own || q.Step < 0 {
		return
	}
	if w.o.Seen != nil {
		w.o.Seen(p.state, q)
	}
	k := p.state.Program().Steps[q.Step].Want.Kind
	switch {
	case k.Live():
		w.rep.LiveArrivals++
	case k.Touches():
		w.rep.TouchArrivals++
	case k.Exposes():
		w.rep.OpenArrivals++
	case k.IsGate():
		w.rep.GateArrivals++
	}
	if lacks := p.state.Lacks(q.Step, w.rules); !w.o.Alone && len(lacks) > 0 {
		w.problem("interlock", fmt.Sprintf("%s is asked for without %v", q.ID, lacks), p.id)
	}
}

func (w *walker) problem(kind, text string, at int32, last ...coach.Event) {
	if len(w.rep.Problems) >= w.o.Problems {
		return
	}
	var back []coach.Event
	for id := at; id > 0; id = w.nodes[id].parent {
		back = append(back, w.events[w.nodes[id].event])
	}
	trace := make([]coach.Event, 0, len(back)+1)
	for i := len(back) - 1; i >= 0; i-- {
		trace = append(trace, back[i])
	}
	w.rep.Problems = append(w.rep.Problems, Problem{Kind: kind, Text: text, Trace: append(trace, last...)})
}

// ends follows the right answers from every state. They must reach a completed end,
// or, where rig or sequence bar a gate, the end at which the session is left.
func (w *walker) ends() {
	const unknown, onPath = 0, 255
	end := make([]uint8, len(w.nodes))
	for i := range w.nodes {
		var path []int32
		id := int32(i)
		for end[id] == unknown && w.nodes[id].ended == running && w.nodes[id].right >= 0 {
			end[id] = onPath
			path = append(path, id)
			id = w.nodes[id].right
		}
		got := end[id]
		switch {
		case w.nodes[id].ended != running:
			got = w.nodes[id].ended
		case got == onPath:
			w.problem("endless", "right answers go round and never end", id)
			got = left
		case got == unknown:
			w.problem("stuck", "no right answer", id)
			got = left
		}
		for _, n := range path {
			end[n] = got
		}
	}
	if len(end) == 0 || end[0] != complete {
		return // rig or sequence bar a gate; everybody is let out
	}
	for i := range end {
		if w.nodes[i].ended == running && end[i] != complete {
			w.problem("left", "from here right answers no longer reach a completed end", int32(i))
			return
		}
	}
}

// rightRun does everything right once, from the start.
func (w *walker) rightRun(setup coach.Setup) {
	s := coach.New(setup)
	for n := 0; n < 20000 && s.Ended() == ""; n++ {
		q, ok := s.Question()
		if !ok {
			break
		}
		next, _, err := s.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: s.RightAnswer(w.g.cast)})
		if err != nil || next.Key() == s.Key() {
			break
		}
		s = next
		w.rep.RightAnswers++
	}
	w.rep.RightEnd = s.Ended()
	if w.rep.RightEnd == "" {
		w.rep.RightEnd = "nowhere"
	}
}
