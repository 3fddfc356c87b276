package prompt

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/content"
)

// Script is an answers file, and how far it has been used.
type Script struct {
	Rig, Sequence, Edition string // empty when the file leaves them out
	Seed                   int
	HasSeed                bool
	OnFail                 string // OnFailStop or OnFailLeave

	file     string
	answers  []scripted
	next     int
	refusals []Refusal
}

// What a script does when a reading fails its limit.
const (
	OnFailStop  = "stop"
	OnFailLeave = "leave"
)

// scripted is one answer of the file: said to a question, a correction of an
// earlier one, or something done.
type scripted struct {
	at      string // id; of the earlier question for a correction; may be empty with do
	what    string // "say", "correct" or "do"
	text    string
	line    int
	column  int
	refused bool
}

// Refusal is a scripted answer that the session did not accept.
type Refusal struct {
	ID   string // the question it was given to
	Line int    // in the answers file
}

// ErrRefused: the script ends at a question whose last answer was refused.
var ErrRefused = errors.New("the answer was refused and no other follows")

// ScriptError is an answers file that does not fit the question due, or that
// has run out (then it is ErrEnd as well). It is ErrRefused when the last answer
// to that question was refused.
type ScriptError struct {
	File         string
	Line, Column int    // 0 when the answers have run out
	Due          string // id of the question that was due
	Message      string
	Hints        []string
	Ended        bool
	AfterRefusal bool
}

// Error prints file:line:column: message, then a line per hint.
func (e *ScriptError) Error() string {
	var b strings.Builder
	b.WriteString(e.File + ": ")
	if e.Line > 0 {
		b.Reset()
		fmt.Fprintf(&b, "%s:%d:%d: ", e.File, e.Line, e.Column)
	}
	b.WriteString(e.Message)
	for _, h := range e.Hints {
		b.WriteString("\nhint: " + h)
	}
	return b.String()
}

// Is matches ErrEnd and ErrRefused.
func (e *ScriptError) Is(target error) bool {
	return target == ErrEnd && e.Ended || target == ErrRefused && e.AfterRefusal
}

// ParseScript reads an answers file; name is for messages. The error holds
// every complaint about it.
func ParseScript(name string, data []byte) (*Script, error) {
	r := content.NewReader(name, data)
	m := r.Root().Map("answers file", "rig", "sequence", "edition", "seed", "on_fail", "answers")
	s := &Script{
		file: name,
		Rig:  m.OptName("rig", ""), Sequence: m.OptName("sequence", ""), Edition: m.OptName("edition", ""),
		Seed: m.OptInt("seed", 0), HasSeed: m.Has("seed"),
		OnFail: m.OptOneOf("on_fail", OnFailStop, OnFailLeave, OnFailStop),
	}
	for _, v := range m.List("answers") {
		s.answers = append(s.answers, readScripted(v))
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	return s, nil
}

func readScripted(v content.Value) scripted {
	m := v.Map("answer", "at", "say", "correct", "do")
	_, line, column := v.Pos()
	a := scripted{line: line, column: column, at: m.OptName("at", "")}
	for _, key := range []string{"say", "correct", "do"} {
		if !m.Has(key) {
			continue
		}
		if a.what != "" {
			m.KeyOf(key).Errorf("write them as two answers", "an answer holds %s or %s, not both", a.what, key)
			continue
		}
		a.what = key
	}
	switch a.what {
	case "":
		if v.Kind() == content.MapKind {
			m.Errorf("as in {at: ring-1/ends/r1, say: \"0.40\"}", "an answer holds say, correct or do")
		}
		return a
	case "do":
		a.text = m.OneOf("do", CommandStop, CommandPause, CommandAccept)
		return a
	}
	if v.Kind() == content.MapKind && !m.Has("at") {
		m.Errorf("name the question's id", "%s without at: which question is it for?", a.what)
	}
	raw, text := m.Raw(a.what)
	if raw != "" && !content.Clean(raw) {
		text.Errorf("one line, no control characters", "%s is not a line that can be typed", a.what)
	}
	if a.what == "correct" && raw == "" && text.Kind() == content.Scalar {
		text.Errorf("give the right reading", "an empty correction")
	}
	a.text = raw
	return a
}

// Next takes the next answer for the question due; alternatives are the ids of
// its group, one of which may be answered instead. Reply.At says which id was
// answered or, for a correction, which is corrected. The error is a *ScriptError.
func (s *Script) Next(due string, alternatives ...string) (Reply, error) {
	if s.next >= len(s.answers) {
		return Reply{}, &ScriptError{
			File: s.file, Due: due, Ended: true, AfterRefusal: s.refusedBefore(due, alternatives),
			Message: fmt.Sprintf("the answers end, and %s is asked", due),
			Hints:   []string{fmt.Sprintf("add {at: %s, say: \"...\"}; the session can be resumed", due)},
		}
	}
	a := s.answers[s.next]
	if a.what != "correct" && a.at != due && !slices.Contains(alternatives, a.at) && !(a.what == "do" && a.at == "") {
		return Reply{}, s.misplaced(a, due, alternatives)
	}
	s.next++
	switch a.what {
	case "correct":
		return Reply{Command: CommandCorrect, Raw: a.text, At: a.at}, nil
	case "do":
		return Reply{Command: a.text, At: due}, nil
	}
	return Reply{Raw: a.text, At: a.at}, nil
}

func (s *Script) misplaced(a scripted, due string, alternatives []string) error {
	e := &ScriptError{
		File: s.file, Line: a.line, Column: a.column, Due: due, AfterRefusal: s.refusedBefore(due, alternatives),
		Message: fmt.Sprintf("this answer is for %s, but %s is asked", a.at, due),
	}
	for _, later := range s.answers[s.next+1:] {
		if later.what != "correct" && later.at == due {
			e.Hints = append(e.Hints, fmt.Sprintf("an answer for %s stands on line %d", due, later.line))
			break
		}
	}
	if len(e.Hints) == 0 {
		e.Hints = append(e.Hints, fmt.Sprintf("put {at: %s, say: \"...\"} before it", due))
	}
	if len(alternatives) > 0 {
		e.Hints = append(e.Hints, "one of its parts may be answered instead: "+strings.Join(alternatives, ", "))
	}
	return e
}

// misfit is the error for the answer taken last, which is none of the options.
func (s *Script) misfit(q Question, r Reply) error {
	var values []string
	for _, o := range q.Options {
		values = append(values, o.Value)
	}
	e := &ScriptError{
		File: s.file, Due: q.ID, Message: fmt.Sprintf("%q is no answer to %s", r.Raw, q.ID),
		Hints: []string{"the answers are " + strings.Join(values, ", ")},
	}
	if s.next > 0 {
		s.next-- // it was not taken
		e.Line, e.Column = s.answers[s.next].line, s.answers[s.next].column
	}
	return e
}

// Refuse records that the session refused the answer taken last; the next one
// is read for the same question.
func (s *Script) Refuse() {
	if s.next == 0 {
		return
	}
	a := &s.answers[s.next-1]
	a.refused = true
	s.refusals = append(s.refusals, Refusal{ID: a.at, Line: a.line})
}

// Refusals are the answers refused so far.
func (s *Script) Refusals() []Refusal { return slices.Clone(s.refusals) }

// refusedBefore reports whether the last answer was refused at the question
// that is due still.
func (s *Script) refusedBefore(due string, alternatives []string) bool {
	if s.next == 0 {
		return false
	}
	a := s.answers[s.next-1]
	return a.refused && (a.at == "" || a.at == due || slices.Contains(alternatives, a.at))
}

// Left is how many answers have not been used, and the line of the first.
func (s *Script) Left() (count, line int) {
	if s.next < len(s.answers) {
		line = s.answers[s.next].line
	}
	return len(s.answers) - s.next, line
}
