package app

import (
	"strings"

	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/coach"
	"wanderlead/internal/meter"
	"wanderlead/internal/prompt"
	"wanderlead/internal/study"
)

// rigSeen is the candidate's rig as it is: with the faults of the draw until the
// supervisor has cleared them. It is looked at from here alone; the exam never knows it.
func (s *seat) rigSeen() *study.State {
	b := s.t.Bench()
	rig := s.bench.Faulty
	if b.Cleared() {
		rig = s.bench.Sound
	}
	return b.On(rig, meter.Instrument{Seed: s.key.Seed})
}

// display is what the instrument's display shows, kept until something else is measured.
func (s *seat) display() *study.Taken {
	last := s.t.Bench().Last()
	if last == nil {
		return nil
	}
	if s.taken != last {
		s.taken, s.shows = last, s.rigSeen().Display()
	}
	return s.shows
}

// atBench lays out what the bench asks: how the rig looks, what the display shows, and
// nothing about what was done.
func (v *examView) atBench(s *seat, q sitting.Question, pq prompt.Question) prompt.Question {
	heading := pq.Lines
	lead, lines, _ := v.screen().StudyQuestion(s.t.Bench())
	lead.Help, lead.Gate, lead.Group = "", q.Gate, q.Parts
	lead.Lines = append(heading, paint(lines)...)
	at := s.rigSeen()
	say := func(text string) { lead.Lines = append(lead.Lines, v.wrapped(text)...) }
	if volt, ok := at.Tries(); ok {
		say(v.text("assess.bench.tries", map[string]string{"volt": volt}))
	}
	for _, n := range at.Looks() {
		lead.Lines = append(lead.Lines, paint(v.screen().StudyFeedback(at, at, study.Feedback{Notes: []coach.Note{n}}))...)
	}
	if shown := s.display(); shown != nil && (q.ID == "study/bench" || len(q.Parts) > 0) {
		say(v.text("assess.shown", map[string]string{"readings": v.screen().Display(shown)}))
	}
	if len(q.Parts) > 0 {
		var names []string
		for _, id := range q.Parts {
			names = append(names, id[strings.LastIndex(id, "/")+1:])
		}
		if len(names) > 1 {
			lead.Ask = v.text("assess.bench.ask.row", map[string]string{"parts": strings.Join(names, " ")})
		}
	}
	return lead
}

// correctAtBench asks which of the entered readings is put right.
func (v *examView) correctAtBench(t *sitting.Sitting) prompt.Question {
	q := v.correctWhich(t.Coach())
	entered := t.Bench().Entered()
	for i := range t.Setup().Program.Steps {
		for _, id := range t.Coach().PartsOf(i) {
			if raw, ok := entered[id]; ok {
				q.Options = append(q.Options, prompt.Option{Value: id, Label: id + "  " + raw})
			}
		}
	}
	return q
}
