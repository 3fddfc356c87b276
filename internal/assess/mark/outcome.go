package mark

import (
	"strings"
	"time"

	"wanderlead/internal/journal"
)

// times adds up the seconds that went into each part, from one entry to the next while
// the clock ran, and the whole.
func (m *Marker) times(r *Result, es []entry) {
	running, started := false, false
	var last time.Time
	for i := range es {
		e := &es[i]
		if running && e.when.After(last) && e.typ != journal.TypeResume {
			d := int(e.when.Sub(last) / time.Second)
			r.UsedSeconds += d
			if tp, ok := m.plan.taskOf[e.at]; ok {
				for j := range r.Tasks[tp.task].Parts {
					if p := &r.Tasks[tp.task].Parts[j]; p.Part == tp.part {
						p.Seconds += d
					}
				}
			}
		}
		last = e.when
		r.Late = r.Late || e.verdict == "late"
		switch {
		case e.at == "assessor/name" && e.typ == journal.TypeAnswer && e.verdict == "taken":
			r.Assessor = e.raw
		case e.at == "assessor/code" && e.verdict == "taken":
			running, started = true, true
		case e.verdict == "halt", e.typ == journal.TypePause:
			running = false
		case e.typ == journal.TypeResume, e.typ == journal.TypeDecide && e.verdict == "taken":
			running = started
		}
	}
}

func (r *Result) halts(es []entry) {
	for i := range es {
		e := &es[i]
		switch {
		case e.verdict == "halt":
			act := Act(e.typ, e.at, e.raw)
			if e.came["lacked"] != "" {
				act = ActAtBench(e.typ, e.at, e.raw, e.came["wanted"], strings.Fields(e.came["lacked"]))
			}
			r.Halts = append(r.Halts, Halt{Entry: e.seq, At: e.at, Act: act, Given: e.raw})
		case e.typ == journal.TypeDecide && e.verdict == "taken" && len(r.Halts) > 0:
			h := &r.Halts[len(r.Halts)-1]
			h.Decision, h.Reason, h.Decided = e.params["decision"], e.raw, e.seq
			h.Counts = h.Decision == "put-right-counts" || h.Decision == "end"
		}
	}
}

// instrument takes number and calibration from what was said, where they were not known beforehand.
func (r *Result) instrument(es []entry) {
	for i := range es {
		e := &es[i]
		if e.typ != journal.TypeAnswer || e.verdict != "taken" {
			continue
		}
		switch {
		case e.at == "instrument/number" && r.Instrument == "":
			r.Instrument = e.raw
		case e.at == "instrument/calibration" && r.Calibration == "":
			r.Calibration = e.raw
		case e.at == "instrument/label" && r.Instrument == "":
			r.Instrument = e.raw // number and date in one
		}
	}
}

func (r *Result) notes(es []entry) {
	for i := range es {
		e := &es[i]
		switch e.typ {
		case journal.TypeRemark:
			r.Notes = append(r.Notes, Note{e.seq, e.at, "remark", e.raw})
		case journal.TypeObserve:
			r.Notes = append(r.Notes, Note{e.seq, e.at, e.raw, ""})
		}
	}
}
