package walk

import (
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// try is one event to be tried in a state.
type try struct {
	ev    coach.Event
	right bool        // the right answer
	bare  bool        // an answer without content: it must change nothing
	want  coach.Class // the class the reading is meant to come to; None: whatever comes
}

type generator struct {
	o      Options
	cast   coach.Cast
	prog   *sequence.Program
	vals   map[valueKey]string // readings chosen for a part and a class
	sought map[valueKey]int
	out    []try
}

// newGenerator sets up who is named and what is typed.
func newGenerator(setup coach.Setup, o Options) *generator {
	return &generator{o: o, prog: setup.Program, vals: map[valueKey]string{}, sought: map[valueKey]int{}, cast: Cast}
}

// Cast is who and what the walk's right answers name.
var Cast = coach.Cast{
	Supervisor: "R. Alder", Code: "sha256:walk", Padlock: "4417", MainPadlock: "5528",
	People: "everybody in the bay", Reason: "compared with the second instrument", Instrument: "instrument 2",
}

const stopQuestion = "stop/what"

const otherPadlock = "9903"

// tries lists everything that is tried in a state.
func (g *generator) tries(s *coach.State, q coach.Question) []try {
	g.out = g.out[:0]
	right := s.RightAnswer(g.cast)
	g.add(try{ev: answer(q.ID, right), right: true})
	g.bare(q)
	switch {
	case q.Kind == coach.Choice:
		g.choices(s, q, right)
	case q.Own && q.Kind == coach.Line && len(q.Parts) > 0:
		g.readings(s, q, right)
	default:
		g.lines(s, q, right)
	}
	g.corrections(s, q)
	g.disturbances(s, q)
	return g.out
}

func (g *generator) add(t try) { g.out = append(g.out, t) }

func answer(at, raw string) coach.Event { return coach.Event{Type: coach.Answer, At: at, Raw: raw} }

// bare adds the answers that carry no content. Where a gate's question is a line,
// and wherever Enter falls, they must change nothing.
func (g *generator) bare(q coach.Question) {
	g.add(try{ev: answer(q.ID, ""), bare: true})
	if q.Gate || q.Kind == coach.Choice {
		g.add(try{ev: answer(q.ID, "y"), bare: true})
	}
}

// choices adds every option of a choice but the right one.
func (g *generator) choices(s *coach.State, q coach.Question, right string) {
	for _, o := range q.Options {
		if o.Value == right || !g.mayFail(s, q) || g.alike(q, o.Value) {
			continue
		}
		g.add(try{ev: answer(q.ID, o.Value), bare: o.Value == coach.NotYet})
	}
}

// alike leaves out answers to "what was it?" that come to the same as another.
func (g *generator) alike(q coach.Question, value string) bool {
	if g.o.Unreduced || q.TextID != "ask.fail" {
		return false
	}
	return value == "null" || value == "switch" || value == "load"
}

// mayFail reports whether a choice may be answered wrongly: an observation answered
// wrongly fails, and only so many readings may be unpassed at once.
func (g *generator) mayFail(s *coach.State, q coach.Question) bool {
	if !q.Own || q.Step < 0 {
		return true
	}
	switch g.prog.Steps[q.Step].Form {
	case sequence.Observe, sequence.Inspect:
		return g.room(s, q.Step)
	}
	return true
}

// room reports whether a step may get a reading that does not pass.
func (g *generator) room(s *coach.State, step int) bool {
	if g.o.Unreduced {
		return true
	}
	n := g.load(s) + 1
	for _, st := range s.Unpassed() {
		if st == step {
			n--
		}
	}
	return n <= g.o.Unpassed
}

// load is how much is wrong in a state: steps with readings that do not pass, or one
// when only their set-up is still to be put back.
func (g *generator) load(s *coach.State) int {
	if n := len(s.Unpassed()); n > 0 {
		return n
	}
	return min(s.Behind(), 1)
}

// lines adds wrong content for a typed safety question.
func (g *generator) lines(s *coach.State, q coach.Question, right string) {
	wrong := func(raws ...string) {
		for _, raw := range raws {
			g.add(try{ev: answer(q.ID, raw)})
		}
	}
	switch q.Fact {
	case safety.FactLock:
		// Which number a lock not named yet has makes no difference, as long as the two
		// locks differ: another one is tried where one was named before.
		wrong("7", "gone")
		if s.Facts().MainLocked {
			wrong(g.cast.MainPadlock)
		}
		if g.o.Unreduced || q.TextID == "ask.lock.again" {
			wrong(otherPadlock)
		}
	case safety.FactMainLock:
		wrong("7", "on", g.cast.Padlock)
		if g.o.Unreduced || q.TextID == "ask.main-switch.again" {
			wrong(otherPadlock)
		}
	case safety.FactPeople, safety.FactSupervisor:
		wrong("yes", "1234")
	case safety.FactDoubts:
		wrong("yes", "repeat")
	case safety.FactDead:
		pair, rest, _ := strings.Cut(right, ",")
		name, _, _ := strings.Cut(pair, " ")
		wrong(rest, "0", pair+","+pair+","+rest, name+" lamp 2,"+rest, name+" 231 V,"+rest, name+","+rest, "A-B 0,"+rest)
		if all, points, ok := strings.Cut(right, ", points "); ok {
			wrong(all, all+", points 1"+points)
		}
	default:
		wrong("1")
	}
}

// disturbances adds what happens to people and rig.
func (g *generator) disturbances(s *coach.State, q coach.Question) {
	if q.ID == stopQuestion {
		return
	}
	if !g.mishaps(s, q) {
		return // one thing at a time on whole boards
	}
	g.add(try{ev: coach.Event{Type: coach.Stop}})
	g.add(try{ev: coach.Event{Type: coach.Paused}})
	g.add(try{ev: coach.Event{Type: coach.Resumed}})
}

// mishaps reports whether people and rig may do something unforeseen in a state:
// what makes facts fall. With as much amiss already as may be at once they may not,
// but for where what is amiss bears on the facts: when something is energised that the
// readings no longer allow, and when the supervisor has given a reason at a gate that
// is not passed yet.
func (g *generator) mishaps(s *coach.State, q coach.Question) bool {
	return g.o.Unreduced || g.load(s) < g.o.Unpassed || isolating(s, q) || s.Reasoned() && q.Own && g.prog.Steps[q.Step].Want.Kind.IsGate()
}

// isolating reports whether something is energised, and isolation is asked for.
func isolating(s *coach.State, q coach.Question) bool {
	if f := s.Facts(); f.Supply != safety.Incoming && f.Supply != safety.On {
		return false
	}
	return q.Fact == safety.FactSeen || q.Fact == safety.FactOff
}
