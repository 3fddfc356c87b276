package judge

import (
	"errors"
	"fmt"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// NotApplicable is the error of a test that this supply does not admit.
type NotApplicable struct{ Why string }

func (e *NotApplicable) Error() string { return e.Why }

var tests = map[string]func(*run) error{
	Continuity: (*run).continuity, Bonding: (*run).bonding, RingEnds: (*run).ringEnds, RingCrossed: (*run).ringCrossed,
	Insulation: (*run).insulation, Ze: (*run).ze, Zs: (*run).zs, PFC: (*run).pfc, RCD: (*run).rcd, RCDRamp: (*run).ramp,
	Electrode: (*run).electrode, Voltage: (*run).voltage,
}

// Judge gives the verdict on a query. The error is ArgErrors (a key that is
// missing, wrong or without a limit in the edition) or *NotApplicable; whatever
// was typed, it never panics.
func Judge(pack *edition.Pack, q Query) (Verdict, error) {
	if err := check(q, true); err != nil {
		return Verdict{}, err
	}
	r := start(pack, q)
	for _, m := range r.v.Readings {
		if m.Reading.IsNumber() && m.Reading.Value < 0 {
			r.find(Doubt, "negative-reading", "next-null-again", "name", m.Name, "shown", m.Reading.String())
		}
	}
	if err := tests[q.Test](r); err != nil {
		return Verdict{}, err
	}
	return r.finish(), nil
}

// Before gives what can be known before measuring: the expected values (the
// crossed band of a ring from its ends, R1+R2 from length) and the limits. The
// query needs no reading. No expectation is no error.
func Before(pack *edition.Pack, q Query) ([]Expected, []Limit, error) {
	if err := check(q, false); err != nil {
		return nil, nil, err
	}
	r := start(pack, q)
	r.before = true
	if err := tests[q.Test](r); err != nil {
		return nil, nil, err
	}
	return r.v.Expected, r.v.Limits, nil
}

func start(pack *edition.Pack, q Query) *run {
	r := &run{pack: pack, q: q}
	r.v = Verdict{Test: q.Test, Edition: pack.Name, Value: q.Value, Unit: unitOf(q.Test), Readings: q.measured()}
	return r
}

// Tests lists the names of the tests.
func Tests() []string {
	return []string{Continuity, Bonding, RingEnds, RingCrossed, Insulation, Ze, Zs, PFC, RCD, RCDRamp, Electrode, Voltage}
}

func unitOf(test string) quantity.Unit {
	switch test {
	case Insulation:
		return quantity.Megohm
	case PFC:
		return quantity.Kiloampere
	case RCD:
		return quantity.Millisecond
	case RCDRamp:
		return quantity.Milliampere
	case Voltage:
		return quantity.Volt
	}
	return quantity.Ohm
}

// check guards what a session builds by hand as ParseArgs guards what is typed.
func check(q Query, withReadings bool) error {
	if tests[q.Test] == nil {
		return ArgErrors{{Key: "test", Msg: fmt.Sprintf("unknown test %q", q.Test), Hint: "tests: " + testList()}}
	}
	if err := applicable(q); err != nil {
		return err
	}
	var errs ArgErrors
	for _, k := range keysOf(q.Test) {
		if k.reading == nil {
			continue
		}
		r := *k.reading(&q)
		if r.Given() && r.Unit != k.unit {
			errs = append(errs, ArgError{k.name, fmt.Sprintf("%s is a reading in %s", r, r.Unit), "give it in " + k.unit.String()})
		}
		if r.Given() && !k.allows(r.Mark) {
			errs = append(errs, ArgError{k.name, fmt.Sprintf("%q is not a number", r.Raw), "give the number"})
		}
		if r.Given() && k.above0 && r.Value <= 0 {
			errs = append(errs, ArgError{k.name, fmt.Sprintf("%q is not above 0", r.Raw), "give the number in " + k.unit.String()})
		}
	}
	for _, p := range q.Points {
		if p.Reading.Unit != quantity.Ohm || p.Reading.Mark != quantity.Number && !p.Reading.IsOver() {
			errs = append(errs, ArgError{"readings", fmt.Sprintf("%q is not a reading in Ω", p.Reading.Raw), "give it in Ω"})
		}
	}
	if withReadings {
		errs = append(errs, missing(q)...)
	}
	return errs.orNil()
}

func applicable(q Query) error {
	if !q.UnearthedNeutral {
		return nil
	}
	switch q.Test {
	case Ze, Zs, RCD, RCDRamp, Electrode:
		return &NotApplicable{"the supply's neutral is not earthed: there is no earth fault loop to test"}
	case Voltage:
		if q.Between == "N-E" {
			return &NotApplicable{"the supply's neutral is not earthed: it has no fixed voltage to earth"}
		}
	}
	return nil
}

// ArgError is one key that is missing or wrong.
type ArgError struct{ Key, Msg, Hint string }

func (e ArgError) Error() string { return e.Key + ": " + e.Msg }

// ArgErrors is everything wrong with a query.
type ArgErrors []ArgError

func (e ArgErrors) Error() string {
	errs := make([]error, len(e))
	for i := range e {
		errs[i] = e[i]
	}
	return errors.Join(errs...).Error()
}

func (e ArgErrors) orNil() error {
	if len(e) == 0 {
		return nil
	}
	return e
}

func argError(key, msg, hint string) error { return ArgErrors{{key, msg, hint}} }

// limitError turns an edition's refusal into one that names the key.
func limitError(key string, err error) error {
	var le *edition.LimitError
	if errors.As(err, &le) {
		return argError(key, le.Msg, le.Hint)
	}
	return argError(key, err.Error(), "")
}
