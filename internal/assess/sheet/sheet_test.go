package sheet

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/journal"
)

func result() *mark.Result {
	return &mark.Result{Candidate: "C-01", Paper: "ring-dead", Setting: "alone", Ended: "complete", Mark: 1, Of: 4, Percent: 25, PassPercent: 60, Assessor: "Ruth Pallister", Instrument: "BY-07",
		Tasks: []mark.TaskMark{{Task: "ends", Title: "Ring, end to end", Of: 4, Mark: 1, Parts: []mark.PartMark{
			{Part: paper.Reading, Of: 2, ByRule: 0, Mark: 1, Override: &mark.Override{Reason: "display seen at 0.40", By: "Ruth Pallister", To: 1},
				Items: []mark.Item{{ID: "ring-1/ends/r1", Entries: []int{31}, Given: "0.99", Reference: "0.40", Why: "wrong", Observed: "not-seen"}}},
			{Part: paper.SetUp, Of: 2, Mark: 2, ByRule: 2, Items: []mark.Item{{ID: "function/ring-1/ends", Entries: []int{29}, Right: true, Why: "right", Given: "low-ohm"}}}}}},
		Halts:     []mark.Halt{{Entry: 18, At: "safety/board/indicator", Act: mark.ActWrongIndicator, Given: "pen", Decision: "put-right", Reason: "shown the proving unit", Decided: 19}},
		Notes:     []mark.Note{{Entry: 30, At: "ring-1/ends", What: "remark", Text: "worked calmly"}},
		NotMarked: []mark.NotMarked{{What: "order", Why: "sequence"}}}
}

// The assessor's sheet has each mark with its entries, rule and override side by side,
// stops with what was decided; the candidate's has their readings against the reference
// and neither the assessor's remarks nor any name but their own id.
func TestSheets(t *testing.T) {
	text := func(id string, _ map[string]string) string { return "<" + id + ">" }
	var full, own bytes.Buffer
	if err := MarkText(&full, text, result(), &journal.Header{Fields: map[string]string{"commitment": "abc"}}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"[entry 31]", "by rule 0, overridden by Ruth Pallister", "display seen at 0.40", "reference 0.40", "(not observed)", "entry 18", "entry 19",
		"<assess.act.wrong-indicator>", "worked calmly", "<sheet.not-marked.head>", "<sheet.not-marked.order.sequence>", "does not meet", "Sum 1 of 4, 25.0 %", Notice} {
		if !strings.Contains(full.String(), want) {
			t.Errorf("the mark sheet lacks %q:\n%s", want, full.String())
		}
	}
	f := FeedbackOf(result())
	if err := FeedbackText(&own, text, f); err != nil {
		t.Fatal(err)
	}
	js, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{own.String(), string(js)} {
		for _, bad := range []string{"Pallister", "worked calmly", "shown the proving unit"} {
			if strings.Contains(out, bad) {
				t.Errorf("the feedback holds %q:\n%s", bad, out)
			}
		}
		for _, want := range []string{"ring-1/ends/r1", "0.99", "0.40", "set-up", "reading"} {
			if !strings.Contains(out, want) {
				t.Errorf("the feedback lacks %q:\n%s", want, out)
			}
		}
	}
}
