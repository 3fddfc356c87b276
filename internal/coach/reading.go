package coach

import (
	"errors"
	"fmt"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// States of a result, as they stand on the schedule.
const (
	Measured        = "measured"
	OverRange       = "over_range"
	Calculated      = "calculated"
	IsNotApplicable = "not_applicable"
	IsLimitation    = "limitation"
	IsNotTested     = "not_tested"
)

// UnitOf is the unit a test is read in.
func UnitOf(test, part string) quantity.Unit {
	switch test {
	case safety.TestInsulation:
		return quantity.Megohm
	case safety.TestInstrument:
		if strings.HasPrefix(part, "insulation") {
			return quantity.Megohm
		}
	case safety.TestRCD:
		if part == "ramp" {
			return quantity.Milliampere
		}
		return quantity.Millisecond
	case safety.TestPFC:
		return quantity.Kiloampere
	case safety.TestSupply:
		return quantity.Volt
	}
	return quantity.Ohm
}

// answerRead takes one reading, or a row of them, for a step.
func (s *State) answerRead(step int, at, raw string, fb *Feedback) {
	parts := s.remaining(step)
	if at != "" {
		if p, ok := s.pl.byID[at]; ok && s.pl.parts[p].step == step && len(parts) > 1 {
			parts = []int{p}
		}
	}
	if st, why, ok := notMeasured(raw); ok {
		s.enterNotMeasured(step, parts, st, why, raw, fb)
		return
	}
	test := s.pl.testName(step)
	if test == safety.TestSwitching {
		s.answerPositions(step, parts, raw, fb)
		return
	}
	words, err := quantity.SplitRow(raw)
	if err != nil {
		refuse(fb, "reading", readError(err))
		return
	}
	if len(words) != len(parts) && len(words) != 1 {
		refuse(fb, "count", params("found", fmt.Sprint(len(words)), "wanted", fmt.Sprint(len(parts))))
		return
	}
	readings := make([]quantity.Reading, len(words))
	for i, w := range words {
		r, refusal, p := s.parsePart(parts[i], w)
		if refusal != "" {
			refuse(fb, refusal, p)
			return
		}
		readings[i] = r
	}
	for i, r := range readings {
		s.enter(parts[i], s.how(parts[i]), r, stateOf(r, test), "", fb)
	}
	s.judgeStep(step, fb)
}

// parsePart reads what was typed for a part in the unit of its test. What cannot be
// its reading is refused by the id of the reason.
func (s *State) parsePart(part int, raw string) (r quantity.Reading, refusal string, p map[string]string) {
	test := s.pl.testName(s.pl.parts[part].step)
	r, err := quantity.ParseSigned(raw, UnitOf(test, s.pl.part(part).ID))
	if err != nil {
		return r, "reading", readError(err)
	}
	if id := suspectUnit(raw, r.Unit, test); id != "" {
		return r, id, params("raw", raw)
	}
	return r, "", nil
}

// readError is what cannot be read, and what would be right.
func readError(err error) map[string]string {
	p := params("error", err.Error())
	if e := (*quantity.Error)(nil); errors.As(err, &e) && e.Hint != "" {
		p["hint"] = strings.ToUpper(e.Hint[:1]) + e.Hint[1:]
	}
	return p
}

func refuse(fb *Feedback, id string, p map[string]string) {
	fb.Refused = id
	fb.Notes = append(fb.Notes, Note{"refused." + id, p})
}

func stateOf(r quantity.Reading, test string) string {
	switch {
	case test == safety.TestZsCalculated:
		return Calculated
	case r.IsOver():
		return OverRange
	}
	return Measured
}

// suspectUnit names a unit that the function in use cannot have shown: megohms on
// the low-ohm range, plain ohms on the insulation range.
func suspectUnit(raw string, unit quantity.Unit, test string) string {
	typed := strings.TrimLeft(strings.TrimSpace(raw), "<>-+0123456789. ")
	if typed == "" {
		return ""
	}
	u, err := quantity.ParseUnit(typed)
	if err != nil {
		return ""
	}
	switch {
	case unit == quantity.Ohm && u == quantity.Megohm:
		return "unit-megohm"
	case test == safety.TestInsulation && (u == quantity.Ohm || u == quantity.Milliohm):
		return "unit-ohm"
	}
	return ""
}

// notMeasured reads the words that stand in place of a reading.
func notMeasured(raw string) (state, why string, ok bool) {
	low := strings.ToLower(raw)
	for _, w := range []struct{ prefix, state string }{
		{"n/a", IsNotApplicable}, {"not applicable", IsNotApplicable},
		{"limitation", IsLimitation}, {"not tested", IsNotTested},
	} {
		if rest, found := strings.CutPrefix(low, w.prefix); found {
			return w.state, strings.TrimSpace(strings.TrimLeft(raw[len(raw)-len(rest):], ":,- ")), true
		}
	}
	return "", "", false
}

func (s *State) enterNotMeasured(step int, parts []int, state, why, raw string, fb *Feedback) {
	class := map[string]Class{IsNotApplicable: NotApplicable, IsLimitation: Limitation, IsNotTested: NotTested}[state]
	if class == NotApplicable {
		for _, p := range parts {
			if !s.naByRig(p) {
				refuse(fb, "not-applicable", params("part", s.pl.parts[p].id))
				return
			}
		}
	} else if !isReason(why) {
		refuse(fb, "why", nil)
		return
	}
	for _, p := range parts {
		s.enter(p, s.how(p), quantity.Reading{Raw: raw}, state, why, fb)
		s.setClass(p, class)
	}
	fb.Class = class
	if class != NotApplicable {
		fb.Notes = append(fb.Notes, Note{"opens-nothing", nil})
	}
	s.noteAct(step, fb)
	if len(s.remaining(step)) == 0 {
		s.finishStep(step, fb)
	}
}

// naByRig reports whether the rig itself says that a part does not apply: with the
// neutral of an isolating transformer unearthed there is no N-E link to measure by.
func (s *State) naByRig(p int) bool {
	t := s.pl.r.Supply.Transformer
	if t == nil || t.NeutralEarthed {
		return false
	}
	switch s.pl.testName(s.pl.parts[p].step) {
	case safety.TestZe, safety.TestZs, safety.TestZsCalculated, safety.TestRCD, safety.TestElectrode:
		return true
	case safety.TestSupply, safety.TestPFC:
		return strings.HasSuffix(s.pl.part(p).ID, "-E")
	}
	return false
}

func (s *State) how(part int) string {
	if s.latest[part] == nil {
		return "first"
	}
	return "repeat"
}

// enter stores a reading as typed, beside any earlier one for the same part.
func (s *State) enter(part int, how string, r quantity.Reading, state, why string, fb *Feedback) {
	s.continuityFirst(part, how, state, fb)
	e := &Entry{Prev: s.last, Earlier: s.latest[part], Part: part, How: how, Raw: r.Raw, Reading: r, State: state, Why: why}
	if s.memo != nil {
		e.number = s.memo.number(r.Raw)
	}
	s.last = e
	s.own()
	s.latest[part] = e
	s.setClass(part, Pending)
	if fb.Done == nil {
		fb.Done = &Done{}
	}
	fb.Done.Parts = append(fb.Done.Parts, s.pl.part(part).ID)
}

// continuityFirst keeps which insulation readings were measured before any continuity of
// their circuit stood: what is measured to a cpc that nobody has proved is measured to
// nothing in particular. Once continuity is read they are due again, but for one that
// failed: what that was is asked first.
func (s *State) continuityFirst(part int, how, state string, fb *Feedback) {
	step := s.pl.parts[part].step
	circuit, test := s.pl.p.Steps[step].Circuit, s.pl.testName(step)
	switch {
	case circuit < 0 || s.held:
	case test == safety.TestInsulation && how != "correction":
		s.early = s.early.without(part)
		if readNow(state) && !s.continuityStands(circuit) {
			s.early = s.early.with(part)
		}
	case continuityTest(test) && readNow(state):
		var again []string
		for p, c := range s.class {
			if !s.early.has(p) || c == None || c == Fail || s.pl.p.Steps[s.pl.parts[p].step].Circuit != circuit {
				continue
			}
			s.setClass(p, None)
			s.done = s.done.without(s.pl.parts[p].step)
			again = append(again, s.pl.parts[p].id)
		}
		if len(again) > 0 {
			fb.Notes = append(fb.Notes, Note{"insulation-again", params("part", again[0])})
		}
	}
}

// continuityStands reports whether any continuity reading of a circuit stands: it was
// taken, and is not due again.
func (s *State) continuityStands(circuit int) bool {
	for p, c := range s.class {
		step := s.pl.parts[p].step
		if judgeable(c) && s.pl.p.Steps[step].Circuit == circuit && continuityTest(s.pl.testName(step)) {
			return true
		}
	}
	return false
}

func readNow(state string) bool {
	return state == Measured || state == OverRange || state == Calculated
}

// continuityTest reports whether a test proves the continuity of a circuit's
// protective conductor.
func continuityTest(test string) bool {
	switch test {
	case safety.TestEnds, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead:
		return true
	}
	return false
}

// answerObserve takes the answer of an observation or an inspection item.
func (s *State) answerObserve(step int, at, raw string, fb *Feedback) {
	st := &s.pl.p.Steps[step]
	if st.Right.Say == "" {
		s.answerInspect(step, at, raw, fb)
		return
	}
	part := s.pl.partOff[step]
	s.enterSeen(part, s.how(part), raw, fb)
	s.judgeStep(step, fb)
}

func (s *State) enterSeen(part int, how, raw string, fb *Feedback) {
	s.enter(part, how, quantity.Reading{Raw: raw}, Measured, "", fb)
}

// answerInspect takes what was read off devices, one or a row of them.
func (s *State) answerInspect(step int, at, raw string, fb *Feedback) {
	parts := s.remaining(step)
	if p, ok := s.pl.byID[at]; ok && at != "" && len(parts) > 1 {
		parts = []int{p}
	}
	words := strings.FieldsFunc(raw, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' })
	if len(words) != len(parts) && len(words) != 1 {
		refuse(fb, "count", params("found", fmt.Sprint(len(words)), "wanted", fmt.Sprint(len(parts))))
		return
	}
	for i, w := range words {
		s.enterSeen(parts[i], s.how(parts[i]), w, fb)
	}
	s.judgeStep(step, fb)
}

// answerPositions takes what each switch position showed: reads or open.
func (s *State) answerPositions(step int, parts []int, raw string, fb *Feedback) {
	words := strings.FieldsFunc(strings.ToLower(raw), func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' })
	if len(words) != len(parts) && len(words) != 1 {
		refuse(fb, "count", params("found", fmt.Sprint(len(words)), "wanted", fmt.Sprint(len(parts))))
		return
	}
	for _, w := range words {
		if w != "reads" && w != "open" {
			refuse(fb, "position", params("found", w))
			return
		}
	}
	for i, w := range words {
		s.enterSeen(parts[i], s.how(parts[i]), w, fb)
	}
	s.judgeStep(step, fb)
}
