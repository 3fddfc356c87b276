package report

import (
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// verdictOf folds the session's classes into the three verdicts. An accepted doubt
// stays a doubt; a fail put down to lead or null stays a fail until it is repeated.
func verdictOf(c coach.Class) string {
	switch c {
	case coach.Pass:
		return string(judge.Pass)
	case coach.Doubt, coach.Accepted:
		return string(judge.Doubt)
	case coach.Fail, coach.SetUp:
		return string(judge.Fail)
	}
	return ""
}

// grave orders classes for an aggregate: the worst of its readings speaks for it.
func grave(c coach.Class) int {
	switch c {
	case coach.Fail, coach.SetUp:
		return 4
	case coach.Doubt, coach.Accepted:
		return 3
	case coach.Pass:
		return 1
	}
	return 2 // not judged yet
}

// number is a reading's value where it is one: never that of an over-range reading,
// a device that did not trip, or an indicator that showed nothing.
func number(r quantity.Reading) *float64 {
	if !r.IsNumber() {
		return nil
	}
	v := quantity.Tidy(r.Value)
	return &v
}

func given(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

// stateOf is the state of an entry. A row that stands in place of a reading keeps
// its own; a number above the range is over range however it came about.
func stateOf(e *coach.Entry) string {
	if e.Reading.IsOver() {
		return OverRange
	}
	return e.State
}

// isReading reports whether an entry is a reading or an observation, not the reason
// why there is none.
func isReading(e *coach.Entry) bool {
	switch e.State {
	case coach.Measured, coach.OverRange, coach.Calculated:
		return true
	}
	return false
}

// single is the result of one reading or observation.
func (b *builder) single(r *coach.Result) Result {
	e := r.Latest()
	if e == nil || !r.Stands() || !isReading(e) {
		return b.missing([]*coach.Result{r}, "")
	}
	return Result{
		State: stateOf(e), Value: number(e.Reading), Raw: e.Raw, Unit: e.Reading.Unit.String(),
		Verdict: verdictOf(r.Class), Why: b.remarkOn(r), From: []string{r.ID}, History: history([]*coach.Result{r}),
	}
}

// pick is the result of several readings of one quantity: the reading that a
// schedule holds (highest, slowest or lowest), with the worst verdict of them all,
// so that no failing reading hides behind a passing one.
func (b *builder) pick(test string, rs []*coach.Result, none string) Result {
	var standing, absent []*coach.Result
	var row []quantity.Reading
	for _, r := range rs {
		if e := r.Latest(); e != nil && r.Stands() && isReading(e) {
			standing, row = append(standing, r), append(row, e.Reading)
		} else {
			absent = append(absent, r)
		}
	}
	i := judge.Record(test, row)
	if i < 0 {
		return b.missing(rs, none)
	}
	out := b.single(standing[i])
	worst := standing[i]
	for _, r := range standing {
		if grave(r.Class) > grave(worst.Class) {
			worst = r
		}
	}
	out.Verdict, out.From, out.History = verdictOf(worst.Class), ids(standing), history(rs)
	why := []string{b.remarkOn(worst)}
	if worst != standing[i] {
		why = append([]string{b.say("report.why.worst", "at", worst.ID, "value", b.shown(worst))}, why...)
	}
	if len(absent) > 0 {
		why = append(why, b.say("report.why.part", "at", strings.Join(ids(absent), ", "), "why", b.missing(absent, none).Why))
	}
	out.Why = join(why...)
	return out
}

func ids(rs []*coach.Result) []string {
	var out []string
	for _, r := range rs {
		out = append(out, r.ID)
	}
	return out
}

// join makes one text of the sentences that are there.
func join(texts ...string) string {
	var out []string
	for _, t := range texts {
		if t = strings.TrimSpace(t); t != "" {
			out = append(out, t)
		}
	}
	return strings.Join(out, " ")
}

// shown is an entry as it is quoted in a sentence.
func (b *builder) shown(r *coach.Result) string {
	e := r.Latest()
	if e == nil {
		return ""
	}
	return b.shownEntry(r, e)
}

func (b *builder) shownEntry(r *coach.Result, e *coach.Entry) string {
	if s := e.Reading.String(); s != "" && e.Reading.Given() {
		return s
	}
	return b.st.SaidText(r, e.Raw)
}

// remarkOn says what there is to say about a reading that stands: nothing for a
// plain pass, else the reason of the verdict.
func (b *builder) remarkOn(r *coach.Result) string {
	switch r.Class {
	case coach.Pass:
		return ""
	case coach.Pending:
		return b.say("report.why.pending")
	case coach.SetUp:
		return join(b.reasonOf(r), b.say("report.why.set-up"))
	case coach.Accepted:
		return join(b.reasonOf(r), b.acceptedWhy(r.ID))
	case coach.Doubt:
		return join(b.reasonOf(r), b.say("report.why.doubt-open"))
	}
	return b.reasonOf(r)
}

func (b *builder) acceptedWhy(id string) string {
	for i := len(b.meta.Accepted) - 1; i >= 0; i-- {
		if a := b.meta.Accepted[i]; a.Reading == id {
			return b.say("report.why.accepted", "by", a.By, "reason", a.Reason)
		}
	}
	return b.say("report.why.accepted", "by", b.st.Supervisor(), "reason", "")
}

func (b *builder) reasonOf(r *coach.Result) string {
	v := b.verdict(r)
	switch {
	case v.verdict != nil && len(v.verdict.Reasons) > 0:
		return b.sayReason(v.verdict.Reasons[0].ID, v.verdict.Reasons[0].Params)
	case v.verdict == nil && len(v.notes) > 0:
		return b.sayReason(v.notes[0].ID, v.notes[0].Params)
	}
	return ""
}

// judged is what the session has to say about a reading as the record stands now: a
// correction elsewhere may have changed what was said when it was typed.
type judged struct {
	verdict *coach.Verdict
	notes   []coach.Note
}

func (b *builder) verdict(r *coach.Result) judged {
	if v, ok := b.verdicts[r.ID]; ok {
		return v
	}
	var v judged
	v.verdict, v.notes = b.st.VerdictNow(r)
	b.verdicts[r.ID] = v
	return v
}

// history lists every entry of the readings that have more than one.
func history(rs []*coach.Result) []Was {
	var out []Was
	for _, r := range rs {
		if len(r.History) < 2 {
			continue
		}
		for _, e := range r.History {
			out = append(out, Was{At: r.ID, How: e.How, State: stateOf(e), Value: number(e.Reading), Raw: e.Raw,
				Unit: e.Reading.Unit.String(), Verdict: verdictOf(e.Class), Why: e.Why})
		}
	}
	return out
}

// missing is a result that was not measured, with the reason. none is the text for
// readings that the sequence has no step for.
func (b *builder) missing(rs []*coach.Result, none string) Result {
	out := Result{State: NotTested, History: history(rs)}
	var na, lim, not, again []*coach.Result
	empty := 0
	for _, r := range rs {
		e := r.Latest()
		switch {
		case e == nil:
			empty++
		case e.State == NotApplicable && r.Class == coach.NotApplicable:
			na = append(na, r)
		case e.State == Limitation && r.Stands():
			lim = append(lim, r)
		case e.State == NotTested && r.Stands():
			not = append(not, r)
		default:
			again = append(again, r)
		}
	}
	var why []string
	for _, part := range []struct {
		rs []*coach.Result
		id string
	}{{lim, "report.why.limitation"}, {not, "report.why.not-tested"}} {
		for i, r := range part.rs {
			if i == 0 || r.Latest().Why != part.rs[i-1].Latest().Why {
				why = append(why, b.say(part.id, "reason", r.Latest().Why))
			}
		}
	}
	for _, r := range again {
		why = append(why, b.say("report.why.again", "at", r.ID, "value", b.shown(r)))
	}
	if len(na) > 0 {
		why = append(why, b.say("report.why.unearthed-neutral"))
	}
	switch {
	case len(rs) == 0:
		why = append(why, firstText(none, b.say("report.why.not-in-sequence")))
	case empty > 0:
		why = append(why, b.notReached(rs))
	}
	switch {
	case len(lim) > 0:
		out.State = Limitation
	case len(na) == len(rs) && len(rs) > 0:
		out.State = NotApplicable
	}
	for _, r := range rs {
		if e := r.Latest(); e != nil {
			out.Raw, out.From = e.Raw, append(out.From, r.ID)
		}
	}
	if len(again) > 0 || empty > 0 {
		out.Raw = ""
	}
	out.Why = join(why...)
	return out
}

// notReached says why steps that the sequence has were not come to.
func (b *builder) notReached(rs []*coach.Result) string {
	for _, r := range rs {
		if r.Latest() == nil && r.Done {
			return b.say("report.why.not-needed")
		}
	}
	if b.st.Ended() == "" {
		return b.say("report.why.not-yet")
	}
	return b.say("report.why.not-reached")
}

func firstText(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// na is a result that the rig itself rules out.
func (b *builder) na(id string, params ...string) Result {
	return Result{State: NotApplicable, Why: b.say(id, params...)}
}

func (b *builder) notTested(id string, params ...string) Result {
	return Result{State: NotTested, Why: b.say(id, params...)}
}

// seen folds observations into one result without a number: raw is what every one of
// them amounts to, in a word.
func (b *builder) seen(rs []*coach.Result, yes, no, none string) Result {
	worst := -1
	var standing []*coach.Result
	for _, r := range rs {
		if e := r.Latest(); e != nil && r.Stands() && isReading(e) {
			standing = append(standing, r)
			if worst < 0 || grave(r.Class) > grave(standing[worst].Class) {
				worst = len(standing) - 1
			}
		}
	}
	if len(standing) == 0 {
		return b.missing(rs, none)
	}
	w := standing[worst]
	out := Result{State: Measured, Verdict: verdictOf(w.Class), From: ids(standing), History: history(rs), Why: b.remarkOn(w)}
	switch {
	case len(standing) < len(rs):
		// One thing seen of several confirms nothing: the rest says why it is missing.
		out.State, out.Verdict = NotTested, ""
		out.Why = join(b.missing(rest(rs, standing), none).Why, out.Why)
	case out.Verdict == string(judge.Pass):
		out.Raw = yes
	case out.Verdict != "":
		out.Raw = no
	}
	if len(standing) < len(rs) && verdictOf(w.Class) == string(judge.Fail) {
		out.State, out.Verdict, out.Raw = Measured, string(judge.Fail), no
	}
	return out
}

func rest(all, some []*coach.Result) []*coach.Result {
	var out []*coach.Result
	for _, r := range all {
		found := false
		for _, s := range some {
			found = found || s == r
		}
		if !found {
			out = append(out, r)
		}
	}
	return out
}

// unitOf is the unit of a result's test where nothing was read.
func unitOf(test, part string) string {
	switch test {
	case "", safety.TestInspection, safety.TestPolarity, safety.TestSwitching, safety.TestRCDButton, safety.TestPhases, safety.TestFunctional:
		return ""
	}
	return coach.UnitOf(test, part).String()
}
