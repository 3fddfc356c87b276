package app

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/draw"
	"wanderlead/internal/edition"
	"wanderlead/internal/journal"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
)

// drawer is one run of draw: what a drawing is made from.
type drawer struct {
	a       *app
	circuit string
	width   int
	lib     *content.Library
	screen  *screen.Screen
}

func (a *app) drawCmd() *cobra.Command {
	d := &drawer{a: a}
	cmd := &cobra.Command{
		Use:   "draw",
		Short: "look at one drawing: board, circuit, ring, scale, half-cycle, what is open",
		Long: `draw shows one of the drawings that a session shows, by itself: made of text, for
the width of the terminal. With --plain it says the same in sentences.`,
		Example: `  wanderlead draw board --rig training-bay --circuit ring-1
  wanderlead draw ring r1=0.40 rn=0.40 readings=0.20,0.20,0.21,0.26,0.20,0.20,0.19,0.20 step=line-neutral
  wanderlead draw scale zs value=0.86 device=B32`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.PersistentFlags().StringVar(&d.circuit, "circuit", "", "circuit of the rig")
	cmd.PersistentFlags().IntVar(&d.width, "width", 0, "columns to draw for (default: the terminal's)")
	sub := func(use, short, example string, args cobra.PositionalArgs, run func(args []string) error) *cobra.Command {
		return &cobra.Command{Use: use, Short: short, Example: example, Args: args, RunE: func(_ *cobra.Command, args []string) error {
			if err := d.begin(); err != nil {
				return err
			}
			return run(args)
		}}
	}
	scale := sub("scale TEST key=value…", "a reading with its limits, what is expected and what the instrument leaves open (keys as for judge)",
		"  wanderlead draw scale insulation value=1.5 between=L-E", cobra.MinimumNArgs(2), d.scale)
	scale.ValidArgsFunction = completeJudge
	cmd.AddCommand(
		sub("board", "the rails of the board, their ways, the neutral bars and the earth bar", "  wanderlead draw board --rig winch-workshop", cobra.NoArgs, d.board),
		sub("circuit", "a circuit with its points and lengths", "  wanderlead draw circuit --circuit lighting-1", cobra.NoArgs, d.theCircuit),
		sub("ring r1=… rn=…|r2=… readings=… step=…", "the readings of a crossed ring with the band they should be in (keys as for judge ring-crossed)",
			"  wanderlead draw ring r1=0.40 r2=0.65 step=line-cpc readings=0.25,0.25,0.26,0.26,0.26,0.26,0.25,0.25", cobra.MinimumNArgs(1), d.ring),
		scale,
		sub("half-cycle [0|180]", "the half-cycle that an RCD test starts on", "  wanderlead draw half-cycle 180", cobra.MaximumNArgs(1), d.cycle),
		sub("open RECORD", "what is open in the record of a session", "  wanderlead draw open record.jsonl", cobra.ExactArgs(1), d.open),
	)
	return cmd
}

func (d *drawer) begin() error {
	a := d.a
	switch {
	case a.opt.json:
		return usagef("drawings are for people; judge, list and report give JSON", "draw has no --json")
	case d.width != 0 && (d.width < screen.MinWidth || d.width > screen.MaxWidth):
		return usagef(fmt.Sprintf("from %d to %d columns", screen.MinWidth, screen.MaxWidth), "--width %d", d.width)
	}
	var err error
	if d.lib, err = a.library(); err != nil {
		return err
	}
	v := a.newView(d.lib)
	if v.err != nil {
		return a.contentError(v.err)
	}
	a.policy(a.sys.Out).Apply()
	o := a.looks(screen.Full, nil)
	o.Plain, o.Height = a.opt.plain, 0
	if d.width != 0 {
		o.Width = d.width
	}
	d.screen = v.screen().With(o)
	return nil
}

// rig is the rig in hand with the circuit that was named, nil when none was.
func (d *drawer) rig() (*rig.Rig, *rig.Circuit, error) {
	r, err := rig.Load(d.lib, or(d.a.opt.rig, defaultRig))
	if err != nil {
		return nil, nil, d.a.contentError(err)
	}
	if d.circuit == "" {
		return r, nil, nil
	}
	c, ok := r.Circuit(d.circuit)
	if !ok {
		return nil, nil, usagef("one of: "+strings.Join(circuitIDs(r), ", "), "%s has no circuit %q", r.ID, d.circuit)
	}
	return r, c, nil
}

func (d *drawer) show(lines []screen.Line) error {
	for _, l := range paint(lines) {
		if _, err := fmt.Fprintln(d.a.painted(), l); err != nil {
			return err
		}
	}
	return nil
}

func (d *drawer) board([]string) error {
	r, c, err := d.rig()
	if err != nil {
		return err
	}
	return d.show(d.screen.Board(draw.BoardView{Rig: r, This: c, Bar: c != nil}))
}

func (d *drawer) theCircuit([]string) error {
	r, c, err := d.rig()
	if err != nil {
		return err
	}
	if c == nil {
		return usagef("one of: "+strings.Join(circuitIDs(r), ", "), "which circuit: --circuit is missing")
	}
	return d.show(d.screen.Circuit(r, c))
}

func (d *drawer) judge(test string, args []string) (*judge.Verdict, error) {
	pack, err := edition.Load(d.lib, d.a.opt.edition)
	if err != nil {
		return nil, d.a.contentError(err)
	}
	q, err := judge.ParseArgs(test, args)
	if err == nil {
		var v judge.Verdict
		if v, err = judge.Judge(pack, q); err == nil {
			return &v, nil
		}
	}
	var list judge.ArgErrors
	hints := []string{"wanderlead judge --help shows how the keys are given"}
	if errors.As(err, &list) && list[0].Hint != "" {
		hints = append([]string{list[0].Hint}, hints...)
	}
	first, _, _ := strings.Cut(err.Error(), "\n")
	return nil, fail(ExitUsage, errors.New(first), hints...)
}

func (d *drawer) ring(args []string) error {
	r, c, err := d.rig()
	if err != nil {
		return err
	}
	for i := range r.Circuits {
		if c == nil && r.Circuits[i].Shape == rig.Ring {
			c = &r.Circuits[i]
		}
	}
	if c == nil || c.Shape != rig.Ring {
		return usagef("name one with --circuit", "%s has no such ring", r.ID)
	}
	v, err := d.judge(judge.RingCrossed, args)
	if err != nil {
		return err
	}
	view := draw.RingView{Circuit: c, Readings: map[string]quantity.Reading{}, Low: v.InLow, High: v.InHigh}
	n := 0
	for _, m := range v.Readings {
		if m.Name == "r1" || m.Name == "rn" || m.Name == "r2" {
			continue
		}
		if n < len(c.Points) {
			view.Readings[c.Points[n].ID] = m.Reading
		}
		n++
	}
	if n > len(c.Points) {
		return usagef("", "%d readings for the %d points of %s", n, len(c.Points), c.ID)
	}
	return d.show(d.screen.Ring(view))
}

func (d *drawer) scale(args []string) error {
	v, err := d.judge(args[0], args[1:])
	if err != nil {
		return err
	}
	view, ok := d.screen.ScaleOf(v)
	if !ok {
		return usagef("give what it is held against: a device, a length, a declared value", "there is nothing to hold this reading of %s against", args[0])
	}
	return d.show(d.screen.Scale(view))
}

func (d *drawer) cycle(args []string) error {
	halves := []int{0, 180}
	if len(args) == 1 {
		n, err := strconv.Atoi(strings.TrimSuffix(args[0], "°"))
		if err != nil || n != 0 && n != 180 {
			return usagef("0 or 180", "an RCD test starts at 0° or 180°, found %q", args[0])
		}
		halves = []int{n}
	}
	return d.show(d.screen.HalfCycles(halves...))
}

func (d *drawer) open(args []string) error {
	lines, err := journal.ReadFile(args[0])
	if err != nil {
		return fail(ExitUsage, err)
	}
	if h := lines[0].Header; h != nil && h.Mode == record.ModeStudy {
		rep, err := record.ReplayStudy(lines, d.lib)
		if err != nil {
			return fail(ExitUsage, err)
		}
		return d.show(d.screen.StudyShow(rep.State))
	}
	rep, err := record.Replay(lines, d.lib)
	if err != nil {
		return fail(ExitUsage, err)
	}
	return d.show(d.screen.Ledger(rep.State))
}
