// Package prompt asks the questions: on a real terminal, as plain lines, or
// from an answers file. It is the only importer of survey, so that the library
// can be left by changing one folder, and no error of it gets out.
//
// Rules that hold on every front:
//   - Nothing typed before a gate question was shown is taken as its answer.
//   - On a gate, Enter alone, Ctrl-D and the end of input mean "not yet".
//     Elsewhere Ctrl-D and the end of input are never an answer.
//   - stop, pause, correct and ? are taken at every question.
//   - What was typed is handed on raw. No front reads a number.
package prompt

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"wanderlead/internal/plain"
)

// Kind says how a question is answered.
type Kind int

const (
	Choice Kind = iota // one of Question.Options
	Line               // one line of text, such as a reading
	Secret             // one line that is not shown while it is typed
)

// Option is one answer of a Choice.
type Option struct {
	Value string // what Reply.Raw holds when it is chosen
	Label string // what is shown; the value when empty
}

// Question is one thing asked. Its Lines are laid out already; a front prints
// them as they stand, above the short Ask.
type Question struct {
	ID      string   // the id that an answers file names with `at`
	Group   []string // ids that a script may answer one at a time instead of ID
	Lines   []string // shown before the question
	Ask     string   // the question itself, one short line
	Kind    Kind
	Options []Option // of a Choice; the first of a gate is its "not yet"
	Help    string   // shown on ?
	Gate    bool     // safety: only what is given after it was shown counts
	Seats   int      // candidates of one desk: Tab and a number (or =2 as a line) change between them
	// Left is how long the question may still be answered; nil: for ever. Once nothing is left, a terminal that can draw gives
	// CommandTime with what had been typed; plain lines say so and take the line that was begun.
	Left func() time.Duration
}

// Reply is what came back. Raw is as typed, without the line end; where Command
// is set, Raw is only the word that gave it.
type Reply struct {
	Raw     string
	Command string // "" or one of the Command constants
	At      string // id that Raw answers: the question's, one of its Group, or the one to correct
}

// What a person can say at any question instead of answering it. Help is
// answered by the front itself; a Reply carries it only when the question has
// no help text. Accept comes from answers files only.
const (
	CommandStop    = "stop"
	CommandPause   = "pause"
	CommandShow    = "show"
	CommandCorrect = "correct"
	CommandHelp    = "help"
	CommandNotYet  = "not-yet"
	CommandAccept  = "accept"
)

// Front is one way of asking. Ask returns ErrInterrupted, ErrEnd,
// ErrGateNeedsTerminal or, from an answers file, a *ScriptError.
type Front interface {
	Show(lines ...string)
	Ask(q Question) (Reply, error)
	Close() error
}

var (
	// ErrInterrupted: Ctrl-C. The terminal is as it was before the question.
	ErrInterrupted = errors.New("interrupted")
	// ErrEnd: Ctrl-D or the end of the input, where it is no answer.
	ErrEnd = errors.New("the input ended before an answer was given")
	// ErrNoTerminal: standard input or output is not a terminal.
	ErrNoTerminal = errors.New("standard input and output are not both a terminal")
	// ErrGateNeedsTerminal: a safety question met piped input. It wraps ErrNoTerminal.
	ErrGateNeedsTerminal error = gateError{}
)

type gateError struct{}

func (gateError) Error() string {
	return "a safety question is answered by a person at a terminal, and standard input is not one\n" +
		"hint: run it in a terminal, or give prepared answers with --answers FILE"
}

func (gateError) Unwrap() error { return ErrNoTerminal }

// check refuses a question that no front could ask, or that would let a gate
// open by default.
func (q Question) check() error {
	switch {
	case q.Kind == Choice && len(q.Options) == 0:
		return fmt.Errorf("question %s: a choice without options", q.ID)
	case q.Kind == Choice && q.Gate && len(q.Options) < 2:
		return fmt.Errorf("question %s: a gate needs \"not yet\" first and an answer after it", q.ID)
	case q.Kind != Choice && len(q.Options) > 0:
		return fmt.Errorf("question %s: options on a question that is not a choice", q.ID)
	}
	return nil
}

// label is what is shown for option i.
func (q Question) label(i int) string {
	if l := q.Options[i].Label; l != "" {
		return oneLine(l)
	}
	return oneLine(q.Options[i].Value)
}

// chosen is the reply for option i.
func (q Question) chosen(i int) Reply {
	r := Reply{Raw: q.Options[i].Value, At: q.ID}
	if q.Gate && i == 0 {
		r.Command = CommandNotYet
	}
	return r
}

// notYet is the reply of a gate to Enter, Ctrl-D and the end of the input.
func (q Question) notYet() Reply {
	if q.Kind == Choice {
		return q.chosen(0)
	}
	return Reply{Command: CommandNotYet, At: q.ID}
}

// byValue finds the option with this value or label. Case is folded only when
// that leaves no doubt: L and l may be two terminals.
func (q Question) byValue(typed string) (int, bool) {
	if typed == "" {
		return 0, false
	}
	for i, o := range q.Options {
		if typed == o.Value || typed == o.Label {
			return i, true
		}
	}
	found := -1
	for i, o := range q.Options {
		if strings.EqualFold(typed, o.Value) || strings.EqualFold(typed, o.Label) {
			if found >= 0 {
				return 0, false
			}
			found = i
		}
	}
	return found, found >= 0
}

func oneLine(s string) string {
	return strings.Join(strings.Fields(plain.Line(s)), " ")
}
