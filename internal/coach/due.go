package coach

import (
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// dueKind is what is asked now.
type dueKind uint8

const (
	dueNothing dueKind = iota
	dueStep
	dueFact
	dueDialog
	dueSupervisorName
	dueSupervisorCode
	dueTests  // a gate is shut because a test is missing or open
	dueBarred // a gate is shut for good on this rig or sequence
)

// due is what the session needs next. It is derived from the state alone.
type due struct {
	kind dueKind
	step int
	fact safety.Fact
	want safety.Want
}

// maxResolve bounds the way from a step back to what it needs first.
const maxResolve = 12

func (s *State) due() due {
	switch {
	case s.ended != "":
		return due{kind: dueNothing, step: -1}
	case s.dialog == askStop:
		return due{kind: dueDialog, step: -1}
	case s.harmed:
		return due{kind: dueDialog, step: -1}
	case s.pl.gated && s.supervisor == "":
		return due{kind: dueSupervisorName, step: -1}
	case s.pl.gated && s.codeHash == "":
		return due{kind: dueSupervisorCode, step: -1}
	}
	if s.mustIsolate() {
		w := safety.Want{Kind: safety.OperateDead, Circuit: -1}
		if f, missing := s.rules.Missing(w, s.facts, s.record(w)); missing {
			return due{kind: dueFact, step: -1, fact: f, want: w}
		}
	}
	if s.dialog != noDialog {
		if s.facts.Supply == safety.Off {
			// Switched off because of what is to be decided: the lock comes before talk.
			w := safety.Want{Kind: safety.OperateDead, Circuit: -1}
			if f, missing := s.rules.Missing(w, s.facts, s.record(w)); missing {
				return due{kind: dueFact, step: -1, fact: f, want: w}
			}
		}
		return due{kind: dueDialog, step: -1}
	}
	step := s.next()
	if step < 0 {
		for i := range s.pl.p.Items {
			if s.open.has(i) {
				c := s.pl.closer(i, len(s.pl.p.Steps))
				if c < 0 {
					return due{kind: dueBarred, step: -1, fact: safety.FactLedger}
				}
				return s.resolve(c)
			}
		}
		return due{kind: dueNothing, step: -1}
	}
	return s.resolve(step)
}

// mustIsolate reports whether something is energised that the readings no longer
// allow: a correction or a repair can take away what a passed gate relied on.
func (s *State) mustIsolate() bool {
	if s.facts.Supply != safety.Incoming && s.facts.Supply != safety.On {
		return false
	}
	if s.shaken || !s.worstDead().opens() {
		return true
	}
	if s.facts.Supply != safety.On {
		return false
	}
	return s.faultDoubted() || !s.facts.OriginGiven && !s.worstOrigin().opens()
}

// faultDoubted reports whether prospective fault current that was read before the
// installation went on is above what the devices can break, and nobody has accepted
// that. Read at shrouded test points with the installation on, it bars the next gate
// only: the one that was passed did not rely on it.
func (s *State) faultDoubted() bool {
	for _, p := range s.pl.fault {
		if s.class[p] == Doubt && s.pl.p.Steps[s.pl.parts[p].step].Want.Kind == safety.LiveIncoming {
			return true
		}
	}
	return false
}

// next is the first step that is not done, -1 when all are.
func (s *State) next() int {
	for i := range s.pl.p.Steps {
		if !s.done.has(i) {
			return i
		}
	}
	return -1
}

// resolve walks back from a step to what has to be asked first.
func (s *State) resolve(step int) due {
	for range maxResolve {
		w := s.pl.p.Steps[step].Want
		f, missing := s.rules.Missing(w, s.facts, s.record(w))
		if !missing || f == safety.FactDead {
			// Before the points of this step are proved: proving those where the link is would undo it.
			if c := s.linkAway(step); c >= 0 {
				step = c
				continue
			}
		}
		if !missing {
			return due{kind: dueStep, step: step, want: w}
		}
		to := -1
		switch f {
		case safety.FactIsolate:
			iw := safety.Want{Kind: safety.OperateDead, Circuit: -1}
			if fact, still := s.rules.Missing(iw, s.facts, s.record(iw)); still {
				return due{kind: dueFact, step: step, fact: fact, want: iw}
			}
			return due{kind: dueTests, step: step, fact: safety.FactTests, want: w}
		case safety.FactIncoming:
			to = s.gateBefore(step)
		case safety.FactInstallation:
			to = s.pl.gateOf[1]
		case safety.FactCircuitOn:
			to = s.pl.switchOf[max(w.Circuit, 0)]
		case safety.FactEarthWhole:
			to = s.earthingBack(step)
		case safety.FactLedger:
			to = s.closingOf(w.Kind, step)
		case safety.FactOrigin:
			to = s.pl.declare
			if to < 0 {
				return due{kind: dueTests, step: step, fact: f, want: w}
			}
			if s.done.has(to) {
				return due{kind: dueStep, step: to, want: s.pl.p.Steps[to].Want}
			}
		case safety.FactTests, safety.FactCircuitTests:
			if s.recordMissing() && s.pl.accept >= 0 {
				return due{kind: dueStep, step: s.pl.accept, want: s.pl.p.Steps[s.pl.accept].Want}
			}
			return due{kind: dueTests, step: step, fact: f, want: w}
		case safety.FactUpstream, safety.FactNoFault:
			return due{kind: dueBarred, step: step, fact: f, want: w}
		default:
			return due{kind: dueFact, step: step, fact: f, want: w}
		}
		if to < 0 || to == step {
			return due{kind: dueBarred, step: step, fact: f, want: w}
		}
		step = to
	}
	return due{kind: dueBarred, step: step}
}

// gateBefore is the incoming gate that leads to a step: the last one before it.
func (s *State) gateBefore(step int) int {
	for i := step; i >= 0; i-- {
		if s.pl.p.Steps[i].Want.Kind == safety.EnergiseIncoming {
			return i
		}
	}
	return s.pl.gateOf[0]
}

// earthingBack is the step that puts the earthing conductor, or the cpc, of a step's
// circuit back.
func (s *State) earthingBack(step int) int {
	for i, it := range s.pl.p.Items {
		if s.open.has(i) && unearths(it, s.pl.p.Steps[step].Circuit) {
			return s.pl.closer(i, step)
		}
	}
	return -1
}

// closingOf is the step that closes the first open item the gate does not tolerate.
func (s *State) closingOf(gate safety.Kind, step int) int {
	for i, it := range s.pl.p.Items {
		if s.open.has(i) && !safety.Tolerated(gate, it.Class) {
			return s.pl.closer(i, step)
		}
	}
	return -1
}

// settle marks what needs no question: an opening that is open, a closing that is
// closed, isolation that holds, a gate already passed. It ends the session when
// nothing is left.
func (s *State) settle() {
	s.askAboutFails()
	for s.ended == "" && s.dialog == noDialog {
		i := s.next()
		if i < 0 {
			if s.open.empty() {
				s.ended = "complete"
			}
			return
		}
		if s.prepare(i) {
			continue
		}
		if !s.settled(i) {
			return
		}
		s.done = s.done.with(i)
	}
}

// askAboutFails puts the question what a failing reading was, one at a time, until
// none is left: a fail is never passed over.
func (s *State) askAboutFails() {
	if s.ended != "" || s.dialog == askStop {
		return
	}
	for p, c := range s.class {
		if c == Fail {
			s.dialog, s.dialogPart = askFailed, p
			return
		}
	}
	if s.dialog == askFailed {
		s.dialog, s.dialogPart = noDialog, -1
	}
}

func (s *State) settled(i int) bool {
	st := &s.pl.p.Steps[i]
	switch {
	case st.Opens >= 0:
		return s.open.has(st.Opens)
	case st.Closes >= 0:
		return !s.open.has(st.Closes)
	case st.Form == sequence.Isolate:
		_, missing := s.rules.Missing(st.Want, s.facts, s.record(st.Want))
		return !missing
	case st.Form == sequence.Switch:
		return st.Circuit >= 0 && s.on.has(st.Circuit)
	case st.Want.Kind == safety.EnergiseIncoming:
		return s.facts.Supply == safety.Incoming
	case st.Want.Kind == safety.EnergiseInstallation:
		return s.facts.Supply == safety.On
	case len(st.Parts) > 0:
		return len(s.remaining(i)) == 0
	}
	return false
}

// remaining lists the parts of a step that are still to be read.
func (s *State) remaining(step int) []int {
	var out []int
	off := s.pl.partOff[step]
	for n := range s.pl.p.Steps[step].Parts {
		if c := s.class[off+n]; c == None || c == SetUp {
			out = append(out, off+n)
		}
	}
	return out
}
