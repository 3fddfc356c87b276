package study

import (
	"regexp"
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// In an exam the bench is the same, and it says nothing: no hint, no verdict, no reason
// for a refusal. Readings are typed, not copied off the display. Isolation is asked for
// in its parts, each with its content. Nothing that a session knows or refuses depends
// on the faults: they are not in its setup, and what the display shows on the rig that
// has them is computed beside it, see [State.On].

// Menus that only an exam has. The questions bear the ids of a led session, so that one
// rule reads the records of both.
const (
	atNumber    menu = "lock-number"
	atKey       menu = "lock-key"
	atNotice    menu = "notice"
	atIndicator menu = "indicator"
	atPairs     menu = "pairs"
	atAgain     menu = "prove-again"
	atValue     menu = "value"
	atSure      menu = "sure"
)

// paper is what an exam holds besides.
type paper struct {
	entered map[string]string // readings and observations as typed, by their ids
	ids     []string          // of what is being entered
	at      string            // where it is entered: a step or one reading of it
	cleared bool              // a gate was passed: the supervisor has cleared the faults and read again
}

// words in place of a reading. They are kept, and open nothing.
var inPlace = regexp.MustCompile(`(?i)^(n/a|not applicable|limitation|not tested)\b`)

// cannot refuses what is not possible as the rig stands: a matter of form, nobody is in danger.
func (fb *Feedback) cannot(rule string) { fb.Refused, fb.Form = true, rule }

// lack refuses an act that somebody could come to harm by, and says to the record what was missing.
func (fb *Feedback) lack(wanted string, facts ...safety.Fact) {
	fb.Refused, fb.Wanted = true, wanted
	for _, f := range facts {
		fb.Lacked = append(fb.Lacked, string(f))
	}
}

// examQuestion is a question that only an exam has; ok is false for the others.
func (s *State) examQuestion() (q Question, ok bool) {
	place := s.provingPlace()
	ask := func(id string, opts ...string) {
		q.ID = id
		q.Text = note("assess.bench.ask."+string(s.ask), "place", place, "isolator", s.rig().Isolation.Device, "source", s.rig().Isolation.ProvingSource, "at", s.paper.at)
		for _, o := range opts {
			q.Options = append(q.Options, Option{o, note("assess.bench.opt."+o, "source", s.rig().Isolation.ProvingSource, "isolator", s.rig().Isolation.Device)})
		}
	}
	switch s.ask {
	case atNumber:
		ask("safety/" + string(safety.FactLock))
	case atKey:
		ask("safety/"+string(safety.FactKey), "in-lock", "on-hook", "on-me", "with-mate")
	case atNotice:
		ask("safety/"+string(safety.FactNotice), "at-isolator", "none", "on-board")
	case atIndicator:
		ask("safety/"+place+"/indicator", "multimeter", "pen", "plug-in-tester", "two-pole", "unproved")
	case atPairs:
		ask("safety/" + place + "/pairs")
	case atAgain:
		ask("safety/"+place+"/prove-again", "failed", "skipped", "works")
	case atValue:
		ask(s.paper.at)
		q.Parts = s.paper.ids
	case atSure:
		ask("study/sure", "go-on", "hand-in")
	case atSeen:
		st, _ := s.seenStep()
		ask(st.ID)
		q.Text = note("study.ask.seen")
		for _, o := range append([]sequence.Option{st.Right}, st.Wrong...) {
			q.Options = append(q.Options, Option{o.Say, note("study.opt.word", "text", o.Text)})
		}
		slices.SortStableFunc(q.Options, func(a, b Option) int { return strings.Compare(a.Say, b.Say) })
		q.Parts = s.paper.ids
	default:
		return Question{}, false
	}
	return q, true
}

func (s *State) provingPlace() string {
	if s.pick.place == "board" {
		return "board"
	}
	return s.circuit().ID
}

// examAnswer takes an answer where an exam differs, and reports whether it did.
func (s *State) examAnswer(was menu, raw string, fb *Feedback) bool {
	switch was {
	case atBench:
		if raw != "finish" {
			return false
		}
		if s.ask = atSure; len(s.Ledger()) > 0 {
			fb.lack("finish", safety.FactLedger)
		}
	case atWrite:
		s.askFor(raw)
	case atNumber:
		if !isPadlock(raw) {
			fb.cannot("lock-number")
			return true
		}
		s.facts.LockOn, s.facts.KeyHeld, s.facts.Notice = true, false, false
		s.ask = atKey
	case atKey:
		if raw != "on-me" {
			fb.lack("lock", safety.FactKey)
			return true
		}
		s.facts.KeyHeld, s.ask = true, atNotice
	case atNotice:
		if raw != "at-isolator" {
			fb.lack("lock", safety.FactNotice)
			return true
		}
		s.facts.Notice = true
	case atIndicator:
		if raw != "two-pole" {
			fb.lack("prove", safety.FactDead)
			return true
		}
		s.facts = s.facts.Leave(s.proving()).ProveIndicator(s.proving())
		s.ask = atPairs
	case atPairs:
		s.pairsTyped(raw, fb)
	case atAgain:
		if raw == "skipped" {
			fb.lack("prove", safety.FactDead)
			return true
		}
		s.facts = s.facts.ProveAgain(raw == "works")
	case atValue:
		s.enter(raw, fb)
	case atSeen:
		s.put([]string{s.paper.ids[0]}, []string{raw}, fb)
	case atSure:
		if raw == "hand-in" {
			s.ended = "complete"
			s.sheet = s.sheet.End("complete")
		}
	default:
		return false
	}
	return true
}

// isPadlock reports whether something can be a padlock's number: two digits or more.
func isPadlock(raw string) bool {
	digits := 0
	for _, r := range raw {
		if r >= '0' && r <= '9' {
			digits++
		}
	}
	return digits >= 2
}

func (s *State) proving() safety.Place {
	if s.pick.place == "board" {
		return safety.BoardPlace
	}
	return safety.CircuitPlace(s.focus)
}

// pairsTyped takes the pairs that were tried, each with what it showed. One that was left out, and a voltage, are no
// matter of form.
func (s *State) pairsTyped(raw string, fb *Feedback) {
	points := 0
	if s.pick.place != "board" {
		points = s.provablePoints()
	}
	shown, wrong := safety.ParsePairs(raw, max(1, s.rig().Supply.Phases), points)
	for _, p := range shown {
		if !p.Dead {
			s.facts = s.facts.After(safety.VoltageFound)
			fb.lack("prove", safety.FactDead)
			fb.Stays = true
			return
		}
	}
	switch {
	case wrong == nil:
		s.facts, s.ask = s.facts.ShowPairs(), atAgain
	case wrong.Reason == "missing" || wrong.Reason == "points":
		fb.lack("prove", safety.FactDead)
	default:
		fb.cannot("pairs." + wrong.Reason)
	}
}

func (s *State) provablePoints() int {
	n, c := 0, s.circuit()
	for _, p := range c.Points {
		if p.Kind != rig.Switchbox || c.Shape != rig.Lighting {
			n++
		}
	}
	return n
}

// enterable lists where something can be written on the schedule: what is still blank of the circuit in view and of the
// board, in the order of the schedule, whatever the display shows.
func (s *State) enterable() []Option {
	var o []Option
	const few = 3 // parts that are offered one by one beside their row
	for i, st := range s.program().Steps {
		if st.Form != sequence.Read || st.Circuit >= 0 && st.Circuit != s.focus {
			continue
		}
		blank := s.blank(i)
		if len(blank) > 0 {
			o = append(o, as(st.ID, "write-at", "at", st.ID))
		}
		if all := s.idsOf(i); len(all) > 1 && len(all) <= few {
			for _, id := range blank {
				if len(blank) > 1 {
					o = append(o, as(id, "write-at", "at", id))
				}
			}
		}
	}
	return o
}

// blank are the readings of a step that nothing was entered for.
func (s *State) blank(step int) []string {
	return slices.DeleteFunc(s.idsOf(step), func(id string) bool { _, ok := s.paper.entered[id]; return ok })
}

// askFor asks for what goes into a place of the schedule.
func (s *State) askFor(where string) {
	s.paper.at, s.paper.ids = where, []string{where}
	if step, ok := s.program().Step(where); ok {
		s.paper.ids = s.blank(step)
	}
	s.ask = atValue
}

// enter takes a row of readings, or one, as typed. Only its form is looked at.
func (s *State) enter(raw string, fb *Feedback) {
	ids := s.paper.ids
	if inPlace.MatchString(raw) {
		s.keep(ids, raw, fb)
		return
	}
	words := strings.FieldsFunc(raw, func(r rune) bool { return strings.ContainsRune(" ,;\t", r) })
	if !strings.Contains(ids[0], "/"+safety.TestSwitching) {
		var err error
		if words, err = quantity.SplitRow(raw); err != nil {
			fb.cannot("reading")
			return
		}
	}
	if len(words) != len(ids) {
		fb.cannot("count")
		return
	}
	s.put(ids, words, fb)
}

// put writes on the schedule, if it has the form of what belongs there.
func (s *State) put(ids, words []string, fb *Feedback) {
	sheet, w, err := s.sheet.Write(ids, words)
	switch {
	case err != nil:
		fb.cannot("reading")
		return
	case w.Refused != "":
		fb.cannot(w.Refused)
		return
	}
	s.sheet = sheet
	for i, id := range ids {
		s.keep([]string{id}, words[i], fb)
	}
}

func (s *State) keep(ids []string, raw string, fb *Feedback) {
	for _, id := range ids {
		s.paper.entered[id] = raw
	}
	if i := s.stepOf(ids[0]); i >= 0 && len(s.blank(i)) == 0 {
		fb.Filled = s.program().Steps[i].ID
	}
}

func (s *State) stepOf(id string) int {
	return slices.IndexFunc(s.program().Steps, func(st sequence.Step) bool { return id == st.ID || strings.HasPrefix(id, st.ID+"/") })
}

// Corrected puts another reading in place of an entered one. A rule is returned when it is not taken for its form.
func (s *State) Corrected(id, raw string) (*State, string) {
	c, fb := s.clone(), Feedback{}
	if _, ok := s.paper.entered[id]; !ok {
		return s, "no-such-answer"
	}
	c.paper.at, c.paper.ids = id, []string{id}
	c.enter(raw, &fb)
	if fb.Refused {
		return s, fb.Form
	}
	return c, ""
}

// Entered are the readings and observations on the schedule, as typed, by their ids.
func (s *State) Entered() map[string]string { return s.paper.entered }

// Cleared reports whether the supervisor, played by the program, has cleared the faults at a gate.
func (s *State) Cleared() bool { return s.paper.cleared }

// examRecord is what the interlock has to know in an exam. The candidate's own readings open nothing, as on a rig: at a
// gate the supervisor clears the faults and takes readings of their own. But every dead reading in scope has to have
// been taken before anybody asks for supply.
func (s *State) examRecord(w safety.Want) safety.Record {
	r := safety.Record{TestsPassed: true, CircuitPassed: true}
	origins := 0
	taken := true
	for i := range s.program().Steps {
		st := &s.program().Steps[i]
		read := len(s.blank(i)) == 0 && !slices.ContainsFunc(s.idsOf(i), func(id string) bool { return inPlace.MatchString(s.paper.entered[id]) })
		switch s.testName(i) {
		case safety.TestSupply, safety.TestZe, safety.TestElectrode:
			origins++
			taken = taken && read
		}
		if !st.Want.Kind.OnDead() || read {
			continue
		}
		r.TestsPassed = false
		if st.Circuit < 0 || st.Circuit == w.Circuit {
			r.CircuitPassed = false
		}
	}
	r.OriginPassed = origins > 0 && taken
	return r
}

// examBench is what can be done next, the same at every moment.
func (s *State) examBench() []Option {
	var o []Option
	for _, w := range []string{"low-ohm", "insulation", "volts", "loop", "fault-current"} {
		o = append(o, opt(w))
	}
	if len(s.program().RCDs) > 0 {
		o = append(o, opt("rcd"))
	}
	o = append(o, opt("leads"), opt("change"), opt("switch"), opt("isolate"))
	if len(s.rig().Circuits) > 1 {
		o = append(o, opt("circuit"))
	}
	if len(s.enterable()) > 0 {
		o = append(o, opt("write"))
	}
	if len(s.seeable()) > 0 {
		o = append(o, opt("see"))
	}
	return append(o, as("finish", "exam.finish"))
}

// visible leaves of how the rig stands what eyes can see: not what was proved, nor what the instrument has stored.
func visible(all []coach.Note) []coach.Note {
	return slices.DeleteFunc(all, func(n coach.Note) bool {
		switch n.ID {
		case "study.standing.unlocked", "study.standing.board-dead", "study.standing.points-dead", "study.standing.not-nulled":
			return true
		}
		return false
	})
}

// quiet puts what an exam may say in place of what study says.
func quiet(notes []coach.Note) []coach.Note {
	for i, n := range notes {
		switch n.ID {
		case "study.done.off":
			notes[i] = note("assess.bench.done.off", "isolator", n.Params["isolator"])
		case "study.done.null-loose":
			notes[i].ID = "study.done.null"
		case "study.done.energise-incoming", "study.done.energise-installation":
			notes[i].ID = "assess.bench.done." + strings.TrimPrefix(n.ID, "study.done.")
		}
	}
	return notes
}

// examAfter is the session after an answer in an exam. What was refused has changed nothing; what was refused for its
// form alone is asked again.
func (s *State) examAfter(c *State, fb *Feedback) *State {
	fb.Notes = quiet(fb.Notes)
	if !fb.Refused {
		return c
	}
	for _, n := range fb.Notes {
		switch id := strings.TrimPrefix(n.ID, "study.refused."); {
		case id == "covered":
			fb.Form = "covered"
		case id == "exposed":
			fb.lack("live-test", "exposed")
		case strings.HasPrefix(id, "fact."):
			fb.Lacked = append(fb.Lacked, strings.ReplaceAll(strings.TrimPrefix(id, "fact."), ".", "/"))
		}
	}
	fb.Notes = nil
	if len(fb.Lacked) > 0 {
		fb.Form = ""
	}
	if !fb.Stays {
		c = s.clone()
	}
	if asked := s.ask; fb.Form == "" || asked != atNumber && asked != atPairs && asked != atValue {
		c.ask = atBench
	}
	return c
}
