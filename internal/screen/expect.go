package screen

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// expectRows say before measuring what the readings should be and what they will be
// held against.
func (s *Screen) expectRows(p *page, st *coach.State, step int) {
	ahead := st.Ahead(step)
	if len(ahead) == 0 {
		return
	}
	p.row(Expect, s.word("row.expect"), strings.Join(s.expected(st, step, ahead), "; "))
	p.row(Expect, s.word("row.limit"), strings.Join(s.limitsAhead(ahead), "; "))
}

func (s *Screen) expected(st *coach.State, step int, ahead []coach.Ahead) []string {
	test := testOf(st.Program(), &st.Program().Steps[step])
	var out []string
	switch test {
	case safety.TestInstrument:
		if len(ahead) > 1 {
			return []string{s.word("expected.instrument")}
		}
		if ahead[0].Open {
			return []string{s.word("expected.open")}
		}
		return []string{s.word("expected.zero", "unit", coach.UnitOf(test, ahead[0].Parts[0]).String())}
	case safety.TestSwitching:
		return []string{s.word("expected.switching")}
	case safety.TestZsCalculated:
		// The sum itself is what is asked.
		if a := ahead[0]; a.Ze.IsNumber() && a.R1R2.IsNumber() {
			return []string{s.word("expected.sum", "ze", a.Ze.String(), "r1r2", a.R1R2.String())}
		}
		return nil
	case safety.TestEnds:
		out = append(out, s.word("expected.ends"))
		if !s.begun(st, step) { // all three are taken anew: nothing follows from an r1 that counts no longer
			return out
		}
	case safety.TestRCD:
		if slices.ContainsFunc(ahead, func(a coach.Ahead) bool { return strings.HasPrefix(a.Parts[0], "half") }) {
			out = append(out, s.word("expected.stays-on"))
		}
	}
	return append(append(out, s.byName(test, ahead)...), s.openOnes(ahead)...)
}

// begun reports whether some reading of a step stands already and waits for the others.
func (s *Screen) begun(st *coach.State, step int) bool {
	return slices.ContainsFunc(st.Results(), func(r coach.Result) bool { return r.StepAt == step && r.Class == coach.Pending })
}

// expectation gathers what several points expect under one name.
type expectation struct {
	name, from string
	values     []string
}

// byName gathers the expectations of several points under one name, so that a row of
// points reads "R1+R2 s1 0.17 Ω, s2 0.30 Ω (the length times …)".
func (s *Screen) byName(test string, ahead []coach.Ahead) []string {
	var out []string
	var found []expectation
	for _, a := range ahead {
		if low, high, ok := band(a.Expected); ok {
			out = append(out, s.bandText(low, high))
			continue
		}
		for _, e := range a.Expected {
			v := about(e)
			if len(ahead) > 1 {
				v = together(strings.Join(a.Parts, " ") + " " + v)
			}
			i := slices.IndexFunc(found, func(x expectation) bool { return x.name == e.Name && x.from == e.From })
			if i < 0 {
				i = len(found)
				found = append(found, expectation{name: e.Name, from: e.From})
			}
			found[i].values = append(found[i].values, v)
		}
	}
	for _, x := range found {
		name := x.name
		if test == safety.TestOwnBar && name == "r1_plus_r2" {
			name = "r1_plus_rn" // out on line, back on neutral
		}
		basis := ""
		if x.from != "" {
			basis = s.opt("basis-" + x.from)
		}
		switch {
		case s.cat.Has("name."+name) && (len(ahead) > 1 || !s.cat.Has("expected."+name)):
			out = append(out, s.word("expected.list", "name", s.word("name."+name), "values", strings.Join(x.values, ", "), "basis", basis))
		case s.cat.Has("expected." + name):
			out = append(out, s.word("expected."+name, "value", x.values[0], "basis", basis))
		}
	}
	return out
}

func (s *Screen) bandText(low, high judge.Expected) string {
	if about(low) == about(high) {
		return s.word("expected.crossed-flat", "value", about(low))
	}
	return s.word("expected.crossed", "low", about(low), "high", about(high))
}

// openOnes lists what must read over range.
func (s *Screen) openOnes(ahead []coach.Ahead) []string {
	var open []string
	for _, a := range ahead {
		if a.Open {
			open = append(open, strings.Join(a.Parts, " "))
		}
	}
	switch {
	case len(open) == 0:
		return nil
	case len(ahead) == 1:
		return []string{s.word("expected.open")}
	}
	return []string{s.word("expected.open-at", "where", strings.Join(open, ", "))}
}

func band(es []judge.Expected) (low, high judge.Expected, ok bool) {
	n := 0
	for _, e := range es {
		switch e.Name {
		case "crossed_min":
			low = e
			n++
		case "crossed_max":
			high = e
			n++
		}
	}
	return low, high, n == 2
}

// about prints an expectation with the digits an instrument shows: two decimals of an
// ohm, a megohm or a kiloampere.
func about(e judge.Expected) string {
	switch e.Unit {
	case quantity.Ohm, quantity.Megohm, quantity.Kiloampere:
		return fmt.Sprintf("%.2f %s", e.Value, e.Unit)
	}
	return fmt.Sprintf("%.0f %s", e.Value, e.Unit)
}

// limitsAhead lists the limits that the readings will be held against, once where
// they are the same for all, else by reading.
func (s *Screen) limitsAhead(ahead []coach.Ahead) []string {
	type group struct{ parts, limits string }
	var groups []group
	for _, a := range ahead {
		var texts []string
		for _, l := range bearing(a.Limits) {
			texts = append(texts, s.limits(l))
		}
		text, parts := strings.Join(texts, "; "), strings.Join(a.Parts, ", ")
		if text == "" {
			continue
		}
		i := slices.IndexFunc(groups, func(g group) bool { return g.limits == text })
		if i < 0 {
			groups = append(groups, group{parts, text})
		} else {
			groups[i].parts += ", " + parts
		}
	}
	var out []string
	for _, g := range groups {
		if len(groups) > 1 {
			g.limits = s.word("limit.parts", "parts", s.partList(g.parts), "limits", g.limits)
		}
		out = append(out, g.limits)
	}
	return out
}

// partList puts part ids into words where they have any.
func (s *Screen) partList(ids string) string {
	names := strings.Split(ids, ", ")
	for i, id := range names {
		if t := s.opt("part." + id); t != "" {
			names[i] = t
		}
	}
	return strings.Join(names, ", ")
}

// bearing drops what only traces how a limit came about (the table's value for hot
// conductors beside the one for a cold reading, other roundings of it), and puts the
// two ends of a band together.
func bearing(ls []judge.Limit) [][]judge.Limit {
	cold := slices.ContainsFunc(ls, func(l judge.Limit) bool { return l.Name == "zs_measured" })
	var out [][]judge.Limit
	for _, l := range ls {
		if l.Name == "zs_measured_rounded" || l.Name == "zs_table" && cold {
			continue
		}
		if n := len(out); n > 0 && isBand(out[n-1], l) {
			out[n-1] = append(out[n-1], l)
			continue
		}
		out = append(out, []judge.Limit{l})
	}
	return out
}

func isBand(low []judge.Limit, high judge.Limit) bool {
	a, okA := strings.CutSuffix(low[0].Name, "_min")
	b, okB := strings.CutSuffix(high.Name, "_max")
	return len(low) == 1 && okA && okB && a == b
}

// limits is a limit, or the two ends of a band, in words.
func (s *Screen) limits(ls []judge.Limit) string {
	l := ls[len(ls)-1]
	name := s.opt("limit." + l.Name)
	if name == "" {
		name = strings.ReplaceAll(l.Name, "_", " ")
	}
	if len(ls) == 2 {
		return s.word("limit.band", "name", name, "low", quantity.FormatNumber(ls[0].Value), "high", quantity.Format(l.Value, l.Unit))
	}
	id := "limit." + l.Bound
	if l.Name == "ir_advice" || l.Name == "electrode_advice" {
		id = "limit.advice"
	}
	return s.word(id, "name", name, "value", quantity.Format(l.Value, l.Unit))
}
