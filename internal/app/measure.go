package app

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// measuring are the flags of one measurement: how the installation stands, and how the instrument is set.
type measuring struct {
	virtual
	isolated                                         bool
	off, switched, lift, move, link, plugIn, takeOut []string
	testVolt, held, rated, multiple, angle           float64
	waveform, delay                                  string
	leadsOhm, longLeadOhm, contactOhm, nullOhm       float64
	nullGiven                                        bool
	attempt                                          int
}

const measureHelp = `measure takes one measurement on the virtual rig, with the installation as the flags
leave it, right or wrong. FUNCTION is one of low-ohm, insulation, volts, loop-no-trip,
loop-high-current, fault-current, rcd-time, rcd-ramp, rotation. Each LEAD is a terminal:
ring/s4/L is the line contact of socket s4, ring/leg1/L the line end of the ring's first
leg at the board, board/met the main earthing terminal, board/bar/NA a neutral bar.
With nothing said, all switches are on, all conductors in their terminals, no loads in.
A dead function on a live network is refused (exit 3) with the voltage found.`

func (a *app) measureCmd() *cobra.Command {
	var m measuring
	cmd := &cobra.Command{
		Use:   "measure FUNCTION LEAD LEAD [LEAD]",
		Short: "take one measurement on the virtual rig, with the installation as you leave it",
		Long:  measureHelp,
		Example: `  wanderlead measure low-ohm ring/leg1/L ring/leg2/L --rig reference --isolated --lift ring
  wanderlead measure insulation ring/leg1/L board/met --rig reference --isolated --lift ring/leg1/N,ring/leg2/N --fault F23
  wanderlead measure loop-no-trip ring/s4/L ring/s4/E --rig reference --exact --json`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usagef("one of: "+strings.Join(signature.Functions(), ", "), "no function of the instrument was given")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			m.nullGiven = cmd.Flags().Changed("null")
			return a.measure(m, args)
		},
		ValidArgsFunction: a.completeMeasure,
	}
	m.flags(a, cmd)
	m.conditionFlags(a, cmd)
	f := cmd.Flags()
	f.Float64Var(&m.testVolt, "test-voltage", 500, "insulation test voltage in V: 250, 500, 1000")
	f.Float64Var(&m.held, "held", 0, "seconds that the insulation test was held; 0 is until it settled")
	f.Float64Var(&m.rated, "rated", 0, "rated residual current set on the instrument in mA; 0 is that of the circuit's RCD")
	f.Float64Var(&m.multiple, "multiple", 1, "multiple of the rated residual current: 0.5, 1, 5")
	f.Float64Var(&m.angle, "angle", 0, "half-cycle that an RCD test starts on: 0, 180")
	f.StringVar(&m.waveform, "waveform", "ac", "waveform of an RCD test: ac, pulsating")
	f.StringVar(&m.delay, "delay", "general", "type of RCD set on the instrument: general, S")
	f.Float64Var(&m.leadsOhm, "leads", 0.08, "resistance of both leads in Ω, nulled unless --null says otherwise")
	f.Float64Var(&m.longLeadOhm, "long-lead", 0, "resistance in Ω of a long lead added after the null")
	f.Float64Var(&m.contactOhm, "contact", 0, "resistance in Ω of the probes on what they touch")
	f.Float64Var(&m.nullOhm, "null", 0, "what the instrument takes off for its leads, in Ω")
	f.IntVar(&m.attempt, "attempt", 0, "how often this reading was taken before")
	return cmd
}

// conditionFlags say how the installation stands.
func (m *measuring) conditionFlags(a *app, cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&m.isolated, "isolated", false, "isolator, main switch and the breakers of the circuits measured are off")
	f.StringSliceVar(&m.off, "off", nil, "what is switched off: isolator, main-switch, circuits by their breaker, RCDs")
	f.StringSliceVar(&m.switched, "switch", nil, "position of a lighting switch: lighting/first=1")
	f.StringSliceVar(&m.lift, "lift", nil, "conductor ends out of their terminals; a circuit for all its ends at the board")
	f.StringSliceVar(&m.move, "move", nil, "conductor end in another terminal: ring/leg1/N=board/bar/NB")
	f.StringSliceVar(&m.link, "link", nil, "link between two terminals: ring/leg1/L=ring/leg2/N, or with its Ω: A=B=0.05")
	f.StringSliceVar(&m.plugIn, "plug-in", nil, "loads that are in: ring/s4/load, lighting/l3/lamp")
	f.StringSliceVar(&m.takeOut, "take-out", nil, "parts taken out: electronics, surge protective devices")
	plan := func(of func(*wiring.Plan) []string) func(*rig.Rig) []string {
		return func(r *rig.Rig) []string {
			b, err := a.build(r, nil, true)
			if err != nil {
				return nil
			}
			return of(b.Plan)
		}
	}
	joints := plan(func(p *wiring.Plan) []string { return p.OfKind(wiring.Joint) })
	a.complete(cmd, "off", plan((*wiring.Plan).Devices))
	a.complete(cmd, "switch", plan((*wiring.Plan).Devices))
	a.complete(cmd, "lift", func(r *rig.Rig) []string { return append(circuitIDs(r), joints(r)...) })
	a.complete(cmd, "move", joints)
	a.complete(cmd, "link", plan((*wiring.Plan).Terminals))
	a.complete(cmd, "plug-in", plan(func(p *wiring.Plan) []string { return p.OfKind(wiring.Load) }))
	a.complete(cmd, "take-out", plan(func(p *wiring.Plan) []string { return p.OfKind(wiring.Part) }))
}

// completeMeasure offers the shell functions, then terminals.
func (a *app) completeMeasure(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return signature.Functions(), cobra.ShellCompDirectiveNoFileComp
	}
	r, err := a.rig()
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	b, err := a.build(r, nil, true)
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return b.Plan.Terminals(), cobra.ShellCompDirectiveNoFileComp
}

// rig loads the rig asked for.
func (a *app) rig() (*rig.Rig, error) {
	lib, err := a.library()
	if err != nil {
		return nil, err
	}
	r, err := rig.Load(lib, or(a.opt.rig, defaultRig))
	if err != nil {
		return nil, a.contentError(err)
	}
	return r, nil
}

// build plants the faults in the rig; exact material is without flaw.
func (a *app) build(r *rig.Rig, plantings []faults.Planting, exact bool) (*faults.Built, error) {
	lib, err := a.library()
	if err != nil {
		return nil, err
	}
	pack, err := edition.Load(lib, a.opt.edition)
	if err != nil {
		return nil, a.contentError(err)
	}
	material := wiring.Usual(signature.Copper(pack))
	if exact {
		material = wiring.Perfect(signature.Copper(pack))
	}
	b, err := faults.Build(r, material, plantings...)
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	return b, nil
}

func (a *app) measure(m measuring, args []string) error {
	r, err := a.rig()
	if err != nil {
		return err
	}
	q, err := m.measurement(r, args)
	if err != nil {
		return fail(ExitUsage, err)
	}
	plantings, err := m.plantings(r, args[1:])
	if err != nil {
		return fail(ExitUsage, err)
	}
	b, err := a.build(r, plantings, m.exact)
	if err != nil {
		return err
	}
	leads := meter.Leads{Ohm: m.leadsOhm, Added: m.longLeadOhm, Contact: m.contactOhm, Null: m.leadsOhm}
	if m.nullGiven {
		leads.Null = m.nullOhm
	}
	taken, err := q.Take(b, signature.Options{Instrument: meter.Instrument{Seed: uint64(a.opt.seed), Exact: m.exact}, Leads: leads})
	if err != nil {
		return fail(ExitUsage, err)
	}
	if a.opt.json {
		line, err := taken.JSON(q)
		if err != nil {
			return fail(ExitUsage, err)
		}
		fmt.Fprintf(a.out(), "%s\n", line)
	}
	if taken.Shown.Refusal == meter.Live {
		return fail(ExitRefused, fmt.Errorf("%s is a dead test and %s stands at %g V: not measured", q.Function, taken.LivePart, taken.Shown.VoltV),
			"--isolated switches off what supplies the circuit")
	}
	if !a.opt.json {
		fmt.Fprintln(a.out(), taken.Text(q))
	}
	return nil
}

// plantings finds the faults by name, for the circuit given or that of the first lead.
func (m *measuring) plantings(r *rig.Rig, leads []string) ([]faults.Planting, error) {
	circuit := m.circuit
	if circuit != "" {
		if _, ok := r.Circuit(circuit); !ok {
			return nil, fmt.Errorf("there is no circuit %q on %s\nhint: %s", circuit, r.ID, content.DidYouMean(circuit, circuitIDs(r)))
		}
	}
	for _, l := range leads {
		if owner, _, _ := strings.Cut(l, "/"); circuit == "" {
			if _, ok := r.Circuit(owner); ok {
				circuit = owner
			}
		}
	}
	var all []faults.Planting
	var errs []error
	for _, name := range m.faults {
		p, err := faults.Lookup(r, circuit, name)
		all, errs = append(all, p), append(errs, err)
	}
	return all, errors.Join(errs...)
}

// measurement turns flags and arguments into a measurement; all that does not fit is said at once.
func (m *measuring) measurement(r *rig.Rig, args []string) (signature.Measurement, error) {
	var errs []error
	bad := func(hint, format string, v ...any) { errs = append(errs, fmt.Errorf(format+"\nhint: "+hint, v...)) }
	function, err := signature.FunctionNamed(args[0])
	if err != nil {
		errs = append(errs, err)
	}
	q := signature.Measurement{Function: function, Leads: args[1:], TestV: m.testVolt, HeldS: m.held, Attempt: m.attempt,
		RCD: meter.RCDTest{IdnMA: m.rated, Multiple: m.multiple, Half: m.angle == 180, Pulsating: m.waveform == "pulsating", Delayed: strings.EqualFold(m.delay, "S")}}
	for _, c := range []struct {
		flag, found, right string
		ok                 bool
	}{
		{"test-voltage", number(m.testVolt), "250, 500, 1000", m.testVolt == 250 || m.testVolt == 500 || m.testVolt == 1000},
		{"held", number(m.held), "0 or more seconds", m.held >= 0},
		{"rated", number(m.rated), "a rated residual current in mA", m.rated >= 0 && m.rated <= 1000},
		{"multiple", number(m.multiple), "0.5, 1, 5", m.multiple == 0.5 || m.multiple == 1 || m.multiple == 5},
		{"angle", number(m.angle), "0, 180", m.angle == 0 || m.angle == 180},
		{"waveform", m.waveform, "ac, pulsating", m.waveform == "ac" || m.waveform == "pulsating"},
		{"delay", m.delay, "general, S", m.delay == "general" || strings.EqualFold(m.delay, "S")},
		{"leads", number(m.leadsOhm), "0 to 100 Ω", m.leadsOhm >= 0 && m.leadsOhm <= 100},
		{"long-lead", number(m.longLeadOhm), "0 to 100 Ω", m.longLeadOhm >= 0 && m.longLeadOhm <= 100},
		{"contact", number(m.contactOhm), "0 to 1000 Ω", m.contactOhm >= 0 && m.contactOhm <= 1000},
		{"null", number(m.nullOhm), "-100 to 100 Ω", m.nullOhm >= -100 && m.nullOhm <= 100},
		{"attempt", strconv.Itoa(m.attempt), "0 or more", m.attempt >= 0},
	} {
		if !c.ok {
			bad(c.right, "unknown value %s for --%s", c.found, c.flag)
		}
	}
	q.Cond, err = m.condition(r, args[1:])
	return q, errors.Join(append(errs, err)...)
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// condition is the installation as the flags leave it. Whether the names exist is looked at when it is drawn.
func (m *measuring) condition(r *rig.Rig, leads []string) (wiring.Condition, error) {
	c := wiring.Condition{Open: wiring.Set(m.off...), Position: map[string]int{}, Lifted: map[string]bool{},
		Moved: map[string]string{}, In: wiring.Set(m.plugIn...), Out: wiring.Set(m.takeOut...)}
	if m.isolated {
		c.Open[wiring.Isolator], c.Open[wiring.MainSwitch] = true, true
		for _, l := range leads {
			owner, _, _ := strings.Cut(l, "/")
			if _, ok := r.Circuit(owner); ok {
				c.Open[owner] = true
			}
		}
	}
	for _, name := range m.lift {
		ends := []string{name}
		if circuit, ok := r.Circuit(name); ok {
			ends = signature.BoardEnds(circuit)
		}
		for _, end := range ends {
			c.Lifted[end] = true
		}
	}
	var errs []error
	bad := func(hint, format string, v ...any) { errs = append(errs, fmt.Errorf(format+"\nhint: "+hint, v...)) }
	for _, text := range m.switched {
		name, at, _ := strings.Cut(text, "=")
		if at != "0" && at != "1" {
			bad("write it as lighting/first=1", "no position in --switch %q", text)
		}
		c.Position[name] = map[string]int{"1": 1}[at]
	}
	for _, text := range m.move {
		end, to, ok := strings.Cut(text, "=")
		if !ok {
			bad("write it as ring/leg1/N=board/bar/NB", "no terminal in --move %q", text)
		}
		c.Moved[end] = to
	}
	for _, text := range m.link {
		parts := strings.Split(text, "=")
		l := wiring.Link{A: parts[0]}
		var err error
		if len(parts) == 3 {
			l.Ohm, err = strconv.ParseFloat(parts[2], 64)
		}
		if len(parts) < 2 || len(parts) > 3 || err != nil || !(l.Ohm == 0 || l.Ohm >= 1e-6 && l.Ohm <= 1e12) {
			bad("write it as ring/leg1/L=ring/leg2/N, with its Ω as a third part if it has any", "not a link: --link %q", text)
			continue
		}
		l.B = parts[1]
		c.Links = append(c.Links, l)
	}
	return c, errors.Join(errs...)
}
