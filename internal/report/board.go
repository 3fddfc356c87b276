package report

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

func (b *builder) board() Board {
	r := b.rig
	o := Board{
		Reference: r.Board.Name, Location: r.Board.Location, SuppliedFrom: r.Board.SuppliedFrom,
		Earthing: string(r.Supply.Earthing), Phases: r.Supply.Phases, SPDTypes: []string{},
		Origin: b.origin(), VulnerableEquipment: b.vulnerable(), Instruments: map[string]string{},
		TestedBy:   Person{Name: b.meta.Fields[FieldTestedBy], Date: firstText(b.meta.Fields[FieldDate], b.meta.Created)},
		Supervisor: b.st.Supervisor(), RCDs: b.rcds(), DoubtsAccepted: b.accepted(), Remarks: b.boardRemarks(),
		Readings: b.readings(b.where(-1, -1, "", nil)), Live: b.live(),
		Session: Session{Sequence: b.prog.Seq.ID, Rig: r.ID, Mode: b.meta.Mode, Created: b.meta.Created, Closed: b.meta.Closed, Ended: firstText(b.st.Ended(), "running")},
	}
	for _, f := range InstrumentFields {
		if v := b.meta.Fields[f]; v != "" {
			o.Instruments[f] = v
		}
	}
	if r.Board.SPD != nil {
		o.SPDTypes = append(o.SPDTypes, r.Board.SPD.Types...)
	}
	o.SPDIndicator = b.spdIndicator()
	b.originResults(&o)
	o.Inspection = b.inspection()
	return o
}

// spdIndicator is an inspection item of the sequence about the surge protection.
func (b *builder) spdIndicator() Result {
	if b.rig.Board.SPD == nil {
		return b.na("report.why.no-spd")
	}
	var rs []*coach.Result
	for _, r := range b.where(-1, -1, safety.TestInspection, nil) {
		if strings.Contains(r.ID, "spd") {
			rs = append(rs, r)
		}
	}
	return b.seen(rs, yes, no, "")
}

// originResults fills what is measured at the incoming terminals, or says that the
// supervisor declared it.
func (b *builder) originResults(o *Board) {
	none := ""
	if b.st.OriginSource() != "" {
		none = b.say("report.why.declared", "by", b.st.Supervisor(), "source", b.st.OriginSource())
	}
	o.SupplyPolarity = b.seen(b.where(-1, -1, safety.TestSupply, nil), yes, no, none)
	if b.rig.Supply.Phases != 3 {
		o.PhaseSequence = b.na("report.why.single-phase")
	} else {
		o.PhaseSequence = b.seen(b.anywhere(safety.TestPhases), yes, no, "")
	}
	ze := b.where(-1, -1, safety.TestZe, nil)
	o.Ze = b.pick(judge.Ze, ze, none)
	if b.unearthed() && len(ze) == 0 {
		o.Ze = b.na("report.why.unearthed-neutral")
	}
	o.Ze.Unit = quantity.Ohm.String()
	if b.rig.Supply.Earthing == rig.TT {
		o.Electrode = b.pick(judge.Electrode, b.where(-1, -1, safety.TestElectrode, nil), none)
	} else {
		o.Electrode = b.na("report.why.not-tt")
	}
	o.Electrode.Unit = quantity.Ohm.String()
	o.ZsAtBoard = o.Ze
	if none := o.Ze.State != Measured && o.Ze.State != OverRange; none && (o.Electrode.State == Measured || o.Electrode.State == OverRange) {
		o.ZsAtBoard = o.Electrode
		o.ZsAtBoard.Why = join(b.say("report.why.electrode-loop"), o.Electrode.Why)
	}
	if o.Ze.State == Measured || o.Ze.State == OverRange {
		o.ZsAtBoard.Why = join(b.say("report.why.board-at-origin"), o.Ze.Why)
	}
	o.IpfAtBoard = b.ipf(none)
}

func (b *builder) anywhere(test string) []*coach.Result {
	var out []*coach.Result
	for i := range b.results {
		if b.results[i].Test == test {
			out = append(out, &b.results[i])
		}
	}
	return out
}

// ipf is the highest of the fault currents. On three phases the current between all
// lines is larger than any reading between one line and neutral or earth: it is
// calculated by the edition's factor, as the session's verdict does.
func (b *builder) ipf(none string) Result {
	rs := b.anywhere(safety.TestPFC)
	out := b.pick(judge.PFC, rs, none)
	out.Unit = quantity.Kiloampere.String()
	if out.State != Measured || out.Value == nil || b.rig.Supply.Phases != 3 {
		return out
	}
	for _, r := range rs {
		if !r.Stands() || r.Latest().Raw != out.Raw {
			continue
		}
		if v := b.verdict(r).verdict; v != nil {
			for _, e := range v.Expected {
				if e.Name == "pfc_three_phase" {
					x := e.Value
					out.State, out.Value, out.Raw = Calculated, &x, quantity.FormatNumber(x)
					out.Why = join(b.say("report.why.three-phase", "formula", e.Formula), out.Why)
					return out
				}
			}
		}
	}
	return out
}

func (b *builder) origin() Origin {
	d := b.rig.Supply.Declared
	o := Origin{Known: "unknown", ZeOhm: given(d.ZeOhm), IpfKA: given(d.PFCKA), VoltageV: given(d.VoltageV)}
	measured := append(b.where(-1, -1, safety.TestZe, nil), b.where(-1, -1, safety.TestElectrode, nil)...)
	switch {
	case b.st.OriginSource() != "":
		o.Known, o.DeclaredBy, o.Source = "declared", b.st.Supervisor(), b.st.OriginSource()
	case slices.ContainsFunc(measured, func(r *coach.Result) bool { return r.Stands() && isReading(r.Latest()) }):
		o.Known = "measured"
	}
	return o
}

func (b *builder) vulnerable() string {
	var out []string
	for _, c := range b.rig.Circuits {
		if c.Electronics != "" {
			out = append(out, fmt.Sprintf("%s %s", c.Number, c.Electronics))
		}
		if c.SPD {
			out = append(out, b.say("report.circuit-spd", "number", c.Number))
		}
	}
	return strings.Join(out, "; ")
}

func (b *builder) accepted() []Accept {
	now := b.st.AcceptedNow()
	out := []Accept{}
	seen := map[string]bool{}
	for i := len(b.meta.Accepted) - 1; i >= 0; i-- {
		a := b.meta.Accepted[i]
		a.Stands = slices.Contains(now, a.Reading) && !seen[a.Reading]
		seen[a.Reading] = true
		out = append(out, a)
	}
	slices.Reverse(out)
	for _, id := range now {
		if !seen[id] {
			out = append(out, Accept{Reading: id, By: b.st.Supervisor(), Stands: true})
		}
	}
	return out
}

func (b *builder) live() Live {
	l := Live{Supply: b.st.Facts().Supply.String(), CircuitsOn: []string{}}
	for _, id := range b.st.CircuitsOn() {
		if c, ok := b.rig.Circuit(id); ok {
			l.CircuitsOn = append(l.CircuitsOn, c.Number)
		}
	}
	return l
}

// inspection lists the items of the visual inspection with what was found.
func (b *builder) inspection() []Finding {
	out := []Finding{}
	for _, r := range b.anywhere(safety.TestInspection) {
		f := Finding{ID: r.ID, Item: firstText(r.Label, strings.TrimPrefix(r.ID, "inspection/")), Verdict: verdictOf(r.Class)}
		res := b.single(r)
		f.Why = res.Why
		if e := r.Latest(); e != nil {
			f.Found = b.st.SaidText(r, e.Raw)
		}
		if res.State != Measured {
			f.Verdict = ""
		}
		out = append(out, f)
	}
	return out
}

// boardRemarks are what the board's own readings leave to say, and the remarks typed
// during the session.
func (b *builder) boardRemarks() []string {
	out := []string{}
	out = append(out, b.remarksOn(b.where(-1, -1, "", nil))...)
	for _, t := range b.meta.Remarks {
		out = append(out, b.say("report.remark.typed", "text", t))
	}
	return out
}

// remarksOn lists what is no plain pass; readings with the same to say share a line.
func (b *builder) remarksOn(rs []*coach.Result) []string {
	var order []string
	at := map[string][]string{}
	for _, r := range failing(rs) {
		why := b.single(r).Why
		if at[why] == nil {
			order = append(order, why)
		}
		name := r.ID
		if v := b.shown(r); v != "" && isReading(r.Latest()) {
			name = b.say("report.remark.at", "at", r.ID, "value", v)
		}
		at[why] = append(at[why], name)
	}
	var out []string
	for _, why := range order {
		out = append(out, b.say("report.remark.reading", "list", strings.Join(at[why], ", "), "why", why))
	}
	return out
}

// circuitRemarks are what does not fit a column: what the rig says about the circuit,
// the tests that have no column, and every reading that is no plain pass.
func (b *builder) circuitRemarks(c *Circuit, i int, rc *rig.Circuit) []string {
	var out []string
	if p := rc.Padding; p != nil {
		out = append(out, b.say("report.remark.padding", "length", formatted(p.StandsForM, quantity.Metre)))
	}
	if rc.Electronics != "" {
		out = append(out, b.say("report.remark.electronics", "what", rc.Electronics))
	}
	if rc.SPD {
		out = append(out, b.say("report.remark.spd"))
	}
	for _, test := range []string{safety.TestOwnBar, safety.TestSwitching, safety.TestFunctional} {
		rs := b.where(i, -1, test, nil)
		if len(rs) == 0 || len(failing(rs)) > 0 {
			continue
		}
		if s := b.seen(rs, "yes", "", ""); s.Raw == "yes" {
			out = append(out, b.say("report.remark."+test))
		}
	}
	for _, r := range b.where(-1, -1, safety.TestInspection, nil) {
		if r.Part == rc.ID && r.Stands() && r.Class != coach.Pass {
			out = append(out, b.say("report.remark.device", "found", r.Latest().Raw, "described", sequence.DeviceName(rc.Device)))
		}
	}
	out = append(out, b.remarksOn(b.where(i, -1, "", nil))...)
	if d := b.deviceOf(rc); d >= 0 {
		if t := b.learningSet(d); t != "" {
			out = append(out, t)
		}
		out = append(out, b.remarksOn(b.where(-1, d, "", nil))...)
	}
	return out
}
