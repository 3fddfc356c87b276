package app

import (
	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/record"
)

func (a *app) lintCmd() *cobra.Command {
	return &cobra.Command{Use: "lint", Short: "check sequences, rigs and the rest of the content", RunE: func(*cobra.Command, []string) error { return nil }}
}

// check is the quick check at every start: nothing that fails it runs.
func (a *app) check(*content.Library, *record.Kit) error { return nil }
