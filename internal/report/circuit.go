package report

import (
	"math"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// circuit makes one line of the schedule.
func (b *builder) circuit(i int) Circuit {
	rc := &b.rig.Circuits[i]
	c := Circuit{
		CircuitNumber: rc.Number, ID: rc.ID, Description: rc.Description,
		WiringTypeCode: rc.Cable.WiringType, ReferenceMethod: rc.Cable.Method,
		PointsServed: given(float64(served(rc))), LiveCSA: given(rc.Cable.LineMM2), CPCCSA: given(rc.Cable.CPCMM2),
		OCPDStandard: rc.Device.Standard, OCPDType: rc.Device.Curve, OCPDRating: given(rc.Device.RatingA),
		OCPDBreakingCapacity: given(rc.Device.BreakingKA),
	}
	b.rcdDetails(&c, rc)
	c.MaxPermittedZs = b.zsLimit(rc)
	if b.pack != nil {
		if e, ok := b.pack.Disconnection(string(b.rig.Supply.Earthing), b.pack.Num(edition.NominalVoltage), rc.Device.RatingA, true, sockets(rc)); ok {
			c.MaxDisconnectionTime = given(e.Value)
		}
	}
	b.deadResults(&c, i, rc)
	b.zs(&c, i, rc)
	b.rcdResults(&c, rc)
	c.AFDDButton = b.na("report.why.no-afdd")
	c.Readings = b.readings(b.where(i, -1, "", nil))
	c.remarks = b.circuitRemarks(&c, i, rc)
	c.Remarks = join(c.remarks...)
	return c
}

// served counts the points that use electricity: switches do not.
func served(c *rig.Circuit) int {
	n := 0
	for _, p := range c.Points {
		if p.Kind != rig.Switchbox {
			n++
		}
	}
	return n
}

func sockets(c *rig.Circuit) bool {
	for _, p := range c.Points {
		if p.Kind == rig.Socket {
			return true
		}
	}
	return false
}

func (b *builder) rcdDetails(c *Circuit, rc *rig.Circuit) {
	d := b.rig.RCDOf(rc)
	if d == nil {
		return
	}
	c.RCD, c.RCDStandard, c.RCDType = d.ID, d.Standard, rcdType(d)
	c.RCDIdn, c.RCDRating = given(d.IdnMA), given(d.RatingA)
}

// rcdType is the type with the mark of a time-delayed device: "A", "A S".
func rcdType(d *rig.RCD) string {
	if d.Delay == "S" {
		return d.Type + " S"
	}
	return d.Type
}

// zsLimit is the limit that a measured loop impedance of the circuit is compared
// with, chosen as the session's own verdict chooses it: on TT behind an RCD the
// printed limit of the earthing, else the overcurrent device's table value corrected
// for a reading taken cold.
func (b *builder) zsLimit(rc *rig.Circuit) ZsLimit {
	z := ZsLimit{}
	z.Unit = quantity.Ohm.String()
	if b.pack == nil {
		z.Result = b.notTested("report.why.no-limit", "error", "")
		return z
	}
	z.Edition = b.pack.Name
	if d := b.rig.RCDOf(rc); d != nil && b.rig.Supply.Earthing == rig.TT {
		e := b.pack.Electrode(d.IdnMA)
		z.fill(e.Value, "table", e.Value, e.Source, string(e.Status))
		z.Why = b.say("report.zs.tt", "rated", formatted(d.IdnMA, quantity.Milliampere))
		return z
	}
	name := sequence.DeviceName(rc.Device)
	d, err := b.pack.ParseDevice(name)
	var l edition.ZsLimit
	if err == nil {
		l, err = b.pack.Zs(d, 0, 0)
	}
	if err != nil {
		z.Result = b.na("report.why.no-limit", "error", err.Error())
		z.Unit = quantity.Ohm.String()
		return z
	}
	if l.Rounded > l.Measured {
		z.Rounded = given(l.Rounded)
	}
	factor := b.pack.Entry(edition.MeasuredFactor)
	z.fill(l.Measured, "corrected", l.Table.Value, l.Table.Source, string(l.Table.Status))
	z.Why = b.say("report.zs.corrected", "device", d.String(), "factor", quantity.FormatNumber(factor.Value),
		"table", formatted(l.Table.Value, quantity.Ohm), "time", formatted(l.TimeS, quantity.Second), "source", l.Table.Source,
		"factor_source", factor.Source)
	return z
}

// fill rounds the limit to a billionth, the grid on which readings are compared, so that
// 0.8 × 0.91 is exported as 0.728 and not with the tail of a binary fraction.
func (z *ZsLimit) fill(v float64, basis string, table float64, source, status string) {
	v = math.Round(v*1e9) / 1e9
	z.State, z.Value, z.Raw, z.Unit = Calculated, &v, quantity.FormatNumber(v), quantity.Ohm.String()
	z.Basis, z.Table, z.Source, z.Status = basis, &table, source, status
}

func (b *builder) deadResults(c *Circuit, i int, rc *rig.Circuit) {
	none := ""
	if b.prog.Seq.FromRecord && b.st.Facts().RecordGiven {
		none = b.say("report.why.from-record")
	}
	ends := func(part string) Result {
		if rc.Shape != rig.Ring {
			return b.na("report.why.not-a-ring")
		}
		return b.pick(judge.RingEnds, b.where(i, -1, safety.TestEnds, isPart(part)), none)
	}
	c.RingR1, c.RingRN, c.RingR2 = ends("r1"), ends("rn"), ends("r2")

	linked := b.where(i, -1, safety.TestContinuity, nil)
	if rc.Shape == rig.Ring {
		linked = append(b.where(i, -1, safety.TestCrossedLE, nil), linked...)
	}
	long := b.where(i, -1, safety.TestLongLead, nil)
	c.R1PlusR2 = b.pick(judge.Continuity, linked, firstText(b.otherMethod(long, "report.why.r2-instead"), none))
	c.R2 = b.pick(judge.Continuity, long, firstText(b.otherMethod(linked, "report.why.r1r2-instead"), none))

	ir := b.where(i, -1, safety.TestInsulation, nil)
	c.IRTestVoltage = b.testVoltage(i, ir, none)
	toEarth := func(p string) bool { return strings.HasSuffix(p, "-E") }
	live := b.where(i, -1, safety.TestInsulation, func(p string) bool { return !toEarth(p) })
	c.IRLiveEarth = b.pick(judge.Insulation, b.where(i, -1, safety.TestInsulation, toEarth), none)
	switch joined := len(live) == 0 && rc.Electronics != "" && len(ir) > 0; {
	case !joined:
		c.IRLiveLive = b.pick(judge.Insulation, live, none)
	case c.IRLiveEarth.State == Measured || c.IRLiveEarth.State == OverRange:
		c.IRLiveLive = Result{State: Limitation, Why: b.say("report.why.electronics", "what", rc.Electronics)}
	default:
		c.IRLiveLive = Result{State: NotTested, Why: c.IRLiveEarth.Why}
	}
	c.Polarity = b.seen(b.where(i, -1, safety.TestPolarity, nil), passed, failed, none)
	for _, r := range []*Result{&c.RingR1, &c.RingRN, &c.RingR2, &c.R1PlusR2, &c.R2} {
		r.Unit = quantity.Ohm.String()
	}
	c.IRLiveLive.Unit, c.IRLiveEarth.Unit = quantity.Megohm.String(), quantity.Megohm.String()
}

// otherMethod is the reason for leaving one method out when the other was used.
func (b *builder) otherMethod(other []*coach.Result, id string) string {
	for _, r := range other {
		if r.Stands() {
			return b.say(id)
		}
	}
	return ""
}

// testVoltage is the voltage that the insulation readings were taken with: the one the
// session asked for and judged by. It is set, not read off.
func (b *builder) testVoltage(i int, ir []*coach.Result, none string) Result {
	var used []*coach.Result
	for _, r := range ir {
		if e := r.Latest(); e != nil && r.Stands() && isReading(e) {
			used = append(used, r)
		}
	}
	if len(used) == 0 {
		m := b.missing(ir, none)
		m.Unit, m.Raw, m.History = quantity.Volt.String(), "", nil
		return m
	}
	raw := b.st.TestVoltage(i)
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		return b.notTested("report.why.not-in-sequence")
	}
	return Result{State: Measured, Value: &v, Raw: raw, Unit: quantity.Volt.String(), Why: b.say("report.why.set"), From: ids(used)}
}

// zs takes the highest measured loop impedance; where none was measured, the
// calculated one, and says so by its state.
func (b *builder) zs(c *Circuit, i int, rc *rig.Circuit) {
	measured := b.where(i, -1, safety.TestZs, nil)
	calculated := b.where(i, -1, safety.TestZsCalculated, nil)
	none := ""
	if !plugIn(rc) {
		none = b.say("report.why.no-plug-in")
		if len(calculated) == 0 {
			none = join(none, b.say("report.why.no-calculated"))
		}
	}
	if b.unearthed() && len(measured)+len(calculated) == 0 {
		c.ZsMeasuredMax = b.na("report.why.unearthed-neutral")
		c.ZsMeasuredMax.Unit = quantity.Ohm.String()
		return
	}
	c.ZsMeasuredMax = b.pick(judge.Zs, measured, none)
	if st := c.ZsMeasuredMax.State; st != Measured && st != OverRange && len(calculated) > 0 {
		why := c.ZsMeasuredMax.Why
		if alt := b.pick(judge.Zs, calculated, ""); alt.State == Calculated || alt.State == OverRange || len(measured) == 0 {
			c.ZsMeasuredMax = alt
			if alt.State == Calculated {
				c.ZsMeasuredMax.Why = join(b.say("report.why.calculated"), why, alt.Why)
			}
		}
	}
	c.ZsMeasuredMax.Unit = quantity.Ohm.String()
}

func plugIn(c *rig.Circuit) bool {
	for _, p := range c.Points {
		if p.PlugIn {
			return true
		}
	}
	return false
}
