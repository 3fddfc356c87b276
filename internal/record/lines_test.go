package record

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
)

// TestEveryLimitIsRecorded: a verdict that bears on several limits keeps all of them, with where each comes from.
func TestEveryLimitIsRecorded(t *testing.T) {
	v := &judge.Verdict{Reasons: []judge.Reason{{ID: "insulation-good"}}, Limits: []judge.Limit{
		{Name: "ir_min", Value: 1, Unit: quantity.Megohm, Bound: "min", Source: "table one", Status: edition.Confirmed},
		{Name: "ir_advice", Value: 2, Unit: quantity.Megohm, Bound: "min", Source: "a guide", Status: edition.Confirmed},
	}}
	g := Given(coach.Feedback{Judged: []coach.Judged{{Part: "c/insulation/L-E", Parts: []string{"L-E"}, Class: coach.Pass, Verdict: v}}}, "e")[0]
	if want := "ir_min min 1 MΩ; ir_advice min 2 MΩ"; g.Limit != want {
		t.Errorf("limit %q, want %q", g.Limit, want)
	}
	if g.Params["limit_source"] != "table one; a guide" || g.Params["limit_status"] != "confirmed" {
		t.Errorf("source %q, status %q", g.Params["limit_source"], g.Params["limit_status"])
	}
	if g.Params["parts"] != "" {
		t.Errorf("one reading needs no list of parts: %q", g.Params["parts"])
	}
}

// TestPartsAreRecorded: a reason why not stands for a row, and a verdict for a group; the record names what each covers.
func TestPartsAreRecorded(t *testing.T) {
	row := []string{"s1", "s2", "s3"}
	g := Given(coach.Feedback{Class: coach.Limitation, Done: &coach.Done{Test: "continuity", Parts: row}}, "e")[0]
	if g.Verdict != "limitation" || g.Params["parts"] != "s1 s2 s3" {
		t.Errorf("%s covers %q", g.Verdict, g.Params["parts"])
	}
	lines := Given(coach.Feedback{Done: &coach.Done{Test: "ends", Parts: []string{"r1", "rn", "r2", "x"}}, Judged: []coach.Judged{
		{Part: "c/ends/r1", Parts: []string{"r1", "rn", "r2"}, Class: coach.Pass}, {Part: "c/x", Parts: []string{"x"}, Class: coach.Pass}}}, "e")
	if lines[0].Params["parts"] != "r1 rn r2" || lines[1].Params["parts"] != "" {
		t.Errorf("%q and %q", lines[0].Params["parts"], lines[1].Params["parts"])
	}
}
