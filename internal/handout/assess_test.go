package handout

import (
	"strings"
	"testing"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/sheet"
	"wanderlead/internal/journal"
	"wanderlead/internal/pdf"
)

func marked() *mark.Result {
	return &mark.Result{Candidate: "C-01", Paper: "ring-dead", Setting: "alone", Ended: "complete", Mark: 1, Of: 4, Percent: 25, PassPercent: 60, Assessor: "Ruth Pallister", Instrument: "BY-07",
		Edition: "bs7671-2018-a4", Session: "5f", Rule: mark.Rule, UsedSeconds: 1230, Allowed: 2400, Scripted: true,
		Tasks: []mark.TaskMark{{Task: "ends", Title: "Ring, end to end", Of: 4, Mark: 1, Parts: []mark.PartMark{
			{Part: paper.Reading, Of: 2, ByRule: 0, Mark: 1, Override: &mark.Override{Reason: "display seen at 0.40", By: "Ruth Pallister", Time: "2026-03-10T12:00:00Z", To: 1},
				Items: []mark.Item{{ID: "ring-1/ends/r1", Entries: []int{31, 44}, Given: "0.99", Reference: "0.40", Why: "wrong", Observed: "not-seen"}}},
			{Part: paper.SetUp, Of: 2, Mark: 2, ByRule: 2, Items: []mark.Item{{ID: "function/ring-1/ends", Entries: []int{29}, Right: true, Why: "right", Given: "low-ohm"}}}}}},
		Halts:     []mark.Halt{{Entry: 18, At: "safety/board/indicator", Act: mark.ActWrongIndicator, Given: "pen", Decision: "put-right", Reason: "shown the proving unit", Decided: 19}},
		Notes:     []mark.Note{{Entry: 30, At: "ring-1/ends", What: "remark", Text: "worked calmly"}},
		NotMarked: []mark.NotMarked{{What: "order", Why: "sequence"}, {What: "inspection", Why: "bench"}, {What: "inspection", Why: "paper"}}}
}

func TestMarkSheet(t *testing.T) {
	say, _ := written(t)
	h := &journal.Header{Created: "2026-03-10T09:00:00Z", Fields: map[string]string{"commitment": "abcdef"}}
	pages := read(t, "marks", Marks(marked(), h, say))
	want := []string{"C-01", "ring-dead", "Ruth Pallister", "BY-07", "abcdef", "20:30 of 40:00", "1 of 4, 25.0 %", "asks for 60 %", "does not meet", "ring-1/ends/r1", "0.99", "0.40",
		"31,44", "not observed", "1/2*", "display seen at 0.40", "entry 19", "shown the proving unit", "worked calmly", "REHEARSAL", "the sequence gives the order", "nothing to look at", "no task of this paper"}
	if m := missing(pages, append(want, strings.ReplaceAll(mark.RuleText, "    ", " "))...); len(m) > 0 {
		t.Errorf("%q are not on the mark sheet", m)
	}
	// Parts without a text of their own would show as an id.
	for _, p := range paper.Parts {
		if text := say("sheet.part."+string(p), nil); text == "" || strings.HasPrefix(text, "sheet.") {
			t.Errorf("the part %s has no name", p)
		}
	}
}

// The candidate's sheet has neither the assessor's remarks nor any name but their own.
func TestFeedbackSheet(t *testing.T) {
	say, _ := written(t)
	k := kit(t, "lesson-ring", "training-bay")
	m := marked()
	part := &m.Tasks[0].Parts[0]
	for i, x := range []string{"ends/rn=0.39", "ends/r2=0.65", "crossed-line-cpc/s1=0.25", "crossed-line-cpc/s2=0.25", "crossed-line-cpc/s3=0.31", "crossed-line-cpc/s4=0.26"} {
		id, value, _ := strings.Cut(x, "=")
		part.Items = append(part.Items, mark.Item{ID: "ring-1/" + id, Entries: []int{50 + i}, Given: value, Reference: value, Right: true, Why: "right"})
	}
	pages := read(t, "feedback", Feedback(sheet.FeedbackOf(m), &journal.Header{Created: "2026-03-10T09:00:00Z"}, k.Rig, k.Pack, say))
	if m := missing(pages, "Readings round each ring", "bench sockets", "0.31", "is accepted", "C-01", "ring-1/ends/r1", "0.99", "0.40", "set-up", "REHEARSAL"); len(m) > 0 {
		t.Errorf("%q are not on the feedback", m)
	}
	all := pdf.Clean(strings.Join(pages, " "))
	for _, bad := range []string{"Pallister", "calmly", "shown the proving"} {
		if strings.Contains(all, bad) {
			t.Errorf("the feedback holds %q", bad)
		}
	}
}
