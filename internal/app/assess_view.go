package app

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/prompt"
	"wanderlead/internal/screen"
	"wanderlead/internal/study"
	"wanderlead/safety"
)

// examView lays out an exam: what is to be done and what can hurt, and nothing about
// what was answered.
type examView struct {
	*view
}

func (a *app) newExamView(lib *content.Library, study bool) (*examView, error) {
	cat, err := a.catalogue(lib)
	if err != nil {
		return nil, err
	}
	safe, err := screen.LoadTexts(lib, lib.Language())
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	o := a.looks(screen.None, nil)
	o.Study = study
	sc, err := screen.New(o, cat, safe)
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	return &examView{&view{laid: sc, size: a.size, cat: cat, lib: lib}}, nil
}

// question makes the prompt's question of one of the exam's.
func (v *examView) question(s *seat, q sitting.Question, heading string) prompt.Question {
	pq := prompt.Question{ID: q.ID, Gate: q.Gate, Group: q.Parts, Lines: []string{"", heading}}
	if q.Coach {
		cq, lines, _ := v.screen().Question(s.t.Coach())
		pq = cq
		pq.Group = q.Parts
		pq.Lines = append([]string{"", heading}, paint(v.bare(lines))...)
		if strings.HasSuffix(q.ID, "/pairs") {
			pq.Lines = append([]string{"", heading}, v.wrapped(v.text("assess.pairs.do", nil))...)
			pq.Ask = v.text("assess.pairs.ask", nil)
		}
		pq.Help = ""
		return pq
	}
	if q.Bench {
		return v.atBench(s, q, pq)
	}
	pq.Ask = v.text(q.TextID, q.Params)
	if at, given := s.t.StoppedAt(); q.Halt && at != "" {
		// No more than what the candidate knows: where it was, and their own answer.
		pq.Lines = append(pq.Lines, v.wrapped(v.text("assess.stopped-at", map[string]string{"at": at, "given": given}))...)
	}
	if strings.HasPrefix(q.ID, "check/") {
		pq.Lines = append(pq.Lines, v.wrapped(strings.Join(q.Parts, ", "))...)
	}
	switch q.Kind {
	case coach.Choice:
		pq.Kind = prompt.Choice
		for _, o := range q.Options {
			pq.Options = append(pq.Options, prompt.Option{Value: o.Value, Label: v.text(o.TextID, o.Params)})
		}
	case coach.Secret:
		pq.Kind = prompt.Secret
	default:
		pq.Kind = prompt.Line
	}
	return pq
}

// paper is what the candidate has to do, in what time and with what help. It is the same for all who sit it.
func (v *examView) paper(s *seat) []string {
	p := s.exam.Paper
	out := append([]string{""}, v.wrapped(v.text("assess.paper", map[string]string{"title": p.Title, "minutes": strconv.Itoa(int(s.t.Allowed().Minutes()))}))...)
	for i, t := range p.Tasks {
		where := ""
		if t.Circuit != "" {
			where = ": " + t.Circuit
		}
		out = append(out, v.wrapped(fmt.Sprintf("%d. %s%s", i+1, t.Title, where))...)
	}
	if len(p.Help) > 0 {
		out = append(out, v.wrapped(v.text("assess.paper.help", map[string]string{"help": strings.Join(p.Help, "; ")}))...)
	}
	return append(out, v.wrapped(v.text("assess.paper.show", nil))...)
}

// bare leaves out what would help: where the leads go, which is asked, what to expect,
// why, and the drawings.
func (v *examView) bare(lines []screen.Line) []screen.Line {
	var out []screen.Line
	for _, l := range lines {
		switch l.Role {
		case screen.Leads, screen.Expect, screen.Why, screen.Drawing:
		default:
			out = append(out, l)
		}
	}
	return out
}

// wrapped breaks lines of our own between words.
func (v *examView) wrapped(lines ...string) []string {
	width, _ := v.size()
	var out []string
	for _, line := range lines {
		out = append(out, screen.Wrap(line, max(screen.MinWidth, width)-1)...)
	}
	return out
}

// feedback is what is said after an event: at most its form, and the one thing that is
// said when somebody has to stop.
func (v *examView) feedback(before *sitting.Sitting, fb sitting.Feedback) []string {
	switch {
	case fb.Halted:
		return []string{"", v.text("assess.stop", nil)}
	case fb.Late:
		return []string{"", v.text("assess.late", nil)}
	case fb.Taken && fb.Bench != nil:
		return paint(v.screen().StudyFeedback(before.Bench(), before.Bench(), study.Feedback{Notes: fb.Bench.Notes}))
	case fb.Taken:
		return nil
	case slices.Contains(saidOfForm, fb.Rule):
		return []string{v.text("assess.not-taken."+fb.Rule, nil)}
	case fb.Rule == "count":
		q, _ := before.Question()
		return []string{v.text("assess.not-taken.count", map[string]string{"wanted": strconv.Itoa(max(1, len(q.Parts)))})}
	}
	return []string{v.text("assess.not-taken", nil)}
}

// saidOfForm are the rules of form that have words of their own; the others are only asked again.
var saidOfForm = []string{"not-yet", "covered", "not-possible", "check-fails", "code", "reason", "name", "lock-number", "reading"}

// open says what is open and what is live, which whoever leaves is told by any way.
func (v *examView) open(t *sitting.Sitting) []string {
	var out []string
	facts := t.Coach().Facts()
	if b := t.Bench(); b != nil {
		facts = b.Facts()
		for _, n := range b.OpenNotes() {
			out = append(out, paint(v.screen().StudyFeedback(b, b, study.Feedback{Notes: []coach.Note{n}}))...)
		}
	} else {
		for _, it := range t.Coach().OpenItems() {
			out = append(out, v.text("assess.open-item", map[string]string{"item": it.ID}))
		}
	}
	switch facts.Supply {
	case safety.On, safety.Incoming:
		out = append(out, v.text("assess.live", nil))
	case safety.Found:
		out = append(out, v.text("assess.as-found", nil))
	}
	return out
}

// observations are the keys by which an assessor notes what was seen.
func (v *examView) observations() []prompt.Key {
	key := func(r rune, value string) prompt.Key {
		return prompt.Key{Key: r, Value: value, Label: v.text("assess.observe."+value, nil)}
	}
	return []prompt.Key{key('s', sitting.Seen), key('n', sitting.NotSeen), key('p', sitting.Prompted), key('-', "none"), key('r', "remark"),
		key('z', "pause"), key('k', "critical")}
}

// askObserve asks for one key about the answer just typed.
func (d *desk) askObserve(s *seat) error {
	r, err := prompt.AskKey(d.front, prompt.KeyQuestion{ID: "observe/" + s.observe, Keys: s.view.observations(), Seats: len(d.seats)})
	if err != nil {
		return d.stopped(s, prompt.Question{}, err)
	}
	if r.Command != "" {
		return d.take(s, sitting.Question{ID: s.observe}, r)
	}
	at := s.observe
	switch r.Raw {
	case "remark":
		text, err := d.front.Ask(prompt.Question{ID: "remark", Kind: prompt.Line, Ask: s.view.text("assess.ask.remark", nil)})
		if err != nil {
			return d.stopped(s, prompt.Question{}, err)
		}
		return d.turn(s, journal.Event{Type: journal.TypeRemark, At: at, Raw: text.Raw})
	case "pause":
		return d.turn(s, journal.Event{Type: journal.TypePause, At: at})
	case "critical":
		return d.askAct(s)
	}
	s.observe = ""
	if r.Raw == "none" {
		return nil
	}
	return d.turn(s, journal.Event{Type: journal.TypeObserve, At: at, Raw: r.Raw})
}

// askAct asks which critical act the assessor saw; it stops candidate and clock.
func (d *desk) askAct(s *seat) error {
	q := prompt.Question{ID: "act", Kind: prompt.Choice, Ask: s.view.text("assess.observe.critical", nil)}
	for _, act := range mark.Acts {
		q.Options = append(q.Options, prompt.Option{Value: act, Label: s.view.text("assess.act."+act, nil)})
	}
	r, err := d.front.Ask(q)
	if err != nil {
		return d.stopped(s, q, err)
	}
	if r.Command != "" {
		return nil
	}
	s.observe = ""
	return d.turn(s, journal.Event{Type: journal.TypeStop, At: "act/" + r.Raw})
}
