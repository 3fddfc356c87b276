package app

import (
	"encoding/json"
	"errors"
	"fmt"
	"sort"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/exercise"
	"wanderlead/internal/judge"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// listed is one line of a list.
type listed struct {
	Name  string `json:"name"`
	Title string `json:"title"`
}

func (a *app) listCmd() *cobra.Command {
	return &cobra.Command{
		Use:       "list [sequences|rigs|exercises|editions|tests]",
		Short:     "list what there is to choose from",
		ValidArgs: []string{"sequences", "rigs", "exercises", "editions", "tests"},
		Args:      cobra.MatchAll(cobra.MaximumNArgs(1), cobra.OnlyValidArgs),
		RunE: func(_ *cobra.Command, args []string) error {
			lib, err := a.library()
			if err != nil {
				return err
			}
			kinds := []string{"sequences", "rigs", "exercises", "editions", "tests"}
			if len(args) == 1 {
				kinds = args
			}
			all := map[string][]listed{}
			for _, k := range kinds {
				if all[k], err = a.list(lib, k); err != nil {
					return a.contentError(err)
				}
			}
			if a.opt.json {
				return json.NewEncoder(a.jsonOut()).Encode(all)
			}
			for _, k := range kinds {
				fmt.Fprintln(a.out(), k)
				for _, l := range all[k] {
					fmt.Fprintf(a.out(), "  %-22s %s\n", l.Name, l.Title)
				}
			}
			return nil
		},
	}
}

func (a *app) list(lib *content.Library, kind string) ([]listed, error) {
	switch kind {
	case "sequences":
		return wholeSequences(lib)
	case "rigs":
		names, err := rig.Names(lib)
		if err != nil {
			return nil, err
		}
		var out []listed
		for _, n := range names {
			r, err := rig.Load(lib, n)
			if err != nil {
				return nil, err
			}
			out = append(out, listed{n, r.Title})
		}
		return out, nil
	case "exercises":
		all, err := exercise.Load(lib)
		var out []listed
		for _, e := range all {
			out = append(out, listed{e.Name, e.Title})
		}
		return out, err
	case "editions":
		names, err := edition.Names(lib)
		if err != nil {
			return nil, err
		}
		var out []listed
		for _, n := range names {
			p, err := edition.Load(lib, n)
			if err != nil {
				return nil, err
			}
			out = append(out, listed{n, p.Title})
		}
		return out, nil
	}
	var out []listed
	for _, t := range judge.Tests() {
		out = append(out, listed{Name: t})
	}
	return out, nil
}

// wholeSequences lists the sequences that can be worked through; the parts that
// others include are left out.
func wholeSequences(lib *content.Library) ([]listed, error) {
	files, err := lib.List("")
	if err != nil {
		return nil, err
	}
	var out []listed
	for _, f := range files {
		data, err := lib.Read(f)
		if err != nil {
			return nil, err
		}
		s, err := sequence.Parse(f, data)
		if err != nil {
			return nil, err
		}
		if len(s.Stages) > 0 {
			out = append(out, listed{strings.TrimSuffix(f, ".yaml"), s.Title})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out, nil
}

// contentError gives a complaint about content its exit code. Errors that list
// several complaints print as they are.
func (a *app) contentError(err error) error {
	var e *exitError
	if errors.As(err, &e) {
		return err
	}
	var limit *edition.LimitError
	if errors.As(err, &limit) && limit.Hint != "" {
		return fail(ExitUsage, err, limit.Hint)
	}
	return fail(ExitUsage, err)
}
