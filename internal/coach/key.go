package coach

import (
	"encoding/binary"
	mathbits "math/bits"

	"wanderlead/safety"
)

// Key stands for what decides which questions can come next: position, facts, ledger,
// gate, circuits on, the dialog under way, and the class of each reading, as far as it
// differs from what its step says, which is passed when it is done and not read when
// it is not. Values are not in it. They decide classes only, and the exhaustive walk
// tries every class of every reading for itself.
type Key struct {
	facts safety.Facts
	rest  string
}

// Key returns the state's key.
func (s *State) Key() Key { return Key{facts: s.facts, rest: string(s.appendRest(nil))} }

// AppendKey appends the state's key as bytes: equal keys, equal bytes, and the other
// way round among the states of one program.
func (s *State) AppendKey(b []byte) []byte {
	f := s.facts
	if s.shaken {
		// Only isolation can follow, and it ends these.
		f.Loads, f.Covers, f.People, f.Supervisor = false, false, false, false
	}
	return s.appendRest(f.AppendTo(b))
}

func (s *State) appendRest(b []byte) []byte {
	for _, set := range []bits{s.done, s.open, s.on} {
		for _, w := range set {
			b = binary.LittleEndian.AppendUint64(b, w)
		}
	}
	var flags byte
	for i, is := range []bool{s.padlock != "", s.mainPadlock != "", s.supervisor != "", s.codeHash != "",
		s.doubtReason != "", s.originSource != "", s.planted, s.shaken} {
		if is {
			flags |= 1 << i
		}
	}
	harmed := byte(0)
	if s.harmed {
		harmed = 1
	}
	b = append(b, flags, harmed, byte(s.dialog), byte(s.stopped), byte(len(s.ended)))
	b = binary.AppendVarint(b, int64(s.dialogPart))
	for p, c := range s.class {
		usual, again := None, byte(0)
		if s.done.has(s.pl.parts[p].step) {
			usual = Pass
		}
		switch c { // what never comes to anything different is the same
		case SetUp:
			c = None
		case Limitation:
			c = NotTested
		}
		if c == None && s.latest[p] != nil {
			again = 1
		}
		if c == Limitation {
			c = NotTested // they never come to anything different
		}
		if c != usual || again != 0 {
			b = binary.AppendUvarint(b, uint64(p))
			b = append(b, byte(c)<<1|again)
		}
	}
	return b
}

// Amiss counts what is wrong at once, for a walk that bounds it: for each step the
// different classes, of those that do not simply pass, that its readings came to. A
// step of which some readings are only due again counts once.
func (s *State) Amiss() int {
	n, step, mask, again := 0, -1, uint16(0), false
	add := func() {
		k := mathbits.OnesCount16(mask)
		if k == 0 && again {
			k = 1
		}
		n, mask, again = n+k, 0, false
	}
	for p, c := range s.class {
		if st := s.pl.parts[p].step; st != step {
			add()
			step = st
		}
		switch c {
		case Pass, NotApplicable, Pending:
		case None, SetUp:
			again = again || s.latest[p] != nil
		case Limitation, NotTested:
			mask |= 1 << NotTested
		default:
			mask |= 1 << c
		}
	}
	add()
	return n
}

// Unpassed lists the steps with readings that were taken and do not open a gate now,
// or that the supervisor had to accept: what a walk counts when it bounds how much
// may be wrong at once.
func (s *State) Unpassed() []int {
	var steps []int
	for p, c := range s.class {
		switch c {
		case Pass, NotApplicable, Pending:
			continue
		case None:
			if s.latest[p] == nil {
				continue
			}
		}
		if st := s.pl.parts[p].step; len(steps) == 0 || steps[len(steps)-1] != st {
			steps = append(steps, st)
		}
	}
	return steps
}

// Reasoned reports whether the supervisor has given a reason for open doubts that does
// not count yet, since the gate is not passed.
func (s *State) Reasoned() bool { return s.doubtReason != "" }

// Correctable lists the ids of readings that a correction may name now, one for each
// group that is judged together, with the step each belongs to.
func (s *State) Correctable() (ids []string, steps []int) {
	for i, gs := range s.pl.groups {
		for _, g := range gs {
			if c := s.class[g[0]]; s.latest[g[0]] != nil && c != None && c != SetUp {
				ids, steps = append(ids, s.pl.parts[g[0]].id), append(steps, i)
			}
		}
	}
	return ids, steps
}

// PartOf is the index of the reading with that id.
func (s *State) PartOf(id string) (int, bool) { p, ok := s.pl.byID[id]; return p, ok }

// Lacks lists what a step lacks now by a table of rules.
func (s *State) Lacks(step int, rs safety.Rules) []safety.Fact {
	w := s.pl.p.Steps[step].Want
	return rs.AllMissing(w, s.facts, s.record(w))
}

// Together reports whether two readings are judged together.
func (s *State) Together(a, b int) bool {
	for _, p := range s.groupOf(a) {
		if p == b {
			return true
		}
	}
	return false
}

// Behind counts the steps that are to be done although a later one is done already:
// what a repeat, a repair or a reopened item has made due again.
func (s *State) Behind() int {
	n, waiting := 0, 0
	for i := range s.pl.p.Steps {
		if s.done.has(i) {
			n, waiting = n+waiting, 0
		} else {
			waiting++
		}
	}
	return n
}
