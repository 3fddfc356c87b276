package app

import (
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/pages"
	"wanderlead/internal/words"
)

func (a *app) guideCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "guide [PAGE]",
		Short: "a page to read for apprentice, assessor, learner or trainer, and on where every number comes from",
		Example: `  wanderlead guide
  wanderlead guide apprentice
  wanderlead guide numbers --content mine`,
		ValidArgs: pages.Names(),
		Args:      cobra.MatchAll(cobra.MaximumNArgs(1), cobra.OnlyValidArgs),
		RunE: func(_ *cobra.Command, args []string) error {
			lib, err := a.library()
			if err != nil {
				return err
			}
			cat, err := a.catalogue(lib)
			if err != nil {
				return err
			}
			if len(args) == 0 {
				return a.guideList(lib, cat)
			}
			page, err := pages.Page(lib, lib.Language(), args[0], cat.Text)
			if err != nil {
				return a.contentError(err)
			}
			if a.opt.json {
				return json.NewEncoder(a.jsonOut()).Encode(map[string]string{"page": args[0], "title": pages.Title(page), "markdown": page})
			}
			fmt.Fprint(a.out(), pages.Text(page, a.width()))
			return nil
		},
	}
}

func (a *app) guideList(lib *content.Library, cat *words.Catalogue) error {
	var all []listed
	for _, name := range pages.Names() {
		page, err := pages.Page(lib, lib.Language(), name, cat.Text)
		if err != nil {
			return a.contentError(err)
		}
		all = append(all, listed{name, pages.Title(page)})
	}
	if a.opt.json {
		return json.NewEncoder(a.jsonOut()).Encode(all)
	}
	for _, p := range all {
		fmt.Fprintf(a.out(), "  %-12s %s\n", p.Name, p.Title)
	}
	return nil
}
