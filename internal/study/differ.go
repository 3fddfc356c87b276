package study

import (
	"math"
	"slices"
	"strings"

	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// right is how the reading of an id is set up when it is set up right.
func (s *State) right(id string) (signature.SetUp, bool) {
	for i := range s.program().Steps {
		for n, x := range s.idsOf(i) {
			if x != id {
				continue
			}
			st := &s.program().Steps[i]
			r := rig.ReadingID{ID: id, Test: s.testName(i), Part: st.Parts[n].ID}
			switch {
			case st.RCD >= 0:
				r.Owner = s.program().RCDs[st.RCD].ID
			case st.Circuit >= 0:
				r.Owner = s.rig().Circuits[st.Circuit].ID
			}
			u, err := signature.SetUpOf(s.built, r)
			return u, err == nil
		}
	}
	return signature.SetUp{}, false
}

// deviation is one way in which a measurement was not set up as the test is.
type deviation struct {
	id     string
	params []string
	apply  func(*signature.SetUp, *meter.Leads)
}

// explainAll says what in the set-up made readings differ. Readings of one row that the same things changed are told
// once.
func (s *State) explainAll(all []written, fb *Feedback) {
	told := map[string]bool{}
	for _, w := range all {
		d, ok := s.differs(w)
		for _, c := range d.causes {
			if !slices.Contains(fb.Moves, c.id) {
				fb.Moves = append(fb.Moves, c.id)
			}
		}
		if !ok || told[d.key()] {
			continue
		}
		told[d.key()] = true
		fb.say("study.differs", "at", w.ID, "shown", textOf(w.At.Shown), "right", textOf(d.right), "unit", d.right.Unit.String())
		if len(d.causes) == 0 {
			fb.say("study.differs.together")
		}
		const most = 3
		for _, c := range d.causes[:min(most, len(d.causes))] {
			fb.say("study.differs."+c.id, c.params...)
		}
	}
}

// difference is a reading that is not what its test shows when it is set up right.
type difference struct {
	right  meter.Shown
	causes []deviation
}

func (d difference) key() string {
	k := ""
	for _, c := range d.causes {
		k += c.id + strings.Join(c.params, ",") + ";"
	}
	return k
}

// differs compares a reading with that of the right set-up on the same rig. Each deviation is put, alone, into the right
// set-up; what does not change the reading there is not a cause, so that nobody is blamed for what made no difference.
func (s *State) differs(w written) (difference, bool) {
	u, ok := s.right(w.ID)
	if !ok || w.At.A == "" {
		return difference{}, false
	}
	nulled := w.At.Leads.StoreNull(0)
	read := func(u signature.SetUp, l meter.Leads) meter.Shown {
		u.Points = w.At.A + " " + w.At.B + " " + w.At.RCDTest
		shown, err := u.Read(s.built, signature.Options{Instrument: s.instrument(), Leads: l}, w.At.Try)
		if err != nil {
			return meter.Shown{Refusal: meter.NoSupply}
		}
		return shown
	}
	d := difference{right: read(u, nulled)}
	if alike(d.right, w.At.Shown) {
		return d, false
	}
	for _, c := range s.deviations(u, w) {
		v, l := u, nulled
		v.Conds = make([]wiring.Condition, len(u.Conds))
		for i := range u.Conds {
			v.Conds[i] = u.Conds[i].Clone()
		}
		c.apply(&v, &l)
		if !alike(read(v, l), d.right) {
			d.causes = append(d.causes, c)
		}
	}
	return d, true
}

func textOf(s meter.Shown) string {
	if s.Refusal != "" {
		return "–"
	}
	return s.Text
}

// alike reports whether two readings are the same for an instrument that scatters: two digits and 3 %.
func alike(a, b meter.Shown) bool {
	if a.Refusal != b.Refusal || a.Mark != b.Mark {
		return false
	}
	if a.Mark != quantity.Number {
		return true
	}
	digit := 0.02
	if a.Unit == quantity.Millisecond || a.Unit == quantity.Volt {
		digit = 2
	}
	if a.Unit == quantity.Megohm {
		return math.Abs(a.Value-b.Value) <= 0.02+float64(0.1*max(a.Value, b.Value))
	}
	return math.Abs(a.Value-b.Value) <= digit+float64(0.03*max(math.Abs(a.Value), math.Abs(b.Value)))
}

// deviations lists how the measurement's set-up was not that of the test.
func (s *State) deviations(u signature.SetUp, w written) []deviation {
	var out []deviation
	add := func(id string, apply func(*signature.SetUp, *meter.Leads), params ...string) {
		out = append(out, deviation{id, params, apply})
	}
	right, mine := u.Conds[0], w.At.Cond
	each := func(change func(*wiring.Condition)) func(*signature.SetUp, *meter.Leads) {
		return func(v *signature.SetUp, _ *meter.Leads) {
			for i := range v.Conds {
				change(&v.Conds[i])
			}
		}
	}
	if !sameEnds(u, w.At) {
		add("leads", func(v *signature.SetUp, _ *meter.Leads) { v.A, v.B = w.At.A, w.At.B },
			"thing", w.At.A+" – "+w.At.B, "other", u.A+" – "+u.B)
	}
	if w.At.RCDTest != "" {
		set := u.RCD
		multiple, half, timed := strings.Cut(w.At.RCDTest, "-")
		if timed {
			set.Multiple, set.Half = map[string]float64{"half": 0.5, "one": 1, "five": 5}[multiple], half == "180"
		}
		f := signature.RCDTime
		if !timed {
			f = signature.RCDRamp
		}
		if set != u.RCD || f != u.Function {
			add("rcd-test", func(v *signature.SetUp, _ *meter.Leads) { v.RCD, v.Function = set, f })
		}
	}
	if l := w.At.Leads; l.Null != l.Ohm+l.Added {
		add("null", func(_ *signature.SetUp, into *meter.Leads) { *into = l })
	}
	for _, g := range together(different(mine.Lifted, right.Lifted)) {
		lifted := mine.Lifted[g[0]]
		id := "not-lifted"
		if lifted {
			id = "lifted"
		}
		add(id, each(func(c *wiring.Condition) {
			for _, e := range g {
				if lifted {
					c.Lifted[e] = true
				} else {
					delete(c.Lifted, e)
				}
			}
		}), "things", strings.Join(g, ", "))
	}
	for e, to := range mine.Moved {
		add("moved", each(func(c *wiring.Condition) { c.Moved[e] = to }), "thing", e, "other", to)
	}
	for _, l := range missing(mine.Links, right.Links) {
		add("link", each(func(c *wiring.Condition) { c.Links = append(c.Links, l) }), "thing", l.A+" – "+l.B)
	}
	if gone := missing(right.Links, mine.Links); len(gone) > 0 {
		add("no-link", each(func(c *wiring.Condition) { c.Links = missing(c.Links, gone) }), "thing", gone[0].A+" – "+gone[0].B)
	}
	if in := sorted(mine.In); len(in) > 0 {
		add("load", each(func(c *wiring.Condition) {
			for _, n := range in {
				c.In[n] = true
			}
		}), "thing", in[0])
	}
	for _, d := range different(mine.Open, right.Open) {
		open := mine.Open[d]
		id := "closed"
		if open {
			id = "open"
		}
		add(id, each(func(c *wiring.Condition) {
			if open {
				c.Open[d] = true
			} else {
				delete(c.Open, d)
			}
		}), "thing", d)
	}
	return out
}

// together groups conductor ends that only matter both at once: those of one core of one circuit, at the board.
func together(ends []string) [][]string {
	var out [][]string
	for _, e := range ends {
		key := func(id string) string {
			owner, _, _ := strings.Cut(id, "/")
			return owner + " " + coreOf(id)
		}
		i := slices.IndexFunc(out, func(g []string) bool { return key(g[0]) == key(e) })
		if i < 0 {
			out = append(out, []string{e})
		} else {
			out[i] = append(out[i], e)
		}
	}
	return out
}

// different lists the names that are in one set only, in order.
func different(a, b map[string]bool) []string {
	var out []string
	for _, m := range []map[string]bool{a, b} {
		for k, v := range m {
			if v && a[k] != b[k] && !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	slices.Sort(out)
	return out
}

// missing lists the links of a that b lacks.
func missing(a, b []wiring.Link) []wiring.Link {
	var out []wiring.Link
	for _, l := range a {
		if !slices.ContainsFunc(b, func(x wiring.Link) bool { return x.A == l.A && x.B == l.B || x.A == l.B && x.B == l.A }) {
			out = append(out, l)
		}
	}
	return out
}

// Next is the first step of the sequence that has a reading to be taken.
func (s *State) Next() (step int, ok bool) {
	for i := range s.program().Steps {
		for _, id := range s.idsOf(i) {
			switch c := s.sheet.ClassOf(id); {
			case opens(c), fails(c) && s.program().Steps[i].Form == sequence.Observe:
			default:
				return i, true
			}
		}
	}
	return 0, false
}
