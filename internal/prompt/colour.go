package prompt

import (
	"os"

	"github.com/AlecAivazis/survey/v2/core"
	"github.com/fatih/color"
	"golang.org/x/term"
)

// Policy is everything that decides whether colour is used. Left alone, the
// colour and the prompt library each decide for themselves and differ for
// CLICOLOR=0, CLICOLOR_FORCE, TERM=dumb and a piped output.
type Policy struct {
	Getenv  func(string) string // nil: the process environment
	Tty     bool                // standard output is a terminal
	NoColor bool                // --no-color
	Plain   bool                // --plain: no escape codes at all
}

// Colour decides, the strongest first: --no-color or --plain; NO_COLOR not
// empty (no-color.org); CLICOLOR_FORCE set and not 0; TERM=dumb; CLICOLOR=0
// (bixense.com/clicolors); else whether the output is a terminal.
func (p Policy) Colour() bool {
	env := p.Getenv
	if env == nil {
		env = os.Getenv
	}
	force := env("CLICOLOR_FORCE")
	switch {
	case p.NoColor || p.Plain || env("NO_COLOR") != "":
		return false
	case force != "" && force != "0":
		return true
	case env("TERM") == "dumb" || env("CLICOLOR") == "0":
		return false
	}
	return p.Tty
}

// Apply sets both libraries and returns the decision. It must run before the
// first question.
func (p Policy) Apply() bool {
	on := p.Colour()
	color.NoColor = !on
	core.DisableColor = !on
	return on
}

// IsTerminal reports whether f is a terminal.
func IsTerminal(f *os.File) bool {
	return f != nil && term.IsTerminal(int(f.Fd()))
}
