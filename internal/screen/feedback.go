package screen

import (
	"maps"
	"math"
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/draw"
	"wanderlead/internal/judge"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Feedback lays out what came of an event: before is the state it was given to,
// after the one it led to.
func (s *Screen) Feedback(before, after *coach.State, fb coach.Feedback) []Line {
	p := s.page()
	asked, _ := before.Question()
	notes := slices.Clone(fb.Notes)
	for i := 0; i < len(notes); i++ { // what to do first comes first
		if strings.HasPrefix(notes[i].ID, "stop.") {
			p.text(Caution, s.say(notes[i].ID, before.Program(), asked.Step, notes[i].Params))
			notes = slices.Delete(notes, i, i+1)
			i--
		}
	}
	if fb.Refused != "" {
		notes = s.refusal(p, before, &asked, fb.Refused, notes)
	}
	s.judged(p, after, fb)
	s.often(p, after, fb, nil)
	for i, n := range notes {
		same := func(m coach.Note) bool { return m.ID == n.ID && maps.Equal(m.Params, n.Params) }
		if !slices.ContainsFunc(notes[:i], same) { // a row that is right throughout is right once
			s.note(p, after, asked.Step, n)
		}
	}
	s.established(p, before, after, fb)
	return p.lines // the end, when it came to one, is said once by whoever closes the record
}

// refusal says why an answer was not accepted. It returns the notes that are left.
func (s *Screen) refusal(p *page, st *coach.State, asked *coach.Question, id string, notes []coach.Note) []coach.Note {
	prog := st.Program()
	params := map[string]string{}
	for k, v := range asked.Params {
		params[k] = v
	}
	text := ""
	var rest []coach.Note
	for _, n := range notes {
		switch n.ID {
		case "refused." + id:
			for k, v := range n.Params {
				params[k] = v
			}
		case "step.because":
			text = s.because(prog, n.Params["step"], n.Params["answer"])
		default:
			rest = append(rest, n)
		}
	}
	switch {
	case text != "":
	case strings.HasPrefix(id, "because."):
		text = s.say(id, prog, asked.Step, params)
	default:
		text = s.say("refused."+id, prog, asked.Step, params)
	}
	if id == "not-yet" {
		p.text(Body, text)
		return rest
	}
	heading := "refused"
	if s.cat.Has("refused-as." + id) { // the answer is taken at its word, and it is what was found that stops the work
		heading = "refused-as." + id
	}
	p.text(Refused, s.word(heading, "why", text))
	return rest
}

// because is what would come of a wrong answer at a step, in the sequence's words.
func (s *Screen) because(prog *sequence.Program, stepID, answer string) string {
	i, ok := prog.Step(stepID)
	if !ok {
		return ""
	}
	step := &prog.Steps[i]
	if step.Choose != "" {
		return s.word("because."+step.Choose, "answer", answer)
	}
	for _, w := range step.Wrong {
		if w.Say == answer {
			text, _ := Fill(s.word, w.Because, prog, i)
			return s.word("step.because", "because", text)
		}
	}
	return ""
}

func (s *Screen) note(p *page, st *coach.State, step int, n coach.Note) {
	if n.ID == "left" { // the end says it
		return
	}
	if n.ID == "pairs.detail" && n.Params["pairs"] == "" {
		return
	}
	role := Next
	if strings.HasPrefix(n.ID, "perished.") || n.ID == "reopened" {
		role = Caution
	}
	id := n.ID
	if f := st.Facts().Supply; id == "perished.pause" && (f == safety.Incoming || f == safety.On) {
		id = "perished.pause.live"
	}
	p.text(role, s.say(id, st.Program(), step, n.Params))
}

// judged lays out the verdicts: first what did not pass, one by one, then what passed.
func (s *Screen) judged(p *page, st *coach.State, fb coach.Feedback) {
	var passed []coach.Judged
	for _, j := range fb.Judged {
		switch {
		case j.Verdict == nil:
		case j.Class == coach.Pass:
			passed = append(passed, j)
		default:
			s.verdict(p, st, []coach.Judged{j}, j)
		}
	}
	if len(passed) > 0 {
		s.verdict(p, st, passed, recorded(passed))
	}
	if len(fb.Judged) == 0 && fb.Class != coach.None {
		prog := st.Program()
		p.text(Body, s.word("took", "class", s.opt("class."+fb.Class.String()), "what", s.readingName(prog, fb.At)))
	}
	s.ringOf(p, st, fb)
}

// recorded is the one of several passes that a schedule would hold, whose reason is
// the one to read.
func recorded(js []coach.Judged) coach.Judged {
	readings := make([]quantity.Reading, len(js))
	for i, j := range js {
		readings[i] = j.Verdict.Value
	}
	for _, j := range js {
		if j.Verdict.Test == judge.Continuity && js[0].Verdict.Test != js[len(js)-1].Verdict.Test {
			return j // own bar and other bars: the one that reads
		}
	}
	if i := judge.Record(js[0].Verdict.Test, readings); i >= 0 {
		return js[i]
	}
	return js[len(js)-1]
}

// verdict lays out one verdict, or several that passed together with the reason of
// the one that counts.
func (s *Screen) verdict(p *page, st *coach.State, js []coach.Judged, main coach.Judged) {
	v := main.Verdict
	role := map[judge.Outcome]Role{judge.Pass: Pass, judge.Doubt: Doubt, judge.Fail: Fail}[v.Verdict]
	word := s.word("verdict." + string(v.Verdict))
	if !s.o.Plain {
		word = "[" + s.word("mark."+string(v.Verdict)) + "] " + word
	}
	p.text(role, word+": "+s.readings(st, js))
	if s.o.Coaching == None {
		return
	}
	s.scale(p, v)
	s.reasons(p, st, js, main)
	for _, ls := range named(v) {
		p.row(Trace, s.word("row.source"), s.trace(st, ls))
	}
	for _, r := range s.steps(st, main) {
		p.row(Next, s.word("row.next"), s.reason(st, main.Part, r))
	}
}

// steps are what to do after a verdict, in the form for a reading that has others beside it or has none.
func (s *Screen) steps(st *coach.State, main coach.Judged) []judge.Reason {
	var out []judge.Reason
	for _, r := range main.Verdict.Next {
		if strings.HasPrefix(r.ID, "next-record-") && r.ID != "next-record-three-phase" && r.ID != "next-record-earthing" && s.alone(st, main.Part) {
			r.ID = "next-record"
		}
		if r.ID == "next-discharge" && s.alone(st, main.Part) {
			r.ID = "next-discharge-one"
		}
		out = append(out, r)
	}
	return out
}

// alone reports whether a reading is the only one of its step that a schedule could
// hold: there is then no highest to choose. Of an own bar and the others only one reads.
func (s *Screen) alone(st *coach.State, part string) bool {
	i, _, ok := stepOf(st.Program(), part)
	if !ok {
		return false
	}
	step := &st.Program().Steps[i]
	return len(step.Parts) == 1 || testOf(st.Program(), step) == safety.TestOwnBar
}

// scale draws a reading on its scale, with the limits that bear on it, what is expected
// and what the instrument leaves open.
func (s *Screen) scale(p *page, v *judge.Verdict) {
	if v.Test == judge.RingCrossed || v.Test == judge.RingEnds || !v.Value.Given() || v.Value.Mark == quantity.Nothing {
		return
	}
	view, ok := s.ScaleOf(v)
	if ok {
		s.add(p, sketch{"scale", []draw.Picture{draw.Scale(s.options(), view)}}, noLimit)
	}
}

// ScaleOf is what a verdict's scale shows; ok is false where there is nothing to hold the
// reading against.
func (s *Screen) ScaleOf(v *judge.Verdict) (view draw.ScaleView, ok bool) {
	view = draw.ScaleView{Reading: v.Value, Unit: v.Unit, Tone: draw.Fits, Log: v.Test == judge.Insulation}
	if v.Verdict != judge.Pass {
		view.Tone = draw.Odd
	}
	for _, ls := range bearing(v.Limits) {
		for _, l := range ls {
			if l.Unit == v.Unit && !math.IsInf(l.Value, 0) && len(view.Limits) < 3 {
				view.Limits = append(view.Limits, draw.Edge{Value: l.Value, Most: l.Bound == "max", Text: s.limits([]judge.Limit{l})})
			}
		}
	}
	for _, e := range v.Expected {
		if e.Unit == v.Unit && e.Value > 0 {
			view.Expected, view.Text = e.Value, s.word("draw.scale.expected", "value", about(e))
			break
		}
	}
	if v.Value.IsNumber() {
		function := map[string]string{judge.Continuity: "low-ohm", judge.Bonding: "low-ohm", judge.Insulation: "insulation", judge.Ze: "loop", judge.Zs: "loop"}[v.Test]
		view.Spread = meter.Within(function, v.Value.Value, digit(v.Value.Raw))
	}
	return view, len(view.Limits) > 0 || view.Expected > 0
}

// digit is the last digit of a display that shows so much.
func digit(raw string) float64 {
	_, after, _ := strings.Cut(raw, ".")
	n := strings.IndexFunc(after, func(r rune) bool { return r < '0' || r > '9' })
	if n < 0 {
		n = len(after)
	}
	return math.Pow10(-n)
}

// established says what a safety answer has made true, where that is worth a line:
// a place is proved dead.
func (s *Screen) established(p *page, before, after *coach.State, fb coach.Feedback) {
	if fb.Refused != "" || fb.Done == nil {
		return
	}
	place, ok := strings.CutPrefix(fb.Done.Fact, "dead/")
	if !ok {
		return
	}
	f, old := after.Facts(), before.Facts()
	if f.BoardDead == old.BoardDead && f.CircuitDead == old.CircuitDead {
		return
	}
	p.text(Pass, s.say("done.dead", after.Program(), -1, map[string]string{"place": place}))
}

// End lays out the end of a session, however it came: what is open, what is live,
// where the emergency switch is. Whoever leaves is told.
func (s *Screen) End(st *coach.State) []Line {
	p := s.page()
	how := st.Ended()
	if how == "" {
		how = "interrupted"
	}
	p.text(Heading, s.word("end."+how))
	if open := s.openItems(st); open != "" {
		p.text(Caution, s.word("end.open", "items", open))
		if !s.o.Plain {
			s.add(p, s.ledgerSketch(st), noLimit)
		}
	} else {
		p.text(Body, s.word("end.open-none"))
	}
	now, live := s.now(st)
	role := Body
	if live || st.Facts().Supply != safety.Off {
		role = Caution
	}
	p.text(role, s.word("end.live", "state", now))
	emergency, _ := spotOf(s.word, st.Program(), -1).value("emergency")
	p.text(role, s.word("end.emergency", "emergency", emergency))
	p.text(Body, s.word("end.closing"))
	return p.lines
}
