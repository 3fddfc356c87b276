package app

import (
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/faults"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
)

// virtual are the flags of the commands that measure on the virtual rig.
type virtual struct {
	circuit string
	faults  []string
	exact   bool
}

// flags adds them to a command, with what the shell completes.
func (v *virtual) flags(a *app, cmd *cobra.Command) {
	cmd.Flags().StringVar(&v.circuit, "circuit", "", "circuit of the rig")
	cmd.Flags().StringSliceVar(&v.faults, "fault", nil, "fault to plant: a kind, F01 to F46, or one that the rig lists; may be given again")
	cmd.Flags().BoolVar(&v.exact, "exact", false, "what the network gives: material without flaw, instrument without error, no rounding")
	a.complete(cmd, "circuit", func(r *rig.Rig) []string { return circuitIDs(r) })
	a.complete(cmd, "fault", faults.Names)
}

func circuitIDs(r *rig.Rig) []string {
	var ids []string
	for i := range r.Circuits {
		ids = append(ids, r.Circuits[i].ID)
	}
	return ids
}

// complete offers the shell what the rig in hand has for a flag.
func (a *app) complete(cmd *cobra.Command, flag string, of func(*rig.Rig) []string) {
	_ = cmd.RegisterFlagCompletionFunc(flag, func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		lib, err := a.library()
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		r, err := rig.Load(lib, or(a.opt.rig, defaultRig))
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return of(r), cobra.ShellCompDirectiveNoFileComp
	})
}

// completeRigs offers the shell the rigs there are.
func (a *app) completeRigs(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	lib, err := a.library()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	names, err := rig.Names(lib)
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

func (a *app) signatureCmd() *cobra.Command {
	var v virtual
	cmd := &cobra.Command{
		Use:   "signature",
		Short: "what the standard tests of a circuit would show, sound or with faults, on the virtual rig",
		Example: `  wanderlead signature --rig reference --circuit ring
  wanderlead signature --rig reference --circuit ring --fault F06 --exact --json`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.signature(v) },
	}
	v.flags(a, cmd)
	return cmd
}

func (a *app) signature(v virtual) error {
	lib, err := a.library()
	if err != nil {
		return err
	}
	if v.circuit == "" {
		r, err := rig.Load(lib, or(a.opt.rig, defaultRig))
		if err != nil {
			return a.contentError(err)
		}
		return usagef("--circuit is one of: "+strings.Join(circuitIDs(r), ", "), "no circuit was given")
	}
	err = signature.Run(a.asked(), lib, signature.Request{Rig: or(a.opt.rig, defaultRig), Circuit: v.circuit, Faults: v.faults,
		Edition: a.opt.edition, Seed: uint64(a.opt.seed), Exact: v.exact, JSON: a.opt.json})
	if err != nil {
		return a.contentError(err)
	}
	return nil
}
