package app

import (
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"wanderlead/internal/assess/seal"
)

func (a *app) plantCmd(o *assessOptions) *cobra.Command {
	var after string
	cmd := &cobra.Command{
		Use:   "plant RECORD",
		Short: "list what to plant on the rig for a candidate, or to clear",
		Example: `  wanderlead assess plant day-1/C-01.jsonl
  wanderlead assess plant day-1/C-02.jsonl --after day-1/C-01.jsonl
  wanderlead assess plant day-1/C-02.jsonl --clear`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if o.clear && after != "" {
				return usagef("", "--clear or --after, not both")
			}
			return a.plant(o, args[0], after)
		},
	}
	cmd.Flags().BoolVar(&o.clear, "clear", false, "what to clear before the next candidate")
	cmd.Flags().StringVar(&after, "after", "", "record of the candidate before, whose faults are cleared first")
	return cmd
}

// drawn is what is planted for one candidate.
type drawn struct {
	Candidate string         `json:"candidate"`
	Faults    []seal.Planted `json:"faults"`
}

func (a *app) plant(o *assessOptions, path, after string) error {
	var before *drawn
	if after != "" {
		d, err := a.drawnFor(o, after)
		if err != nil {
			return err
		}
		before = d
	}
	d, err := a.drawnFor(o, path)
	if err != nil {
		return err
	}
	if a.opt.json {
		out := map[string]any{"candidate": d.Candidate, "faults": d.Faults}
		if before != nil {
			out["clear_first"] = before
		}
		return json.NewEncoder(a.jsonOut()).Encode(out)
	}
	if o.clear {
		before, d = d, nil
	}
	fmt.Fprintln(a.out(), "Out of every candidate's sight. Isolate, lock and prove dead first.")
	if before != nil {
		a.checklist("Clear, after "+before.Candidate, before.Faults, true)
	}
	if d != nil {
		a.checklist("Plant, for "+d.Candidate, d.Faults, false)
	}
	return nil
}

// checklist prints what to clear or to plant, with a box for each.
func (a *app) checklist(heading string, list []seal.Planted, clear bool) {
	fmt.Fprintln(a.out(), heading)
	for _, f := range list {
		text, where := f.Plant, or(f.Circuit, "board")
		if clear {
			text = f.Clear
		}
		fmt.Fprintf(a.out(), "  [ ] %s: %s\n", where, text)
		if f.NeverEnergise && !clear {
			fmt.Fprintf(a.out(), "      NEVER ENERGISE %s with this fault in it.\n", where)
		}
	}
	if clear {
		fmt.Fprintln(a.out(), "  [ ] take readings of your own and hold them against the commissioned ones")
	}
}

func (a *app) drawnFor(o *assessOptions, path string) (*drawn, error) {
	r, err := a.openRecord(path)
	if err != nil {
		return nil, err
	}
	k, err := a.openKey(o, r.files, r.header)
	if err != nil {
		return nil, err
	}
	return &drawn{r.header.Fields["candidate"], k.Draw}, nil
}
