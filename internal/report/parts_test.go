package report

import (
	"strings"
	"testing"

	"wanderlead/internal/sequence"
)

// Parts say what Text says: every line that is no row of a table, and every cell of
// those that are. Of the tables the text has less.
func TestPartsSayWhatTheTextSays(t *testing.T) {
	m := loftMeta(t)
	s := Build(loft(t, sequence.Measured, "bs7671-2018-a4", &m, story...), m)
	var all []string
	for _, p := range s.Parts() {
		all = append(all, strings.ToUpper(p.Head))
		for _, it := range p.Items {
			all = append(all, it.Label+" "+it.Text)
		}
		all = append(all, p.Heads...)
		all = append(all, p.Lines...)
		for _, row := range p.Rows {
			if len(row) != len(p.Heads) {
				t.Fatalf("%s: %d cells under %d heads", p.Head, len(row), len(p.Heads))
			}
			for _, e := range row {
				all = append(all, e.Text)
			}
		}
	}
	got := strings.Join(strings.Fields(strings.Join(all, " ")), " ")
	lines := strings.Split(s.Text(partsWidth), "\n")
	dead := 0
	for _, line := range lines[3:] {
		line = strings.Join(strings.Fields(strings.TrimPrefix(line, "- ")), " ")
		if line == "DEAD TESTS" || line == "LIVE TESTS" || strings.HasPrefix(line, "---") {
			dead++
			continue
		}
		if strings.Contains(got, line) {
			continue
		}
		for _, cell := range strings.Fields(line) {
			if !strings.Contains(got, cell) {
				t.Errorf("%q of the line %q is in no part", cell, line)
			}
		}
	}
	if dead < 4 || len(lines) < 40 {
		t.Fatalf("the text has %d lines and %d table marks; it is not what this test takes it for", len(lines), dead)
	}
	for _, want := range []string{"211", "1.4?", "lim", "first 5.2"} {
		if !strings.Contains(got, want) {
			t.Errorf("no part has %q", want)
		}
	}
}

func TestBlankPartsHoldNoReading(t *testing.T) {
	m := loftMeta(t)
	st := start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), sequence.Measured, "bs7671-2018-a4")
	parts := Build(st, m).BlankParts()
	results := parts[1]
	empty := 0
	for _, row := range results.Rows {
		for i, e := range row[1:] {
			switch e.Text {
			case "":
				empty++
			case "n/a":
			default:
				if results.Heads[i+1] != "max Zs Ω" {
					t.Errorf("%s: %q in a blank schedule", results.Heads[i+1], e.Text)
				}
			}
		}
	}
	if empty < 20 || parts[0].Rows[0][1].Text == "" {
		t.Fatalf("%d empty cells; first circuit %v", empty, parts[0].Rows[0])
	}
}
