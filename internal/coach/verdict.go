package coach

import (
	"strings"

	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Verdict is what the judge says about a reading.
type Verdict = judge.Verdict

// verdictAfresh judges a complete group of parts from the latest entries.
func (s *State) verdictAfresh(g group) (Class, *Verdict, []Note) {
	step := s.pl.parts[g[0]].step
	st := &s.pl.p.Steps[step]
	test := s.pl.testName(step)
	switch {
	case st.Form == sequence.Note:
		return s.noteVerdict(g[0])
	case test == safety.TestInstrument:
		return s.instrumentVerdict(g[0])
	case st.Form == sequence.Observe || st.Form == sequence.Inspect:
		return s.seenVerdict(g[0], st, test)
	}
	switch test {
	case safety.TestBars, safety.TestSupplyCable:
		return s.openVerdict(g[0], test)
	case safety.TestSwitching:
		return s.switchingVerdict(g)
	case safety.TestOwnBar:
		if s.pl.part(g[0]).ID != s.pl.r.BarOf(&s.pl.r.Circuits[st.Circuit]) {
			return s.openVerdict(g[0], test)
		}
	case safety.TestZsCalculated:
		if c, v, notes, wrong := s.sumVerdict(g[0]); wrong {
			return c, v, notes
		}
	}
	if r := s.latest[g[0]].Reading; len(g) == 1 && r.IsNumber() && r.Value < 0 {
		return SetUp, nil, []Note{{"bad-null", params("raw", r.Raw)}}
	}
	q := s.query(g)
	v, err := judge.Judge(s.pack, q)
	if err != nil {
		// Only a rig that the edition has no limits for leads here; the reading is
		// kept and opens nothing until the supervisor has looked.
		return Doubt, nil, []Note{{"no-limit", params("error", err.Error())}}
	}
	return classOf(v.Verdict), &v, nil
}

func classOf(o judge.Outcome) Class {
	switch o {
	case judge.Pass:
		return Pass
	case judge.Doubt:
		return Doubt
	}
	return Fail
}

// own makes a verdict on something that is seen or open rather than measured
// against a limit. Reason ids are in the catalogue with the judge's own.
func own(test string, c Class, r quantity.Reading, unit quantity.Unit, id, next string, p map[string]string) *Verdict {
	o := map[Class]judge.Outcome{Pass: judge.Pass, Doubt: judge.Doubt, Fail: judge.Fail}[c]
	v := &Verdict{Test: test, Verdict: o, Unit: unit, Value: r, Reasons: []judge.Reason{{ID: id, Params: p}}}
	if next != "" {
		v.Next = []judge.Reason{{ID: next, Params: p}}
	}
	return v
}

// instrumentVerdict checks the instrument itself: open leads over range, joined
// tips at nothing once nulled. One digit of the last place is the display's.
func (s *State) instrumentVerdict(part int) (Class, *Verdict, []Note) {
	r, id := s.latest[part].Reading, s.pl.part(part).ID
	const digit = 0.01
	switch {
	case strings.HasSuffix(id, "open"):
		if !r.IsOver() {
			return SetUp, nil, []Note{{"instrument.open", params("raw", r.Raw)}}
		}
	case r.IsOver():
		return SetUp, nil, []Note{{"instrument.joined-over", params("raw", r.Raw)}}
	case r.Value > digit || r.Value < -digit:
		return SetUp, nil, []Note{{"instrument.not-null", params("raw", r.Raw)}}
	}
	return Pass, nil, []Note{{"instrument.ok", nil}}
}

func (s *State) seenVerdict(part int, st *sequence.Step, test string) (Class, *Verdict, []Note) {
	raw := s.latest[part].Raw
	if st.Right.Say == "" {
		p := s.pl.part(part)
		prm := params("point", p.Label, "found", raw, "described", p.Right)
		if sameDevice(raw, p.Right) {
			return Pass, own(test, Pass, quantity.Reading{Raw: raw}, quantity.None, "inspection-as-described", "", prm), nil
		}
		return Doubt, own(test, Doubt, quantity.Reading{Raw: raw}, quantity.None, "inspection-differs", "next-read-again", prm), nil
	}
	if raw == st.Right.Say {
		return Pass, own(test, Pass, quantity.Reading{Raw: raw}, quantity.None, "seen-right", "", params("seen", st.Right.Text)), nil
	}
	for _, w := range st.Wrong {
		if w.Say == raw {
			prm := params("seen", w.Text, "because", w.Because)
			return Fail, own(test, Fail, quantity.Reading{Raw: raw}, quantity.None, "seen-wrong", "next-tell-supervisor", prm), nil
		}
	}
	return Fail, own(test, Fail, quantity.Reading{Raw: raw}, quantity.None, "seen-wrong", "next-tell-supervisor", params("seen", raw, "because", "")), nil
}

func sameDevice(a, b string) bool {
	norm := func(s string) string {
		return strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(s))
	}
	return norm(a) == norm(b)
}

// openVerdict judges a test that must read over range: bar to bar, another
// section's bar, a feeding cable's armour to the outbuilding's own earth.
func (s *State) openVerdict(part int, test string) (Class, *Verdict, []Note) {
	r := s.latest[part].Reading
	p := params("point", s.pl.part(part).ID, "value", r.String())
	if r.IsOver() {
		return Pass, own(test, Pass, r, quantity.Ohm, test+"-open", "", p), nil
	}
	return Fail, own(test, Fail, r, quantity.Ohm, test+"-joined", "next-"+test, p), nil
}

// switchingVerdict judges the positions of a lighting circuit's switches: two
// two-way switches close the line in two opposite positions of the four, a one-way
// switch in one of two. Common practice, no source.
func (s *State) switchingVerdict(g group) (Class, *Verdict, []Note) {
	var reads []bool
	var row []string
	for _, p := range g {
		reads = append(reads, s.latest[p].Raw == "reads")
		row = append(row, s.latest[p].Raw)
	}
	p := params("positions", strings.Join(row, " "))
	ok, id := false, "switching-not-alternating"
	switch len(reads) {
	case 4:
		ok = reads[0] == reads[3] && reads[1] == reads[2] && reads[0] != reads[1]
	case 2:
		ok = reads[0] && !reads[1]
		id = "switching-one-way"
		if reads[0] && reads[1] {
			id = "switching-never-opens"
		}
	}
	if ok {
		return Pass, own(safety.TestSwitching, Pass, quantity.Reading{Raw: strings.Join(row, " ")}, quantity.None, "switching-right", "", p), nil
	}
	return Fail, own(safety.TestSwitching, Fail, quantity.Reading{Raw: strings.Join(row, " ")}, quantity.None, id, "next-switching", p), nil
}

// sumVerdict checks the arithmetic of a calculated loop impedance before it is
// compared with any limit.
func (s *State) sumVerdict(part int) (Class, *Verdict, []Note, bool) {
	st := &s.pl.p.Steps[s.pl.parts[part].step]
	ze, r1r2 := s.ze(), s.r1r2(st.Circuit)
	if !ze.IsNumber() || !r1r2.IsNumber() {
		return Doubt, nil, []Note{{"sum.unknown", nil}}, true
	}
	r := s.latest[part].Reading
	sum := ze.Value + r1r2.Value
	if !r.IsNumber() || r.Value-sum > 0.0151 || sum-r.Value > 0.0151 {
		return SetUp, nil, []Note{{"sum.differs", params("raw", r.Raw, "ze", ze.String(), "r1r2", r1r2.String())}}, true
	}
	return None, nil, nil, false
}
