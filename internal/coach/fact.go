package coach

import (
	"strings"

	"wanderlead/safety"
)

// answerFact takes the answer to a safety question. Only the right content makes
// the fact true; everything else is refused with what would come of it.
func (s *State) answerFact(d due, raw string, fb *Feedback) {
	fb.Done = &Done{Fact: string(d.fact)}
	if d.want.Kind.IsGate() && s.facts.GateAt != d.want.Kind && isGateFact(d.fact) {
		s.facts = s.facts.BeginGate(d.want.Kind)
		s.doubtReason = ""
	}
	switch d.fact {
	case safety.FactLock:
		s.answerLock(raw, fb)
	case safety.FactMainLock:
		s.answerMainLock(raw, fb)
	case safety.FactDead:
		s.answerRound(d, raw, fb)
	case safety.FactPeople:
		if !isName(raw) {
			fb.Refused = "people"
			return
		}
		s.facts.People = true
	case safety.FactDoubts:
		s.answerDoubts(raw, fb)
	case safety.FactSupervisor:
		if raw != s.codeHash {
			fb.Refused = "code"
			return
		}
		s.facts.Supervisor = true
	default:
		s.answerFactChoice(d, raw, fb)
	}
}

// isGateFact reports whether the fact is one of those asked afresh at a gate.
func isGateFact(f safety.Fact) bool {
	switch f {
	case safety.FactCovers, safety.FactLoads, safety.FactEarth, safety.FactFaults, safety.FactPeople,
		safety.FactDoubts, safety.FactSupervisor, safety.FactMainLock:
		return true
	}
	return false
}

func (s *State) answerFactChoice(d due, raw string, fb *Feedback) {
	spec := s.choiceFor(d)
	if raw != spec.right {
		fb.Refused = "because." + spec.key + "." + raw
		if strings.HasPrefix(raw, "other-") {
			fb.Refused = "because.isolator.other"
		}
		s.takeAtWord(d.fact, raw, fb)
		return
	}
	switch d.fact {
	case safety.FactSeen:
		s.facts.Seen = true
	case safety.FactOff:
		s.facts = s.facts.SwitchedOff()
		s.on = newBits(len(s.pl.r.Circuits))
		s.padlock = ""
		if !s.facts.MainLocked {
			s.mainPadlock = ""
		}
	case safety.FactKey:
		s.facts.KeyHeld = true
	case safety.FactNotice:
		s.facts.Notice = true
	case safety.FactCovers:
		s.facts.Covers = true
	case safety.FactLoads:
		s.facts.Loads = true
	case safety.FactEarth:
		s.facts.EarthKnown = true
	case safety.FactFaults:
		s.facts.FaultsCleared = true
	}
}

// takeAtWord draws the consequence of a wrong answer that says more than "not done":
// hands were in the rig, or something live stands open.
func (s *State) takeAtWord(f safety.Fact, raw string, fb *Feedback) {
	live := s.facts.Supply == safety.Incoming || s.facts.Supply == safety.On
	switch {
	case f == safety.FactCovers && live && (raw == "board-off" || raw == "point-off"):
		// Nobody fits a cover over live parts: isolation first.
		fb.Refused = "cover-off-live"
		s.believeWrong(f, raw, fb)
		s.nothingKnown(fb)
	case f == safety.FactFaults && raw == "still-in":
		s.perish(safety.OtherHands, fb)
	case f == safety.FactEarth && raw == "in-terminal" && s.openClass(safety.EarthingConductor):
		s.perish(safety.OtherHands, fb)
		s.putBackByOthers(safety.EarthingConductor)
	default:
		s.believeWrong(f, raw, fb)
	}
}

// nothingKnown is the state after word that more is live than the record holds: every
// perishable fact falls, the supply is as found, and isolation comes next.
func (s *State) nothingKnown(fb *Feedback) {
	s.perish(safety.OtherHands, fb)
	s.facts = s.facts.LockGone()
	s.on = newBits(len(s.pl.r.Circuits))
	s.padlock, s.mainPadlock = "", ""
}

// putBackByOthers takes an open item of a class as closed by other hands: the act
// that opens it is due again where a step still relies on it.
func (s *State) putBackByOthers(class safety.Class) {
	for i, it := range s.pl.p.Items {
		if it.Class != class || !s.open.has(i) {
			continue
		}
		s.open = s.open.without(i)
		for j := max(s.next(), 0); j >= 0; j-- {
			if s.pl.p.Steps[j].Opens == i {
				s.done = s.done.without(j)
				s.replay(j)
				return
			}
		}
	}
}

// believeWrong takes a person at their word when what they say is worse than what
// the record holds: a cover they say is off, an earthing conductor they say is
// loose, is open again in the ledger until its closing is answered.
func (s *State) believeWrong(f safety.Fact, raw string, fb *Feedback) {
	reopen := func(class safety.Class, boardOnly, pointsOnly bool) {
		for i, it := range s.pl.p.Items {
			c := s.pl.closer(i, max(s.next(), 0))
			if it.Class != class || s.open.has(i) || c < 0 {
				continue
			}
			if boardOnly && it.Circuit >= 0 || pointsOnly && it.Circuit < 0 {
				continue
			}
			s.open = s.open.with(i)
			s.done = s.done.without(c)
			// Putting it back relies on what was open then, a cover above all. Hands are
			// in there again, so the gate's questions begin anew.
			s.replay(c)
			s.facts = s.facts.BeginGate(s.facts.GateAt)
			fb.Notes = append(fb.Notes, Note{"reopened", params("item", it.ID)})
			return
		}
	}
	switch {
	case f == safety.FactCovers && raw == "board-off":
		reopen(safety.Cover, true, false)
	case f == safety.FactCovers && raw == "point-off":
		reopen(safety.Cover, false, true)
	case f == safety.FactEarth && (raw == "loose" || raw == "lifted") && !s.openClass(safety.EarthingConductor):
		reopen(safety.EarthingConductor, false, false)
	}
}

func (s *State) answerLock(raw string, fb *Feedback) {
	if s.padlock != "" && strings.EqualFold(raw, "gone") {
		s.facts = s.facts.LockGone()
		s.padlock = ""
		fb.Refused = "lock-gone"
		return
	}
	if !isPadlock(raw) {
		fb.Refused = "lock-number"
		return
	}
	if s.padlock != "" && raw != s.padlock {
		fb.Refused = "lock-differs"
		return
	}
	if raw == s.mainPadlock { // it is on the main switch, or goes back there
		fb.Refused = "lock-same"
		return
	}
	s.padlock = raw
	s.facts.LockOn = true
}

func (s *State) answerMainLock(raw string, fb *Feedback) {
	if strings.EqualFold(raw, "on") {
		fb.Refused = "main-switch-on"
		if s.facts.Supply == safety.Incoming {
			// The installation is live, and its earthing conductor may be off.
			fb.Refused = "main-switch-on-live"
			fb.Notes = append(fb.Notes, Note{"stop.first", params("emergency", s.pl.r.Isolation.EmergencySwitch)})
			s.nothingKnown(fb)
		}
		return
	}
	if !isPadlock(raw) {
		fb.Refused = "lock-number"
		return
	}
	if raw == s.padlock {
		fb.Refused = "lock-same"
		return
	}
	if s.mainPadlock != "" && raw != s.mainPadlock {
		fb.Refused = "lock-differs"
		return
	}
	s.mainPadlock = raw
	s.facts.MainLocked = true
}

// isPadlock accepts what can be stamped on a padlock: at least two digits, letters
// and hyphens besides.
func isPadlock(raw string) bool {
	digits := 0
	if len(raw) > 16 {
		return false
	}
	for _, r := range raw {
		switch {
		case r >= '0' && r <= '9':
			digits++
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r == '-':
		default:
			return false
		}
	}
	return digits >= 2
}

func (s *State) answerDoubts(raw string, fb *Feedback) {
	if strings.EqualFold(raw, decideRepeat) {
		for p, c := range s.class {
			if c == Doubt {
				s.redo(p, None)
			}
		}
		return
	}
	if !isReason(raw) {
		fb.Refused = "reason"
		return
	}
	// The code that makes it count is given after the reason, not before.
	s.doubtReason, s.facts.Supervisor = raw, false
}

func (s *State) answerRound(d due, raw string, fb *Feedback) {
	p := s.roundPlace(d.want)
	name := s.placeName(p)
	stage := safety.NoRound
	if s.facts.RoundAt == p {
		stage = s.facts.Round
	}
	switch stage {
	case safety.NoRound:
		fb.Done.Fact = "indicator/" + name
		if raw != "two-pole" {
			fb.Refused = "because.indicator." + raw
			return
		}
		s.facts = s.facts.ProveIndicator(p)
	case safety.IndicatorProved:
		fb.Done.Fact = "pairs/" + name
		s.answerPairs(p, raw, fb)
	default:
		fb.Done.Fact = "dead/" + name
		switch raw {
		case "works":
			s.facts = s.facts.ProveAgain(true)
		case "failed":
			s.facts = s.facts.ProveAgain(false)
			fb.Refused = "because.prove-again.failed"
		default:
			fb.Refused = "because.prove-again." + raw
		}
	}
}

func (s *State) answerPairs(p safety.Place, raw string, fb *Feedback) {
	shown, err := safety.ParsePairs(raw, s.phasesAt(p), s.pointsAt(p))
	for _, x := range shown {
		if !x.Dead {
			fb.Refused = "voltage-found"
			fb.Notes = append(fb.Notes, Note{"stop.first", params("emergency", s.pl.r.Isolation.EmergencySwitch)})
			s.perish(safety.VoltageFound, fb)
			return
		}
	}
	if err != nil {
		fb.Refused = "pairs." + err.Reason
		fb.Notes = append(fb.Notes, Note{"pairs.detail", params("pairs", strings.Join(err.Pairs, ", "))})
		return
	}
	s.facts = s.facts.ShowPairs()
}
