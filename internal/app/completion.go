package app

import (
	"sort"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/rig"
	"wanderlead/internal/slip"
)

// What a shell is offered. The names are those of the content in hand: --content and
// --rig that stand on the line count.

type completer = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective)

// completions adds to each command what a shell can offer for its flags and arguments.
// What a command registered itself stays.
func (a *app) completions(root *cobra.Command) {
	flags := map[string]completer{
		"rig":       a.completeRigs,
		"sequence":  a.listedNames("sequences"),
		"edition":   a.listedNames("editions"),
		"exercise":  a.listedNames("exercises"),
		"circuit":   a.fromRig(circuitNames),
		"fault":     a.fromRig(faults.Names),
		"coaching":  oneOfWords("full", "hints", "none"),
		"incoming":  oneOfWords("measured", "declared"),
		"start":     oneOfWords("isolated", "as-found"),
		"setting":   oneOfWords("observed", "hold-points", "alone"),
		"waveform":  oneOfWords("ac", "pulsating"),
		"delay":     oneOfWords("general", "S"),
		"learner":   a.completeLearners,
		"answers":   filesOf("yaml", "yml"),
		"journal":   filesOf("jsonl"),
		"content":   folders,
		"dir":       folders,
		"key":       anyFile,
		"signer":    anyFile,
		"out":       anyFile,
		"threshold": nothing,
	}
	args := map[string]completer{
		"report": filesOf("jsonl"), "resume": filesOf("jsonl"), "verify": filesOf("jsonl"),
		"judge": completeJudge, "lint": a.completeLint, "cohort": folders, "prepare": a.completePapers,
	}
	for _, name := range []string{"plant", "sit", "sign", "evidence", "mark", "remark", "override", "reveal"} {
		args[name] = filesOf("jsonl")
	}
	var walk func(*cobra.Command)
	walk = func(cmd *cobra.Command) {
		for _, set := range []*pflag.FlagSet{cmd.Flags(), cmd.PersistentFlags()} {
			set.VisitAll(func(f *pflag.Flag) {
				if fill := flags[f.Name]; fill != nil && f.Annotations[cobra.BashCompFilenameExt] == nil {
					_ = cmd.RegisterFlagCompletionFunc(f.Name, fill) // an error says that the command has its own
				}
			})
		}
		if fill := args[cmd.Name()]; fill != nil && cmd.ValidArgsFunction == nil && len(cmd.ValidArgs) == 0 {
			cmd.ValidArgsFunction = fill
		}
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	walk(root)
}

func oneOfWords(words ...string) completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}

func filesOf(extensions ...string) completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return extensions, cobra.ShellCompDirectiveFilterFileExt
	}
}

func folders(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

func anyFile(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveDefault
}

func nothing(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// listedNames offers what list lists, with titles beside the names.
func (a *app) listedNames(kind string) completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return a.offer(func(lib *content.Library) ([]string, error) {
			all, err := a.list(lib, kind)
			var out []string
			for _, l := range all {
				out = append(out, cobra.CompletionWithDesc(l.Name, l.Title))
			}
			return out, err
		})
	}
}

func (a *app) offer(of func(*content.Library) ([]string, error)) ([]string, cobra.ShellCompDirective) {
	lib, err := a.library()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	names, err := of(lib)
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// fromRig offers what the rig in hand has.
func (a *app) fromRig(of func(*rig.Rig) []string) completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return a.offer(func(lib *content.Library) ([]string, error) {
			r, err := rig.Load(lib, or(a.opt.rig, defaultRig))
			if err != nil {
				return nil, err
			}
			return of(r), nil
		})
	}
}

func circuitNames(r *rig.Rig) []string {
	var out []string
	for i := range r.Circuits {
		out = append(out, cobra.CompletionWithDesc(r.Circuits[i].ID, r.Circuits[i].Number+" "+r.Circuits[i].Description))
	}
	return out
}

func (a *app) completeLearners(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	names, err := a.learners().Names()
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

func (a *app) completePapers(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return a.offer(paper.Names)
}

// completeLint offers the names of sequences and rigs; files are offered too.
func (a *app) completeLint(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var out []string
	for _, kind := range []string{"sequences", "rigs"} {
		names, directive := a.listedNames(kind)(nil, nil, "")
		if directive == cobra.ShellCompDirectiveError {
			continue // what cannot be read is what lint is for
		}
		out = append(out, names...)
	}
	return out, cobra.ShellCompDirectiveDefault
}

// completeJudge offers the tests, then the keys of the test that are not given yet,
// then the words that a key takes.
func completeJudge(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return judge.Tests(), cobra.ShellCompDirectiveNoFileComp
	}
	given := map[string]bool{}
	for _, arg := range args[1:] {
		name, _, _ := strings.Cut(arg, "=")
		given[name] = true
	}
	name, _, valued := strings.Cut(typed, "=")
	var out []string
	for _, k := range judge.Keys(args[0]) {
		switch {
		case valued && k.Name == name:
			for _, w := range k.Words {
				out = append(out, k.Name+"="+w)
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		case !valued && !given[k.Name]:
			about := k.Unit
			if k.Required {
				about = join(" ", about, "required")
			}
			out = append(out, cobra.CompletionWithDesc(k.Name+"=", about))
		}
	}
	return out, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

func join(sep string, texts ...string) string {
	var out []string
	for _, s := range texts {
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, sep)
}

// suggest finds what may have been meant by a command or flag that there is not. The
// error is cobra's own; args are those of the command line.
func suggest(root *cobra.Command, args []string, err error) []string {
	help := "wanderlead --help lists commands and flags"
	text := err.Error()
	cmd, rest, _ := root.Find(args)
	if cmd != nil && cmd != root {
		help = cmd.CommandPath() + " --help shows how it is used"
	}
	switch {
	case strings.HasPrefix(text, "unknown command ") && len(rest) > 0:
		for _, arg := range rest {
			if strings.HasPrefix(arg, "-") {
				continue
			}
			if near := nearestOf(arg, commandNames(cmd)); near != "" {
				return []string{"did you mean " + cmd.CommandPath() + " " + near + "?", help}
			}
			break
		}
	case strings.HasPrefix(text, "invalid argument ") && cmd != nil && len(rest) > 0:
		if near := nearestOf(rest[0], append([]string(nil), cmd.ValidArgs...)); near != "" {
			return []string{"did you mean " + near + "?", help}
		}
	case strings.HasPrefix(text, "unknown flag: --"):
		name := strings.TrimPrefix(text, "unknown flag: --")
		var names []string
		add := func(f *pflag.Flag) {
			if !f.Hidden {
				names = append(names, f.Name)
			}
		}
		cmd.Flags().VisitAll(add)
		cmd.InheritedFlags().VisitAll(add)
		if near := nearestOf(name, names); near != "" {
			return []string{"did you mean --" + near + "?", help}
		}
	}
	return []string{help}
}

// group makes a command that only gathers others say so when none of them is named: its
// help on standard error, and the code of bad usage. Another word is an unknown command,
// to which suggest finds what may have been meant.
func group(cmd *cobra.Command) *cobra.Command {
	cmd.Args = cobra.NoArgs
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		cmd.SetOut(cmd.ErrOrStderr())
		_ = cmd.Help()
		return done(ExitUsage)
	}
	return cmd
}

func commandNames(cmd *cobra.Command) []string {
	var out []string
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() {
			out = append(append(out, c.Name()), c.Aliases...)
		}
	}
	return out
}

// nearestOf is the name that was begun, by at least three letters, or else the one that was probably meant.
func nearestOf(typed string, names []string) string {
	sort.Strings(names)
	for _, n := range names {
		if len(typed) >= 3 && strings.HasPrefix(n, typed) {
			return n
		}
	}
	return slip.Nearest(typed, names)
}
