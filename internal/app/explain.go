package app

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/explain"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/rig"
)

// exampleRig is what a fault's example is computed on.
const exampleRig = "reference"

func (a *app) explainCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "explain [ID]",
		Short: "what a test, limit, fault, usual mistake or term is, why, and an example with numbers",
		Example: `  wanderlead explain leads-not-nulled
  wanderlead explain zs_measured
  wanderlead explain F21`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.explain(args) },
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			_, g, err := a.guide()
			if err != nil || len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return g.IDs(), cobra.ShellCompDirectiveNoFileComp
		},
	}
}

func (a *app) guide() (*content.Library, *explain.Guide, error) {
	lib, err := a.library()
	if err != nil {
		return nil, nil, err
	}
	book, err := mistakes.Load(lib)
	if err != nil {
		return nil, nil, a.contentError(err)
	}
	g, err := explain.Load(lib, book)
	if err != nil {
		return nil, nil, a.contentError(err)
	}
	return lib, g, nil
}

func (a *app) explain(args []string) error {
	lib, g, err := a.guide()
	if err != nil {
		return err
	}
	if len(args) == 0 {
		return a.explainList(g)
	}
	e, ok := g.Find(args[0])
	if !ok {
		return usagef(g.Near(args[0]), "there is nothing to explain under %q", args[0])
	}
	pack, err := edition.Load(lib, a.opt.edition)
	if err != nil {
		return a.contentError(err)
	}
	r, err := rig.Load(lib, or(a.opt.rig, exampleRig))
	if err != nil {
		return a.contentError(err)
	}
	v := a.newView(lib)
	if v.err != nil {
		return a.contentError(v.err)
	}
	w, err := e.Worked(pack, r, v.cat)
	if err != nil {
		return fail(ExitUsage, err)
	}
	if a.opt.json {
		return json.NewEncoder(a.jsonOut()).Encode(w)
	}
	word := func(id, text string) string { return v.text("explain."+id, map[string]string{"text": text}) }
	lines := []string{v.text("explain.head", map[string]string{"title": w.Title, "kind": v.text("explain.kind."+w.Kind, nil), "id": w.ID}), word("what", w.What), word("why", w.Why)}
	if w.Do != "" {
		lines = append(lines, word("do", w.Do))
	}
	if w.Example != w.What {
		lines = append(lines, word("example", w.Example))
	}
	lines = append(lines, word("source", w.Source))
	if len(w.See) > 0 {
		lines = append(lines, word("see", strings.Join(w.See, ", ")))
	}
	for _, l := range v.wrap(lines...) {
		fmt.Fprintln(a.out(), l)
	}
	return nil
}

// explainList lists every id by kind.
func (a *app) explainList(g *explain.Guide) error {
	if a.opt.json {
		return json.NewEncoder(a.jsonOut()).Encode(g.All)
	}
	kind := ""
	for _, e := range g.All {
		if e.Kind != kind {
			kind = e.Kind
			fmt.Fprintln(a.out(), kind)
		}
		fmt.Fprintf(a.out(), "  %-32s %s\n", e.ID, e.Title)
	}
	return nil
}
