package study

import (
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// isolateOptions are the moves of isolation, covers, proving and the two gates.
func (s *State) isolateOptions() []Option {
	iso := s.rig().Isolation
	o := []Option{opt("see-supply", "lamp", iso.SupplySeenBy)}
	if s.facts.Supply != safety.Off {
		o = append(o, opt("off", "isolator", iso.Device))
	}
	o = append(o, opt("lock", "isolator", iso.Device))
	if s.covers["board"] {
		o = append(o, opt("cover-on-board", "board", s.rig().Board.Name))
	} else {
		o = append(o, opt("cover-off-board", "board", s.rig().Board.Name))
	}
	if c := s.circuit(); s.hasCovers(c) {
		if s.covers[c.ID] {
			o = append(o, opt("cover-on-points", "circuit", c.ID))
		} else {
			o = append(o, opt("cover-off-points", "circuit", c.ID))
		}
	}
	o = append(o, opt("prove-board", "board", s.rig().Board.Name), opt("prove-points", "circuit", s.circuit().ID))
	if s.upstream() {
		o = append(o, opt("on-incoming", "isolator", iso.Device))
	}
	return append(o, opt("on-installation", "isolator", iso.Device))
}

func (s *State) hasCovers(c *rig.Circuit) bool {
	return slices.ContainsFunc(c.Points, func(p rig.Point) bool { return !p.PlugIn })
}

func (s *State) isolate(raw string, fb *Feedback) {
	switch raw {
	case "see-supply":
		if s.facts.Supply == safety.Off {
			fb.say("study.lamp-dark", "lamp", s.rig().Isolation.SupplySeenBy)
			return
		}
		s.facts.Seen = true
		fb.say("study.lamp-lit", "lamp", s.rig().Isolation.SupplySeenBy)
	case "off":
		if !s.facts.Seen {
			fb.refuse("fact.supply.seen", "isolator", s.rig().Isolation.Device)
			return
		}
		s.offAtIsolation()
		s.facts = s.facts.SwitchedOff()
		fb.say("study.done.off", "isolator", s.rig().Isolation.Device)
	case "lock":
		if s.ask = atLock; s.set.Exam {
			s.ask = atNumber
			if s.facts.Supply != safety.Off {
				fb.cannot("not-possible")
			}
		}
	case "cover-off-board":
		s.cover("board", safety.TakeOffCover, fb)
	case "cover-on-board":
		s.cover("board", safety.FitCover, fb)
	case "cover-off-points":
		s.cover(s.circuit().ID, safety.TakeOffCover, fb)
	case "cover-on-points":
		s.cover(s.circuit().ID, safety.FitCover, fb)
	case "prove-board", "prove-points":
		s.pick.place = strings.TrimPrefix(raw, "prove-")
		if s.ask = atProve; s.set.Exam {
			s.ask = atIndicator
			s.mayProve(fb)
		}
	case "on-incoming":
		s.energise(safety.EnergiseIncoming, fb)
	case "on-installation":
		s.energise(safety.EnergiseInstallation, fb)
	}
}

func (s *State) cover(id string, k safety.Kind, fb *Feedback) {
	w := safety.Want{Kind: k, Board: id == "board", Circuit: -1}
	if id != "board" {
		w.Points, w.Circuit = safety.CircuitPlace(s.focus), s.focus
	}
	if !s.may(w, fb) {
		return
	}
	s.worked(k)
	if k == safety.TakeOffCover {
		s.covers[id] = true
		fb.say("study.done.cover-off", "thing", id)
	} else {
		delete(s.covers, id)
		fb.say("study.done.cover-on", "thing", id)
	}
}

func (s *State) lock(raw string, fb *Feedback) {
	switch {
	case s.facts.Supply != safety.Off:
		fb.refuse("fact.isolator.off", "isolator", s.rig().Isolation.Device)
	case raw != "own-padlock":
		fb.refuse("lock."+raw, "isolator", s.rig().Isolation.Device)
	default:
		s.facts.LockOn, s.facts.KeyHeld, s.facts.Notice = true, true, true
		fb.say("study.done.lock", "isolator", s.rig().Isolation.Device)
	}
}

// prove goes round a place with the voltage indicator. What it shows is computed; a place is dead only when no pair of
// any of its points shows a voltage.
func (s *State) prove(raw string, fb *Feedback) {
	board, place, cover := s.pick.place == "board", s.proving(), s.provingPlace()
	if !s.mayProve(fb) {
		return
	}
	if raw != "before-and-after" {
		fb.refuse("prove."+raw, "source", s.rig().Isolation.ProvingSource)
		return
	}
	found, volt := "", ""
	count := 0
	for _, p := range s.provingPairs(board) {
		count++
		v, err := s.instrument().Volts(meter.Bench{Rig: s.built.Rig, Plan: s.built.Plan, Cond: s.cond}, p[0], p[1], meter.Where{Points: p[0] + p[1]})
		if err == nil && v.Value >= 10 {
			found, volt = p[0]+" – "+p[1], v.Text
		}
	}
	if found != "" {
		s.facts = s.facts.After(safety.VoltageFound)
		fb.say("study.voltage-found", "thing", found, "volt", volt)
		return
	}
	s.facts = s.facts.Leave(place).ProveIndicator(place).ShowPairs().ProveAgain(true)
	fb.say("study.done.proved", "thing", cover, "pairs", strconv.Itoa(count))
}

// mayProve holds a round at the place picked against the interlock and the covers.
func (s *State) mayProve(fb *Feedback) bool {
	board, cover := s.pick.place == "board", s.provingPlace()
	w := safety.Want{Kind: safety.TakeOffCover, Board: board, Circuit: -1}
	if !board {
		w.Points = s.proving()
	}
	if !s.may(w, fb) {
		return false
	}
	if !s.covers[cover] && (board || s.hasCovers(s.circuit())) {
		fb.refuse("covered", "thing", cover)
		return false
	}
	return true
}

// provingPairs are the pairs of terminals that are tried at a place.
func (s *State) provingPairs(board bool) [][2]string {
	var out [][2]string
	each := func(terminals []string) {
		for i, a := range terminals {
			for _, b := range terminals[i+1:] {
				out = append(out, [2]string{a, b})
			}
		}
	}
	if board {
		var ts []string
		lines := []string{"L"}
		if s.rig().Supply.Phases == 3 {
			lines = []string{"L1", "L2", "L3"}
		}
		for _, l := range append(lines, "N") {
			ts = append(ts, "board/main/"+l)
		}
		each(append(ts, "board/met"))
		return out
	}
	c := s.circuit()
	for _, p := range c.Points {
		if p.Kind == rig.Switchbox && c.Shape == rig.Lighting {
			continue
		}
		var ts []string
		for _, k := range wiring.Cores(c) {
			ts = append(ts, c.ID+"/"+p.ID+"/"+k)
		}
		each(ts)
	}
	return out
}

// energise passes a gate, if it opens.
func (s *State) energise(gate safety.Kind, fb *Feedback) {
	if !s.may(safety.Want{Kind: gate, Circuit: -1}, fb) {
		return
	}
	delete(s.cond.Open, wiring.Isolator)
	if gate == safety.EnergiseInstallation {
		delete(s.cond.Open, wiring.MainSwitch)
	}
	s.facts = s.facts.Energised(gate)
	s.paper.cleared = true
	fb.say("study.done." + gate.String())
	for _, d := range s.settle() {
		fb.say("study.opened", "thing", d)
	}
}

// switchable lists main switch, breakers, RCDs and the circuit's own switches with what operating them does.
func (s *State) switchable() []Option {
	word := func(say, what string, open bool, params ...string) Option {
		if open {
			return as(say, what+"-on", params...)
		}
		return as(say, what+"-off", params...)
	}
	var o []Option
	if s.facts.Supply == safety.Off && s.upstream() { // else it is what the rig is isolated by
		o = append(o, word("main-switch", "main-switch", s.cond.Open[wiring.MainSwitch]))
	}
	for _, c := range s.rig().Circuits {
		o = append(o, word(c.ID, "breaker", s.cond.Open[c.ID], "number", c.Number, "description", c.Description))
	}
	for _, d := range s.program().RCDs {
		o = append(o, word(d.ID, "rcd", s.cond.Open[d.ID], "rcd", d.ID))
	}
	c := s.circuit()
	for _, sw := range c.Switches {
		name := c.ID + "/" + sw.ID
		o = append(o, as(name, "local-switch", "label", sw.Label, "position", positionName(len(c.Switches), s.cond.Position[name])))
	}
	return o
}

func (s *State) operate(raw string, fb *Feedback) {
	if strings.Contains(raw, "/") {
		if s.facts.Supply != safety.Off && !s.may(safety.Want{Kind: safety.OperateLive, Circuit: s.focus}, fb) {
			return
		}
		s.cond.Position[raw] = 1 - s.cond.Position[raw]
		fb.say("study.done.switch", "thing", raw)
		return
	}
	if !s.cond.Open[raw] {
		s.cond.Open[raw] = true
		fb.say("study.done.opened", "thing", raw)
		return
	}
	if s.facts.Supply != safety.Off {
		w := safety.Want{Kind: safety.OperateLive, Circuit: -1}
		if i := slices.IndexFunc(s.rig().Circuits, func(c rig.Circuit) bool { return c.ID == raw }); i >= 0 {
			w = safety.Want{Kind: safety.CircuitOn, Circuit: i}
		}
		if !s.may(w, fb) {
			return
		}
	}
	delete(s.cond.Open, raw)
	fb.say("study.done.closed", "thing", raw)
	for _, d := range s.settle() {
		fb.say("study.opened", "thing", d)
	}
}
