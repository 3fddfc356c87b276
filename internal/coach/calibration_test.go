package coach_test

import (
	"strings"
	"testing"

	"wanderlead/internal/coach"
)

func TestLabelIsParted(t *testing.T) {
	for raw, want := range map[string][2]string{
		"2027-01-31":               {"", "2027-01-31"},
		"BY-07 2027-01-31":         {"BY-07", "2027-01-31"},
		"BY-07, 31/01/2027":        {"BY-07", "2027-01-31"},
		"31.1.2027":                {"", "2027-01-31"},
		"07/2026":                  {"", "2026-07-31"},
		"2028-02":                  {"", "2028-02-29"},
		"2027-13-45":               {"2027-13-45", ""},
		"BY-07":                    {"BY-07", ""},
		"MFT-7 31 Jan 2027":        {"MFT-7", "2027-01-31"},
		"4 september 2026":         {"", "2026-09-04"},
		"31 Foo 2027":              {"31 Foo 2027", ""},
		"31/01/27":                 {"31/01/27", ""}, // which century, and which end is the year, is not guessed
		"next June":                {"next June", ""},
		"99/99/9999 then 2/3/2027": {"99/99/9999 then 2/3/2027", ""},
	} {
		if n, u := coach.Label(raw); n != want[0] || u != want[1] {
			t.Errorf("%q: %q and %q, want %q", raw, n, u, want)
		}
	}
}

// TestCalibrationPast: a date that had passed is said and recorded as a doubt, which the supervisor decides at the gate;
// one that cannot be read is not taken; without a day to hold it against nothing is said.
func TestCalibrationPast(t *testing.T) {
	for _, c := range []struct{ today, typed, refused, class string }{
		{"2026-03-10", "2026-03-10", "", "pass"},
		{"2026-03-11", "2026-03-10", "", "doubt"},
		{"2026-03-11", "03/2026", "", "pass"},
		{"", "1999-01-01", "", "pass"},
		{"2026-03-11", "some time next year", "date", ""},
	} {
		setup := training(t, "radial-1")
		setup.Today = c.today
		s := drive(t, setup, func(q coach.Question) bool { return q.ID == "instrument/calibration" })
		next, fb, err := s.Apply(coach.Event{Type: coach.Answer, At: "instrument/calibration", Raw: c.typed})
		if err != nil {
			t.Fatal(err)
		}
		if fb.Refused != c.refused || fb.Class.String() != c.class {
			t.Errorf("%s on %s: refused %q, class %s", c.typed, c.today, fb.Refused, fb.Class)
		}
		if said := len(fb.Notes) > 0 && fb.Notes[0].ID == "calibration-past"; said != (c.class == "doubt") {
			t.Errorf("%s on %s: notes %v", c.typed, c.today, fb.Notes)
		}
		if c.class != "doubt" {
			continue
		}
		atGate := onward(t, next, func(q coach.Question) bool { return strings.HasSuffix(q.ID, "/doubts") })
		if q, _ := atGate.Question(); !strings.Contains(q.Params["list"], "instrument/calibration") {
			t.Errorf("%s on %s: not among the doubts put to the supervisor: %q, %v", c.typed, c.today, q.ID, q.Params)
		}
	}
}
