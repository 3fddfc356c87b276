package app

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/faultfind"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
)

func (a *app) locateCmd() *cobra.Command {
	var circuit string
	var table, every bool
	cmd := &cobra.Command{
		Use:   "locate [test/point=value…]",
		Short: "which fault would give these readings of a circuit, where, and what to measure next",
		Example: `  wanderlead locate --rig reference --circuit ring ends/r1=0.40 ends/rn=0.40 'ends/r2=>99.9'
  wanderlead locate --circuit radial-1 --answers readings.yaml --json
  wanderlead locate --table`,
		RunE: func(_ *cobra.Command, args []string) error {
			if table {
				return a.locateTable(every)
			}
			return a.locate(circuit, args)
		},
	}
	cmd.Flags().StringVar(&circuit, "circuit", "", "circuit of the rig")
	cmd.Flags().BoolVar(&table, "table", false, "plant every fault on rings, radials and a lighting circuit, and print how each is found again")
	cmd.Flags().BoolVar(&every, "every", false, "with --table: rings of 4 to 12 points and radials of 3 to 8, not a part of them")
	a.complete(cmd, "circuit", circuitIDs)
	return cmd
}

func (a *app) locate(circuit string, args []string) error {
	typed, err := faultfind.ParseArgs(args)
	if err != nil {
		return fail(ExitUsage, err)
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	rigName := a.opt.rig
	own := len(args) > 0
	var r *rig.Rig
	if a.opt.answers != "" {
		named, more, err := a.answered()
		if err != nil {
			return a.contentError(err)
		}
		typed, rigName = append(more, typed...), or(rigName, named)
		own = false
	}
	if a.opt.journal != "" {
		kept, more, err := a.recorded(lib)
		if err != nil {
			return a.recordError(err)
		}
		typed, own = append(more, typed...), false
		if rigName == "" {
			r = kept
		}
	}
	if r == nil {
		if r, err = rig.Load(lib, or(rigName, defaultRig)); err != nil {
			return a.contentError(err)
		}
	}
	if circuit == "" {
		return usagef("--circuit is one of: "+strings.Join(circuitIDs(r), ", "), "no circuit was given")
	}
	pack, err := edition.Load(lib, a.opt.edition)
	if err != nil {
		return a.contentError(err)
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return err
	}
	found, err := faultfind.Locate(a.asked(), cat, r, signature.Copper(pack), faultfind.Request{Circuit: circuit, Typed: typed, Own: own, JSON: a.opt.json})
	if err != nil {
		return a.contentError(err)
	}
	if !found {
		return done(ExitNo)
	}
	return nil
}

// answered reads the readings of an answers file.
func (a *app) answered() (string, []faultfind.Typed, error) {
	name := a.opt.answers
	var data []byte
	var err error
	if name == "-" {
		name = "standard input"
		data, err = content.ReadAll(a.sys.In, name)
	} else {
		data, err = content.ReadFile(name)
	}
	if err != nil {
		return "", nil, err
	}
	return faultfind.ParseAnswers(name, data)
}

// recorded reads the readings of a record, and the rig it was made on.
func (a *app) recorded(lib *content.Library) (*rig.Rig, []faultfind.Typed, error) {
	lines, err := journal.ReadFile(a.opt.journal)
	if err != nil {
		return nil, nil, err
	}
	re, err := record.Replay(lines, lib)
	if err != nil {
		return nil, nil, err
	}
	all := re.State.Recorded()
	var typed []faultfind.Typed
	for i := len(all) - 1; i >= 0; i-- {
		typed = append(typed, faultfind.Typed{ID: all[i].ID, Raw: all[i].Raw})
	}
	return re.Kit.Rig, typed, nil
}

// locateTable prints how each kind of fault is found.
func (a *app) locateTable(every bool) error {
	lib, err := a.library()
	if err != nil {
		return err
	}
	r, err := rig.Load(lib, or(a.opt.rig, "reference"))
	if err != nil {
		return a.contentError(err)
	}
	pack, err := edition.Load(lib, a.opt.edition)
	if err != nil {
		return a.contentError(err)
	}
	step := 4
	if every {
		step = 1
	}
	scores := map[string]*faultfind.Score{}
	for i, t := range faultfind.Trials(r, step) {
		if err := faultfind.Evaluate(t, signature.Copper(pack), uint64(a.opt.seed)+uint64(i+1), 1, scores); err != nil {
			return fail(ExitUsage, err)
		}
	}
	faultfind.WriteTable(a.out(), scores)
	for _, w := range faultfind.Misses(scores) {
		fmt.Fprintln(a.out(), w)
	}
	return nil
}
