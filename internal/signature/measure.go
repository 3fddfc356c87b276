package signature

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// Rotation is the function of a phase sequence indicator, on three terminals.
const Rotation Function = "rotation"

// Functions lists what an instrument can be set to.
func Functions() []string {
	return []string{string(LowOhm), string(Insulating), string(Volts), string(LoopNoTrip), string(LoopHigh),
		string(FaultAmps), string(RCDTime), string(RCDRamp), string(Rotation)}
}

// FunctionNamed finds a function by its name, or by that of the test it serves. The error names the nearest.
func FunctionNamed(name string) (Function, error) {
	lower := strings.ToLower(name)
	if f, ok := map[string]Function{"continuity": LowOhm, "voltage": Volts, "loop": LoopNoTrip, "zs": LoopNoTrip, "ze": LoopHigh,
		"pfc": FaultAmps, "rcd": RCDTime}[lower]; ok {
		return f, nil
	}
	for _, f := range Functions() {
		if f == lower {
			return Function(f), nil
		}
	}
	return "", fmt.Errorf("there is no function %q of the instrument\nhint: %s", name, content.DidYouMean(name, Functions()))
}

// dead says whether a function belongs to the dead tests.
func (f Function) dead() bool { return f == LowOhm || f == Insulating }

// Measurement is one measurement, right or wrong.
type Measurement struct {
	Function Function
	Leads    []string // terminals: two, three for Rotation
	Cond     wiring.Condition
	TestV    float64       // insulation
	HeldS    float64       // insulation: how long the button was held; 0 until the reading settled
	RCD      meter.RCDTest // RCD tests; a rating of 0 is that of the circuit's own RCD
	Attempt  int
}

// Taken is what came of a measurement.
type Taken struct {
	Shown    meter.Shown
	LivePart string // what was found live, when a dead function was refused for that
	Order    string // Rotation: "1-2-3", "3-2-1", "" none
}

// Take takes the measurement on an installation that is built. A dead function is not tried where any part of what it
// would be on is live, be there voltage between the leads or not: Shown.Refusal is meter.Live then. The error names what
// does not exist.
func (m Measurement) Take(b *faults.Built, o Options) (Taken, error) {
	if err := m.check(b.Plan); err != nil {
		return Taken{}, err
	}
	bench := meter.Bench{Rig: b.Rig, Plan: b.Plan, Cond: m.Cond}
	if m.Function == Rotation {
		order, err := o.Instrument.Rotation(bench, m.Leads[0], m.Leads[1], m.Leads[2])
		return Taken{Order: order}, err
	}
	x, y := m.Leads[0], m.Leads[1]
	if m.Function.dead() {
		part, volt, err := bench.LivePart(x, y)
		if err != nil {
			return Taken{}, err
		}
		if part != "" {
			unit := quantity.Ohm
			if m.Function == Insulating {
				unit = quantity.Megohm
			}
			return Taken{Shown: meter.Shown{Unit: unit, Refusal: meter.Live, VoltV: volt}, LivePart: part}, nil
		}
	}
	u := SetUp{Function: m.Function, A: x, B: y, TestV: m.TestV, RCD: m.RCD}
	if c, ok := b.Rig.Circuit(owner(x)); ok {
		u.Circuit = c.ID
		if d := b.Rig.RCDOf(c); d != nil && u.RCD.IdnMA == 0 {
			u.RCD.IdnMA = d.IdnMA
		}
	}
	if u.RCD.IdnMA == 0 {
		u.RCD.IdnMA = 30
	}
	if m.Function == Insulating {
		w := meter.Where{Circuit: u.Circuit, Points: x + " " + y, Attempt: m.Attempt}
		s, err := o.Instrument.Insulation(bench, x, y, m.TestV, m.HeldS, w)
		return Taken{Shown: s}, err
	}
	s, err := u.in(b, m.Cond, o, m.Attempt)
	return Taken{Shown: s}, err
}

func (m Measurement) check(p *wiring.Plan) error {
	if err := p.Err(); err != nil {
		return err
	}
	want := 2
	if m.Function == Rotation {
		want = 3
	}
	if len(m.Leads) != want {
		return fmt.Errorf("%s takes %d leads, found %d terminals\nhint: name a terminal for each lead, for instance ring/s1/L", m.Function, want, len(m.Leads))
	}
	if err := p.Check(m.Cond); err != nil {
		return err
	}
	for _, t := range m.Leads {
		if err := p.HasTerminal(t); err != nil {
			return err
		}
	}
	return nil
}

func owner(terminal string) string {
	o, _, _ := strings.Cut(terminal, "/")
	return o
}

// BoardEnds are the ends of a circuit's conductors at the board, to be lifted together.
func BoardEnds(c *rig.Circuit) []string {
	legs := 1
	if c.Shape == rig.Ring {
		legs = 2
	}
	var ends []string
	for leg := 1; leg <= legs; leg++ {
		for _, core := range wiring.Cores(c) {
			ends = append(ends, wiring.BoardEnd(c, leg, core))
		}
	}
	return ends
}

// JSON is what came of the measurement as one line: value is null when no number was read, raw what the display shows.
func (t Taken) JSON(m Measurement) ([]byte, error) {
	s := t.Shown
	out := struct {
		Function Function      `json:"function"`
		Leads    []string      `json:"leads"`
		Value    Number        `json:"value"`
		Unit     string        `json:"unit"`
		Mark     string        `json:"mark"`
		Raw      string        `json:"raw"`
		Refusal  meter.Refusal `json:"refusal"`
		Voltage  *float64      `json:"voltage"`
		LivePart string        `json:"live_part,omitempty"`
		Opened   []string      `json:"opened"`
		Order    *string       `json:"order,omitempty"`
	}{Function: m.Function, Leads: m.Leads, Value: Number{s.Value, !s.Measured() || m.Function == Rotation || math.IsInf(s.Value, 0)}, Unit: s.Unit.String(),
		Mark: string(s.Mark), Raw: s.Text, Refusal: s.Refusal, LivePart: t.LivePart, Opened: append([]string{}, s.Opened...)}
	if !out.Value.Open && len(out.Raw) > 14 { // an exact value: what lies behind twelve digits may differ between machines
		out.Raw = out.Value.text()
	}
	if s.Refusal != "" {
		out.Voltage = &s.VoltV
	}
	if m.Function == Rotation {
		out.Order = &t.Order
	}
	return json.Marshal(out)
}

// Text is what came of the measurement in a line for people.
func (t Taken) Text(m Measurement) string {
	s := t.Shown
	text := s.Text + " " + s.Unit.String()
	switch {
	case m.Function == Rotation && t.Order == "":
		text = "no sequence: the three voltages are not alike"
	case m.Function == Rotation:
		text = t.Order
	case s.Refusal == meter.NoSupply:
		text = fmt.Sprintf("no reading: %g V between the leads", s.VoltV)
	case s.Refusal == meter.Padding:
		text = "no reading: the padding of this circuit is not rated for a high-current test"
	case s.Refusal == meter.Tripped:
		text = "no reading: the supply went during the test"
	case s.Refusal == meter.ContactVoltage:
		text = fmt.Sprintf("no reading: the test current would put %g V on the earth connection", s.VoltV)
	case s.Mark == quantity.NoTrip:
		text = s.Text
	}
	if len(s.Opened) > 0 {
		text += "; opened: " + strings.Join(s.Opened, ", ")
	}
	return text
}
