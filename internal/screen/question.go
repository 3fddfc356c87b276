package screen

import (
	"fmt"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/draw"
	"wanderlead/internal/prompt"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Question lays out what the session asks now and makes the prompt's question of it.
// The lines are in the question as well, without their roles; a front that colours
// puts its own there. ok is false when the session has ended.
func (s *Screen) Question(st *coach.State) (q prompt.Question, lines []Line, ok bool) {
	cq, ok := st.Question()
	if !ok {
		return prompt.Question{}, nil, false
	}
	p := s.page()
	p.fixed(Body, "")
	s.where(p, st, &cq)
	q = s.ask(st, &cq)
	if cq.Own && cq.TextID == "" {
		s.stepScreen(p, st, &cq, &q)
	} else {
		do, asked := split(s.say(cq.TextID, st.Program(), cq.Step, cq.Params))
		q.Ask = asked
		s.safetyScreen(p, st, &cq, do)
	}
	s.openRow(p, st, &cq, &q)
	s.finish(p, &q)
	return q, p.lines, true
}

// openRow says what is open: drawn where that is what the question is about, in a row
// elsewhere.
func (s *Screen) openRow(p *page, st *coach.State, cq *coach.Question, q *prompt.Question) {
	open := s.openItems(st)
	if open == "" {
		return
	}
	if ledgerAt(st, cq) {
		before := len(p.lines)
		if !s.o.Plain {
			p.row(Open, s.word("row.open"), s.word("open.drawn"))
		}
		n := len(p.lines)
		if s.add(p, s.ledgerSketch(st), s.free(p, q)); len(p.lines) > n {
			return
		}
		p.lines = p.lines[:before]
	}
	p.row(Open, s.word("row.open"), open)
}

// free is how many lines there are for a drawing.
func (s *Screen) free(p *page, q *prompt.Question) int {
	if s.o.Height == 0 {
		return noLimit
	}
	labels := make([]string, len(q.Options))
	for i := range q.Options {
		labels[i] = q.Options[i].Label
	}
	return s.o.Height - 1 - len(p.lines) - s.promptRows(q.Kind == prompt.Choice, q.Ask, labels)
}

// finish puts what the prompt prints itself into the characters that there are.
func (s *Screen) finish(p *page, q *prompt.Question) {
	if s.o.ASCII {
		q.Ask, q.Help = draw.ASCII(q.Ask), draw.ASCII(q.Help)
		for i := range q.Options {
			q.Options[i].Label = draw.ASCII(q.Options[i].Label)
		}
	}
	q.Lines = Strings(p.lines)
}

// where is the line that says where the question stands.
func (s *Screen) where(p *page, st *coach.State, q *coach.Question) {
	prog := st.Program()
	var parts []string
	switch {
	case q.ID == "stop/what", q.ID == "stop/harm":
		parts = []string{s.word("where.stop")}
	case q.Step < 0 || q.Step >= len(prog.Steps):
		parts = []string{s.word("where.start")}
	default:
		parts = s.stepWhere(st, q)
	}
	sep := " · "
	if s.o.Plain {
		sep = ". "
	}
	p.text(Heading, strings.Join(parts, sep))
}

func (s *Screen) stepWhere(st *coach.State, q *coach.Question) []string {
	prog := st.Program()
	step := &prog.Steps[q.Step]
	kind := "where.dead"
	switch k, supply := step.Want.Kind, st.Facts().Supply; {
	case k.IsGate():
		kind = "where.gate"
	case k.Live() || supply == safety.Incoming || supply == safety.On:
		kind = "where.live"
	}
	place := s.word(kind, "n", fmt.Sprint(step.Stage+1), "count", fmt.Sprint(len(prog.Stages)))
	parts := []string{place}
	if step.Circuit >= 0 && step.RCD < 0 {
		parts = append(parts, s.circuitOf(prog, step.Circuit))
	} else if step.Circuit < 0 {
		parts = append(parts, prog.Stages[step.Stage].Title)
	}
	what := s.about(prog, step)
	switch {
	case step.Want.Kind == safety.EnergiseIncoming:
		what = s.word("where.gate.incoming")
	case step.Want.Kind == safety.EnergiseInstallation:
		what = s.word("where.gate.installation")
	case step.RCD >= 0 && step.RCD < len(prog.RCDs):
		what = "RCD " + prog.RCDs[step.RCD].ID + ", " + what
	}
	switch {
	case strings.HasSuffix(q.ID, "/decide"):
		what = s.word("where.reading", "what", what)
	case !q.Own && !step.Want.Kind.IsGate() && step.Form != sequence.Isolate:
		if what = s.word("where.before", "what", what); step.Form == sequence.Act || step.Form == sequence.Switch {
			what = s.word("where.before-act", "what", s.about(prog, step))
		}
	}
	return append(parts, what)
}

// circuitOf is a circuit with its place among the circuits of the board. A circuit's
// number is that place unless the ways are numbered another way.
func (s *Screen) circuitOf(prog *sequence.Program, i int) string {
	c := &prog.Rig.Circuits[i]
	n, count := fmt.Sprint(i+1), fmt.Sprint(len(prog.Rig.Circuits))
	if c.Number == n {
		return s.word("where.circuit", "n", n, "count", count, "description", c.Description)
	}
	return s.word("where.circuit-numbered", "number", c.Number, "n", n, "count", count, "description", c.Description)
}

// safetyScreen is the screen of a question that the safety rules put.
func (s *Screen) safetyScreen(p *page, st *coach.State, q *coach.Question, do string) {
	if q.Step >= 0 {
		now, live := s.now(st)
		role := Body
		if live {
			role = Caution
		}
		p.row(role, s.word("row.now"), now)
	}
	if q.Own { // the switch-on of a gate
		s.cautions(p, st.Program(), q.Step, "")
	}
	p.row(Do, s.word("row.do"), do)
	if s.o.Coaching == Full {
		p.row(Why, s.word("row.why"), s.factWhy(st, q))
	}
}

func (s *Screen) factWhy(st *coach.State, q *coach.Question) string {
	if q.Fact == "" {
		return ""
	}
	id := "why." + strings.ReplaceAll(string(q.Fact), "/", ".")
	if _, _, ok := s.safe.Text(id, s.o.Study); !ok {
		return ""
	}
	return s.say(id, st.Program(), q.Step, nil)
}

// cautions are those of the kind of act, of the test, and of the step.
func (s *Screen) cautions(p *page, prog *sequence.Program, i int, own string) {
	step := &prog.Steps[i]
	k, test := step.Want.Kind, testOf(prog, step)
	if test == safety.TestInstrument {
		k = safety.NoKind // nothing of the installation is handled, so there is nothing to unplug
	}
	list := s.safe.Cautions(k, test)
	if own != "" {
		list = append(list, own)
	}
	for _, c := range list {
		text, _ := Fill(s.word, c, prog, i)
		p.row(Caution, s.word("row.caution"), text)
	}
}

// stepScreen is the screen of a step's own question. It sets what the prompt asks.
func (s *Screen) stepScreen(p *page, st *coach.State, q *coach.Question, pq *prompt.Question) {
	prog := st.Program()
	step := &prog.Steps[q.Step]
	fill := func(t string) string { out, _ := Fill(s.word, t, prog, q.Step); return out }
	text := &sequence.Text{}
	if step.Text != nil {
		text = step.Text
	}
	if now, live := s.now(st); live && step.Want.Kind.Live() {
		p.row(Caution, s.word("row.now"), now)
	}
	s.cautions(p, prog, q.Step, text.Caution)
	wording := text.Practise
	if s.o.Study {
		wording = text.Study
	}
	do, asked := split(fill(wording))
	if pq.Ask == "" {
		pq.Ask = asked
	} else if asked != "" {
		do = strings.TrimSpace(do + " " + asked)
	}
	if pq.Ask == "" {
		pq.Ask = s.word("ask." + step.Form.String())
	}
	p.row(Do, s.word("row.do"), capital(do))
	p.row(Leads, s.word("row.leads"), fill(text.Leads))
	s.pointsRow(p, prog, step)
	if s.o.Coaching == Full {
		s.expectRows(p, st, q.Step)
		p.row(Why, s.word("row.why"), fill(text.Why))
	}
	open := 0
	if s.openItems(st) != "" {
		open = 2 // lines that are still to come
	}
	s.add(p, s.stepSketch(st, q.Step), s.free(p, pq)-open)
}

// pointsRow lists the points of a long row in the order they are typed.
func (s *Screen) pointsRow(p *page, prog *sequence.Program, step *sequence.Step) {
	if step.Circuit < 0 || len(step.Parts) <= manyPoints {
		return
	}
	var names []string
	for _, part := range step.Parts {
		if part.Point < 0 {
			return
		}
		names = append(names, pointName(&prog.Rig.Circuits[step.Circuit], part.Point))
	}
	p.row(Body, s.word("row.points"), strings.Join(names, ", "))
}
