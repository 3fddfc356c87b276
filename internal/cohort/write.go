package cohort

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"wanderlead/internal/plain"
)

// WriteJSON writes the report as one JSON document.
func (r *Report) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(plain.JSONWriter(w))
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(r)
}

// WriteCSV writes results, items and flags one below the other, each line with what it
// is in its first column.
func (r *Report) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	put := func(cells ...any) {
		row := make([]string, len(cells))
		for i, v := range cells {
			row[i] = fmt.Sprint(v)
			if s, ok := v.(string); ok {
				row[i] = plain.Cell(s)
			}
		}
		_ = c.Write(row)
	}
	put("sort", "candidate", "paper", "setting", "mark", "of", "percent", "meets", "ended", "stops", "stops_that_count", "overrides", "seconds", "extra_minutes", "scripted")
	for _, x := range r.Rows {
		put("result", x.Candidate, x.Paper, x.Setting, x.Mark, x.Of, x.Percent, x.Meets, x.Ended, x.Stops, x.Counts, x.Overrides, x.Seconds, x.Extra, x.Scripted)
	}
	put("sort", "paper", "task", "part", "count", "difficulty", "discrimination", "median_seconds")
	for _, x := range r.Items {
		put("item", x.Paper, x.Task, string(x.Part), x.Count, x.Difficulty, number(x.Discrimination), x.MedianSeconds)
	}
	put("sort", "what", "candidates", "paper", "detail")
	for _, x := range r.Flags {
		put("flag", x.What, strings.Join(x.Candidates, " "), x.Paper, strings.Join(x.Detail, "; "))
	}
	put("sort", "papers", "marks", "observed", "kappa")
	put("agreement", r.Agreement.Papers, r.Agreement.Marks, r.Agreement.Observed, number(r.Agreement.Kappa))
	c.Flush()
	return c.Error()
}

func number(v *float64) string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%g", *v)
}

// WriteText writes the report for reading, at most 80 columns wide where names allow.
func (r *Report) WriteText(w io.Writer) error {
	var err error
	line := func(format string, args ...any) {
		if err == nil {
			_, err = fmt.Fprintln(w, plain.Line(fmt.Sprintf(format, args...)))
		}
	}
	line("Results")
	line("  %-12s %-14s %7s %6s  %-5s %-10s %5s %9s", "candidate", "paper", "marks", "%", "meets", "ended", "stops", "time")
	for _, x := range r.Rows {
		meets := "no"
		if x.Meets {
			meets = "yes"
		}
		line("  %-12s %-14s %3d/%3d %6.1f  %-5s %-10s %2d/%2d %5d:%02d", x.Candidate, x.Paper, x.Mark, x.Of, x.Percent, meets, x.Ended, x.Counts, x.Stops, x.Seconds/60, x.Seconds%60)
	}
	line("")
	line("Items   difficulty: mean share of the marks; discrimination: correlation with the rest")
	for _, x := range r.Items {
		d := "–"
		if x.Discrimination != nil {
			d = fmt.Sprintf("%.2f", *x.Discrimination)
		}
		line("  %-14s %-12s %-15s n %4d  difficulty %.2f  discrimination %5s  median %4.0f s", x.Paper, x.Task, x.Part, x.Count, x.Difficulty, d, x.MedianSeconds)
	}
	if r.Agreement.Papers > 0 {
		k := "not defined"
		if r.Agreement.Kappa != nil {
			k = fmt.Sprintf("%.2f", *r.Agreement.Kappa)
		}
		line("")
		line("Marked twice: %d papers, %d part marks, %.0f %% equal, kappa %s", r.Agreement.Papers, r.Agreement.Marks, float64(100*r.Agreement.Observed), k)
	}
	line("")
	line("To look at. %s", r.Notice)
	for _, f := range r.Flags {
		line("  %s: %s (%s)", strings.Join(f.Candidates, ", "), f.What, f.Paper)
		for _, d := range f.Detail {
			line("    %s", d)
		}
	}
	if len(r.Flags) == 0 {
		line("  nothing")
	}
	return err
}
