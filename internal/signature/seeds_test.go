package signature

import (
	"math"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
	"wanderlead/sequences"
)

// inspector takes the right moves on an installation and judges each reading by the limits and by what was commissioned.
type inspector struct {
	t    *testing.T
	pack *edition.Pack
	was  *rig.Rig      // as described and commissioned
	b    *faults.Built // as it is
	o    Options
	kept map[string]quantity.Reading
}

func defaultPack(t testing.TB) *edition.Pack {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		t.Fatal(err)
	}
	return pack
}

func newInspector(t *testing.T, pack *edition.Pack, was *rig.Rig, seed uint64, of func(float64) (float64, bool), planted ...faults.Planting) *inspector {
	t.Helper()
	o := Options{Wiring: wiring.Usual(of), Instrument: meter.Instrument{Seed: seed}, Leads: meter.Nulled(0.08)}
	b, err := faults.Build(was, o.Wiring, planted...)
	if err != nil {
		t.Fatalf("%s %v: %v", was.ID, planted, err)
	}
	return &inspector{t, pack, was, b, o, map[string]quantity.Reading{}}
}

// findings are the readings that do not pass, each with its verdict; owners are the circuits and RCDs looked at, besides
// the board. With first set the search ends at the first.
func (x *inspector) findings(owners []string, first bool) []string {
	var out []string
	ids := x.b.Rig.Readings()
	var ends []rig.ReadingID
	for i, id := range ids {
		if id.Owner != "" && !slices.Contains(owners, id.Owner) {
			continue
		}
		problem := ""
		shown, err := Reading(x.b, id, 0, x.o)
		switch {
		case err != nil:
			x.t.Fatalf("%s %s: %v", x.was.ID, id.ID, err)
		case shown.Refusal != "":
			problem = string(shown.Refusal)
		default:
			r := quantity.Reading{Raw: shown.Text, Value: shown.Value, Unit: shown.Unit, Mark: shown.Mark}
			x.kept[id.ID] = r
			switch id.Test {
			case safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE: // judged together
				ends = append(ends, id)
				if i+1 < len(ids) && ids[i+1].Owner == id.Owner && ids[i+1].Test == id.Test {
					continue
				}
				problem, ends = x.judge(id, r, ends), nil
			default:
				problem = x.judge(id, r, nil)
			}
		}
		if problem != "" {
			out = append(out, id.ID+": "+problem)
			if first {
				return out
			}
		}
	}
	for _, owner := range owners {
		if c, ok := x.b.Rig.Circuit(owner); ok {
			out = append(out, x.furtherMoves(c)...)
		}
	}
	return out
}

// judge returns why a reading does not pass, "" when it does.
func (x *inspector) judge(id rig.ReadingID, r quantity.Reading, group []rig.ReadingID) string {
	q := judge.Query{Value: r, Earthing: string(x.was.Supply.Earthing)}
	of := func(v float64, u quantity.Unit) quantity.Reading {
		if v <= 0 {
			return quantity.Reading{}
		}
		return quantity.Of(v, u)
	}
	if t := x.was.Supply.Transformer; t != nil && !t.NeutralEarthed {
		q.UnearthedNeutral = true
	}
	commissioned := func(name string) {
		if v, ok := x.was.ReferenceReading(id.ID); ok && v.IsNumber() {
			q.Given = []judge.Given{{Name: name, Value: v.Value, From: judge.FromCommissioned}}
		}
	}
	c, _ := x.b.Rig.Circuit(id.Owner)
	was, _ := x.was.Circuit(id.Owner)
	if was == nil { // a circuit that a fault brought along
		was = c
	}
	switch id.Test {
	case safety.TestBars, safety.TestSupplyCable:
		if want, ok := x.was.ReferenceReading(id.ID); ok && want.Mark != r.Mark {
			return "reads " + r.Raw + ", commissioned " + want.Raw
		}
		return ""
	case safety.TestEarthing, safety.TestBonding:
		q.Test = judge.Bonding
		commissioned("bonding")
	case safety.TestContinuity, safety.TestLongLead, safety.TestOwnBar:
		if want, ok := x.was.ReferenceReading(id.ID); ok && !want.IsNumber() {
			if r.Mark != want.Mark {
				return "reads " + r.Raw + ", commissioned " + want.Raw
			}
			return ""
		}
		q.Test, q.Method = judge.Continuity, "1"
		if id.Test == safety.TestLongLead {
			q.Method = "2"
			commissioned("r2")
		} else {
			commissioned("r1_plus_r2")
		}
	case safety.TestEnds:
		q.Test, q.Value = judge.RingEnds, quantity.Reading{}
		ends := c.ID + "/" + safety.TestEnds + "/"
		q.R1, q.RN, q.R2 = x.kept[ends+"r1"], x.kept[ends+"rn"], x.kept[ends+"r2"]
		q.Line, q.CPC = of(was.Cable.LineMM2, quantity.SquareMillimetre), of(was.Cable.CPCMM2, quantity.SquareMillimetre)
		if want, ok := x.was.ReferenceReading(ends + "r1"); ok && q.R1.IsNumber() && math.Abs(q.R1.Value-want.Value) > max(0.05, 0.1*want.Value) {
			return "r1 " + q.R1.Raw + ", commissioned " + want.Raw
		}
	case safety.TestCrossedLN, safety.TestCrossedLE:
		q.Test, q.Step, q.Value = judge.RingCrossed, "line-neutral", quantity.Reading{}
		ends := c.ID + "/" + safety.TestEnds + "/"
		q.R1, q.RN = x.kept[ends+"r1"], x.kept[ends+"rn"]
		if id.Test == safety.TestCrossedLE {
			q.Step, q.RN, q.R2 = "line-cpc", quantity.Reading{}, x.kept[ends+"r2"]
		}
		for _, g := range group {
			p := judge.Point{Name: g.Part, Reading: x.kept[g.ID]}
			if want, ok := x.was.ReferenceReading(g.ID); ok && isSpur(was, g.Part) {
				p.SpurOhm = want.Value
			}
			q.Points = append(q.Points, p)
		}
	case safety.TestInsulation:
		q.Test, q.Between, q.TestVoltage = judge.Insulation, id.Part, quantity.Of(500, quantity.Volt)
		if c.SPD {
			q.Connected, q.TestVoltage = "spd", quantity.Of(250, quantity.Volt)
		} else if c.Electronics != "" {
			q.Connected, q.TestVoltage = "equipment", quantity.Of(250, quantity.Volt)
		}
	case safety.TestSupply:
		q.Test, q.Between, q.Expect = judge.Voltage, id.Part, "supply"
		v := x.was.Supply.VoltageV
		if len(id.Part) == 5 {
			v *= math.Sqrt(3)
		}
		q.Nominal = of(v, quantity.Volt)
	case safety.TestZe:
		q.Test, q.Rated = judge.Ze, x.largestRated()
		q.Declared = of(x.was.Supply.Declared.ZeOhm, quantity.Ohm)
		if want, ok := x.was.ReferenceReading(id.ID); ok && r.IsNumber() && math.Abs(r.Value-want.Value) > 0.1+0.1*want.Value {
			return "reads " + r.Raw + ", commissioned " + want.Raw
		}
		q.Declared = of(max(q.Declared.Value, r.Value), quantity.Ohm) // the declared value itself is the supervisor's; the jump is what shows
	case safety.TestElectrode:
		q.Test, q.Rated = judge.Electrode, x.largestRated()
	case safety.TestZs:
		q.Test, q.Device, q.At, q.Method = judge.Zs, sequence.DeviceName(c.Device), "measured", "high-current"
		if d := x.b.Rig.RCDOf(c); d != nil {
			q.RCDRated, q.Method = of(d.IdnMA, quantity.Milliampere), "no-trip"
		}
		if want, ok := x.was.ReferenceReading(id.ID); ok && r.IsNumber() && want.IsNumber() && r.Value-want.Value > 0.5+0.2*want.Value {
			return "reads " + r.Raw + ", commissioned " + want.Raw
		}
	case safety.TestPFC:
		q.Test, q.Phases, q.Between = judge.PFC, x.was.Supply.Phases, "L-N"
		if strings.HasSuffix(id.Part, "E") {
			q.Between = "L-E"
		}
		for i := range x.was.Circuits {
			if k := x.was.Circuits[i].Device.BreakingKA; k > 0 && (!q.Breaking.Given() || k < q.Breaking.Value) {
				q.Breaking = of(k, quantity.Kiloampere)
			}
		}
	case safety.TestRCD:
		d := x.rcd(id.Owner)
		q.Test, q.Rated, q.Delay, q.Type, q.Standard = judge.RCD, of(d.IdnMA, quantity.Milliampere), d.Delay, d.Type, d.Standard
		multiple, angle, _ := strings.Cut(id.Part, "-")
		q.Multiple, q.Angle = map[string]float64{"half": 0.5, "one": 1, "five": 5}[multiple], angle
		if multiple == "ramp" {
			q.Test, q.Waveform = judge.RCDRamp, "ac"
		}
	default:
		x.t.Fatalf("%s: what is %s?", id.ID, id.Test)
	}
	v, err := judge.Judge(x.pack, q)
	if err != nil {
		x.t.Fatalf("%s %s %s: %v", x.was.ID, id.ID, r.Raw, err)
	}
	if v.Verdict == judge.Pass {
		return ""
	}
	if id.Test == safety.TestZs && v.Verdict == judge.Doubt && q.Method == "no-trip" {
		return x.calculated(c, q, r)
	}
	text := r.Raw + " " + string(v.Verdict)
	for _, reason := range v.Reasons {
		text += " " + reason.ID
	}
	return text
}

func isSpur(c *rig.Circuit, point string) bool {
	for _, p := range c.Points {
		if p.ID == point {
			return p.From != ""
		}
	}
	return false
}

func (x *inspector) rcd(id string) *rig.RCD {
	for _, d := range rcdsOf(x.b.Rig) {
		if d.ID == id {
			return d
		}
	}
	x.t.Fatalf("no RCD %s", id)
	return nil
}

func (x *inspector) largestRated() quantity.Reading {
	most := 0.0
	for _, d := range rcdsOf(x.was) {
		most = max(most, d.IdnMA)
	}
	if d := x.was.Supply.UpstreamRCD; d != nil {
		most = max(most, d.IdnMA)
	}
	if most == 0 {
		return quantity.Reading{}
	}
	return quantity.Of(most, quantity.Milliampere)
}

// calculated is the right move after a no-trip reading in doubt, which the RCD's coil makes somewhat high: the sum of Ze
// and R1+R2 as read is judged in its place.
func (x *inspector) calculated(c *rig.Circuit, q judge.Query, no quantity.Reading) string {
	ze, ok := x.kept["ze"]
	if !ok {
		ze = x.kept["electrode"]
	}
	most := 0.0
	for id, r := range x.kept {
		if strings.HasPrefix(id, c.ID+"/"+safety.TestContinuity+"/") || strings.HasPrefix(id, c.ID+"/"+safety.TestCrossedLE+"/") {
			if !r.IsNumber() {
				return "no sum to fall back on"
			}
			most = max(most, r.Value)
		}
	}
	if !ze.IsNumber() || most == 0 {
		return no.Raw + " in doubt, and no sum to fall back on"
	}
	q.Value, q.Method = quantity.Of(math.Round(100*(ze.Value+most))/100, quantity.Ohm), ""
	v, err := judge.Judge(x.pack, q)
	if err != nil {
		x.t.Fatal(err)
	}
	if v.Verdict == judge.Pass {
		return ""
	}
	return no.Raw + " in doubt, the sum " + q.Value.Raw + " " + string(v.Verdict)
}
