package handout

import (
	"fmt"
	"strconv"
	"strings"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/sheet"
	"wanderlead/internal/edition"
	"wanderlead/internal/journal"
	"wanderlead/internal/pdf"
	"wanderlead/internal/rig"
)

// Marks is the assessor's mark sheet: every mark with the entries of the record that
// it rests on. The rule is printed with it.
func Marks(r *mark.Result, h *journal.Header, t Text) pdf.Sheet {
	out := t.begin("marks", h.Created)
	if r.Scripted {
		out.Stamp = t.say("sheet.stamp.rehearsal")
	}
	out.Foot = t.say("sheet.marks.foot", "candidate", r.Candidate, "paper", r.Paper, "session", r.Session, "rule", r.Rule)
	extra := ""
	if r.Extra > 0 {
		extra = strconv.Itoa(r.Extra)
	}
	meets := t.say("sheet.marks.meets-not")
	if r.Meets {
		meets = t.say("sheet.marks.meets")
	}
	out.Blocks = append(out.Blocks, pdf.Box(out.Not), pdf.Items{
		{Label: t.say("sheet.marks.candidate"), Text: r.Candidate},
		{Label: t.say("sheet.marks.paper"), Text: join(", ", r.Paper, r.Setting)},
		{Label: t.say("report.board.edition"), Text: r.Edition},
		{Label: t.say("sheet.marks.assessor"), Text: r.Assessor},
		{Label: t.say("report.board.instrument"), Text: join(", ", r.Instrument, r.Calibration)},
		{Label: t.say("sheet.marks.time"), Text: t.say("sheet.marks.time.text", "used", minutes(r.UsedSeconds), "allowed", minutes(r.Allowed), "extra", extra, "ended", r.Ended)},
		{Label: t.say("sheet.marks.commitment"), Text: h.Fields["commitment"]},
		{Label: t.say("sheet.marks.sum"), Text: t.say("sheet.marks.sum.text", "mark", strconv.Itoa(r.Mark), "of", strconv.Itoa(r.Of),
			"percent", fmt.Sprintf("%.1f", r.Percent), "asked", strconv.Itoa(r.PassPercent))},
		{Label: t.say("sheet.marks.outcome"), Text: meets},
	})
	for i := range r.Tasks {
		out.Blocks = append(out.Blocks, taskBlocks(&r.Tasks[i], t)...)
	}
	out.Blocks = append(out.Blocks, haltBlocks(r, t)...)
	if len(r.NotMarked) > 0 {
		var list pdf.List
		for _, n := range r.NotMarked {
			list = append(list, t.say("sheet.not-marked."+n.What+"."+n.Why))
		}
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.not-marked.head")), list)
	}
	if len(r.Notes) > 0 {
		var notes pdf.List
		for _, n := range r.Notes {
			notes = append(notes, t.say("sheet.marks.note", "entry", strconv.Itoa(n.Entry), "at", n.At, "what", n.What, "text", n.Text))
		}
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.marks.notes")), notes)
	}
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.marks.rule")))
	for _, p := range strings.Split(strings.TrimSpace(mark.RuleText), "\n\n") {
		out.Blocks = append(out.Blocks, ruleBlock(p))
	}
	return out
}

// ruleBlock sets a paragraph of the rule; its list of parts stays a list.
func ruleBlock(p string) pdf.Block {
	if !strings.HasPrefix(p, "  ") {
		return pdf.Para(p)
	}
	var items pdf.List
	for _, line := range strings.Split(p, "\n") {
		if text := strings.TrimSpace(line); len(line)-len(strings.TrimLeft(line, " ")) > 2 && len(items) > 0 {
			items[len(items)-1] += " " + text
		} else if name, rest, ok := strings.Cut(text, "  "); ok {
			items = append(items, name+": "+strings.TrimSpace(rest))
		} else {
			items = append(items, text)
		}
	}
	return items
}

func minutes(seconds int) string { return fmt.Sprintf("%d:%02d", seconds/60, seconds%60) }

func taskBlocks(task *mark.TaskMark, t Text) []pdf.Block {
	tab := pdf.Table{Columns: heads(t.heads("marks", "part", "marks", "item", "given", "reference", "how", "entries", "seen"), 2, 3, 4)}
	var overrides pdf.List
	for _, m := range task.Parts {
		part, marks := t.say("sheet.part."+string(m.Part)), strconv.Itoa(m.Mark)+"/"+strconv.Itoa(m.Of)
		if o := m.Override; o != nil {
			marks += "*"
			overrides = append(overrides, t.say("sheet.marks.override", "part", part, "rule", strconv.Itoa(m.ByRule), "by", o.By, "time", o.Time, "reason", o.Reason))
		}
		for _, it := range m.Items {
			reference := it.Reference
			if m.Part == paper.Record || it.Right {
				reference = ""
			}
			row := pdf.Cells(part, marks, it.ID, it.Given, reference, t.say("sheet.how."+it.Why), numbers(it.Entries), seen(it.Observed, t))
			row[5].Strong = !it.Right
			tab.Rows = append(tab.Rows, row)
			part, marks = "", ""
		}
	}
	head := t.say("sheet.marks.task", "title", task.Title, "mark", strconv.Itoa(task.Mark), "of", strconv.Itoa(task.Of), "time", minutes(task.Seconds))
	out := []pdf.Block{pdf.Heading(head), tab}
	if len(overrides) > 0 {
		out = append(out, overrides)
	}
	return out
}

func numbers(ns []int) string {
	var out []string
	for _, n := range ns {
		out = append(out, strconv.Itoa(n))
	}
	return strings.Join(out, ", ")
}

func seen(observed string, t Text) string {
	if observed == "" {
		return ""
	}
	return t.say("sheet.seen." + observed)
}

func haltBlocks(r *mark.Result, t Text) []pdf.Block {
	if len(r.Halts) == 0 {
		return nil
	}
	tab := pdf.Table{Columns: heads(t.heads("halts", "entry", "at", "given", "act", "decision", "reason"), 1, 2, 3, 4, 5)}
	for _, s := range r.Halts {
		act, decision := t.say("sheet.halts.no-act"), ""
		if s.Act != "" {
			act = t.say("assess.act." + s.Act)
		}
		if s.Decision != "" {
			decision = t.say("sheet.halts.decided", "entry", strconv.Itoa(s.Decided), "text", t.say("assess.decide."+s.Decision))
		}
		row := pdf.Cells(strconv.Itoa(s.Entry), s.At, s.Given, act, decision, s.Reason)
		row[3].Strong = s.Counts
		tab.Rows = append(tab.Rows, row)
	}
	return []pdf.Block{pdf.Heading(t.say("sheet.halts.head")), tab}
}

// Feedback is what a candidate gets: their own record only. Readings round a ring of the
// rig are drawn as well.
func Feedback(f *sheet.Feedback, h *journal.Header, r *rig.Rig, pack *edition.Pack, t Text) pdf.Sheet {
	out := t.begin("feedback", h.Created)
	if f.Scripted {
		out.Stamp = t.say("sheet.stamp.rehearsal")
	}
	out.Foot = t.say("sheet.feedback.foot", "candidate", f.Candidate, "paper", f.Paper)
	out.Blocks = append(out.Blocks, pdf.Box(out.Not), pdf.Items{
		{Label: t.say("sheet.marks.candidate"), Text: f.Candidate},
		{Label: t.say("sheet.marks.paper"), Text: f.Paper},
		{Label: t.say("sheet.marks.sum"), Text: t.say("sheet.feedback.sum", "mark", strconv.Itoa(f.Mark), "of", strconv.Itoa(f.Of), "percent", fmt.Sprintf("%.1f", f.Percent))},
	})
	if len(f.Well) > 0 {
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.feedback.well")), pdf.List(f.Well))
	}
	if len(f.Practise) > 0 {
		tab := pdf.Table{Columns: heads(t.heads("feedback", "task", "part", "items"), 0, 2)}
		for _, p := range f.Practise {
			tab.Rows = append(tab.Rows, pdf.Cells(p.Task, t.say("sheet.part."+p.Part), strings.Join(p.Items, "; ")))
		}
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.feedback.practise")), tab)
	}
	if len(f.Stops) > 0 {
		var acts pdf.List
		for _, s := range f.Stops {
			acts = append(acts, t.say("assess.act."+s))
		}
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.feedback.stops")), acts)
	}
	if len(f.Readings) > 0 {
		tab := pdf.Table{Columns: heads(t.heads("feedback", "reading", "yours", "reference", "within"), 0)}
		for _, c := range f.Readings {
			within := t.say("sheet.feedback.no")
			if c.Right {
				within = t.say("sheet.feedback.yes")
			}
			row := pdf.Cells(c.ID, c.Given, c.Reference, within)
			row[3].Strong = !c.Right
			tab.Rows = append(tab.Rows, row)
		}
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.feedback.readings")), tab)
	}
	if rings := feedbackRings(f, r, pack, t); len(rings) > 0 {
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.ring.head")), rings)
	}
	return out
}
