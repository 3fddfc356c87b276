// Package app holds the commands and what they are wired from. It is the thin shell:
// the clock, the terminal, the disk and the exit code live here and nowhere below.
package app

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/plain"
	"wanderlead/internal/prompt"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// Exit codes: the one table of them.
const (
	ExitDone        = 0   // done; a failing reading is still a done run
	ExitNo          = 1   // the answer is no: lint, verify, judge
	ExitUsage       = 2   // bad usage or input; answers that run out or do not fit
	ExitRefused     = 3   // the run ended at a refused gate
	ExitInterrupted = 130 // interrupted, session saved
)

// Sys is the outside world. Tests hand in another one.
type Sys struct {
	In       *os.File
	Out, Err *os.File
	Getenv   func(string) string
	Now      func() time.Time
	Random   io.Reader
	Version  string
}

// System is the real outside world.
func System() Sys {
	return Sys{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Getenv: os.Getenv, Now: time.Now, Random: cryptoRandom{}, Version: version()}
}

// exitError carries an exit code with an error. Silent ones have been told already.
type exitError struct {
	code  int
	err   error
	hints []string
}

func (e *exitError) Error() string {
	if e.err == nil {
		return ""
	}
	return e.err.Error()
}

func (e *exitError) Unwrap() error { return e.err }

func fail(code int, err error, hints ...string) error { return &exitError{code, err, hints} }

func usagef(hint, format string, args ...any) error {
	e := &exitError{code: ExitUsage, err: fmt.Errorf(format, args...)}
	if hint != "" {
		e.hints = []string{hint}
	}
	return e
}

// done ends a command with a code and nothing more to say.
func done(code int) error {
	if code == ExitDone {
		return nil
	}
	return &exitError{code: code}
}

// options are the flags that several commands share.
type options struct {
	rig, sequence, content, answers, journal, edition string
	coaching, incoming, learner, language             string
	seed                                              int64
	plain, noColor, json                              bool
	seedGiven                                         bool
}

// app is one run of the program.
type app struct {
	sys Sys
	opt options

	languageNoted bool       // what has to be known of the language was said
	ahead         chan *view // read beside what a session is made of
	draftIsShown  bool       // the session says itself that its language is a draft
}

// startGC lets the heap grow to five times what is live before it is collected, at
// most some tens of megabytes: while content loads, collecting takes half the time.
const startGC = 400

// Main runs the program and returns its exit code.
func Main(args []string, sys Sys) int {
	debug.SetGCPercent(startGC)
	a := &app{sys: sys}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(sys.Out)
	root.SetErr(sys.Err)
	err := root.Execute()
	if err == nil {
		return ExitDone
	}
	var e *exitError
	if !errors.As(err, &e) {
		e = &exitError{code: ExitUsage, err: err, hints: suggest(root, args, err)}
	}
	if e.err != nil {
		fmt.Fprintln(sys.Err, "wanderlead: "+plainText(e.err.Error()))
		for _, h := range e.hints {
			fmt.Fprintln(sys.Err, "hint: "+plainText(h))
		}
	}
	return e.code
}

// plainText keeps control characters of whatever was typed or read off the screen.
func plainText(s string) string { return plain.Text(s) }

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:           "wanderlead",
		Short:         "coach for dead and live tests of electrical installations, on a practice rig",
		Long:          longHelp,
		SilenceErrors: true,
		SilenceUsage:  true,
		Version:       a.sys.Version,
		Args:          cobra.NoArgs,
		RunE:          func(cmd *cobra.Command, _ []string) error { return a.menu(cmd) },
	}
	f := root.PersistentFlags()
	f.StringVar(&a.opt.rig, "rig", "", "rig to work on (list rigs)")
	f.StringVar(&a.opt.sequence, "sequence", "", "test sequence (list sequences)")
	f.StringVar(&a.opt.content, "content", "", "folder of your own sequences, rigs, editions and words")
	f.StringVar(&a.opt.answers, "answers", "", "answers file, or - for standard input")
	f.StringVar(&a.opt.journal, "journal", "", "file to keep the record in")
	f.StringVar(&a.opt.edition, "edition", "", "edition of the wiring rules (list editions)")
	f.Int64Var(&a.opt.seed, "seed", 0, "seed of whatever is drawn")
	f.StringVar(&a.opt.coaching, "coaching", "full", "full, hints or none")
	f.StringVar(&a.opt.incoming, "incoming", "", "the origin: measured or declared (default: measured where the rig allows it)")
	f.StringVar(&a.opt.learner, "learner", "", "whose memory of study sessions (default: learner)")
	f.StringVar(&a.opt.language, "language", "", "language of what is said (default: WANDERLEAD_LANGUAGE, else en)")
	f.BoolVar(&a.opt.plain, "plain", false, "plain lines: for screen readers, recordings and pipes")
	f.BoolVar(&a.opt.noColor, "no-color", false, "no colour")
	f.BoolVar(&a.opt.json, "json", false, "JSON on standard output and nothing else there")
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error {
		a.opt.seedGiven = cmd.Flags().Changed("seed")
		switch a.opt.coaching {
		case "full", "hints", "none":
		default:
			return usagef("one of: full, hints, none", "unknown value %q for --coaching", a.opt.coaching)
		}
		switch a.opt.incoming {
		case "", "measured", "declared":
		default:
			return usagef("one of: measured, declared", "unknown value %q for --incoming", a.opt.incoming)
		}
		return nil
	}
	root.AddCommand(a.practiseCmd(), a.resumeCmd(), a.reportCmd(), a.sheetCmd(), a.verifyCmd(), a.judgeCmd(), a.listCmd(), a.lintCmd(), a.describeCmd(), a.drawCmd(), a.measureCmd(), a.signatureCmd(), a.locateCmd(), a.explainCmd(), a.guideCmd(), a.progressCmd(), a.studyCmd(), a.assessCmd(), a.cohortCmd(), a.manCmd())
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		if c.Name() == "completion" {
			group(c)
		}
	}
	a.completions(root)
	exemplify(root)
	root.SetHelpCommand(&cobra.Command{Hidden: true})
	return root
}

const longHelp = `wanderlead leads you through the dead and live tests of an electrical
installation in the right order: what comes next, where the leads go, what the
reading should be, and why it passes or fails. It is for training on a practice
rig with a supervisor present. It authorises no work and certifies nothing;
local rules and licensed practice come first.`

// library opens the built-in content with the user's folder over it.
func (a *app) library() (*content.Library, error) {
	lib, err := content.NewLibrary(sequences.FS, a.opt.content)
	if err != nil {
		return nil, fail(ExitUsage, err, "--content names a folder laid out like the built-in one: *.yaml, rigs/, editions/, words/")
	}
	if err := a.speak(lib); err != nil {
		return nil, err
	}
	return lib, nil
}

func (a *app) catalogue(lib *content.Library) (*words.Catalogue, error) {
	cat, err := words.Open(lib, lib.Language())
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	a.noteLanguage(lib, cat)
	return cat, nil
}

// out, jsonOut, asked (either, as --json says) and errs are where commands write: what a file or a person put into a text acts on no terminal.
func (a *app) out() io.Writer     { return plain.Writer(a.sys.Out) }
func (a *app) jsonOut() io.Writer { return plain.JSONWriter(a.sys.Out) }
func (a *app) asked() io.Writer {
	if a.opt.json {
		return a.jsonOut()
	}
	return a.out()
}
func (a *app) errs() io.Writer { return plain.Writer(a.sys.Err) }

// terminal reports whether a person sits at both ends.
func (a *app) terminal() bool { return prompt.IsTerminal(a.sys.In) && prompt.IsTerminal(a.sys.Out) }
