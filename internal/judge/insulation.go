package judge

import (
	"fmt"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// insulation judges one pair. The least value comes from the system and the
// nominal voltage of the circuit; a surge protective device or equipment that
// stays connected changes the right test voltage to 250 V, never the least value.
func (r *run) insulation() error {
	q := r.q
	system := q.System
	if system == "" {
		system = "LV"
	}
	nominal := r.pack.Num(edition.NominalVoltage)
	if q.Nominal.Given() {
		nominal = q.Nominal.Value
	}
	full, least, ok := r.pack.Insulation(system, nominal)
	if !ok {
		return argError("system", fmt.Sprintf("%s at %g V has no limit in %s", system, nominal, r.pack.Title), "systems: LV, SELV, PELV, FELV")
	}
	r.entryLimit("ir_min", least, quantity.Megohm, "min")
	r.entryLimit("ir_advice", r.pack.Entry(edition.InsulationAdvice), quantity.Megohm, "min")
	if r.before {
		return nil
	}
	r.insulationAt(full, least.Value)
	return nil
}

func (r *run) insulationAt(full, least float64) {
	q := r.q
	right := r.rightVoltage(full)
	tested := right
	if q.TestVoltage.Given() {
		tested = q.TestVoltage.Value
	}
	v := q.Value
	reduced := !q.TestVoltage.Given() && !sameVoltage(right, full)
	params := []string{"limit", quantity.Format(least, quantity.Megohm), "advice", quantity.Format(r.pack.Num(edition.InsulationAdvice), quantity.Megohm),
		"voltage", quantity.Format(tested, quantity.Volt), "right", quantity.Format(right, quantity.Volt)}
	if reduced {
		r.remark("insulation-reduced-voltage", params...)
	}
	tooLow := above(right, tested)
	if tooLow {
		id, next := "insulation-voltage-low", "next-repeat-voltage"
		if q.Connected == "equipment" && right > r.pack.Num(edition.InsulationReduced) {
			id, next = "insulation-equipment-pair", "next-join-line-neutral"
		}
		r.find(Doubt, id, next, params...)
	}
	if v.IsOver() {
		if above(max(least, r.pack.Num(edition.InsulationAdvice)), v.Value) {
			r.find(Doubt, "insulation-range-short", "next-higher-range", params...)
		} else {
			r.find(Pass, "insulation-over-range", "next-discharge", params...)
		}
		return
	}
	r.judged(v.Value)
	r.insulationNumber(least, tested, right, params)
}

func (r *run) insulationNumber(least, tested, right float64, params []string) {
	q, v := r.q, r.q.Value.Value
	below := above(least, v)
	switch {
	case below && q.Circuits > 1:
		r.find(Doubt, "insulation-together-low", "next-split", append(params, "circuits", fmt.Sprint(q.Circuits))...)
	case below && (q.Connected == "spd" || q.Connected == "equipment") && above(tested, right):
		// A varistor or a filter conducts at the full voltage: not a fail yet.
		r.find(Doubt, "insulation-connected-full-voltage", "next-repeat-reduced", params...)
	case below:
		id, next := r.lowPair(least)
		r.find(Fail, id, next, params...)
	case above(r.pack.Num(edition.InsulationAdvice), v):
		r.find(Doubt, "insulation-under-advice", "next-split", params...)
	default:
		r.find(Pass, "insulation-good", "next-discharge", params...)
	}
}

func sameVoltage(a, b float64) bool { return edition.Cmp(a, b) == 0 }

// rightVoltage is the test voltage that counts. With equipment left connected
// only line and neutral together may be tested against earth, at the reduced voltage.
func (r *run) rightVoltage(full float64) float64 {
	reduced := r.pack.Num(edition.InsulationReduced)
	switch r.q.Connected {
	case "spd":
		return min(full, reduced)
	case "equipment":
		if r.q.Between == "" || joined(r.q.Between) {
			return min(full, reduced)
		}
	}
	return full
}

// joined reports whether all live conductors are taken together against earth.
func joined(pair string) bool {
	return pair == "LN-E" || pair == "L1L2L3N-E" || pair == "L1L2L3-E"
}

// lowPair names what the pair alone says: low between live conductors with a
// good reading to earth is first of all a load left in.
func (r *run) lowPair(least float64) (id, next string) {
	live, earth := false, false // good readings of other pairs
	for _, p := range r.q.OtherPairs {
		good := p.Reading.IsOver() || p.Reading.IsNumber() && atMost(least, p.Reading.Value)
		switch {
		case !good:
		case toEarth(p.Between):
			earth = true
		default:
			live = true
		}
	}
	switch {
	case r.q.Between == "":
		return "insulation-low", "next-loads-out"
	case !toEarth(r.q.Between) && earth:
		return "insulation-only-live-low", "next-loads-out"
	case !toEarth(r.q.Between):
		return "insulation-live-low", "next-loads-out"
	}
	return earthLow(r.q.Between, r.q.Value.Value, live)
}

// contact is up to how many MΩ a reading is two conductors touching rather than damp, or
// fingers on the probes. It picks words, never a verdict. Common practice, no source.
const contact = 0.05

// earthLow names what a low pair to earth alone says. Fingers and damp do not read
// nothing; and neutral has ways to earth of its own.
func earthLow(pair string, value float64, live bool) (id, next string) {
	touching := atMost(value, contact)
	switch neutral := pair == "N-E"; {
	case touching && neutral:
		return "insulation-neutral-earth-contact", "next-find-contact"
	case touching && !joined(pair):
		return "insulation-line-earth-contact", "next-find-contact"
	case touching:
		return "insulation-earth-contact", "next-find-contact"
	case live:
		return "insulation-only-earth-low", "next-halve-circuit"
	case neutral:
		return "insulation-neutral-earth-low", "next-halve-circuit"
	}
	return "insulation-earth-low", "next-halve-circuit"
}

func toEarth(pair string) bool { return len(pair) > 2 && pair[len(pair)-2:] == "-E" }
