package app

import (
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/assess/seal"
	"wanderlead/internal/cohort"
	"wanderlead/internal/own"
	"wanderlead/internal/prompt"
)

func (a *app) cohortCmd() *cobra.Command {
	o := &assessOptions{}
	var asCSV bool
	cmd := &cobra.Command{
		Use:   "cohort DIR",
		Short: "results of a whole group: items, times, agreement, what to look at",
		Long: `cohort marks every closed record of a folder by the published rule and summarises
them: results, how hard and how telling each part was, how long it took, whether two
assessors agree where a record was marked twice, and what a person should look at.
Flags decide nothing. Records whose key has been revealed are read as they are; for the
others the passphrase is needed, and opening each takes about a second.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.cohort(o, args[0], asCSV) },
	}
	cmd.Flags().BoolVar(&asCSV, "csv", false, "CSV on standard output")
	cmd.Flags().StringVar(&o.passphraseFile, "passphrase-file", "", "file whose first line is the passphrase")
	return cmd
}

func (a *app) cohort(o *assessOptions, dir string, asCSV bool) error {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return usagef("the folder given to assess prepare with --dir", "%s is no folder of records", dir)
	}
	f := cohort.Folder{Dir: dir}
	if o.passphraseFile != "" {
		pass, err := a.passphrase(o, "")
		if err != nil {
			return err
		}
		f.Key = func(record string) (*seal.Key, error) {
			data, err := own.Named(files{record: record}.sealed(), maxBeside)
			if err != nil {
				return nil, err
			}
			return seal.Open(data, pass)
		}
	}
	if prompt.IsTerminal(a.sys.Err) && !a.opt.plain {
		f.Progress = func(done, of int) { fmt.Fprintf(a.sys.Err, "\r%s", progress(done, of)) }
	}
	rep, skipped, err := f.Read()
	if f.Progress != nil {
		fmt.Fprintln(a.sys.Err)
	}
	if err != nil {
		return fail(ExitUsage, err)
	}
	for _, s := range skipped {
		fmt.Fprintf(a.errs(), "wanderlead: left out %s: %s\n", s.Record, plainText(s.Why.Error()))
	}
	switch {
	case asCSV && a.opt.json:
		return usagef("", "--csv or --json, not both")
	case asCSV:
		err = rep.WriteCSV(a.sys.Out)
	case a.opt.json:
		err = rep.WriteJSON(a.sys.Out)
	default:
		err = rep.WriteText(a.out())
	}
	if err != nil {
		return fail(ExitUsage, err)
	}
	if len(rep.Rows) == 0 {
		return done(ExitNo)
	}
	return nil
}

// progress is a bar of a fixed width, drawn over itself.
func progress(done, of int) string {
	const width = 40
	n := width
	if of > 0 {
		n = width * done / of
	}
	return fmt.Sprintf("[%s%s] %d of %d", strings.Repeat("#", n), strings.Repeat(" ", width-n), done, of)
}
