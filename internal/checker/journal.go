package checker

import (
	"strings"

	"wanderlead/internal/journal"
)

// FromJournal reads the events of a record with what was given for each.
func FromJournal(lines []journal.Line) []Line {
	var out []Line
	for _, l := range lines {
		switch {
		case l.Said != nil:
			out = append(out, Line{Type: l.Said.Type, At: l.Said.At, Raw: l.Said.Raw, Params: map[string]string{}})
		case l.Gave != nil && len(out) > 0:
			out[len(out)-1].Give(l.Gave.Given)
		}
	}
	return out
}

// Give adds what was given for the event of a line.
func (l *Line) Give(g journal.Given) {
	if l.Params == nil {
		l.Params = map[string]string{}
	}
	if l.Verdict == "" {
		l.Verdict, l.Rule = g.Verdict, g.Rule
	}
	for k, v := range g.Params {
		l.Params[k] = v
	}
	for _, f := range g.Feedback {
		if f.ID == "reopened" {
			l.Params["reopened"] += f.Params["item"] + " "
		}
	}
	if g.At != "" && !strings.HasSuffix(g.At, "/decide") {
		l.Judged = append(l.Judged, Judged{At: g.At, Class: g.Verdict})
	}
}
