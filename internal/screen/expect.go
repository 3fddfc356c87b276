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
	var out []string
	switch testOf(st.Program(), &st.Program().Steps[step]) {
	case safety.TestInstrument:
		if ahead[0].Open {
			return []string{s.word("expected.open")}
		}
		return []string{s.word("expected.zero")}
	case safety.TestSwitching:
		return []string{s.word("expected.switching")}
	case safety.TestEnds:
		out = append(out, s.word("expected.ends"))
	case safety.TestRCD:
		for _, a := range ahead {
			if strings.HasPrefix(a.Parts[0], "half") {
				out = append(out, s.word("expected.stays-on"))
				break
			}
		}
	}
	return append(append(out, s.byName(ahead)...), s.openOnes(ahead)...)
}

// byName gathers the expectations of several points under one name, so that a row of
// points reads "R1+R2 s1 0.17 Ω, s2 0.30 Ω (the length times …)".
func (s *Screen) byName(ahead []coach.Ahead) []string {
	type key struct{ name, from string }
	var order []key
	values := map[key][]string{}
	var out []string
	for _, a := range ahead {
		if low, high, ok := band(a.Expected); ok {
			out = append(out, s.word("expected.crossed", "low", about(low), "high", about(high)))
			continue
		}
		for _, e := range a.Expected {
			k := key{e.Name, e.From}
			if !slices.Contains(order, k) {
				order = append(order, k)
			}
			v := about(e)
			if len(ahead) > 1 {
				v = strings.Join(a.Parts, " ") + " " + v
			}
			values[k] = append(values[k], v)
		}
	}
	for _, k := range order {
		basis := ""
		if k.from != "" {
			basis = s.opt("basis-" + k.from)
		}
		id := "expected." + k.name
		if len(ahead) > 1 && len(values[k]) > 0 && s.cat.Has("name."+k.name) {
			out = append(out, s.word("expected.list", "name", s.word("name."+k.name), "values", strings.Join(values[k], ", "), "basis", basis))
		} else if s.cat.Has(id) {
			out = append(out, s.word(id, "value", values[k][0], "basis", basis))
		}
	}
	return out
}

// openOnes lists what must read over range.
func (s *Screen) openOnes(ahead []coach.Ahead) []string {
	var open []string
	for _, a := range ahead {
		if a.Open {
			open = append(open, strings.Join(a.Parts, " "))
		}
	}
	if len(open) == 0 {
		return nil
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

// limitsAhead lists the limits a reading will be held against, each once. The table's
// own value and its other roundings stand with the verdict, not here.
func (s *Screen) limitsAhead(ahead []coach.Ahead) []string {
	var out []string
	for _, a := range ahead {
		cold := slices.ContainsFunc(a.Limits, func(l judge.Limit) bool { return l.Name == "zs_measured" })
		for _, l := range a.Limits {
			if l.Name == "zs_measured_rounded" || l.Name == "zs_table" && cold {
				continue
			}
			if t := s.limit(l); !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	return out
}

// limit is a limit in words: "trip time at most 300 ms".
func (s *Screen) limit(l judge.Limit) string {
	name := s.opt("limit." + l.Name)
	if name == "" {
		name = strings.ReplaceAll(l.Name, "_", " ")
	}
	id := "limit." + l.Bound
	if l.Name == "ir_advice" {
		id = "limit.advice"
	}
	return s.word(id, "name", name, "value", quantity.Format(l.Value, l.Unit))
}
