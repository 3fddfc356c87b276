package report

import (
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// timedParts are the parts of the timed test at one multiple of the rated residual
// current: both half-cycles are taken, and the slower is recorded.
func timedParts(multiple float64) func(string) bool {
	switch multiple {
	case 0.5:
		return isPart("half-0", "half-180")
	case 5:
		return isPart("five-0", "five-180")
	}
	return isPart("one-0", "one-180")
}

// multiple is the test whose time goes on the schedule: of those that the edition
// asks for, the one with the highest current. Before A2:2022 that is five times the
// rated residual current for additional protection up to 30 mA, since then the rated
// current itself for every device.
func (b *builder) multiple(d *rig.RCD) float64 {
	best := 0.0
	if b.pack == nil {
		return 1
	}
	delay := d.Delay
	if delay == "" {
		delay = "general"
	}
	for _, t := range b.pack.RCDRequired() {
		if t.Delay == delay && (t.RatedUpToMA == 0 || d.IdnMA <= t.RatedUpToMA) {
			best = max(best, t.Multiple)
		}
	}
	if best == 0 {
		return 1
	}
	return best
}

// deviceOf is the index of the circuit's RCD in the program, -1 when it has none.
func (b *builder) deviceOf(rc *rig.Circuit) int {
	d := b.rig.RCDOf(rc)
	for i := range b.prog.RCDs {
		if d != nil && b.prog.RCDs[i].RCD == d {
			return i
		}
	}
	return -1
}

// measuredAt is the place a device is tested at: the first plug-in point of the first
// circuit behind it that has one.
func (b *builder) measuredAt(rcd int) string {
	at := b.prog.RCDs[rcd].At
	if at < 0 {
		return ""
	}
	c := &b.rig.Circuits[at]
	for _, p := range c.Points {
		if p.PlugIn {
			return b.say("report.measured-at", "number", c.Number, "description", c.Description, "id", p.ID, "point", p.Label)
		}
	}
	return ""
}

// rcdResults repeats the results of the device on the circuit it protects.
func (b *builder) rcdResults(c *Circuit, rc *rig.Circuit) {
	i := b.deviceOf(rc)
	if i < 0 {
		c.RCDTime, c.RCDButton = b.na("report.why.no-rcd"), b.na("report.why.no-rcd")
		c.RCDTime.Unit = quantity.Millisecond.String()
		return
	}
	none := ""
	if b.prog.RCDs[i].At < 0 {
		none = b.say("report.why.no-plug-in-rcd")
	}
	n := b.multiple(b.prog.RCDs[i].RCD)
	rs := b.where(-1, i, safety.TestRCD, timedParts(n))
	noneAt := none
	if len(rs) == 0 && none == "" && len(b.where(-1, i, safety.TestRCD, nil)) > 0 {
		noneAt = b.say("report.why.multiple", "multiple", quantity.FormatNumber(n))
	}
	if b.unearthed() && len(b.where(-1, i, safety.TestRCD, nil)) == 0 {
		c.RCDTime = b.na("report.why.unearthed-neutral")
	} else {
		c.RCDTime = b.pick(judge.RCD, rs, noneAt)
	}
	c.RCDTime.Unit, c.RCDTime.Multiple = quantity.Millisecond.String(), n
	c.RCDButton = b.seen(b.where(-1, i, safety.TestRCDButton, nil), passed, failed, none)
	for _, r := range []*Result{&c.RCDTime, &c.RCDButton} {
		if r.State == Measured || r.State == OverRange {
			r.MeasuredAt = b.measuredAt(i)
		}
	}
}

func (b *builder) rcds() []RCD {
	out := []RCD{}
	for i := range b.prog.RCDs {
		d := b.prog.RCDs[i]
		r := RCD{ID: d.ID, Standard: d.Standard, Type: d.Type, Delay: d.Delay, IdnMA: given(d.IdnMA), RatingA: given(d.RatingA),
			Circuits: []string{}, Readings: b.readings(b.where(-1, i, "", nil))}
		for _, x := range b.where(-1, i, "", nil) {
			if x.Stands() && isReading(x.Latest()) {
				r.MeasuredAt = b.measuredAt(i)
			}
		}
		for _, c := range d.Circuits {
			r.Circuits = append(r.Circuits, b.rig.Circuits[c].Number)
		}
		out = append(out, r)
	}
	return out
}

// learningSet is the line of all timed tests of a device, for the remarks.
func (b *builder) learningSet(rcd int) string {
	var parts []string
	for _, r := range b.where(-1, rcd, safety.TestRCD, nil) {
		if !r.Stands() || !isReading(r.Latest()) {
			continue
		}
		parts = append(parts, b.say("report.rcd-part."+r.Part, "value", r.Latest().Reading.String()))
	}
	if len(parts) == 0 {
		return ""
	}
	return b.say("report.remark.rcd", "rcd", b.prog.RCDs[rcd].ID, "list", strings.Join(parts, ", "))
}

// failing lists the results among some that are no plain pass.
func failing(rs []*coach.Result) []*coach.Result {
	var out []*coach.Result
	for _, r := range rs {
		if e := r.Latest(); e != nil && (r.Class != coach.Pass || !isReading(e)) && r.Class != coach.NotApplicable {
			out = append(out, r)
		}
	}
	return out
}
