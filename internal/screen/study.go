package screen

import (
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/draw"
	"wanderlead/internal/meter"
	"wanderlead/internal/prompt"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/internal/study"
	"wanderlead/safety"
)

// StudyQuestion lays out what a study session asks now. At the bench it says how the
// rig stands and, as far as help is given, what comes next. ok is false when the
// session has ended.
func (s *Screen) StudyQuestion(st *study.State) (q prompt.Question, lines []Line, ok bool) {
	sq, ok := st.Question()
	if !ok {
		return prompt.Question{}, nil, false
	}
	p := s.page()
	p.fixed(Body, "")
	prog := st.Sheet().State().Program()
	if sq.ID == "study/bench" {
		p.text(Heading, s.word("study.where", "circuit", sq.Text.Params["circuit"], "number", sq.Text.Params["number"], "description", sq.Text.Params["description"], "done", strconv.Itoa(st.Done()), "all", strconv.Itoa(st.All())))
		s.standing(p, st)
		if i, more := st.Next(); more && st.Setup().Help != study.Alone {
			s.studyNext(p, st, i, st.Setup().Help == study.Led && st.Turned())
		}
	}
	q = prompt.Question{ID: sq.ID, Kind: prompt.Line, Ask: s.say(sq.Text.ID, prog, -1, sq.Text.Params), Help: strings.Join(Wrap(s.word("study.help"), s.o.Width), "\n")}
	if len(sq.Options) > 0 {
		q.Kind = prompt.Choice
		for _, o := range sq.Options {
			q.Options = append(q.Options, prompt.Option{Value: o.Say, Label: s.studyLabel(st, o)})
		}
	}
	if sq.ID == "study/rcd-test" && st.Setup().Help != study.Alone {
		both := []draw.Half{{Degrees: 0, Text: "0°"}, {Degrees: 180, Text: "180°"}}
		s.add(p, sketch{"cycle", []draw.Picture{draw.Cycle(s.options(), both...)}}, s.free(p, &q))
	}
	if st.AtBoard() && st.Setup().Help != study.Alone {
		s.add(p, s.boardSketch(s.studyBoard(st)), s.free(p, &q))
	}
	s.finish(p, &q)
	return q, p.lines, true
}

// studyLabel is an option in words; a line of the schedule is named as everywhere else.
func (s *Screen) studyLabel(st *study.State, o study.Option) string {
	prog := st.Sheet().State().Program()
	params := o.Text.Params
	if at := params["at"]; at != "" {
		return s.readingName(prog, at)
	}
	return capital(s.cat.Text(o.Text.ID, s.studyParams(st, o.Text)))
}

// standing is how the rig stands, in one row.
func (s *Screen) standing(p *page, st *study.State) {
	role := Body
	if st.Facts().Supply != safety.Off {
		role = Caution
	}
	var texts []string
	for _, n := range st.Standing() {
		texts = append(texts, s.studyNote(st, n))
	}
	p.row(role, s.word("row.now"), strings.Join(texts, " "))
}

// studyNext names the next reading; led, it says how it is taken, in the sequence's words, and what to expect.
func (s *Screen) studyNext(p *page, st *study.State, step int, led bool) {
	prog := st.Sheet().State().Program()
	p.row(Next, s.word("row.next"), s.stepName(prog, step))
	text := prog.Steps[step].Text
	if !led || text == nil {
		return
	}
	fill := func(raw string) string { t, _ := Fill(s.word, raw, prog, step); return t }
	if text.Study != "" {
		p.row(Do, s.word("row.do"), fill(text.Study))
	}
	if text.Leads != "" {
		p.row(Leads, s.word("row.leads"), fill(text.Leads))
	}
	s.expectRows(p, st.Sheet().State(), step)
	if text.Why != "" {
		p.row(Why, s.word("row.why"), fill(text.Why))
	}
}

// StudyFeedback lays out what came of an event: what the display showed, the verdict
// on what was written down, what in the set-up made a difference.
func (s *Screen) StudyFeedback(before, after *study.State, fb study.Feedback) []Line {
	p := s.page()
	prog := after.Sheet().State().Program()
	if fb.Shown != nil {
		s.display(p, fb.Shown)
	}
	notes := fb.Notes
	if fb.Written != nil {
		for len(notes) > 0 && strings.HasPrefix(notes[0].ID, "study.claim.") {
			p.text(Body, s.cat.Text(notes[0].ID, notes[0].Params))
			notes = notes[1:]
		}
		s.judged(p, after.Sheet().State(), *fb.Written)
		s.often(p, after.Sheet().State(), *fb.Written, &fb)
		for _, n := range fb.Written.Notes {
			s.note(p, after.Sheet().State(), -1, n)
		}
	}
	for _, n := range notes {
		switch {
		case strings.HasPrefix(n.ID, "study.refused."):
			p.text(Refused, s.cat.Text("study.refused", map[string]string{"why": s.cat.Text(n.ID, s.studyParams(after, n))}))
		case n.ID == "study.next.step":
			if i, ok := prog.Step(n.Params["step"]); ok {
				s.studyNext(p, after, i, true)
			}
		case n.ID == "study.voltage-found", n.ID == "study.stop":
			p.text(Caution, s.say(n.ID, prog, -1, s.studyParams(after, n)))
		default:
			p.text(Next, s.studyNote(after, n))
		}
	}
	return p.lines
}

// studyNote is a note in words, what it names put into words too.
func (s *Screen) studyNote(st *study.State, n coach.Note) string {
	return capital(s.cat.Text(n.ID, s.studyParams(st, n)))
}

func (s *Screen) studyParams(st *study.State, n coach.Note) map[string]string {
	params := map[string]string{}
	prog := st.Sheet().State().Program()
	for k, v := range n.Params {
		switch k {
		case "at":
			v = s.readingName(prog, v)
		case "readings":
			v = s.readingNames(prog, strings.Split(v, ", "))
		case "thing", "other":
			v = s.thing(prog, v)
			if strings.HasPrefix(n.ID, "study.done.cover") || n.ID == "study.done.proved" || n.ID == "study.refused.covered" {
				v = s.cover(prog, n.Params[k])
			}
		case "things":
			if n.ID == "study.standing.item.cover" {
				var covers []string
				for _, id := range strings.Split(v, ", ") {
					covers = append(covers, s.cover(prog, id))
				}
				v = strings.Join(covers, ", ")
			} else {
				v = s.things(prog, strings.Split(v, ", "))
			}
		}
		params[k] = v
	}
	return params
}

// cover names an enclosure: the board, or the points of a circuit.
func (s *Screen) cover(prog *sequence.Program, id string) string {
	if c, ok := prog.Rig.Circuit(id); ok {
		return s.word("study.thing.points", "number", c.Number)
	}
	return s.thing(prog, id)
}

// readingNames lists readings, those judged together once.
func (s *Screen) readingNames(prog *sequence.Program, ids []string) string {
	const most = 6
	var names []string
	for _, id := range ids {
		name := s.readingName(prog, id)
		for i := range prog.Steps {
			if rest, ok := strings.CutPrefix(id, prog.Steps[i].ID+"/"); ok && rest != "" {
				name = s.stepName(prog, i)
			}
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) > most {
		names = append(names[:most], "…")
	}
	return strings.Join(names, "; ")
}

// display is what the instrument showed, one reading on a line, a row of them side by
// side.
func (s *Screen) display(p *page, t *study.Taken) {
	if len(t.At) == 1 {
		p.text(Drawing, s.word("study.display", "value", s.shown(t.At[0].Shown)))
		return
	}
	for _, at := range t.At {
		name := at.Point
		if name == "" {
			name = s.opt("part." + at.RCDTest)
		}
		p.text(Drawing, s.word("study.display.at", "at", name, "value", s.shown(at.Shown)))
	}
}

// Display is what the instrument showed, in one line.
func (s *Screen) Display(t *study.Taken) string {
	var row []string
	for _, at := range t.At {
		text := s.shown(at.Shown)
		switch {
		case len(t.At) == 1:
		case at.Point != "":
			text = at.Point + " " + text
		case at.RCDTest != "":
			text = s.opt("part."+at.RCDTest) + " " + text
		}
		row = append(row, text)
	}
	return strings.Join(row, ", ")
}

func (s *Screen) shown(m meter.Shown) string {
	switch m.Refusal {
	case "":
	case meter.Live, meter.NoSupply:
		volt := ""
		if m.VoltV > 0 {
			volt = quantity.FormatNumber(m.VoltV)
		}
		return s.word("study.display."+string(m.Refusal), "volt", volt)
	default:
		return s.word("study.display." + string(m.Refusal))
	}
	if m.Mark == quantity.NoTrip {
		return s.word("study.display.no-trip")
	}
	return m.Text + " " + m.Unit.String()
}

// Texts lays out texts of the catalogue that belong to no question.
func (s *Screen) Texts(texts ...string) []Line {
	p := s.page()
	for _, t := range texts {
		p.text(Body, t)
	}
	return p.lines
}
