package app

import (
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/lint"
	"wanderlead/internal/record"
	"wanderlead/sequences"
)

// maxWalk bounds the walk of a user's own sequence before its first use, in states; a
// whole board of eight circuits has more and is walked by lint --walk.
const maxWalk = 100_000

func (a *app) lintCmd() *cobra.Command {
	var walk bool
	cmd := &cobra.Command{
		Use:   "lint [NAME|FILE]…",
		Short: "check sequences, rigs, editions, exercises, mistakes, glossary, words and answers files",
		Long: `lint checks content as the program will use it: file by file, then each
sequence on each rig (or on --rig), and an empty one. Without names it checks
everything there is. With --walk it also walks through every turn that a session
can take; that takes from seconds to many minutes and is remembered.`,
		Example: `  wanderlead lint --content mine
  wanderlead lint lesson-ring --rig training-bay --walk`,
		RunE: func(_ *cobra.Command, args []string) error {
			lib, err := a.library()
			if err != nil {
				return err
			}
			q := lint.Request{Language: lib.Language(), Names: args, Rig: a.opt.rig, Incoming: a.opt.incoming, Edition: a.opt.edition, JSON: a.opt.json}
			if a.opt.sequence != "" {
				q.Names = append(q.Names, a.opt.sequence)
			}
			if walk {
				q.Options = walkOptions(0)
			}
			return done(lint.Command(lib.Written(), q, a.asked(), a.errs()))
		},
	}
	cmd.Flags().BoolVar(&walk, "walk", false, "walk through every turn a session can take")
	return cmd
}

func walkOptions(states int) lint.Options {
	debug.SetGCPercent(100) // a walk keeps what it has seen, and that is much
	return lint.Options{Walk: lint.Walk(states), Cache: lint.UserCache(), Program: lint.ProgramMark()}
}

// check is the check at every start: nothing that fails it runs. What ships with the
// program was walked before it was shipped; what the user wrote is walked once,
// before its first use, and the walk is remembered.
func (a *app) check(lib *content.Library, kit *record.Kit) error {
	if bad := lint.QuickRun(kit.Find, kit.Program, kit.Pack).Bad(); len(bad) > 0 {
		return fail(ExitUsage, bad, "wanderlead lint "+kit.Sequence.ID+" --rig "+kit.Rig.ID+" says it again after a change")
	}
	if !kit.Own(sequences.FS) {
		return nil
	}
	fmt.Fprintln(a.errs(), "wanderlead: first use of this content: walking through every turn a session on it can take …")
	problems, walked := lint.Full(lib, kit.Sequence, kit.Rig, kit.Incoming, kit.Pack, walkOptions(maxWalk))
	if bad := problems.Bad(); len(bad) > 0 {
		return fail(ExitUsage, bad, "this sequence could lead to live work or touched conductors without what it needs")
	}
	if walked.Cut {
		fmt.Fprintf(a.errs(), "wanderlead: walked %d states of %s before first use and found nothing, but there are more\nhint: wanderlead lint %s --rig %s --walk goes on to the end\n",
			walked.States, kit.Sequence.ID, kit.Sequence.ID, kit.Rig.ID)
	}
	return nil
}
