// Package sheet writes the mark sheet for the assessor and the feedback for the
// candidate, as text and as JSON.
package sheet

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/journal"
	"wanderlead/internal/plain"
)

// Notice stands on every sheet.
const Notice = "Marks of a training exercise. They certify no person and no installation."

// Text gives words by id.
type Text func(id string, params map[string]string) string

// WriteJSON writes a value as one JSON document.
func WriteJSON(w io.Writer, v any) error {
	e := json.NewEncoder(plain.JSONWriter(w))
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

type page struct {
	w   io.Writer
	err error
}

func (p *page) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, plain.Line(fmt.Sprintf(format, args...)))
	}
}

// MarkText writes the mark sheet: every mark with the entries it rests on.
func MarkText(w io.Writer, text Text, r *mark.Result, h *journal.Header) error {
	p := &page{w: w}
	p.line("Mark sheet. %s", Notice)
	if r.Scripted {
		p.line("REHEARSAL: the answers came from a file.")
	}
	p.line("Candidate %s   paper %s   setting %s   edition %s", r.Candidate, r.Paper, r.Setting, r.Edition)
	p.line("Session %s   instrument %s   calibration %s   assessor %s", r.Session, or(r.Instrument), or(r.Calibration), or(r.Assessor))
	p.line("Time %s of %s, %d min extra; ended: %s", minutes(r.UsedSeconds), minutes(r.Allowed), r.Extra, r.Ended)
	p.line("Commitment %s   rule %s", h.Fields["commitment"], r.Rule)
	for _, t := range r.Tasks {
		p.line("")
		p.line("%s   %d of %d   %s", t.Title, t.Mark, t.Of, minutes(t.Seconds))
		for _, m := range t.Parts {
			p.part(&m)
		}
	}
	p.halts(text, r)
	for i, n := range r.Notes {
		if i == 0 {
			p.line("")
			p.line("%s", text("sheet.marks.notes", nil))
		}
		p.line("  entry %d  %s  %s %s", n.Entry, n.At, n.What, n.Text)
	}
	for i, n := range r.NotMarked {
		if i == 0 {
			p.line("")
			p.line("%s", text("sheet.not-marked.head", nil))
		}
		p.line("  %s", text("sheet.not-marked."+n.What+"."+n.Why, nil))
	}
	p.line("")
	p.line("Sum %d of %d, %.1f %%. The paper asks for %d %%.", r.Mark, r.Of, r.Percent, r.PassPercent)
	if r.Meets {
		p.line("The candidate meets the paper.")
	} else {
		p.line("The candidate does not meet the paper.")
	}
	return p.err
}

func (p *page) part(m *mark.PartMark) {
	p.line("  %-15s %d of %d", m.Part, m.Mark, m.Of)
	if o := m.Override; o != nil {
		p.line("    by rule %d, overridden by %s on %s: %s", m.ByRule, o.By, o.Time, o.Reason)
	}
	for _, it := range m.Items {
		var e []string
		for _, n := range it.Entries {
			e = append(e, fmt.Sprint(n))
		}
		line := fmt.Sprintf("    %-9s %s: %s", it.Why, it.ID, or(it.Given))
		if m.Part != paper.Record && it.Reference != "" && !it.Right {
			line += ", reference " + it.Reference
		}
		if len(e) > 0 {
			line += "  [entry " + strings.Join(e, ", ") + "]"
		}
		if it.Observed != "" {
			line += "  (" + strings.ReplaceAll(it.Observed, "not-seen", "not observed") + ")"
		}
		p.line("%s", line)
	}
}

func (p *page) halts(text Text, r *mark.Result) {
	for i, s := range r.Halts {
		if i == 0 {
			p.line("")
			p.line("Stops")
		}
		act := "not on the list of critical acts"
		if s.Act != "" {
			act = text("assess.act."+s.Act, nil)
		}
		p.line("  entry %d  %s: %q: %s", s.Entry, s.At, s.Given, act)
		if s.Decision != "" {
			p.line("    entry %d  decided: %s. %s", s.Decided, text("assess.decide."+s.Decision, nil), s.Reason)
		}
	}
}

func minutes(seconds int) string { return fmt.Sprintf("%d:%02d min", seconds/60, seconds%60) }

func or(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// Compared is one reading of the candidate beside the reference reading.
type Compared struct {
	ID        string `json:"id"`
	Given     string `json:"given"`
	Reference string `json:"reference"`
	Right     bool   `json:"right"`
}

// Feedback is what a candidate gets: their own record only.
type Feedback struct {
	Candidate string     `json:"candidate"`
	Paper     string     `json:"paper"`
	Mark      int        `json:"mark"`
	Of        int        `json:"of"`
	Percent   float64    `json:"percent"`
	Meets     bool       `json:"meets"`
	Well      []string   `json:"went_well"`
	Practise  []Practise `json:"to_practise"`
	Readings  []Compared `json:"readings"`
	Stops     []string   `json:"stops"` // critical acts by id
	Notice    string     `json:"notice"`
	Scripted  bool       `json:"scripted"`
}

// Practise is one thing to practise, with what of it did not come out right.
type Practise struct {
	Task  string   `json:"task"`
	Part  string   `json:"part"`
	Items []string `json:"items"`
}

// FeedbackOf makes the candidate's feedback of a result.
func FeedbackOf(r *mark.Result) *Feedback {
	f := &Feedback{Candidate: r.Candidate, Paper: r.Paper, Mark: r.Mark, Of: r.Of, Percent: r.Percent, Meets: r.Meets,
		Well: []string{}, Practise: []Practise{}, Readings: []Compared{}, Stops: []string{}, Notice: Notice, Scripted: r.Scripted}
	for _, t := range r.Tasks {
		for _, p := range t.Parts {
			if p.Mark == p.Of {
				f.Well = append(f.Well, t.Title+": "+string(p.Part))
			} else {
				pr := Practise{Task: t.Title, Part: string(p.Part), Items: []string{}}
				for _, it := range p.Items {
					if !it.Right {
						pr.Items = append(pr.Items, it.ID+": "+it.Why+how(p.Part, it.Given))
					}
				}
				f.Practise = append(f.Practise, pr)
			}
			if p.Part == paper.Reading {
				for _, it := range p.Items {
					f.Readings = append(f.Readings, Compared{it.ID, it.Given, it.Reference, it.Right})
				}
			}
		}
	}
	for _, h := range r.Halts {
		if h.Act != "" {
			f.Stops = append(f.Stops, h.Act)
		}
	}
	return f
}

// how says what was done where the readings at the end do not show it.
func how(part paper.Part, given string) string {
	switch part {
	case paper.SetUp, paper.Connection, paper.Reinstatement, paper.Order, paper.Interpretation:
		if given != "" {
			return " (" + given + ")"
		}
	}
	return ""
}

// FeedbackText writes the candidate's feedback.
func FeedbackText(w io.Writer, text Text, f *Feedback) error {
	p := &page{w: w}
	p.line("Feedback for %s, paper %s. %s", f.Candidate, f.Paper, f.Notice)
	if f.Scripted {
		p.line("REHEARSAL: the answers came from a file.")
	}
	p.line("%d of %d marks, %.1f %%.", f.Mark, f.Of, f.Percent)
	p.list("What went well", f.Well)
	var todo []string
	for _, x := range f.Practise {
		todo = append(todo, x.Task+", "+x.Part)
		for _, it := range x.Items {
			todo = append(todo, "  "+it)
		}
	}
	p.list("What to practise", todo)
	var stops []string
	for _, s := range f.Stops {
		stops = append(stops, text("assess.act."+s, nil))
	}
	p.list("You were stopped for", stops)
	p.line("")
	p.line("%-36s %-10s %s", "Reading", "yours", "reference")
	for _, c := range f.Readings {
		p.line("%-36s %-10s %s", c.ID, or(c.Given), c.Reference)
	}
	return p.err
}

func (p *page) list(title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	p.line("")
	p.line("%s", title)
	for _, l := range lines {
		p.line("  %s", l)
	}
}
