package handout

import (
	"strconv"

	"wanderlead/internal/learner"
	"wanderlead/internal/pdf"
)

// Progress is what is remembered of a learner's study sessions. Tests are listed in
// the order given; title names a usual mistake by its id.
func Progress(m *learner.Memory, tests []string, today string, title func(id string) string, t Text) pdf.Sheet {
	out := t.begin("progress", today+"T00:00:00Z")
	out.Stamp = t.say("sheet.stamp.simulated")
	out.Foot = t.say("sheet.progress.foot", "learner", m.Learner, "date", today)
	out.Blocks = append(out.Blocks, pdf.Box(out.Not), pdf.Items{
		{Label: t.say("sheet.progress.learner"), Text: m.Learner},
	})
	tab := pdf.Table{Columns: heads(t.heads("progress", "test", "right", "wrong", "hints", "last", "due"), 0)}
	for _, test := range tests {
		x, known := m.Topics[test]
		if !known || x.Last == "" {
			tab.Rows = append(tab.Rows, pdf.Cells(t.say("test."+test), "", "", "", t.say("sheet.progress.never"), ""))
			continue
		}
		row := pdf.Cells(t.say("test."+test), strconv.Itoa(x.Right), strconv.Itoa(x.Wrong), strconv.Itoa(x.Hints), x.Last, x.Due)
		row[5].Strong = x.Due <= today
		tab.Rows = append(tab.Rows, row)
	}
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.progress.tests")), tab, pdf.Para(t.say("progress.method")))
	var mistakes pdf.List
	for _, id := range m.Recurring() {
		mistakes = append(mistakes, t.say("sheet.progress.mistake", "times", strconv.Itoa(m.Mistakes[id].Times), "title", title(id), "last", m.Mistakes[id].Last))
	}
	if len(mistakes) > 0 {
		out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.progress.mistakes")), mistakes)
	}
	if len(m.Sessions) == 0 {
		return out
	}
	sessions := pdf.Table{Columns: heads(t.heads("progress", "day", "rig", "sequence", "ended", "right", "wrong", "found"), 1, 2)}
	for _, s := range m.Sessions {
		right, wrong := 0, 0
		for _, p := range s.Practised {
			right, wrong = right+p.Right, wrong+p.Wrong
		}
		sessions.Rows = append(sessions.Rows, pdf.Cells(s.Day, s.Rig, s.Sequence, s.Ended, strconv.Itoa(right), strconv.Itoa(wrong), strconv.Itoa(s.Findings)))
	}
	out.Blocks = append(out.Blocks, pdf.Heading(t.say("sheet.progress.sessions")), sessions)
	return out
}
