// Package coach is the session: what has been done, what is true, what comes next.
//
// It is a pure function of events. [State.Question] says what is asked now, derived
// afresh from what the next step needs; [State.Apply] takes one event and gives the
// next state with feedback. There is no clock, no randomness, no terminal and no
// disk here, so that a record replays to the same session on any machine.
package coach

import (
	"slices"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Setup is what a session is made of.
type Setup struct {
	Program *sequence.Program
	Pack    *edition.Pack
	Rules   safety.Rules // nil: the full interlock
	// Planted is true while a fault of the never-energise kind is in the rig.
	Planted bool
	// Held keeps readings unjudged, for an exam: they open nothing, and nothing is said
	// about them. A gate then waits for readings of the supervisor's own, see [Check].
	Held bool
	// Today is the day the session began, as 2026-03-10: what a calibration is held
	// against. Empty, nothing is: there is no clock here.
	Today string
	// Memo, when set, remembers verdicts: for walks, which judge the same readings
	// over and over.
	Memo *Memo
}

// Entry is one reading or observation as typed. Entries are never changed: a repeat
// or a correction is a new entry beside the first.
type Entry struct {
	Prev    *Entry // the entry before this one in the session
	Earlier *Entry // the earlier entry for the same part, if any
	Part    int
	How     string // "first", "repeat", "correction"
	Raw     string
	Reading quantity.Reading
	Class   Class // class when it was typed; the state's class may change later
	State   string
	Why     string // reason given for a limitation or a test not done
	Verdict *Verdict
	number  uint32 // what was typed, in the memo
}

// dialog is a question that the session itself has put in the way of the next step.
type dialog uint8

const (
	noDialog   dialog = iota
	askStop           // what happened?
	askFailed         // a reading failed: what was it?
	askDoubted        // a reading is in doubt: repeat or go on?
)

// State is a session at one moment. It is never changed in place.
type State struct {
	pl    *plan
	pack  *edition.Pack
	rules safety.Rules
	memo  *Memo

	facts   safety.Facts
	planted bool
	held    bool
	today   string
	done    bits // steps
	open    bits // ledger items
	on      bits // circuits switched on
	early   bits // insulation readings, by part, measured before continuity of their circuit
	class   []Class
	latest  []*Entry
	last    *Entry
	mine    bool // class and latest are this state's alone: within one event they are copied once

	dialog     dialog
	dialogPart int
	stopped    dialog

	padlock, mainPadlock string
	supervisor           string
	codeHash             string
	doubtReason          string // given at this gate, effective with the code
	originSource         string
	harmed               bool   // somebody was hurt, or nearly, and the supervisor has not taken over yet
	shaken               bool   // a reading that a passed gate relied on stopped passing; until switched off
	ended                string // how it ended; empty while it runs
	barred               bool   // it was left at a gate that stayed shut
}

// New starts a session: supply as found, nothing proved, nothing open.
func New(s Setup) *State {
	pl := newPlan(s.Program)
	pl.references(s.Pack)
	rules := s.Rules
	if rules == nil {
		rules = safety.Interlock()
	}
	return &State{
		pl: pl, pack: s.Pack, rules: rules, memo: s.Memo, planted: s.Planted, held: s.Held, today: s.Today,
		done: newBits(len(s.Program.Steps)), open: newBits(len(s.Program.Items)),
		on:    newBits(len(s.Program.Rig.Circuits)),
		early: newBits(len(pl.parts)), class: make([]Class, len(pl.parts)), latest: make([]*Entry, len(pl.parts)),
		dialogPart: -1,
	}
}

// clone copies what Apply may change; the rest is shared.
// clone gives a state to change, which shares with the one it came from whatever it leaves alone.
func (s *State) clone() *State { c := *s; c.mine = false; return &c }

// handed is a state that others may hold and clone: from here on nothing of it is written to.
func (s *State) handed() *State { s.mine = false; return s }

// own makes class and latest this state's alone, so that they can be written to.
func (s *State) own() {
	if !s.mine {
		s.class, s.latest, s.mine = slices.Clone(s.class), slices.Clone(s.latest), true
	}
}

func (s *State) setClass(part int, c Class) {
	if s.class[part] != c {
		s.own()
		s.class[part] = c
	}
}

// Program returns the program the session works through.
func (s *State) Program() *sequence.Program { return s.pl.p }

// Pack returns the edition's limits.
func (s *State) Pack() *edition.Pack { return s.pack }

// Facts returns what the interlock holds to be true.
func (s *State) Facts() safety.Facts { return s.facts }

// Ended says how the session ended: "complete", "left", or empty while it runs.
func (s *State) Ended() string { return s.ended }

// OpenItems lists the open items of the ledger, oldest step first.
func (s *State) OpenItems() []sequence.Item {
	var items []sequence.Item
	for i, it := range s.pl.p.Items {
		if s.open.has(i) {
			items = append(items, it)
		}
	}
	return items
}

// CircuitsOn lists the ids of the circuits that are switched on.
func (s *State) CircuitsOn() []string {
	var ids []string
	for i, c := range s.pl.r.Circuits {
		if s.on.has(i) {
			ids = append(ids, c.ID)
		}
	}
	return ids
}

// Supervisor is the name given at the start; empty until it was.
func (s *State) Supervisor() string { return s.supervisor }

// OriginSource is where the declared origin comes from, when it was declared.
func (s *State) OriginSource() string { return s.originSource }

// record works out what the interlock must know from readings and ledger.
func (s *State) record(w safety.Want) safety.Record {
	r := safety.Record{
		Upstream:      s.pl.r.Isolation.At == "upstream",
		NeverEnergise: s.planted,
		LedgerFits:    true,
	}
	worst := s.worstDead()
	if w.Kind == safety.EnergiseInstallation || s.facts.Supply == safety.On {
		worst = worse(worst, s.worstOrigin())
	}
	switch {
	case worst.opens(), worst == Doubt && s.doubtReason != "":
		r.TestsPassed = true
	case worst == Doubt:
		r.DoubtsOpen = true
	}
	if w.Kind == safety.EnergiseInstallation {
		for _, p := range s.pl.fault {
			r.DoubtsOpen = r.DoubtsOpen || r.TestsPassed && s.class[p] == Doubt && s.doubtReason == ""
		}
		r.TestsPassed = r.TestsPassed && !r.DoubtsOpen
	}
	o := s.worstOrigin()
	r.OriginPassed = s.pl.supplyRead && s.pl.loopRead && (o.opens() || o == Doubt)
	for i, it := range s.pl.p.Items {
		if s.open.has(i) {
			r.EarthingOff = r.EarthingOff || unearths(it, w.Circuit)
			r.LedgerFits = r.LedgerFits && safety.Tolerated(w.Kind, it.Class)
		}
	}
	if w.Circuit >= 0 {
		r.CircuitOn = s.on.has(w.Circuit)
		r.CircuitPassed = s.worstCircuit(w.Circuit).opens()
	}
	return r
}

// unearths reports whether nothing on a circuit is earthed while an item is open.
func unearths(it sequence.Item, circuit int) bool {
	return it.Class == safety.EarthingConductor || it.Class == safety.CPC && it.Circuit == circuit && circuit >= 0
}

// rank orders classes from what opens a gate to what never does.
func rank(c Class) int {
	switch c {
	case Pass, NotApplicable, Accepted:
		return 0
	case Doubt:
		return 1
	case None, Limitation, NotTested, Pending:
		return 2
	}
	return 3
}

func worse(a, b Class) Class {
	if rank(b) > rank(a) {
		return b
	}
	return a
}

// worstDead is the worst class among every required dead test and every dead test
// or inspection item that the sequence adds, or one of those that open no gate whatever
// is said: until all are read there is no need to look through the rest.
func (s *State) worstDead() Class {
	if s.recordMissing() {
		return NotTested
	}
	worst := Pass
	for i := range s.pl.needs {
		if worst = worse(worst, s.needClass(&s.pl.needs[i])); rank(worst) > rank(Doubt) {
			return worst
		}
	}
	for _, p := range s.pl.deadParts {
		if c := s.class[p]; c != None || !s.optional(p) {
			if worst = worse(worst, c); rank(worst) > rank(Doubt) {
				return worst
			}
		}
	}
	return worst
}

// recordMissing reports whether the session stands on an earlier record of dead tests
// that the supervisor has not accepted yet.
func (s *State) recordMissing() bool { return s.pl.p.Seq.FromRecord && !s.facts.RecordGiven }

// optional reports whether a dead part may stay unread: the other method of a test
// that is met already. A step of the sequence that is not done is never optional.
func (s *State) optional(part int) bool { return s.done.has(s.pl.parts[part].step) }

func (s *State) needClass(n *need) Class {
	worst := Pass
	for _, slot := range n.slots {
		best := NotTested
		for _, p := range slot {
			if rank(s.class[p]) < rank(best) || best == NotTested && s.class[p] != None {
				best = s.class[p]
			}
		}
		worst = worse(worst, best)
	}
	return worst
}

func (s *State) worstCircuit(c int) Class {
	worst := Pass
	for _, i := range s.pl.byCircuit[c] {
		worst = worse(worst, s.needClass(&s.pl.needs[i]))
	}
	return worst
}

func (s *State) worstOrigin() Class {
	worst := Pass
	for _, p := range s.pl.origin {
		worst = worse(worst, s.class[p])
	}
	return worst
}
