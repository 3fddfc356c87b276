package report

import (
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
	"wanderlead/safety"
)

// Build makes the schedule of a session. It changes nothing and reads nothing but its
// arguments: the same state and the same header give the same schedule.
func Build(st *coach.State, m Meta) Schedule {
	b := newBuilder(st, m)
	s := Schedule{Edition: m.Edition, Scripted: m.Scripted, LedgerOpen: b.ledger(), words: b.words()}
	if s.Edition == "" && b.pack != nil {
		s.Edition = b.pack.Name
	}
	s.Board = b.board()
	s.Circuits = make([]Circuit, len(b.rig.Circuits))
	for i := range b.rig.Circuits {
		s.Circuits[i] = b.circuit(i)
	}
	s.Notice = b.notice()
	if b.pack != nil {
		s.EditionNotice = b.pack.Notice()
	}
	return s
}

type builder struct {
	st       *coach.State
	meta     Meta
	prog     *sequence.Program
	rig      *rig.Rig
	pack     *edition.Pack
	results  []coach.Result
	verdicts map[string]judged
}

func newBuilder(st *coach.State, m Meta) *builder {
	b := &builder{st: st, meta: m, prog: st.Program(), rig: st.Program().Rig, pack: st.Pack(),
		results: st.Results(), verdicts: map[string]judged{}}
	b.meta.Fields = fields(m, b.results)
	return b
}

func (b *builder) words() func(string, map[string]string) string {
	if b.meta.Words == nil {
		return func(id string, _ map[string]string) string { return id }
	}
	return b.meta.Words.Text
}

// say fills a text of the catalogue; params are name, value, name, value …
func (b *builder) say(id string, params ...string) string {
	return sayWith(b.words(), id, params...)
}

func sayWith(words func(string, map[string]string) string, id string, params ...string) string {
	m := make(map[string]string, len(params)/2)
	for i := 0; i+1 < len(params); i += 2 {
		v := params[i+1]
		if strings.HasPrefix(v, "@") {
			v = " " + v // typed text must not be taken for the id of another text
		}
		m[params[i]] = v
	}
	return words(id, m)
}

// sayReason fills a text of the judge or the session, whose values may name others.
func (b *builder) sayReason(id string, params map[string]string) string { return b.words()(id, params) }

// where selects results; circuit and rcd of -1 are the board and no device.
func (b *builder) where(circuit, rcd int, test string, part func(string) bool) []*coach.Result {
	var out []*coach.Result
	for i := range b.results {
		r := &b.results[i]
		if r.Circuit != circuit && rcd < 0 || r.RCD != rcd || test != "" && r.Test != test {
			continue
		}
		if part == nil || part(r.Part) {
			out = append(out, r)
		}
	}
	return out
}

func isPart(want ...string) func(string) bool {
	return func(p string) bool {
		for _, w := range want {
			if p == w {
				return true
			}
		}
		return false
	}
}

// reading is one result in full, with its trace.
func (b *builder) reading(r *coach.Result) Reading {
	out := Reading{ID: r.ID, Test: r.Test, Part: r.Part, Label: r.Label, Result: b.single(r), Class: r.Class.String()}
	out.From = nil
	if e := r.Latest(); e != nil && !e.Reading.Given() && isReading(e) {
		if said := b.st.SaidText(r, e.Raw); said != e.Raw {
			out.Said = said
		}
	}
	if out.Unit == "" {
		out.Unit = unitOf(r.Test, r.Part)
	}
	if !r.Stands() {
		return out
	}
	v := b.verdict(r)
	if v.verdict == nil {
		return out
	}
	if len(v.verdict.Reasons) > 0 {
		out.Rule = v.verdict.Reasons[0].ID
	}
	for _, l := range v.verdict.Limits {
		out.Limits = append(out.Limits, Limit{Name: l.Name, Value: quantity.Tidy(l.Value), Unit: l.Unit.String(), Bound: l.Bound,
			Edition: l.Edition, Source: l.Source, Status: string(l.Status)})
	}
	return out
}

func (b *builder) readings(rs []*coach.Result) []Reading {
	out := make([]Reading, 0, len(rs))
	for _, r := range rs {
		out = append(out, b.reading(r))
	}
	return out
}

func (b *builder) ledger() []OpenItem {
	out := []OpenItem{}
	for _, it := range b.st.OpenItems() {
		o := OpenItem{Item: it.ID, Class: it.Class.String()}
		if it.Circuit >= 0 {
			o.Circuit = b.rig.Circuits[it.Circuit].Number
		}
		if it.OpenBy >= 0 {
			o.OpenedBy = b.prog.Steps[it.OpenBy].ID
		}
		if it.CloseBy >= 0 {
			o.ClosedBy = b.prog.Steps[it.CloseBy].ID
		}
		out = append(out, o)
	}
	return out
}

// notice says what the schedule is not. What comes first matters most to somebody
// who reads no further.
func (b *builder) notice() string {
	texts := []string{b.say("report.notice.record")}
	if w := b.meta.Words; w != nil && w.Has(words.Draft) {
		texts = append([]string{w.Text(words.Draft, nil)}, texts...)
	}
	switch {
	case b.meta.Mode == "study":
		texts = append(texts, b.say("report.notice.simulated"))
	case b.meta.Scripted:
		texts = append(texts, b.say("report.notice.scripted"))
	default:
		texts = append(texts, b.say("report.notice.typed"))
	}
	if b.meta.Mode == "study" && b.meta.Scripted {
		texts = append(texts, b.say("report.notice.scripted"))
	}
	if b.st.Ended() != "complete" {
		texts = append(texts, b.say("report.notice.unfinished"))
	}
	if len(b.st.OpenItems()) > 0 {
		texts = append(texts, b.say("report.notice.open"))
	}
	switch b.st.Facts().Supply {
	case safety.Incoming, safety.On:
		texts = append(texts, b.say("report.notice.live"))
	}
	texts = append(texts, b.say("report.notice.limits"), b.say("report.notice.defer"))
	if b.pack != nil {
		texts = append(texts, b.pack.Notice())
	}
	return join(texts...)
}

func formatted(v float64, u quantity.Unit) string { return quantity.Format(v, u) }

// Words that stand for what was seen, in exported files.
const (
	passed, failed = "pass", "fail"
	yes, no        = "yes", "no"
)

// unearthed reports a supply from an isolating transformer whose neutral is not
// earthed: there is no loop to earth to measure or to trip by.
func (b *builder) unearthed() bool {
	t := b.rig.Supply.Transformer
	return t != nil && !t.NeutralEarthed
}
