package coach

import (
	"regexp"
	"strings"
	"time"

	"wanderlead/internal/sequence"
)

// The notes that hold the day until which the instrument's calibration holds: alone, or
// behind its number on one line.
const (
	noteCalibration = "instrument/calibration"
	noteLabel       = "instrument/label"
)

// datesCalibration reports whether a note carries that day.
func datesCalibration(id string) bool { return id == noteCalibration || id == noteLabel }

// dates are the ways in which a label gives a day, and what is shown of it. A month alone
// holds until its end.
var dates = []struct {
	shape  *regexp.Regexp
	layout string
	month  bool
}{
	{regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`), "2006-01-02", false},
	{regexp.MustCompile(`\b\d{1,2}/\d{1,2}/\d{4}\b`), "2/1/2006", false},
	{regexp.MustCompile(`\b\d{1,2}\.\d{1,2}\.\d{4}\b`), "2.1.2006", false},
	{regexp.MustCompile(`\b\d{1,2} [A-Za-z]{3} \d{4}\b`), "2 Jan 2006", false},
	{regexp.MustCompile(`\b\d{1,2} [A-Za-z]{3,9} \d{4}\b`), "2 January 2006", false},
	{regexp.MustCompile(`\b\d{4}-\d{2}\b`), "2006-01", true},
	{regexp.MustCompile(`\b\d{1,2}/\d{4}\b`), "1/2006", true},
}

// Label parts what was typed off an instrument's label into its number and the day until
// which its calibration holds, as year-month-day; until is empty where no day can be read.
func Label(raw string) (number, until string) {
	for _, d := range dates {
		at := d.shape.FindStringIndex(raw)
		if at == nil {
			continue
		}
		day, err := time.Parse(d.layout, raw[at[0]:at[1]])
		if err != nil {
			continue
		}
		if d.month {
			day = day.AddDate(0, 1, -1)
		}
		return strings.Trim(raw[:at[0]], " ,;:\t"), day.Format(time.DateOnly)
	}
	return strings.TrimSpace(raw), ""
}

// noteWrong is the id of why a note cannot be taken; empty when it can.
func (s *State) noteWrong(id, raw string) string {
	number, until := Label(raw)
	switch {
	case !isNote(raw):
		return "note"
	case datesCalibration(id) && until == "", id == noteLabel && !isNote(number):
		return "date"
	case id == "tested-by" && strings.EqualFold(raw, s.supervisor):
		return "own-supervisor"
	}
	return ""
}

// noteVerdict takes a note as it is, but for a calibration that had run out on the day the
// session began: the supervisor decides whether readings of that instrument may count.
func (s *State) noteVerdict(part int) (Class, *Verdict, []Note) {
	if _, until := Label(s.latest[part].Raw); datesCalibration(s.pl.parts[part].id) && s.today != "" && until < s.today {
		return Doubt, nil, []Note{{"calibration-past", params("until", until, "today", s.today)}}
	}
	return Pass, nil, nil
}

// dated lists the parts of a step that say until when the instrument can be relied on: in
// doubt, they go to the supervisor with the readings.
func (pl *plan) dated(i int) bool {
	st := &pl.p.Steps[i]
	return st.Form == sequence.Note && datesCalibration(st.ID)
}
