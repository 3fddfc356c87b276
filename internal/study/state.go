// Package study is a session on a rig that is only computed. The learner decides
// everything: what the instrument is set to, where its leads go, what is switched,
// lifted, joined, taken out; every reading is what the network of the installation,
// as it stands at that moment, would make the instrument show. Moves that only spoil
// a reading are allowed, and explained when the reading is written down. Moves that
// would be dangerous on a real board are refused by the same interlock that guards a
// session on a practice rig.
//
// Like the led session it is a pure function of events: [State.Question] says what is
// asked, [State.Apply] takes one answer.
package study

import (
	"fmt"
	"maps"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Start is how the rig stands when the session begins.
type Start string

// The two beginnings.
const (
	// Isolated: the program's supervisor has isolated, locked, proved the board dead and taken its cover off; nothing is
	// plugged in.
	Isolated Start = "isolated"
	// AsFound: everything is on and in.
	AsFound Start = "as-found"
)

// Help is how much is said without being asked for.
type Help uint8

// The levels of help.
const (
	Led   Help = iota // what comes next, in the sequence's words, before each measurement
	Named             // the name of what comes next
	Alone             // nothing
)

// Setup is what a session is made of.
type Setup struct {
	Program   *sequence.Program
	Pack      *edition.Pack
	Plantings []faults.Planting
	Seed      uint64
	Start     Start
	Help      Help
	// Exam: nothing is said, and what a session knows does not depend on faults.
	Exam bool
}

// leadsOhm is what both test leads together measure before they are nulled (common practice, no source).
const leadsOhm = 0.08

// State is a session at one moment. It is never changed in place.
type State struct {
	set   Setup
	built *faults.Built // with the faults that are still in it
	live  []faults.Planting
	sheet *coach.Sheet

	cond   wiring.Condition
	covers map[string]bool // enclosures that are open: "board", circuit ids for their points
	facts  safety.Facts
	leads  meter.Leads

	focus int // circuit whose places are offered
	ask   menu
	pick  picked
	last  *Taken   // what the display shows and is not written down yet
	claim []string // what is written down and not judged by the learner yet
	owed  []written
	// verdict is what the judge made of it; it is told after the learner's own judgement.
	verdict *coach.Feedback
	step    int // what is being looked at
	tries   map[string]int
	ended   string
	turned  bool // what comes next is another step than before
	hints   hinted
	naming  named // what the learner says is wrong
	route   int   // measurements so far
	paper   paper // in an exam only
}

// picked is what has been chosen on the way to a measurement.
type picked struct {
	function signature.Function
	testV    float64
	rcdTest  string
	place    string
	end      string // conductor group that is going back
}

// Taken is one measurement, or a row of them, as the display showed it.
type Taken struct {
	Function signature.Function
	TestV    float64
	RCDTest  string
	At       []At
}

// At is one reading of a measurement with the terminals it was taken at.
type At struct {
	Point    string // point of the circuit, or the position of switches; empty elsewhere
	A, B     string
	with     []string // terminals in the same clip as A
	RCDTest  string
	Position map[string]int
	Shown    meter.Shown
	Cond     wiring.Condition
	Leads    meter.Leads
	Try      int
}

// New begins a session. The error says what the rig lacks to be computed.
func New(set Setup) (*State, error) {
	s := &State{set: set, tries: map[string]int{}, covers: map[string]bool{}, live: set.Plantings}
	if err := s.build(); err != nil {
		return nil, err
	}
	p := *set.Program
	s.set.Program = &p
	prog := p.Measurements()
	if len(prog.Steps) == 0 {
		return nil, fmt.Errorf("nothing is measured in the sequence %s on %s", p.Seq.ID, p.Rig.ID)
	}
	declared := p.Origin == sequence.Declared || p.Seq.FromRecord
	s.sheet = coach.NewSheet(coach.Setup{Program: prog, Pack: set.Pack}, p.Seq.FromRecord, declared)
	s.leads = meter.Leads{Ohm: leadsOhm}
	s.cond = wiring.Condition{}.Clone()
	if set.Start == AsFound {
		s.found()
	} else {
		s.isolated()
	}
	s.facts.OriginGiven, s.facts.RecordGiven = declared, p.Seq.FromRecord
	s.focus, s.turned = s.firstFocus(), true
	s.paper.entered = map[string]string{}
	return s, nil
}

func (s *State) build() error {
	b, err := faults.Build(s.set.Program.Rig, wiring.Usual(signature.Copper(s.set.Pack)), s.live...)
	if err == nil {
		s.built = b
	}
	return err
}

// found is the rig with everything on and everything in.
func (s *State) found() {
	s.facts.Supply = safety.Found
	for _, e := range s.built.Plan.Elements() {
		if e.Kind == wiring.Load {
			s.cond.In[e.Name] = true
		}
	}
	s.settle()
}

// isolated is the rig off, locked and proved dead at the board, whose cover is off.
func (s *State) isolated() {
	s.offAtIsolation()
	s.cond.Open[wiring.MainSwitch] = true
	for i := range s.rig().Circuits {
		s.cond.Open[s.rig().Circuits[i].ID] = true
	}
	s.facts = safety.Facts{Supply: safety.Off, Seen: true, LockOn: true, KeyHeld: true, Notice: true, BoardDead: true}
	s.covers["board"] = true
}

// offAtIsolation opens what the rig is isolated by.
func (s *State) offAtIsolation() {
	if s.upstream() {
		s.cond.Open[wiring.Isolator] = true
	} else {
		s.cond.Open[wiring.MainSwitch] = true
	}
}

func (s *State) upstream() bool { return s.rig().Isolation.At == rig.Upstream }

func (s *State) rig() *rig.Rig { return s.set.Program.Rig }

func (s *State) program() *sequence.Program { return s.sheet.State().Program() }

func (s *State) circuit() *rig.Circuit { return &s.rig().Circuits[s.focus] }

// Sheet is the schedule as far as it is filled in.
func (s *State) Sheet() *coach.Sheet { return s.sheet }

// Ended says how the session ended: "complete", "left", or empty while it runs.
func (s *State) Ended() string { return s.ended }

// Setup is what the session was made of.
func (s *State) Setup() Setup { return s.set }

// clone copies what an event may change in place.
func (s *State) clone() *State {
	c := *s
	c.cond = s.cond.Clone()
	c.covers, c.tries = map[string]bool{}, map[string]int{}
	for k, v := range s.covers {
		c.covers[k] = v
	}
	for k, v := range s.tries {
		c.tries[k] = v
	}
	c.paper.entered = maps.Clone(s.paper.entered)
	return &c
}

func (s *State) instrument() meter.Instrument { return meter.Instrument{Seed: s.set.Seed} }

// settle lets devices open that the currents now make open, and says which did.
func (s *State) settle() []string {
	if s.facts.Supply == safety.Off {
		return nil
	}
	now, err := s.built.Plan.Energise(s.cond, wiring.TripsOf(s.built.Rig), nil, nil, false)
	if err != nil {
		return nil
	}
	for _, d := range now.Tripped {
		s.cond.Open[d] = true
	}
	return now.Tripped
}

// firstFocus is the circuit of the first measurement, the first circuit when that belongs to the board.
func (s *State) firstFocus() int {
	for _, st := range s.program().Steps {
		if st.Circuit >= 0 {
			return st.Circuit
		}
	}
	return 0
}

// Focus is the index of the circuit in view.
func (s *State) Focus() int { return s.focus }

// Facts is what the interlock holds to be true.
func (s *State) Facts() safety.Facts { return s.facts }

// Open reports whether a switch, breaker or RCD is open.
func (s *State) Open(device string) bool { return s.cond.Open[device] }

// Condition is how the installation stands as the learner has left it. What a planted
// fault changed is not in it.
func (s *State) Condition() wiring.Condition { return s.cond.Clone() }

// AtBoard reports whether what is asked now is done at the board: what is changed there,
// where conductor ends go back to, between which of its terminals the leads go.
func (s *State) AtBoard() bool {
	return s.ask == atChange || s.ask == atHome || s.ask == atPair && (s.pick.place == "at-board" || s.pick.place == "bars")
}

// All is how many readings and observations the sequence has, Done how many of them
// stand on the schedule.
func (s *State) All() int { return len(s.sheet.State().Results()) }

// Done is how many readings and observations stand on the schedule.
func (s *State) Done() int {
	if s.set.Exam {
		return len(s.paper.entered)
	}
	n := 0
	for _, r := range s.sheet.State().Results() {
		if r.Stands() {
			n++
		}
	}
	return n
}

// Turned reports whether the step that comes next has just become the next one: time
// to say how it is taken.
func (s *State) Turned() bool { return s.turned }
