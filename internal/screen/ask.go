package screen

import (
	"fmt"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/prompt"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// ask makes the prompt's question. Its Ask is empty where the step's own text asks.
func (s *Screen) ask(st *coach.State, q *coach.Question) prompt.Question {
	pq := prompt.Question{ID: q.ID, Gate: q.Gate, Group: q.PartIDs, Kind: prompt.Choice}
	if len(q.PartIDs) == 1 && q.PartIDs[0] == q.ID {
		pq.Group = nil
	}
	switch q.Kind {
	case coach.Line:
		pq.Kind = prompt.Line
	case coach.Secret:
		pq.Kind = prompt.Secret
	}
	for _, o := range q.Options {
		pq.Options = append(pq.Options, prompt.Option{Value: o.Value, Label: s.label(st, q.Step, o)})
	}
	if len(q.Parts) > 0 {
		pq.Ask = s.askReading(st, q)
	}
	pq.Help = s.help(st, q)
	return pq
}

func (s *Screen) label(st *coach.State, step int, o coach.Option) string {
	if o.TextID == "" {
		text, _ := Fill(s.word, o.Text, st.Program(), step)
		return capital(clean(text))
	}
	return clean(s.say(o.TextID, st.Program(), step, o.Params))
}

// askReading asks for the readings that are still missing, with unit and order.
func (s *Screen) askReading(st *coach.State, q *coach.Question) string {
	prog := st.Program()
	step := &prog.Steps[q.Step]
	test := testOf(prog, step)
	var parts []sequence.Part
	for _, id := range q.PartIDs {
		if part, ok := partByID(step, id); ok {
			parts = append(parts, part)
		}
	}
	if len(parts) == 0 {
		return ""
	}
	var names []string
	for _, part := range parts {
		name := part.ID
		if part.Point < 0 {
			name = s.partName(step, part)
		}
		names = append(names, name)
	}
	order := s.inOrder(names)
	switch {
	case step.Form == sequence.Note:
		return "" // the step's own text asks
	case step.Form == sequence.Inspect && len(parts) > 1:
		return s.word("ask.inspect.row", "parts", order)
	case step.Form == sequence.Inspect:
		return s.word("ask.inspect.one", "part", s.partName(step, parts[0]))
	case test == safety.TestSwitching:
		return s.word("ask.read.positions", "parts", order)
	case len(parts) > 1 && coach.UnitOf(test, parts[0].ID) != coach.UnitOf(test, parts[len(parts)-1].ID):
		for i, part := range parts {
			names[i] += " (" + coach.UnitOf(test, part.ID).String() + ")"
		}
		return s.word("ask.read.mixed", "count", fmt.Sprint(len(parts)), "parts", strings.Join(names, "; "))
	case len(parts) > 1:
		return s.word("ask.read.row", "count", fmt.Sprint(len(parts)), "unit", coach.UnitOf(test, parts[0].ID).String(), "parts", order)
	}
	name := s.partName(step, parts[0])
	if parts[0].ID == "value" {
		name = s.testName(test)
	}
	return s.word("ask.read.one", "part", name, "unit", coach.UnitOf(test, parts[0].ID).String())
}

// inOrder lists what a row is typed in the order of. Names that only count up are given
// by their ends, so that the question stays on a line.
func (s *Screen) inOrder(names []string) string {
	stem := strings.TrimRight(names[0], "0123456789")
	for i, n := range names {
		if len(names) < 4 || n != stem+strconv.Itoa(i+1) {
			return strings.Join(names, ", ")
		}
	}
	return s.word("ask.from-to", "first", names[0], "last", names[len(names)-1])
}

// partByID finds the part of a step that a reading id names. The only part of a step
// goes by the step's own id.
func partByID(step *sequence.Step, id string) (sequence.Part, bool) {
	for _, part := range step.Parts {
		if id == step.ID+"/"+part.ID || id == step.ID && (part.ID == "seen" || part.ID == "value") {
			return part, true
		}
	}
	return sequence.Part{}, false
}

// help is what ? shows: the reason, how to answer, and the words that always work.
func (s *Screen) help(st *coach.State, q *coach.Question) string {
	p := s.page()
	why := s.factWhy(st, q)
	if q.Own && q.Step >= 0 && st.Program().Steps[q.Step].Text != nil {
		why, _ = Fill(s.word, st.Program().Steps[q.Step].Text.Why, st.Program(), q.Step)
	}
	p.text(Why, why)
	switch {
	case len(q.Parts) > 0:
		if q.Step >= 0 && st.Program().Steps[q.Step].Form == sequence.Note {
			p.text(Body, s.word("help.note")) // nothing is measured
			break
		}
		p.text(Body, s.word("help.reading"))
		if len(q.Parts) > 1 {
			p.text(Body, s.word("help.row"))
		}
		p.text(Body, s.word("help.not-read"))
	case q.Kind == coach.Choice:
		p.text(Body, s.word("help.choice"))
	}
	if q.Gate {
		p.text(Body, s.word("help.gate"))
	}
	p.text(Body, s.word("help.words"))
	return strings.Join(Strings(p.lines), "\n")
}
