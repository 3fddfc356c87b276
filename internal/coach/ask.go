package coach

import (
	"fmt"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// choiceSpec is a safety question answered by choosing: one answer is right, the
// others are what goes wrong in practice. Texts are in the catalogue under
// ask.<key>, option.<key>.<value> and because.<key>.<value>.
type choiceSpec struct {
	key   string
	right string
	wrong []string
}

// placeName is the part of a question's id that names a place.
func (s *State) placeName(p safety.Place) string {
	if c, ok := p.Circuit(); ok {
		return s.pl.r.Circuits[c].ID
	}
	return "board"
}

// roundPlace is the place a proving round is needed at for the wanted act.
func (s *State) roundPlace(w safety.Want) safety.Place {
	if w.Board && !s.facts.BoardDead {
		return safety.BoardPlace
	}
	return w.Points
}

// pointsAt counts the points of a place that the indicator has to be tried at.
func (s *State) pointsAt(p safety.Place) int {
	if c, ok := p.Circuit(); ok {
		return len(s.pl.r.Circuits[c].Points)
	}
	return 1
}

// phasesAt is how many line conductors there are to prove dead at a place.
func (s *State) phasesAt(p safety.Place) int {
	if c, ok := p.Circuit(); ok {
		return len(s.pl.r.Circuits[c].Lines)
	}
	return s.pl.r.Supply.Phases
}

// factQuestion asks for one missing fact.
func (s *State) factQuestion(d due) Question {
	q := Question{Kind: Line, Gate: true, Fact: d.fact, Params: map[string]string{}}
	switch d.fact {
	case safety.FactLock:
		q.ID, q.TextID = "safety/lock/number", "ask.lock.number"
		if s.padlock != "" {
			q.TextID = "ask.lock.again"
		}
	case safety.FactMainLock:
		q.ID, q.TextID = "safety/main-switch/lock", "ask.main-switch.lock"
		if s.mainPadlock != "" {
			q.TextID = "ask.main-switch.again"
		}
	case safety.FactDead:
		return s.roundQuestion(d)
	case safety.FactPeople:
		q.ID, q.TextID = s.atGate(d, "people"), "ask.people"
	case safety.FactDoubts:
		q.ID, q.TextID = s.atGate(d, "doubts"), "ask.doubts"
		q.Params["list"] = strings.Join(s.doubtIDs(), ", ")
	case safety.FactSupervisor:
		q.ID, q.TextID, q.Kind = s.atGate(d, "code"), "ask.supervisor", Secret
		q.Params["name"] = s.supervisor
	default:
		return s.choiceQuestion(d)
	}
	return q
}

// atGate names a question after the gate it belongs to, or "live" when a fact
// perished while live tests were going on.
func (s *State) atGate(d due, part string) string {
	if d.want.Kind.IsGate() {
		return "safety/" + gateName(d.want.Kind) + "/" + part
	}
	return "safety/live/" + part
}

func (s *State) choiceQuestion(d due) Question {
	spec := s.choiceFor(d)
	q := Question{ID: s.choiceID(d), Kind: Choice, Gate: true, Fact: d.fact, TextID: "ask." + spec.key, Params: map[string]string{}}
	q.Options = append(q.Options, notYet())
	rest := []Option{{Value: spec.right, TextID: "option." + spec.key + "." + spec.right}}
	for _, w := range spec.wrong {
		o := Option{Value: w, TextID: "option." + spec.key + "." + w}
		if n, ok := strings.CutPrefix(w, "other-"); ok {
			var i int
			_, _ = fmt.Sscan(n, &i)
			o.TextID, o.Params = "option.isolator.other", params("value", s.pl.r.Isolation.OthersThatLookAlike[i-1])
		}
		rest = append(rest, o)
	}
	q.Options = append(q.Options, shuffled(q.ID, rest)...)
	return q
}

func (s *State) choiceID(d due) string {
	switch d.fact {
	case safety.FactSeen, safety.FactOff, safety.FactKey, safety.FactNotice:
		return "safety/" + string(d.fact)
	}
	return s.atGate(d, string(d.fact))
}

// choiceFor gives the answers of a safety question on this rig now.
func (s *State) choiceFor(d due) choiceSpec {
	r := s.pl.r
	switch d.fact {
	case safety.FactSeen:
		return choiceSpec{"supply", "lit", []string{"dark", "not-looked"}}
	case safety.FactOff:
		wrong := make([]string, 0, 4)
		for i := range r.Isolation.OthersThatLookAlike {
			wrong = append(wrong, fmt.Sprintf("other-%d", i+1))
		}
		if r.Isolation.At == rig.Upstream {
			wrong = append(wrong, "main-switch")
		}
		return choiceSpec{"isolator", "isolator", append(wrong, "breaker")}
	case safety.FactKey:
		return choiceSpec{"key", "on-me", []string{"in-lock", "on-hook", "with-mate"}}
	case safety.FactNotice:
		return choiceSpec{"notice", "at-isolator", []string{"on-board", "none"}}
	case safety.FactCovers:
		if s.openClass(safety.IncomingAccess) {
			return choiceSpec{"covers-access", "all-but-access", []string{"board-off", "point-off"}}
		}
		return choiceSpec{"covers", "all-on", []string{"board-off", "point-off"}}
	case safety.FactLoads:
		return choiceSpec{"loads", "all-off", []string{"breaker-on", "load-in"}}
	case safety.FactEarth:
		if s.openClass(safety.EarthingConductor) {
			return choiceSpec{"earthing-off", "lifted", []string{"in-terminal", "unknown"}}
		}
		return choiceSpec{"earthing", "in-terminal", []string{"lifted", "loose"}}
	case safety.FactFaults:
		return choiceSpec{"faults", "cleared", []string{"still-in", "not-asked"}}
	}
	return choiceSpec{key: string(d.fact), right: NotYet}
}

func (s *State) openClass(c safety.Class) bool {
	for i := range s.pl.p.Items {
		if s.open.has(i) && s.pl.p.Items[i].Class == c {
			return true
		}
	}
	return false
}

// roundQuestion is the next question of a proving round.
func (s *State) roundQuestion(d due) Question {
	p := s.roundPlace(d.want)
	name := s.placeName(p)
	q := Question{Kind: Choice, Gate: true, Fact: d.fact, Params: params("place", name)}
	stage := safety.NoRound
	if s.facts.RoundAt == p {
		stage = s.facts.Round
	}
	key, right, wrong := "", "", []string(nil)
	switch stage {
	case safety.NoRound:
		q.ID, key, right, wrong = "safety/"+name+"/indicator", "indicator", "two-pole", []string{"pen", "multimeter", "plug-in-tester", "unproved"}
	case safety.IndicatorProved:
		q.ID, q.Kind, q.TextID = "safety/"+name+"/pairs", Line, "ask.pairs"
		q.Params["pairs"] = strings.Join(safety.DeadPairs(s.phasesAt(p)), " ")
		if p == safety.BoardPlace && s.pl.r.Isolation.At == rig.Upstream {
			// With the main switch off, only its incoming side shows that the isolator did it.
			q.TextID = "ask.pairs.board"
			if s.openClass(safety.EarthingConductor) {
				q.TextID = "ask.pairs.board-lifted"
			}
		}
		if n := s.pointsAt(p); n > 1 {
			q.TextID = "ask.pairs.points"
			if s.partsOut(p) {
				q.TextID = "ask.pairs.points-again"
			}
			q.Params["count"] = fmt.Sprint(n)
		}
		return q
	default:
		q.ID, key, right, wrong = "safety/"+name+"/prove-again", "prove-again", "works", []string{"skipped", "failed"}
	}
	q.TextID = "ask." + key
	q.Options = []Option{notYet()}
	rest := []Option{{Value: right, TextID: "option." + key + "." + right}}
	for _, w := range wrong {
		rest = append(rest, Option{Value: w, TextID: "option." + key + "." + w})
	}
	q.Options = append(q.Options, shuffled(q.ID, rest)...)
	return q
}

// partsOut reports whether conductors of the circuit whose points are to be proved dead
// are lifted or linked: it was proved before, and the proof has lapsed.
func (s *State) partsOut(p safety.Place) bool {
	c, ok := p.Circuit()
	if !ok {
		return false
	}
	for i, it := range s.pl.p.Items {
		if it.Circuit == c && s.open.has(i) && (it.Class.CircuitEnds() || it.Class == safety.TestLink || it.Class == safety.Removed) {
			return true
		}
	}
	return false
}

func (s *State) switchOnOptions(gate safety.Kind) []Option {
	key := "switch-on." + gateName(gate)
	opts := []Option{notYet()}
	rest := []Option{{Value: "on", TextID: "option." + key + ".on"}, {Value: "wrong-switch", TextID: "option." + key + ".wrong-switch"}}
	return append(opts, shuffled(key, rest)...)
}

// doubtIDs lists the readings with an open doubt.
func (s *State) doubtIDs() []string {
	var ids []string
	for i, c := range s.class {
		if c == Doubt {
			ids = append(ids, s.pl.parts[i].id)
		}
	}
	return ids
}

// testsQuestion is put where a gate is shut because a reading is missing or open.
func (s *State) testsQuestion(d due) Question {
	q := Question{ID: "gate/tests", Kind: Choice, Gate: true, TextID: "ask.tests", Step: d.step, Fact: d.fact,
		Options: []Option{notYet()}}
	what, step := s.firstMissing(d.want)
	q.Params = params("what", what)
	if step >= 0 {
		q.Options = append(q.Options, Option{Value: "do-now", TextID: "option.tests.do-now"})
	} else {
		q.Barred = true
		q.TextID = "ask.tests.barred"
	}
	q.Options = append(q.Options, leaveOption())
	return q
}

// firstMissing names the first required test that does not open the gate, and a
// step that can still take it (-1: the sequence has none).
func (s *State) firstMissing(w safety.Want) (string, int) {
	if s.recordMissing() {
		return "record", -1
	}
	for i := range s.pl.needs {
		n := &s.pl.needs[i]
		if c := s.needClass(n); c.opens() || c == Doubt {
			continue
		}
		if w.Kind == safety.CircuitOn && n.circuit != w.Circuit {
			continue
		}
		for _, slot := range n.slots {
			if len(slot) == 0 {
				return s.needName(n), -1
			}
			for _, p := range slot {
				if !s.class[p].opens() {
					return s.pl.parts[p].id, s.pl.parts[p].step
				}
			}
		}
	}
	for _, list := range [][]int{s.pl.deadParts, s.pl.origin} {
		for _, p := range list {
			if c := s.class[p]; !c.opens() && c != Doubt {
				return s.pl.parts[p].id, s.pl.parts[p].step
			}
		}
	}
	if w.Kind == safety.EnergiseInstallation && len(s.pl.origin) == 0 && s.pl.declare < 0 {
		return "ze", -1
	}
	return "", -1
}

func (s *State) needName(n *need) string {
	if n.circuit >= 0 {
		return s.pl.r.Circuits[n.circuit].ID + "/" + n.test
	}
	if n.test == "" {
		return "board"
	}
	return n.test
}
