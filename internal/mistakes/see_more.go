package mistakes

import (
	"math"

	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// refused: the instrument showed no reading, for this reason.
func refused(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, func(r *Reading) bool { return r.Refused == c.of }), c)
}

// hasRig: the rig, or the circuit, has this.
func hasRig(v *View, owner string, c clause) ([]*Reading, bool) {
	circuit, d := v.circuit(owner), v.rcd(owner)
	switch c.of {
	case "spd":
		return nil, v.Rig.Board.SPD != nil || circuit != nil && circuit.SPD
	case "rcd":
		return nil, d != nil
	case "no-rcd":
		return nil, circuit != nil && d == nil
	case "rcbo":
		return nil, circuit != nil && circuit.RCD != nil
	case "delayed":
		return nil, d != nil && d.Delay == "S"
	case "type-ac":
		return nil, d != nil && d.Type == "AC"
	case "upstream-rcd":
		return nil, v.Rig.Supply.UpstreamRCD != nil
	case "electronics":
		return nil, circuit != nil && circuit.Electronics != ""
	case "tt":
		return nil, v.Rig.Supply.Earthing == rig.TT
	case "tn-board": // of a scope that is not one circuit's
		return nil, v.Rig.Supply.Earthing != rig.TT
	case "tn":
		return nil, v.Rig.Supply.Earthing != rig.TT
	case "curve-c":
		return nil, circuit != nil && (circuit.Device.Curve == "C" || circuit.Device.Curve == "D")
	case "no-spd":
		return nil, v.Rig.Board.SPD == nil && (circuit == nil || !circuit.SPD && circuit.Electronics == "")
	case "two-way":
		return nil, circuit != nil && len(circuit.Switches) > 1
	case "two-rings":
		n := 0
		for i := range v.Rig.Circuits {
			if v.Rig.Circuits[i].Shape == rig.Ring {
				n++
			}
		}
		return nil, n > 1
	}
	return nil, circuit != nil && string(circuit.Shape) == c.of
}

// sum: the calculated loop impedance is this sum, and not Ze and the highest R1+R2.
func sum(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(where(v.pick(owner, clause{tests: []string{safety.TestZsCalculated}}), func(r *Reading) bool { return r.Owner == owner }))
	if len(rs) != 1 {
		return nil, false
	}
	low, high, ringHigh := math.Inf(1), math.Inf(-1), math.Inf(-1)
	circuit := v.circuit(owner)
	for _, r := range v.pick(owner, clause{tests: []string{safety.TestContinuity, safety.TestCrossedLE}}) {
		if r.Owner != owner || !r.Read.IsNumber() {
			continue
		}
		low, high = min(low, r.Read.Value), max(high, r.Read.Value)
		if !spur(circuit, r.Part) {
			ringHigh = max(ringHigh, r.Read.Value)
		}
	}
	ze := v.ze()
	right := ze + high
	r1, r2 := v.value(owner, safety.TestEnds, "r1"), v.value(owner, safety.TestEnds, "r2")
	wrong := map[string]float64{"no-ze": high, "lowest": ze + low, "no-spur": ze + ringHigh, "r1": ze + r1, "half": ze + float64((r1+r2)/2), "whole": ze + r1 + r2}[c.of]
	got := rs[0].Read.Value
	return rs, math.Abs(got-wrong) <= 0.011 && math.Abs(got-right) > 0.03
}

func spur(c *rig.Circuit, point string) bool {
	for _, p := range c.Points {
		if p.ID == point {
			return c.Shape == rig.Ring && p.From != ""
		}
	}
	return false
}

// gap: loop readings less Ze and R1+R2 of the same point, between from and to.
func gap(v *View, owner string, c clause) ([]*Reading, bool) {
	zs := where(v.pick(owner, clause{tests: []string{safety.TestZs}}), func(r *Reading) bool { return r.Read.IsNumber() && r.Refused == "" })
	test := safety.TestContinuity
	if circuit := v.circuit(owner); circuit != nil && circuit.Shape == rig.Ring {
		test = safety.TestCrossedLE
	}
	var hit []*Reading
	for _, r := range zs {
		if g := r.Read.Value - v.ze() - v.value(owner, test, r.Part); g >= c.from && g <= c.to {
			hit = append(hit, r)
		}
	}
	return need(zs, hit, c)
}

// exact: R1+R2 is, to the digit, the loop reading less Ze at every point, and not what is expected.
func exact(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(where(v.pick(owner, clause{tests: []string{safety.TestContinuity, safety.TestCrossedLE}}), func(r *Reading) bool { return r.Owner == owner }))
	n, have := 0, 0
	for _, r := range rs {
		if !math.IsNaN(v.value(owner, safety.TestZs, r.Part)) {
			have++
		}
		if math.Abs(v.value(owner, safety.TestZs, r.Part)-v.ze()-r.Read.Value) < 0.0005 {
			n++
		}
	}
	_, off := need(rs, where(rs, (*Reading).off), clause{which: "any", least: 1})
	return rs, off && n >= 1 && n == have
}

// limit: readings from to to times the upper limit that bears on them.
func limit(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := where(v.pick(owner, c), func(r *Reading) bool { return r.LimitHi > 0 })
	return need(rs, where(rs, func(r *Reading) bool {
		k := r.Read.Value / r.LimitHi
		return r.Read.IsNumber() && k > c.from && k <= c.to
	}), c)
}

// said: the learner's judgement of these readings was `of`, and the verdict was not.
func said(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := where(v.pick(owner, c), func(r *Reading) bool { return r.Claimed == c.of && r.Verdict != "" && r.Verdict != c.of })
	return rs, len(rs) > 0
}

// twoAgree: the same low insulation reading, within a tenth, for the same pair of two circuits.
func twoAgree(v *View, owner string, c clause) ([]*Reading, bool) {
	low := where(v.pick(owner, c), func(r *Reading) bool { return r.Refused == "" && r.Read.IsNumber() && r.Read.Value < 2 })
	for i, r := range low {
		for _, o := range low[i+1:] {
			if r.Owner != o.Owner && r.Part == o.Part && math.Abs(r.Read.Value-o.Read.Value) <= 0.02+float64(0.1*r.Read.Value) {
				return []*Reading{r, o}, true
			}
		}
	}
	return nil, false
}

// noTrip: the device did not open.
func noTrip(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, (*Reading).noTrip), c)
}

// quick: the device opened, in from to to times what is expected of it, or where it should have stayed on.
func quick(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, func(r *Reading) bool {
		if r.Refused != "" || !r.Read.IsNumber() {
			return false
		}
		if !r.Expect.IsNumber() {
			return true
		}
		k := r.Read.Value / r.Expect.Value
		return k >= c.from && k <= c.to
	}), c)
}

// share: two readings of a scope stand in a ratio between from and to, as r2 to r1; `of` is the one below the line.
func share(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(v.pick(owner, c))
	for _, r := range rs {
		if k := r.Read.Value / v.value(owner, r.Test, c.of); k >= c.from && k <= c.to && r.off() {
			return []*Reading{r}, true
		}
	}
	return nil, false
}

// top: over range with the sign's number between from and to: that of another range of the instrument.
func top(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := where(v.pick(owner, c), func(r *Reading) bool { return r.over() })
	return need(rs, where(rs, func(r *Reading) bool { return r.Read.Value >= c.from && r.Read.Value <= c.to }), c)
}

// equalNumber: a reading away from what is expected that has the same digits as one of another test of the circuit.
func equalNumber(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(v.pick(owner, c))
	others := where(v.pick(owner, clause{tests: []string{c.of}}), func(r *Reading) bool { return r.Owner == owner && r.Read.IsNumber() })
	return need(rs, where(rs, func(r *Reading) bool {
		return r.off() && r.Read.Value > 0 && len(where(others, func(o *Reading) bool { return math.Abs(o.Read.Value-r.Read.Value) <= 0.045 })) > 0
	}), c)
}

// below: readings lower than expected by more than from, and more than a quarter.
func below(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := numbers(v.pick(owner, c))
	return need(rs, where(rs, func(r *Reading) bool { return -r.by() > c.from && r.Read.Value < 0.75*r.Expect.Value }), c)
}

// closeTogether: the highest of the readings is at most `to` times the lowest.
func closeTogether(v *View, owner string, c clause) ([]*Reading, bool) {
	low, high := math.Inf(1), 0.0
	rs := where(v.pick(owner, c), func(r *Reading) bool { return r.Refused == "" && r.Read.IsNumber() })
	for _, r := range rs {
		low, high = min(low, r.Read.Value), max(high, r.Read.Value)
	}
	return rs, len(rs) >= c.least && high <= c.to*low
}

// ratioRated: readings from to to times the rated residual current.
func ratioRated(v *View, owner string, c clause) ([]*Reading, bool) {
	d := v.rcd(owner)
	if d == nil {
		return nil, false
	}
	rs := where(v.pick(owner, c), func(r *Reading) bool { return r.Refused == "" && r.Read.IsNumber() })
	return need(rs, where(rs, func(r *Reading) bool { return r.Read.Value >= c.from*d.IdnMA && r.Read.Value <= c.to*d.IdnMA }), c)
}

// notPassed: readings whose verdict is a doubt or a fail.
func notPassed(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, func(r *Reading) bool { return r.Verdict == "doubt" || r.Verdict == "fail" }), c)
}

// falls: an insulation reading that was good at the same place before and is below 2 MΩ, and below a tenth of it, now.
func falls(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := v.pick(owner, c)
	return need(rs, where(rs, func(r *Reading) bool {
		if len(r.Earlier) == 0 || r.Refused != "" || !r.Read.IsNumber() || r.Read.Value >= 2 {
			return false
		}
		e := r.Earlier[len(r.Earlier)-1]
		return e.IsOver() || e.IsNumber() && e.Value >= 2 && e.Value >= 10*r.Read.Value
	}), c)
}

// thousandth: a reading that is a thousandth of what another gives for the same path: of the one before it at the same
// place, for R1+R2 of the loop there less Ze, for an electrode of a loop less R1+R2.
func thousandth(v *View, owner string, c clause) ([]*Reading, bool) {
	rs := where(v.pick(owner, c), func(r *Reading) bool { return r.Refused == "" && r.Read.IsNumber() && r.Read.Value > 0 })
	of := func(r *Reading, whole float64) bool { return math.Abs(whole/r.Read.Value/1000-1) <= 0.04 }
	return need(rs, where(rs, func(r *Reading) bool {
		for _, e := range r.Earlier {
			if e.IsNumber() && of(r, e.Value) {
				return true
			}
		}
		for i := range v.Readings {
			o := &v.Readings[i]
			if o.Test != safety.TestZs || o.Refused != "" || !o.Read.IsNumber() {
				continue
			}
			switch r.Test {
			case safety.TestContinuity:
				if o.Owner == r.Owner && o.Part == r.Part && of(r, o.Read.Value-v.ze()) {
					return true
				}
			case safety.TestElectrode, safety.TestZe:
				if of(r, o.Read.Value) { // R1+R2 is no part of it beside hundreds of ohms
					return true
				}
			}
		}
		return false
	}), c)
}
