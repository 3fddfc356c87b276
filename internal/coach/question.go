package coach

import (
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// QuestionKind is how an answer is given.
type QuestionKind uint8

// The kinds of question.
const (
	Choice QuestionKind = iota + 1
	Line
	Secret
)

// NotYet is the answer that changes nothing: Enter, end of input and Ctrl-D at a
// gate all mean it.
const NotYet = "not-yet"

// Option is one answer of a choice. Text is in words already when it comes from a
// sequence; otherwise TextID names it in the catalogue.
type Option struct {
	Value  string
	Text   string
	TextID string
	Params map[string]string
}

// Question is what is asked now.
type Question struct {
	ID     string
	Kind   QuestionKind
	Gate   bool   // a safety question: given after it was shown, no default, nothing typed ahead
	TextID string // what is asked, in the catalogue; empty when Step says it
	Params map[string]string
	Step   int   // step that asks, or that the question leads to; -1 for none
	Own    bool  // the question is the step's own, not one that comes before it
	Parts  []int // parts a line of readings fills, in order
	// PartIDs are the ids of the parts, which may be answered one at a time.
	PartIDs []string
	Options []Option
	Fact    safety.Fact
	// Barred is true when no answer will do: the gate stays shut on this rig.
	Barred bool
}

// Question returns what is asked now; ok is false when the session has ended.
func (s *State) Question() (Question, bool) {
	d := s.due()
	switch d.kind {
	case dueNothing:
		return Question{}, false
	case dueSupervisorName:
		return Question{ID: "supervisor/name", Kind: Line, TextID: "ask.supervisor.name", Step: -1}, true
	case dueSupervisorCode:
		return Question{ID: "supervisor/code", Kind: Secret, TextID: "ask.supervisor.code", Step: -1,
			Params: params("name", s.supervisor)}, true
	case dueDialog:
		return s.dialogQuestion(), true
	case dueTests:
		return s.testsQuestion(d), true
	case dueBarred:
		return Question{ID: "gate/barred", Kind: Choice, Gate: true, Barred: true, Step: d.step, Fact: d.fact,
			TextID: "ask.barred." + textKey(string(d.fact)), Options: []Option{notYet(), leaveOption()}}, true
	case dueFact:
		q := s.factQuestion(d)
		q.Step = d.step
		return q, true
	}
	return s.stepQuestion(d.step), true
}

func params(kv ...string) map[string]string {
	m := make(map[string]string, len(kv)/2)
	for i := 0; i+1 < len(kv); i += 2 {
		m[kv[i]] = kv[i+1]
	}
	return m
}

func notYet() Option { return Option{Value: NotYet, TextID: "option.not-yet"} }

func leaveOption() Option { return Option{Value: "leave", TextID: "option.leave"} }

// stepQuestion is a step's own question.
func (s *State) stepQuestion(i int) Question {
	st := &s.pl.p.Steps[i]
	q := Question{ID: st.ID, Kind: Choice, Step: i, Own: true}
	switch st.Form {
	case sequence.Read, sequence.Note:
		q.Kind = Line
		s.fillParts(&q, i)
		return q
	case sequence.Inspect:
		if st.Right.Say == "" {
			q.Kind = Line
			s.fillParts(&q, i)
			return q
		}
	case sequence.Declare:
		q.Kind = Line
		q.Gate = true
		return q
	case sequence.Accept:
		q.ID += "/code" // hidden in the record by its name
		q.Kind = Secret
		q.Gate = true
		return q
	case sequence.Gate:
		q.ID = "safety/" + gateName(st.Want.Kind) + "/switch-on"
		q.Gate = true
		q.TextID = "ask.gate." + gateName(st.Want.Kind) + ".switch-on"
		q.Options = s.switchOnOptions(st.Want.Kind)
		return q
	case sequence.Switch:
		q.Gate = true
	case sequence.Ask:
		if st.Choose != "" {
			q.Options = s.drawn(st)
			return q
		}
	}
	q.Options = append(q.Options, notYet())
	q.Options = append(q.Options, shuffled(st.ID, stepOptions(st))...)
	return q
}

func stepOptions(st *sequence.Step) []Option {
	opts := []Option{{Value: st.Right.Say, Text: st.Right.Text}}
	for _, w := range st.Wrong {
		opts = append(opts, Option{Value: w.Say, Text: w.Text})
	}
	return opts
}

func (s *State) fillParts(q *Question, step int) {
	q.Parts = s.remaining(step)
	for _, p := range q.Parts {
		q.PartIDs = append(q.PartIDs, s.pl.parts[p].id)
	}
	if len(q.Parts) == 1 {
		q.ID = q.PartIDs[0]
	}
}

// drawn makes the options of a question whose answers come from the rig.
func (s *State) drawn(st *sequence.Step) []Option {
	right, all := s.drawnAnswers(st)
	_ = right
	opts := []Option{notYet()}
	var rest []Option
	for _, a := range all {
		rest = append(rest, Option{Value: a, TextID: "option." + st.Choose, Params: params("value", a)})
	}
	return append(opts, shuffled(st.ID, rest)...)
}

// drawnAnswers gives the right answer and all answers of a drawn question.
func (s *State) drawnAnswers(st *sequence.Step) (string, []string) {
	c := &s.pl.r.Circuits[max(st.Circuit, 0)]
	switch st.Choose {
	case "neutral-bar":
		return s.pl.r.BarOf(c), s.pl.r.Bars()
	case "test-voltage":
		return s.testVoltage(st.Circuit) + " V", []string{"250 V", "500 V", "1000 V"}
	}
	return "", nil
}

// testVoltage is the insulation test voltage in volts d.c. for a circuit of this
// rig (BS 7671 Table 64): 500 V, or 250 V where an SPD or equipment that cannot
// reasonably be taken out stays connected (643.3.3).
func (s *State) testVoltage(circuit int) string {
	if s.spdStays() {
		return "250"
	}
	if circuit >= 0 {
		if c := &s.pl.r.Circuits[circuit]; c.SPD || c.Electronics != "" {
			return "250"
		}
	}
	return "500"
}

// shuffled puts options in an order that depends on the question alone, so that
// the right one has no habitual place and a record replays.
func shuffled(id string, opts []Option) []Option {
	if len(opts) < 2 {
		return opts
	}
	h := uint32(2166136261)
	for i := range len(id) {
		h = (h ^ uint32(id[i])) * 16777619
	}
	n := int(h % uint32(len(opts)))
	return append(append([]Option{}, opts[n:]...), opts[:n]...)
}

func gateName(k safety.Kind) string {
	if k == safety.EnergiseIncoming {
		return "incoming"
	}
	return "installation"
}

func textKey(s string) string {
	b := []byte(s)
	for i := range b {
		if b[i] == '/' {
			b[i] = '.'
		}
	}
	return string(b)
}
