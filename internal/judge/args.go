package judge

import (
	"fmt"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/internal/slip"
)

// ParseArgs reads the key=value arguments of a test. Readings without a unit
// are in Ω; insulation in MΩ, RCD times in ms, RCD currents in mA, prospective
// currents in kA, lengths in m, areas in mm², temperatures in °C. The error is
// ArgErrors with everything wrong, each naming its key.
func ParseArgs(test string, args []string) (Query, error) {
	keys := keysOf(test)
	if keys == nil {
		hint := "tests: " + testList()
		if near := slip.Nearest(test, Tests()); near != "" {
			hint = fmt.Sprintf("did you mean %s? %s", near, hint)
		}
		return Query{}, ArgErrors{{"test", fmt.Sprintf("unknown test %q", test), hint}}
	}
	q := Query{Test: test}
	var errs ArgErrors
	seen := map[string]bool{}
	for _, arg := range args {
		name, raw, ok := strings.Cut(arg, "=")
		name = strings.TrimSpace(name)
		k, known := find(keys, name)
		switch {
		case !ok:
			errs = append(errs, ArgError{arg, "not of the form key=value", "keys of " + test + ": " + keyList(keys)})
		case !known:
			errs = append(errs, unknownKey(test, name, keys))
		case seen[name]:
			errs = append(errs, ArgError{name, "given twice", "give each key once"})
		default:
			if err := k.read(&q, raw); err != nil {
				errs = append(errs, err.(ArgError))
			}
		}
		seen[name] = true
	}
	for _, e := range missing(q) {
		if !seen[e.Key] {
			errs = append(errs, e)
		}
	}
	return q, errs.orNil()
}

func (k key) read(q *Query, raw string) error {
	if strings.TrimSpace(raw) == "" {
		return ArgError{k.name, "empty", "give a value after the ="}
	}
	if k.set != nil {
		return k.set(q, raw)
	}
	r, err := quantity.Parse(raw, k.unit)
	if err != nil {
		return fromQuantity(k.name, err)
	}
	if !k.allows(r.Mark) {
		return ArgError{k.name, fmt.Sprintf("%q is not a number", raw), "give the number in " + k.unit.String()}
	}
	if k.above0 && r.Value <= 0 {
		return ArgError{k.name, fmt.Sprintf("%q is not above 0", raw), "give the number in " + k.unit.String()}
	}
	*k.reading(q) = r
	return nil
}

// missing lists the keys a verdict cannot do without.
func missing(q Query) ArgErrors {
	var errs ArgErrors
	need := func(absent bool, name, hint string) {
		if absent {
			errs = append(errs, ArgError{name, "missing", hint})
		}
	}
	for _, k := range keysOf(q.Test) {
		if k.need && k.reading != nil {
			need(!k.reading(&q).Given(), k.name, fmt.Sprintf("give %s=… (%s)", k.name, k.unit))
		}
	}
	switch q.Test {
	case RingCrossed:
		need(q.Step == "", "step", "give step=line-neutral or step=line-cpc")
		need(q.Step == "line-neutral" && !q.RN.Given(), "rn", "a line-neutral step is compared with r1 and rn")
		need(q.Step == "line-cpc" && !q.R2.Given(), "r2", "a line-cpc step is compared with r1 and r2")
		need(len(q.Points) == 0, "readings", "give readings=0.20,0.21,… in socket order")
	case Zs:
		need(strings.TrimSpace(q.Device) == "", "device", "give device=B32 or device=BS3036-30")
	case PFC:
		need(!q.Value.Given() && !q.LoopOhm.Given(), "value", "give value=… (kA) or zs=… (Ω)")
		if q.Value.Given() && q.LoopOhm.Given() {
			errs = append(errs, ArgError{"zs", "given beside value", "give one of value and zs"})
		}
	case RCD:
		need(q.Multiple == 0, "multiple", "give multiple=0.5, 1 or 5")
	case Voltage:
		need(q.Between == "", "between", "give between=L-N, L-E or N-E")
	}
	return errs
}

func find(keys []key, name string) (key, bool) {
	for _, k := range keys {
		if k.name == name {
			return k, true
		}
	}
	return key{}, false
}

func unknownKey(test, name string, keys []key) ArgError {
	hint := "keys of " + test + ": " + keyList(keys)
	var names []string
	for _, k := range keys {
		names = append(names, k.name)
	}
	if near := slip.Nearest(name, names); near != "" {
		hint = fmt.Sprintf("did you mean %s? %s", near, hint)
	}
	return ArgError{name, "unknown key", hint}
}

func keyList(keys []key) string {
	var names []string
	for _, k := range keys {
		names = append(names, k.name)
	}
	return strings.Join(names, ", ")
}
