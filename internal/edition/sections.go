package edition

import (
	"slices"
	"strings"

	"wanderlead/internal/content"
)

// loader fills a pack from one file; a section that the file leaves out keeps
// what the base has, and has to be there when there is no base.
type loader struct {
	p *Pack
	m content.Map
}

func (l *loader) sections() {
	based := l.m.Has("base")
	for name, read := range map[string]func(){
		"values": l.values, "breakers": l.breakers, "fuses": l.fuses, "without_limits": l.withoutLimits, "ze_typical": l.zeTypical,
		"electrode": l.electrode, "insulation": l.insulation, "disconnection": l.disconnection, "conductors": l.conductors,
		"breaking_capacity": l.breaking, "rcd": l.rcd, "rcd_products": l.rcdProducts, "rcd_ramp": l.rcdRamp,
	} {
		if l.m.Has(name) || !based {
			read()
		}
	}
}

func status(m content.Map) Status { return Status(m.OneOf("status", statuses...)) }

// restsOn checks the source and status of a map's own numbers, which no verdict names. They
// may be missing; the page on numbers shows them.
func restsOn(m content.Map) {
	m.OptName("source", "")
	if m.Has("status") {
		status(m)
	}
}

// positive reads a number that has to be above 0.
func positive(m content.Map, key string) float64 {
	v := m.Decimal(key)
	if m.Value(key).Kind() == content.Scalar && v <= 0 {
		m.Value(key).Errorf("", "%s has to be above 0", key)
	}
	return v
}

func optPositive(m content.Map, key string) float64 {
	if !m.Has(key) {
		return 0
	}
	return positive(m, key)
}

func (l *loader) values() {
	m := l.m.Map("values", keys...)
	values := map[Key]Entry{}
	for k, e := range l.p.values {
		values[k] = e
	}
	for _, k := range keys {
		if !m.Has(k) {
			if _, inherited := values[Key(k)]; !inherited && m.Exists() {
				m.Errorf("", "values needs %q", k)
			}
			continue
		}
		e := m.Map(k, "value", "unit", "source", "status")
		values[Key(k)] = Entry{positive(e, "value"), e.Str("unit"), e.Name("source"), status(e)}
	}
	l.p.values = values
}

func decimals(m content.Map, key string) []float64 {
	var out []float64
	for _, v := range m.List(key) {
		n := v.Decimal()
		if v.Kind() == content.Scalar && n <= 0 {
			v.Errorf("", "%s has to be above 0", key)
		}
		out = append(out, n)
	}
	return out
}

func (l *loader) breakers() {
	m := l.m.Map("breakers", "standard", "source", "formula", "largest", "status", "curves")
	b := breakers{standard: m.Name("standard"), source: m.Name("source"), formula: m.Name("formula"), largest: positive(m, "largest"), status: status(m)}
	for _, v := range m.List("curves") {
		c := v.Map("curve", "type", "times", "times_5s", "printed", "digits_confirmed")
		b.curves = append(b.curves, curve{c.OneOf("type", "B", "C", "D"), positive(c, "times"), positive(c, "times_5s"),
			decimals(c, "printed"), decimals(c, "digits_confirmed")})
	}
	l.p.breakers = b
}

func (l *loader) fuses() {
	var out []fuseFamily
	for _, v := range l.m.List("fuses") {
		m := v.Map("fuse", "standard", "what", "source", "rows")
		f := fuseFamily{standard: m.Name("standard"), what: m.Name("what"), source: m.Name("source")}
		for _, rv := range m.List("rows") {
			r := rv.Map("row", "rating", "time", "ia", "zs", "status")
			row := fuseRow{positive(r, "rating"), positive(r, "time"), optPositive(r, "ia"), positive(r, "zs"), status(r)}
			if slices.ContainsFunc(f.rows, func(o fuseRow) bool { return o.rating == row.rating && o.time == row.time }) {
				rv.Errorf("", "%s %g A at %g s is given twice", f.standard, row.rating, row.time)
			}
			if row.time != 0.4 && row.time != 5 && r.Exists() {
				rv.Errorf("", "a fuse row is for 0.4 s or 5 s, not %g s", row.time)
			}
			f.rows = append(f.rows, row)
		}
		out = append(out, f)
	}
	l.p.fuses = out
}

func (l *loader) withoutLimits() { l.p.withoutLimits = l.m.Strs("without_limits") }

func (l *loader) zeTypical() {
	out := map[string]Entry{}
	for _, v := range l.m.List("ze_typical") {
		m := v.Map("row", "earthing", "ohm", "source", "status")
		out[m.OneOf("earthing", "TN-S", "TN-C-S", "TT")] = Entry{positive(m, "ohm"), "Ω", m.Name("source"), status(m)}
	}
	l.p.zeTypical = out
}

func (l *loader) electrode() {
	m := l.m.Map("electrode", "source", "rows")
	e := electrode{source: m.Name("source")}
	for _, v := range m.List("rows") {
		r := v.Map("row", "rated", "ohm", "status")
		e.rows = append(e.rows, electrodeRow{positive(r, "rated"), positive(r, "ohm"), status(r)})
	}
	l.p.electrode = e
}

func (l *loader) insulation() {
	var out []insulationRow
	for _, v := range l.m.List("insulation") {
		m := v.Map("row", "systems", "up_to_v", "test_v", "min_mohm", "source", "status")
		row := insulationRow{m.Strs("systems"), optPositive(m, "up_to_v"), positive(m, "test_v"), positive(m, "min_mohm"), m.Name("source"), status(m)}
		for _, s := range row.systems {
			if !slices.Contains([]string{"LV", "FELV", "SELV", "PELV"}, s) {
				v.Errorf("systems are LV, FELV, SELV, PELV", "unknown system %q", s)
			}
		}
		out = append(out, row)
	}
	l.p.insulation = out
	for _, s := range []string{"LV", "FELV", "SELV", "PELV"} {
		if _, _, ok := l.p.Insulation(s, 1000); !ok && l.m.Has("insulation") {
			l.m.Value("insulation").Errorf("", "insulation has no row for %s at every voltage", s)
		}
	}
}

func (l *loader) disconnection() {
	m := l.m.Map("disconnection", "sockets_up_to_a", "fixed_up_to_a", "source", "status", "rows")
	restsOn(m)
	d := disconnection{socketsUpToA: positive(m, "sockets_up_to_a"), fixedUpToA: positive(m, "fixed_up_to_a"), source: m.Name("source")}
	for _, v := range m.List("rows") {
		r := v.Map("row", "earthing", "class", "up_to_v", "seconds", "status")
		d.rows = append(d.rows, disconnectionRow{r.OneOf("earthing", "TN", "TT"), r.OneOf("class", "short", "long"),
			optPositive(r, "up_to_v"), positive(r, "seconds"), status(r)})
	}
	l.p.disconnection = d
}

func (l *loader) conductors() {
	m := l.m.Map("conductors", "source", "status", "rows")
	c := conductors{source: m.Name("source"), status: status(m)}
	for _, v := range m.List("rows") {
		r := v.Map("row", "mm2", "copper", "flexible", "aluminium")
		c.rows = append(c.rows, conductorRow{positive(r, "mm2"), positive(r, "copper"), optPositive(r, "flexible"), optPositive(r, "aluminium")})
	}
	l.p.conductors = c
}

func (l *loader) breaking() {
	var out []BreakingCapacity
	for _, v := range l.m.List("breaking_capacity") {
		m := v.Map("row", "standard", "variant", "ka", "status")
		out = append(out, BreakingCapacity{m.Name("standard"), m.Name("variant"), positive(m, "ka"), status(m)})
	}
	l.p.breaking = out
}

func (l *loader) rcdRow(v content.Value) rcdRow {
	m := v.Map("row", "edition", "delay", "multiple", "rated_up_to", "min_ms", "max_ms", "no_trip", "source", "status")
	r := rcdRow{edition: m.OptName("edition", ""), delay: m.OneOf("delay", "general", "S", "any"), multiple: positive(m, "multiple"),
		ratedUpTo: optPositive(m, "rated_up_to"), minMS: optPositive(m, "min_ms"), maxMS: optPositive(m, "max_ms"),
		noTrip: m.OptBool("no_trip", false), source: m.OptName("source", ""), status: status(m)}
	switch {
	case !m.Exists():
	case r.noTrip && (r.maxMS > 0 || r.minMS > 0):
		v.Errorf("", "a device that has not to trip has no times")
	case !r.noTrip && r.maxMS == 0:
		v.Errorf("give max_ms, or no_trip: true", "the row has no limit")
	case r.minMS > r.maxMS:
		v.Errorf("", "min_ms %g is above max_ms %g", r.minMS, r.maxMS)
	}
	return r
}

func (l *loader) rcd() {
	m := l.m.Map("rcd", "half_run_ms", "button_months", "source", "status", "required", "rules", "earlier")
	restsOn(m)
	out := rcdRules{halfRunMS: positive(m, "half_run_ms"), months: m.Int("button_months")}
	for _, v := range m.List("required") {
		r := v.Map("row", "multiple", "delay", "rated_up_to")
		out.required = append(out.required, RCDTest{positive(r, "multiple"), r.OneOf("delay", "general", "S"), optPositive(r, "rated_up_to")})
	}
	for _, v := range m.List("rules") {
		out.rules = append(out.rules, l.rcdRow(v))
	}
	for _, v := range m.OptList("earlier") {
		out.earlier = append(out.earlier, l.rcdRow(v))
	}
	if !m.Has("earlier") {
		out.earlier = l.p.rcd.earlier
	}
	l.p.rcd = out
	for _, delay := range []string{"general", "S"} {
		for _, multiple := range []float64{0.5, 1, 5} {
			if _, ok := l.p.RCDBand(delay, multiple, 1e6); !ok && m.Exists() {
				m.Errorf("", "rcd has no rule for delay %s at %g times IΔn at every rating", delay, multiple)
			}
		}
	}
}

func (l *loader) rcdProducts() {
	var out []rcdProduct
	for _, v := range l.m.List("rcd_products") {
		m := v.Map("product", "standard", "rows", "delayed")
		product := rcdProduct{standard: m.Name("standard")}
		for _, rv := range m.List("rows") {
			product.rows = append(product.rows, l.rcdRow(rv))
		}
		for _, rv := range m.OptList("delayed") {
			r := rv.Map("row", "multiple", "base_ms", "least", "most", "status")
			product.delayed = append(product.delayed, rcdRow{multiple: positive(r, "multiple"), baseMS: positive(r, "base_ms"),
				least: positive(r, "least"), most: positive(r, "most"), status: status(r)})
		}
		out = append(out, product)
	}
	l.p.rcdProducts = out
}

func (l *loader) rcdRamp() {
	var out []rampRow
	for _, v := range l.m.List("rcd_ramp") {
		m := v.Map("row", "waveform", "rated_up_to", "above", "up_to", "source", "status")
		out = append(out, rampRow{m.OneOf("waveform", "ac", "pulsating"), optPositive(m, "rated_up_to"), positive(m, "above"),
			positive(m, "up_to"), m.Name("source"), status(m)})
	}
	l.p.rcdRamp = out
	for _, w := range strings.Fields("ac pulsating") {
		if _, ok := l.p.Ramp(w, 1e6); !ok && l.m.Has("rcd_ramp") {
			l.m.Value("rcd_ramp").Errorf("", "rcd_ramp has no row for %s at every rating", w)
		}
	}
}
