package app

import (
	"github.com/spf13/cobra"

	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
)

func (a *app) judgeCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "judge TEST key=value…",
		Short: "judge one reading against the limits of an edition",
		Example: `  wanderlead judge zs value=0.86 device=B32 ze=0.30 r1r2=0.55
  wanderlead judge insulation value='>299' between=L-E --json`,
		RunE: func(_ *cobra.Command, args []string) error {
			lib, err := a.library()
			if err != nil {
				return err
			}
			pack, err := edition.Load(lib, a.opt.edition)
			if err != nil {
				return a.contentError(err)
			}
			cat, err := a.catalogue(lib)
			if err != nil {
				return err
			}
			return done(judge.Command(pack, cat, args, a.opt.json, a.asked(), a.errs()))
		},
	}
}
