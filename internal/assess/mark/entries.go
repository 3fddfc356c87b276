package mark

import (
	"slices"
	"strings"
	"time"

	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/journal"
	"wanderlead/internal/quantity"
)

// entry is one event of the record with what came of it.
type entry struct {
	seq     int
	typ     string
	at, raw string
	params  map[string]string
	verdict string            // taken, not-taken, late, halt
	came    map[string]string // params of what came of it
	when    time.Time
}

// entries pairs what was said with what came of it.
func entries(lines []journal.Line) []entry {
	var out []entry
	for _, l := range lines {
		switch {
		case l.Said != nil:
			when, _ := time.Parse(time.RFC3339, l.Said.Time)
			out = append(out, entry{seq: l.Said.Seq, typ: l.Said.Type, at: l.Said.At, raw: strings.TrimSpace(l.Said.Raw), params: l.Said.Params, when: when})
		case l.Gave != nil && len(out) > 0 && out[len(out)-1].seq == l.Gave.Said && out[len(out)-1].verdict == "":
			out[len(out)-1].verdict, out[len(out)-1].came = l.Gave.Verdict, l.Gave.Params
		}
	}
	return out
}

// given is what a record holds for one question: the first answer that counted, and
// what else there was.
type given struct {
	first    *entry // first answer taken, late, or that stopped the candidate
	refused  int    // entries not taken for their form, before the first
	all      []*entry
	prompted *entry
	notSeen  *entry
	seen     *entry
}

// index sorts entries by the question they belong to.
func index(es []entry) map[string]*given {
	out := map[string]*given{}
	of := func(id string) *given {
		if out[id] == nil {
			out[id] = &given{}
		}
		return out[id]
	}
	for i := range es {
		e := &es[i]
		g := of(e.at)
		switch e.typ {
		case journal.TypeAnswer:
			if e.raw == "" || e.raw == "not-yet" {
				continue
			}
			g.all = append(g.all, e)
			switch {
			case g.first == nil && e.verdict == "not-taken":
				g.refused++
			case g.first == nil && e.verdict != "":
				g.first = e
			}
		case journal.TypeTime:
			if e.raw != "" && g.first == nil {
				g.first = e // what was being typed when the time ran out
			}
		case journal.TypeObserve:
			switch e.raw {
			case sitting.Prompted:
				g.prompted = e
			case sitting.NotSeen:
				g.notSeen = e
			case sitting.Seen:
				g.seen = e
			}
		}
	}
	return out
}

// typed is one reading as it counts.
type typed struct {
	raw       string
	by        *entry
	corrected *entry
	late      bool
	refused   int
	missing   bool // words in place of a reading
}

// readings assigns what was typed for a step to its parts, in the way the session does:
// a row in the order of the parts that are still to be read, or one part at a time.
func readings(sp *stepPlan, es []entry) map[string]*typed {
	out := map[string]*typed{}
	remaining := func() []string {
		var ids []string
		for _, r := range sp.parts {
			if out[r.id] == nil {
				ids = append(ids, r.id)
			}
		}
		return ids
	}
	refused := 0
	for i := range es {
		e := &es[i]
		own := e.at == sp.id
		for _, r := range sp.parts {
			own = own || e.at == r.id
		}
		switch {
		case !own:
		case e.typ == journal.TypeCorrect:
			if t := out[e.at]; t != nil && e.verdict != "not-taken" {
				t.raw, t.corrected = e.raw, e
			}
		case e.typ == journal.TypeTime && e.raw != "":
			cutOff(sp, e, remaining(), out)
		case e.typ != journal.TypeAnswer || e.raw == "" || e.raw == "not-yet":
		case e.verdict == "taken" || e.verdict == "late":
			ids := remaining()
			if e.at != sp.id && len(ids) > 1 {
				ids = []string{e.at}
			}
			words := words(sp, e.raw)
			for n, id := range ids {
				t := &typed{by: e, late: e.verdict == "late", refused: refused, missing: words == nil}
				if words != nil {
					t.raw = words[min(n, len(words)-1)]
				}
				out[id] = t
			}
			refused = 0
		default:
			refused++
		}
	}
	return out
}

// cutOff gives what was being typed when the time ran out to the readings that were due: as many as there are whole words, all
// of it to the first where it is no row of readings.
func cutOff(sp *stepPlan, e *entry, ids []string, out map[string]*typed) {
	if e.at != sp.id && slices.Contains(ids, e.at) {
		ids = []string{e.at}
	}
	row := words(sp, e.raw)
	if len(row) == 0 || len(ids) == 1 {
		row = []string{e.raw}
	}
	for n, id := range ids[:min(len(ids), len(row))] {
		out[id] = &typed{by: e, raw: row[n], late: true}
	}
}

// words splits a row; nil when words stand in place of readings.
func words(sp *stepPlan, raw string) []string {
	low := strings.ToLower(raw)
	for _, w := range []string{"n/a", "not applicable", "limitation", "not tested"} {
		if strings.HasPrefix(low, w) {
			return nil
		}
	}
	if sp.words {
		return strings.FieldsFunc(low, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' })
	}
	row, err := quantity.SplitRow(raw)
	if err != nil || len(row) == 0 {
		return nil
	}
	return row
}
