package study

import (
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// seeable are the things that are seen or tried rather than measured.
func (s *State) seeable() []Option {
	var o []Option
	for _, st := range s.program().Steps {
		if s.set.Exam && s.paper.entered[st.ID] != "" {
			continue
		}
		if st.Form == sequence.Observe && (st.Circuit < 0 || st.Circuit == s.focus) {
			o = append(o, as(st.ID, "see-at", "at", st.ID))
		}
	}
	return o
}

func (s *State) seenStep() (*sequence.Step, bool) {
	if s.step < 0 || s.step >= len(s.program().Steps) {
		return nil, false
	}
	return &s.program().Steps[s.step], true
}

// see looks, or tries, and shows what there is to be seen. What it means is for the learner to say.
func (s *State) see(id string, fb *Feedback) {
	i, ok := s.program().Step(id)
	if !ok {
		return
	}
	st := &s.program().Steps[i]
	w := st.Want
	if !s.may(w, fb) {
		return
	}
	if w.Kind == safety.DeadTest && !s.covers["board"] {
		fb.refuse("covered", "thing", "board")
		return
	}
	s.step, s.ask = i, atSeen
	if s.set.Exam {
		s.paper.at, s.paper.ids = st.ID, s.idsOf(i)[:1]
		return
	}
	s.seen(i, fb)
}

// seen says what is seen at a step, and returns the word of the answer that fits it, as far as the network tells.
func (s *State) seen(step int, fb *Feedback) string {
	st := &s.program().Steps[step]
	switch s.testName(step) {
	case safety.TestPolarity:
		return s.polarity(st, fb)
	case safety.TestRCDButton:
		d := s.built.Rig.RCDOf(&s.built.Rig.Circuits[max(st.Circuit, 0)])
		if d == nil || d.TripMA > 1e6 {
			fb.say("study.seen.button-nothing")
			return wrongWord(st, "stays")
		}
		fb.say("study.seen.button-trips", "device", d.ID)
		return st.Right.Say
	case safety.TestPhases:
		return s.rotation(st, fb)
	case safety.TestFunctional:
		return s.functional(st, fb)
	}
	return st.Right.Say
}

// wrongWord is the answer of that word if the step has it, else its first wrong one.
func wrongWord(st *sequence.Step, say string) string {
	for _, w := range st.Wrong {
		if w.Say == say {
			return say
		}
	}
	if len(st.Wrong) > 0 {
		return st.Wrong[0].Say
	}
	return ""
}

// polarity says to which conductor of the circuit's cable each line contact leads, with the cable's ends apart.
func (s *State) polarity(st *sequence.Step, fb *Feedback) string {
	c := &s.built.Rig.Circuits[st.Circuit]
	cond := wiring.Condition{Open: wiring.Set(wiring.Isolator, wiring.MainSwitch)}.Clone()
	cores := wiring.Cores(c)
	for leg := 1; leg <= 2; leg++ {
		for _, k := range cores {
			cond.Lifted[wiring.BoardEnd(c, leg, k)] = true
		}
	}
	leadsTo := func(cond wiring.Condition, terminal string) string {
		n, err := s.built.Plan.Net(cond)
		if err != nil {
			return ""
		}
		best, at := 1e3, ""
		for _, k := range cores {
			for leg := 1; leg <= 2; leg++ {
				if ohm, err := n.Ohm(terminal, wiring.BoardEnd(c, leg, k)); err == nil && ohm < best {
					best, at = ohm, k
				}
				if c.Shape != rig.Ring {
					break
				}
			}
		}
		return at
	}
	answer := st.Right.Say
	for _, p := range c.Points {
		if p.Kind == rig.Switchbox && c.Shape == rig.Lighting {
			continue
		}
		for _, k := range cores[:len(cores)-2] {
			at := leadsTo(cond, c.ID+"/"+p.ID+"/"+k)
			if at == k {
				continue
			}
			fb.say("study.seen.contact", "point", p.ID, "core", k, "found", or(at, "?"))
			if at == "N" {
				answer = wrongWord(st, "reversed")
				if c.Shape == rig.Lighting {
					answer = wrongWord(st, "centre-neutral")
				}
			} else {
				answer = wrongWord(st, "line-earth")
			}
		}
	}
	if c.Shape == rig.Lighting {
		if off := s.switchOff(c, cond); leadsTo(off, lastFitting(c)+"/SL") == cores[0] {
			fb.say("study.seen.switch-stays", "point", lastFitting(c))
			answer = wrongWord(st, "neutral-switched")
		}
	}
	if answer == st.Right.Say {
		fb.say("study.seen.polarity", "circuit", c.ID)
	}
	return answer
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func lastFitting(c *rig.Circuit) string {
	last := ""
	for _, p := range c.Points {
		if p.Kind == rig.Fitting {
			last = c.ID + "/" + p.ID
		}
	}
	return last
}

// switchOff has the circuit's switches off: a single one open, a pair in opposite positions.
func (s *State) switchOff(c *rig.Circuit, cond wiring.Condition) wiring.Condition {
	off := cond.Clone()
	for i, sw := range c.Switches {
		off.Position[c.ID+"/"+sw.ID] = 0
		if sw.TwoWay && i == 0 {
			off.Position[c.ID+"/"+sw.ID] = 1
		}
	}
	return off
}

func (s *State) rotation(st *sequence.Step, fb *Feedback) string {
	b := meter.Bench{Rig: s.built.Rig, Plan: s.built.Plan, Cond: s.cond}
	turns, err := s.instrument().Rotation(b, "board/incoming/L1", "board/incoming/L2", "board/incoming/L3")
	if err != nil || turns == "" {
		fb.say("study.seen.rotation-none")
		return wrongWord(st, "")
	}
	fb.say("study.seen.rotation", "turns", turns)
	if turns == "1-2-3" {
		return st.Right.Say
	}
	return wrongWord(st, "anticlockwise")
}

// functional works every lighting switch and looks at the lamps.
func (s *State) functional(st *sequence.Step, fb *Feedback) string {
	answer := st.Right.Say
	for i := range s.built.Rig.Circuits {
		c := &s.built.Rig.Circuits[i]
		last := lastFitting(c)
		if c.Shape != rig.Lighting || last == "" || len(c.Switches) == 0 {
			continue
		}
		var row []string
		lit := func(positions []int) bool {
			cond := wiring.Condition{}.Clone()
			for k, sw := range c.Switches {
				cond.Position[c.ID+"/"+sw.ID] = positions[k]
			}
			v, err := s.instrument().Volts(meter.Bench{Rig: s.built.Rig, Plan: s.built.Plan, Cond: cond}, last+"/SL", last+"/SN", meter.Where{Points: last})
			return err == nil && v.Value > 100
		}
		n := min(len(c.Switches), 2)
		pattern := make([]bool, 0, 4)
		for k := range 1 << n {
			positions := make([]int, len(c.Switches))
			for j := range n {
				positions[j] = k >> (n - 1 - j) & 1
			}
			on := lit(positions)
			pattern = append(pattern, on)
			row = append(row, map[bool]string{true: "lit", false: "dark"}[on])
		}
		ok := n == 1 && pattern[0] != pattern[1] || n == 2 && pattern[0] == pattern[3] && pattern[1] == pattern[2] && pattern[0] != pattern[1]
		fb.say("study.seen.lamps", "circuit", c.ID, "row", strings.Join(row, ", "))
		if !ok {
			answer = wrongWord(st, "wrong-switch")
		}
	}
	if len(fb.Notes) == 0 {
		fb.say("study.seen.works")
	}
	return answer
}

// answerSeen takes what the learner makes of what was seen. An answer that what was seen does not bear out is not taken.
func (s *State) answerSeen(raw string, fb *Feedback) {
	st, ok := s.seenStep()
	if !ok {
		return
	}
	var looked Feedback
	if want := s.seen(s.step, &looked); raw != want {
		fb.refuse("not-seen")
		fb.Notes = append(fb.Notes, looked.Notes...)
		return
	}
	sheet, w, err := s.sheet.Write([]string{s.idsOf(s.step)[0]}, []string{raw})
	if err != nil || w.Refused != "" {
		fb.refuse("not-written", "at", st.ID)
		return
	}
	s.sheet, fb.Written = sheet, &w
}

// look tells how the rig stands.
func (s *State) look(fb *Feedback) { fb.Notes = append(fb.Notes, s.Standing()...) }

// Standing says how the rig stands: supply, covers, what is open, what is in, how the leads are.
func (s *State) Standing() []coach.Note {
	out := []coach.Note{note("study.standing.supply." + strings.ReplaceAll(s.facts.Supply.String(), " ", "-"))}
	switch {
	case s.facts.Supply == safety.Off && !s.facts.LockOn:
		out = append(out, note("study.standing.unlocked"))
	case s.facts.Supply == safety.Off && s.facts.BoardDead:
		out = append(out, note("study.standing.board-dead"))
	}
	if c, ok := s.facts.CircuitDead.Circuit(); ok && s.facts.CircuitDead != safety.NoPlace {
		out = append(out, note("study.standing.points-dead", "circuit", s.rig().Circuits[c].ID))
	}
	out = append(out, s.openNotes("study.standing.item.", func(OpenItem) bool { return true })...)
	list := func(id string, m map[string]bool) {
		if names := sorted(m); len(names) > 0 {
			out = append(out, note(id, "things", strings.Join(names, ", ")))
		}
	}
	switch off := sorted(s.cond.Open); {
	case s.facts.Supply == safety.Off && s.allOff():
		out = append(out, note("study.standing.all-off"))
	case len(off) > 0:
		list("study.standing.off", s.cond.Open)
	}
	here, elsewhere := map[string]bool{}, 0
	for name, in := range s.cond.In {
		if owner, _, _ := strings.Cut(name, "/"); in && owner != s.circuit().ID {
			elsewhere++ // as found there may be dozens, and each would be named at every question
		} else if in {
			here[name] = true
		}
	}
	list("study.standing.in", here)
	if elsewhere > 0 {
		out = append(out, note("study.standing.in-elsewhere", "count", strconv.Itoa(elsewhere)))
	}
	if s.leads.Null == 0 {
		out = append(out, note("study.standing.not-nulled"))
	}
	if s.set.Exam {
		return visible(out)
	}
	return out
}

// allOff reports whether main switch and every breaker are off, and no RCD is.
func (s *State) allOff() bool {
	want := len(s.rig().Circuits) + 1
	if s.upstream() {
		want++
	}
	return len(sorted(s.cond.Open)) == want && s.cond.Open[wiring.MainSwitch]
}

// openNotes lists what is open, everything of one class in one note.
func (s *State) openNotes(id string, which func(OpenItem) bool) []coach.Note {
	var classes []safety.Class
	ids := map[safety.Class][]string{}
	for _, o := range s.Ledger() {
		if !which(o) {
			continue
		}
		if ids[o.Class] == nil {
			classes = append(classes, o.Class)
		}
		ids[o.Class] = append(ids[o.Class], o.ID)
	}
	var out []coach.Note
	for _, c := range classes {
		out = append(out, note(id+c.String(), "things", strings.Join(ids[c], ", ")))
	}
	return out
}
