package report

import (
	"slices"

	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
)

// The fields of a record's header that a schedule has a place for.
const (
	FieldTestedBy = "tested-by"
	FieldDate     = "date"
)

// InstrumentFields lists the fields of a record's header that name an instrument by
// serial or asset number: one for all functions, or one a function; and the day until
// which its calibration holds.
var InstrumentFields = []string{
	"instrument", "instrument-continuity", "instrument-insulation", "instrument-loop", "instrument-rcd", "instrument-electrode",
	"instrument-calibration",
}

// Meta is what the state of a session does not hold: the header of its record, and
// what was noted beside the readings. Dates are passed on as given.
type Meta struct {
	Edition  string // empty: the name of the state's edition pack
	Scripted bool
	Mode     string
	Created  string
	Closed   string
	Fields   map[string]string
	Remarks  []string
	Accepted []Accept
	// Words is the text catalogue. Without one, ids stand in place of sentences.
	Words *words.Catalogue
}

// MetaOf takes from a record's header what a schedule shows.
func MetaOf(h *journal.Header, w *words.Catalogue) Meta {
	m := Meta{Words: w}
	if h != nil {
		m.Edition, m.Scripted, m.Mode, m.Created, m.Fields = h.Edition, h.Scripted, h.Mode, h.Created, h.Fields
	}
	return m
}

// noted are the fields that a sequence asks for itself, by the id of its question.
var noted = map[string]string{"tested-by": FieldTestedBy, "instrument/number": "instrument", "instrument/calibration": "instrument-calibration"}

// fields joins the header's fields with what was noted in the session, which wins: it
// was typed by the person at the rig.
func fields(m Meta, results []coach.Result) map[string]string {
	out := map[string]string{}
	for k, v := range m.Fields {
		out[k] = v
	}
	for i := range results {
		r := &results[i]
		if r.ID == "instrument/label" && r.Form == sequence.Note && r.Latest() != nil {
			out["instrument"], out["instrument-calibration"] = coach.Label(r.Latest().Raw)
		}
		if f := noted[r.ID]; f != "" && r.Form == sequence.Note && r.Latest() != nil {
			out[f] = r.Latest().Raw
		}
	}
	return out
}

// Note keeps what one event of a replay leaves for the schedule: a remark, or the
// reason with which the supervisor accepted doubts. The session's state forgets the
// reason once the gate is passed; the record does not.
func (m *Meta) Note(before, after *coach.State, ev coach.Event) {
	if ev.Type == coach.Remark && ev.Raw != "" {
		m.Remarks = append(m.Remarks, ev.Raw)
	}
	reason := before.DoubtReason()
	if reason == "" {
		return
	}
	old := before.AcceptedNow()
	q, _ := before.Question()
	for _, id := range after.AcceptedNow() {
		if !slices.Contains(old, id) {
			m.Accepted = append(m.Accepted, Accept{Reading: id, Gate: q.ID, Reason: reason, By: before.Supervisor()})
		}
	}
}
