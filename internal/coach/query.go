package coach

import (
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// query fills in everything the session knows for one group of readings.
func (s *State) query(g group) judge.Query {
	step := s.pl.parts[g[0]].step
	st := &s.pl.p.Steps[step]
	part := s.pl.part(g[0])
	q := judge.Query{Value: s.reading(g[0]), Point: part.Label, Earthing: string(s.pl.r.Supply.Earthing)}
	if t := s.pl.r.Supply.Transformer; t != nil && !t.NeutralEarthed {
		q.UnearthedNeutral = true
	}
	var c *rig.Circuit
	if st.Circuit >= 0 {
		c = &s.pl.r.Circuits[st.Circuit]
	}
	switch test := s.pl.testName(step); test {
	case safety.TestEarthing:
		e := s.pl.r.Earthing
		q.Test, q.Length, q.CSA = judge.Bonding, metres(e.ConductorM), mm2(e.ConductorMM2)
		s.commissioned(&q, g[0], "bonding")
	case safety.TestBonding:
		s.bondingQuery(&q, g[0], part.ID)
	case safety.TestContinuity, safety.TestLongLead:
		s.continuityQuery(&q, g[0], c, part, test)
	case safety.TestOwnBar:
		s.ownBarQuery(&q, c)
		s.commissioned(&q, g[0], "r1_plus_r2")
	case safety.TestEnds:
		q.Test, q.Value = judge.RingEnds, quantity.Reading{}
		q.R1, q.RN, q.R2 = s.reading(g[0]), s.reading(g[1]), s.reading(g[2])
		q.Line, q.CPC = mm2(c.Cable.LineMM2), mm2(c.Cable.CPCMM2)
	case safety.TestCrossedLN, safety.TestCrossedLE:
		s.crossedQuery(&q, g, st, c, test)
	case safety.TestInsulation:
		s.insulationQuery(&q, step, g[0], st.Circuit)
	case safety.TestSupply:
		s.supplyQuery(&q, part)
		if part.ID != "N-E" {
			s.commissioned(&q, g[0], "voltage")
		}
	case safety.TestZe:
		q.Test = judge.Ze
		if d := s.pl.r.Supply.Declared.ZeOhm; d > 0 {
			q.Declared = quantity.Of(d, quantity.Ohm)
		}
		q.Rated = s.largestRated()
	case safety.TestElectrode:
		q.Test, q.Rated = judge.Electrode, s.largestRated()
	case safety.TestZs, safety.TestZsCalculated:
		s.zsQuery(&q, c, part, test)
	case safety.TestPFC:
		q.Test, q.Between, q.Phases = judge.PFC, pairKind(part.ID), s.pl.r.Supply.Phases
		q.Breaking = s.leastBreaking()
		if a := s.pl.r.Board.AssemblyKA; a > 0 {
			q.Assembly = quantity.Of(a, quantity.Kiloampere)
		}
	case safety.TestRCD:
		s.rcdQuery(&q, st, part)
	}
	return q
}

func (s *State) reading(part int) quantity.Reading {
	if e := s.latest[part]; e != nil {
		return e.Reading
	}
	return quantity.Reading{}
}

func metres(v float64) quantity.Reading {
	if v <= 0 {
		return quantity.Reading{}
	}
	return quantity.Of(v, quantity.Metre)
}

func mm2(v float64) quantity.Reading {
	if v <= 0 {
		return quantity.Reading{}
	}
	return quantity.Of(v, quantity.SquareMillimetre)
}

// commissioned adds the rig's own reference reading for a part, if it has one.
func (s *State) commissioned(q *judge.Query, part int, name string) {
	if v, ok := s.pl.ref[part]; ok {
		q.Given = append(q.Given, judge.Given{Name: name, Value: v, From: judge.FromCommissioned})
	}
}

func (s *State) bondingQuery(q *judge.Query, part int, id string) {
	q.Test = judge.Bonding
	for _, b := range s.pl.r.Earthing.Bonds {
		if b.ID == id {
			q.Length, q.CSA = metres(b.LengthM), mm2(b.MM2)
		}
	}
	s.commissioned(q, part, "bonding")
}

func (s *State) continuityQuery(q *judge.Query, part int, c *rig.Circuit, p *sequence.Part, test string) {
	q.Test, q.Method = judge.Continuity, "1"
	name := "r1_plus_r2"
	if test == safety.TestLongLead {
		q.Method, name = "2", "r2"
	}
	q.Line, q.CPC = mm2(c.Cable.LineMM2), mm2(c.Cable.CPCMM2)
	if way, total := s.pl.ringWay(c, p.Point); c.Shape == rig.Ring && total > 0 {
		// The ring is closed: the way there is both halves in parallel.
		x := way / total
		spur := s.pl.spurM(c, p.Point)
		ohm := float64(s.pl.milli(c.Cable.CPCMM2) / 1000 * (float64(total*x*(1-x)) + spur))
		q.Given = append(q.Given, judge.Given{Name: name, Value: ohm, From: judge.FromNetwork})
	} else {
		q.Length = metres(s.pl.wayM(c, p.Point))
	}
	s.commissioned(q, part, name)
}

// ownBarQuery compares line way to own neutral bar with the way out on line and
// back on neutral, from a link at the far point: R1+Rn, the cores being equal.
func (s *State) ownBarQuery(q *judge.Query, c *rig.Circuit) {
	q.Test, q.Method = judge.Continuity, "1"
	far := sequence.FarPoint(c)
	q.Line, q.CPC = mm2(c.Cable.LineMM2), mm2(c.Cable.LineMM2)
	if c.Shape != rig.Ring {
		q.Length = metres(s.pl.wayM(c, far))
		return
	}
	// Both halves of the ring are back in their terminals: two ways in parallel.
	if r, ok := s.ringLoop(c, far); ok {
		q.Line, q.CPC = quantity.Reading{}, quantity.Reading{}
		q.Given = append(q.Given, judge.Given{Name: "r1_plus_r2", Value: r, From: judge.FromNetwork})
	}
}

// ringLoop is the resistance in Ω from the board round to a point of a closed ring,
// out on line and back on neutral, from the ends measured in step 1: with a share x
// of the ring on one side, x(1-x) of r1+rn.
func (s *State) ringLoop(c *rig.Circuit, point int) (float64, bool) {
	r1, ok1 := s.value(c.ID + "/" + safety.TestEnds + "/r1")
	rn, ok2 := s.value(c.ID + "/" + safety.TestEnds + "/rn")
	if !ok1 || !ok2 {
		return 0, false
	}
	at, total := s.pl.ringWay(c, point)
	if total <= 0 {
		return 0, false
	}
	x := at / total
	return float64((r1 + rn) * x * (1 - x)), true
}

// value is the latest number recorded for a reading by its id.
func (s *State) value(id string) (float64, bool) {
	p, ok := s.pl.byID[id]
	if !ok || s.latest[p] == nil || !s.latest[p].Reading.IsNumber() {
		return 0, false
	}
	return s.latest[p].Reading.Value, true
}

func (s *State) crossedQuery(q *judge.Query, g group, st *sequence.Step, c *rig.Circuit, test string) {
	q.Test, q.Value = judge.RingCrossed, quantity.Reading{}
	q.Step = "line-neutral"
	back := "rn"
	backMM2 := c.Cable.LineMM2
	if test == safety.TestCrossedLE {
		q.Step, back, backMM2 = "line-cpc", "r2", c.Cable.CPCMM2
	}
	ends := c.ID + "/" + safety.TestEnds + "/"
	q.R1 = s.readingOf(ends + "r1")
	if back == "rn" {
		q.RN = s.readingOf(ends + "rn")
	} else {
		q.R2 = s.readingOf(ends + "r2")
	}
	other := q.RN
	if back == "r2" {
		other = q.R2
	}
	for _, p := range g {
		part := s.pl.part(p)
		pt := judge.Point{Name: part.ID, Reading: s.reading(p)}
		if from := c.Points[part.Point].From; from != "" && q.R1.IsNumber() && other.IsNumber() {
			quarter := float64((q.R1.Value + other.Value) / 4) // a division by a power of two becomes a product
			pt.SpurOhm = quarter + float64(s.pl.perMetre(c.Cable.LineMM2, backMM2)*s.pl.spurM(c, part.Point))
		}
		q.Points = append(q.Points, pt)
	}
}

func (s *State) readingOf(id string) quantity.Reading {
	if p, ok := s.pl.byID[id]; ok {
		return s.reading(p)
	}
	return quantity.Reading{}
}

func (s *State) insulationQuery(q *judge.Query, step, part, circuit int) {
	q.Test, q.Between = judge.Insulation, s.pl.part(part).ID
	q.Point = ""
	v := 500.0
	if circuit >= 0 {
		c := &s.pl.r.Circuits[circuit]
		if c.SPD || s.spdStays() {
			q.Connected, v = "spd", 250
		} else if c.Electronics != "" {
			q.Connected, v = "equipment", 250
		}
	}
	q.TestVoltage = quantity.Of(v, quantity.Volt)
	for _, p := range s.allParts(step) {
		if p != part && s.reading(p).Given() {
			q.OtherPairs = append(q.OtherPairs, judge.Pair{Between: s.pl.part(p).ID, Reading: s.reading(p)})
		}
	}
}

// spdStays reports whether the board's surge protection is measured along: today's check
// on top of an accepted record opens nothing, so nobody takes it out.
func (s *State) spdStays() bool { return s.pl.p.Seq.FromRecord && s.pl.r.Board.SPD != nil }

func (s *State) supplyQuery(q *judge.Query, part *sequence.Part) {
	q.Test, q.Between, q.Expect = judge.Voltage, part.ID, "supply"
	v := s.pl.r.Supply.VoltageV
	if v > 0 && len(part.ID) == 5 { // L1-L2: between lines
		v = float64(v * 1.7320508075688772)
	}
	if v > 0 {
		q.Nominal = quantity.Of(v, quantity.Volt)
	}
}

func (s *State) zsQuery(q *judge.Query, c *rig.Circuit, part *sequence.Part, test string) {
	q.Test, q.Device, q.At = judge.Zs, sequence.DeviceName(c.Device), "measured"
	q.Ze, q.R1R2 = s.ze(), s.r1r2(indexOf(s.pl.r, c))
	q.Method = "high-current"
	if d := s.pl.r.RCDOf(c); d != nil {
		q.RCDRated = quantity.Of(d.IdnMA, quantity.Milliampere)
		q.Method = "no-trip"
	}
	if test == safety.TestZsCalculated {
		q.Point, q.Method, q.Calculated = "", "", true
	}
	_ = part
}

func indexOf(r *rig.Rig, c *rig.Circuit) int {
	for i := range r.Circuits {
		if &r.Circuits[i] == c {
			return i
		}
	}
	return -1
}

// ze is the external loop impedance in Ω: measured, else declared; for TT the
// electrode reading stands for it.
func (s *State) ze() quantity.Reading {
	for _, id := range []string{"ze", "electrode"} {
		if r := s.readingOf(id); r.IsNumber() {
			return r
		}
	}
	if d := s.pl.r.Supply.Declared.ZeOhm; d > 0 {
		return quantity.Of(d, quantity.Ohm)
	}
	return quantity.Reading{}
}

// r1r2 is the highest R1+R2 recorded on a circuit, in Ω: by the linked-ends method
// at any point, or the highest crossed line-cpc reading of a ring.
func (s *State) r1r2(circuit int) quantity.Reading {
	best := quantity.Reading{}
	for p := range s.pl.parts {
		st := &s.pl.p.Steps[s.pl.parts[p].step]
		if st.Circuit != circuit {
			continue
		}
		switch s.pl.testName(s.pl.parts[p].step) {
		case safety.TestContinuity, safety.TestCrossedLE:
			if r := s.reading(p); r.IsNumber() && (!best.IsNumber() || r.Value > best.Value) {
				best = r
			}
		}
	}
	return best
}

// largestRated is the largest rated residual current, in mA, that relies on the
// installation's earth.
func (s *State) largestRated() quantity.Reading {
	best := 0.0
	for _, d := range s.pl.p.RCDs {
		best = max(best, d.IdnMA)
	}
	if u := s.pl.r.Supply.UpstreamRCD; u != nil {
		best = max(best, u.IdnMA)
	}
	if best == 0 {
		return quantity.Reading{}
	}
	return quantity.Of(best, quantity.Milliampere)
}

// leastBreaking is the smallest breaking capacity among the board's devices, in kA.
func (s *State) leastBreaking() quantity.Reading {
	best := 0.0
	for _, c := range s.pl.r.Circuits {
		if k := c.Device.BreakingKA; k > 0 && (best == 0 || k < best) {
			best = k
		}
	}
	if best == 0 {
		return quantity.Reading{}
	}
	return quantity.Of(best, quantity.Kiloampere)
}

// pairKind folds a phase into the pair the fault current is taken between.
func pairKind(id string) string {
	if id[len(id)-1] == 'E' {
		return "L-E"
	}
	return "L-N"
}

func (s *State) rcdQuery(q *judge.Query, st *sequence.Step, part *sequence.Part) {
	d := s.pl.p.RCDs[max(st.RCD, 0)]
	q.Test, q.Point = judge.RCD, d.ID
	q.Rated, q.Delay, q.Type, q.Standard = quantity.Of(d.IdnMA, quantity.Milliampere), d.Delay, d.Type, d.Standard
	switch part.ID {
	case "half-0", "half-180":
		q.Multiple = 0.5
	case "one-0", "one-180":
		q.Multiple = 1
	case "five-0", "five-180":
		q.Multiple = 5
	case "ramp":
		q.Test, q.Waveform = judge.RCDRamp, "ac"
		return
	}
	q.Angle = "0"
	if part.ID[len(part.ID)-3:] == "180" {
		q.Angle = "180"
	}
}
