package rig

import "fmt"

// Description asks a trainer for a rig, one question after the other. It is a value: Answer and Back give a new one, and
// the list of answers is all there is to keep, so a half-told rig can be stored and taken up again.
type Description struct {
	texts   Texts
	answers []Answer
	start   *Rig // what is known beforehand
	walk    func(d *dialog) bool
}

// Describe begins a description of a new rig. Answers given earlier may be handed in; those that no longer fit a
// question are dropped.
func Describe(texts Texts, earlier ...Answer) Description {
	d := Description{texts: texts, answers: earlier, start: &Rig{}, walk: func(d *dialog) bool {
		return d.record(rigRecord, d.rig, nil, "")
	}}
	return d.fit()
}

// Commission begins a new commissioning of a rig: instrument, date and three repeats of every reading are asked, and the
// finished rig holds them in place of the stored ones. Drifts compares the two.
func Commission(r *Rig, texts Texts, earlier ...Answer) Description {
	start := *r
	start.Reference = Reference{}
	d := Description{texts: texts, answers: earlier, start: &start, walk: func(d *dialog) bool {
		return d.reference(&d.rig.Reference, nil, "reference/")
	}}
	return d.fit()
}

func (d Description) run(answers []Answer) *dialog {
	r := *d.start
	g := newDialog(&r, d.texts, answers)
	d.walk(g)
	return g
}

// fit drops answers that belong to no question, or not to the question that comes at their place.
func (d Description) fit() Description {
	g := d.run(d.answers)
	d.answers = d.answers[:g.next:g.next]
	return d
}

// Answers gives the answers so far, in order.
func (d Description) Answers() []Answer { return append([]Answer(nil), d.answers...) }

// Next gives the next question, or the finished rig when there is none. A rig whose parts do not fit each other leads
// back to the question where it shows, with a Complaint; answers already given to later questions are kept.
func (d Description) Next() (Question, *Rig) {
	g := d.run(d.answers)
	if g.pending != nil {
		return *g.pending, nil
	}
	at, complaint, hint := len(d.answers), "", ""
	complain := func(about any, h, format string, args ...any) {
		i, ok := g.places[about]
		if !ok {
			i = len(d.answers) - 1
		}
		if i < at {
			at, complaint, hint = i, fmt.Sprintf(format, args...), h
		}
	}
	check(g.rig, complain)
	if ref := &g.rig.Reference; ref.Instrument != "" && len(ref.Readings) == 0 {
		complain(ref, "type at least one of them", "no reference reading was given")
	}
	if complaint == "" {
		return Question{}, g.rig
	}
	q := *d.run(d.answers[:at]).pending
	q.Complaint, q.Hint = complaint, hint
	return q, nil
}

// Answer answers the next question. An answer that does not fit changes nothing; the error is a *Refusal.
func (d Description) Answer(text string) (Description, error) {
	q, done := d.Next()
	if done != nil {
		return d, &Refusal{"there is nothing left to ask", ""}
	}
	answers := append(append([]Answer(nil), d.answers[:q.index]...), Answer{q.ID, text})
	if g := d.run(answers); g.refusal != nil {
		return d, g.refusal
	}
	if q.index < len(d.answers) {
		answers = append(answers, d.answers[q.index+1:]...)
	}
	d.answers = answers
	return d.fit(), nil
}

// Back takes the last answer back.
func (d Description) Back() Description {
	if n := len(d.answers); n > 0 {
		d.answers = d.answers[: n-1 : n-1]
	}
	return d
}

// DescribeAnswers gives the answers that describe r: put to Describe one after the other, they build a rig equal to r.
func DescribeAnswers(r *Rig) []Answer {
	d := newDialog(&Rig{}, nil, nil)
	d.mirror = true
	d.record(rigRecord, d.rig, r, "")
	return d.made
}

// CommissionAnswers gives the answers that take the reference readings of r again, as stored.
func CommissionAnswers(r *Rig) []Answer {
	blank := *r
	blank.Reference = Reference{}
	d := newDialog(&blank, nil, nil)
	d.mirror = true
	d.reference(&blank.Reference, &r.Reference, "reference/")
	return d.made
}
