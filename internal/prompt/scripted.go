package prompt

import (
	"fmt"
	"io"
	"strings"

	"wanderlead/internal/plain"
)

// Scripted is the front that answers from a Script and prints the questions
// with the answers given.
type Scripted struct {
	*Script
	out  io.Writer
	text Text
}

// NewScripted returns the scripted front. A nil text means the
// embedded English.
func NewScripted(s *Script, out io.Writer, text Text) *Scripted {
	return &Scripted{Script: s, out: out, text: orEmbedded(text)}
}

// Show prints the lines.
func (f *Scripted) Show(lines ...string) {
	for _, l := range lines {
		fmt.Fprintln(f.out, plain.Painted(l))
	}
}

// Close does nothing.
func (f *Scripted) Close() error { return nil }

// Ask answers q from the script. The words that work on a terminal work here
// too; the answer to a Choice is the option's value, its label or its number.
func (f *Scripted) Ask(q Question) (Reply, error) {
	if err := q.check(); err != nil {
		return Reply{}, err
	}
	f.Show(q.Lines...)
	for {
		said, err := f.Next(q.ID, q.Group...)
		if err != nil {
			f.Show(oneLine(q.Ask))
			return Reply{}, err
		}
		if said.Command != "" {
			f.Show(strings.TrimSpace(fmt.Sprintf("%s %s %s", oneLine(q.Ask), said.Command, said.Raw)))
			return said, nil
		}
		reply, what := q.read(said.Raw, true)
		reply.At = said.At
		f.Show(strings.TrimSpace(oneLine(q.Ask) + " " + f.shown(q, reply)))
		switch {
		case what == isUnknown:
			return Reply{}, f.misfit(q, said)
		case what == isHelp && q.Help != "":
			f.Show(helpLines(f.text, q)...)
			continue
		}
		return reply, nil
	}
}

func (f *Scripted) shown(q Question, r Reply) string {
	if q.Kind == Secret && r.Command == "" {
		return f.text("prompt.hidden", nil)
	}
	if r.Raw == "" && r.Command == CommandNotYet {
		return f.text("prompt.not-yet", nil)
	}
	return r.Raw
}
