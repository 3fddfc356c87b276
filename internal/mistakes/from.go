package mistakes

import (
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// Of is the view of a session: its readings as they stand, without what was done.
func Of(st *coach.State) *View {
	prog := st.Program()
	v := &View{Rig: prog.Rig}
	results := st.Results()
	for i := range results {
		r := &results[i]
		e := r.Latest()
		if e == nil || !r.Stands() && r.Class != coach.NotTested && r.Class != coach.Limitation {
			continue
		}
		x := Reading{ID: r.ID, Test: r.Test, Part: r.Part, Read: e.Reading, Verdict: r.Class.String(),
			Skipped: r.Class == coach.NotTested || r.Class == coach.Limitation}
		switch {
		case r.RCD >= 0:
			x.Owner = prog.RCDs[r.RCD].ID
		case r.Circuit >= 0:
			x.Owner = prog.Rig.Circuits[r.Circuit].ID
		}
		if r.Test == safety.TestSwitching || r.Test == safety.TestPolarity {
			x.Read.Raw = e.Raw
		}
		for _, h := range r.History[:len(r.History)-1] {
			if h.How != "correction" {
				x.Earlier = append(x.Earlier, h.Reading)
			}
		}
		if i, ok := st.PartOf(r.ID); ok {
			x.Expect = expected(st.RightReading(i), r.Test, r.Part, e.Reading.Unit)
		}
		x.LimitHi = upper(e.Verdict, st, r)
		v.Readings = append(v.Readings, x)
	}
	return v
}

func expected(raw, test, part string, unit quantity.Unit) quantity.Reading {
	r, err := quantity.ParseSigned(raw, unit)
	if err != nil {
		return quantity.Reading{Raw: raw}
	}
	return r
}

// upper is the least upper limit that bears on a reading.
func upper(verdict *coach.Verdict, st *coach.State, r *coach.Result) float64 {
	if verdict == nil {
		verdict, _ = st.VerdictNow(r)
	}
	best := 0.0
	if verdict == nil {
		return best
	}
	for _, l := range verdict.Limits {
		if l.Bound == "max" && !strings.HasSuffix(l.Name, "_rounded") && l.Unit == verdict.Value.Unit && (best == 0 || l.Value < best) {
			best = l.Value
		}
	}
	return best
}
