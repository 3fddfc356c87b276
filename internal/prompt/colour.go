package prompt

import (
	"os"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

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

func (p Policy) env(name string) string {
	if p.Getenv == nil {
		return os.Getenv(name)
	}
	return p.Getenv(name)
}

// Colour decides, the strongest first: --no-color or --plain; NO_COLOR not
// empty (no-color.org); CLICOLOR_FORCE set and not 0; TERM=dumb; CLICOLOR=0
// (bixense.com/clicolors); else whether the output is a terminal.
func (p Policy) Colour() bool {
	force := p.env("CLICOLOR_FORCE")
	switch {
	case p.NoColor || p.Plain || p.env("NO_COLOR") != "":
		return false
	case force != "" && force != "0":
		return true
	case p.env("TERM") == "dumb" || p.env("CLICOLOR") == "0":
		return false
	}
	return p.Tty
}

// Many reports whether the terminal says that it has 256 colours.
func (p Policy) Many() bool {
	return strings.Contains(p.env("TERM"), "256color") || strings.Contains(p.env("TERM"), "direct") || p.env("COLORTERM") != ""
}

// Apply gives both libraries the decision and the same inks, and returns the decision. It
// must run before the first question.
func (p Policy) Apply() bool {
	on := p.Colour()
	color.NoColor = !on
	core.DisableColor = !on
	chosen := map[Ink][]color.Attribute{}
	for name, i := range inks {
		chosen[name] = i.codes(p.Many())
	}
	current.Store(&chosen)
	ownCodes.Do(func() { core.TemplateFuncsWithColor["color"] = inkCode })
	return on
}

// Ink is what a piece of text is coloured for.
type Ink string

// The inks. What each says can be told from a word or a mark as well.
const (
	Strong Ink = "strong" // where you are
	Accent Ink = "accent" // the question's mark, what was answered, what a drawing is about
	Care   Ink = "care"   // what can hurt, a doubt, a safety question
	Good   Ink = "good"   // a pass
	Bad    Ink = "bad"    // a fail, a refusal
)

// ink is the same in two palettes. Many is a colour of the usual 256: its contrast with
// black and with white is at least 4, and 4.58 is all there can be with both at once (by
// the formula of WCAG 2.2, contrast with white times contrast with black is 21). Of the
// eight colours of old, whose values every terminal chooses for itself, only red and
// magenta are dark enough for white and light enough for black; yellow, green and cyan
// disappear on white, blue on black. What would need those is only bold.
type ink struct {
	many int
	old  []color.Attribute
	bold bool
}

var inks = map[Ink]ink{
	Strong: {bold: true},
	Accent: {many: 30, bold: true},                                           // #008787
	Care:   {many: 130, old: []color.Attribute{color.FgMagenta}, bold: true}, // #af5f00
	Good:   {many: 29, bold: true},                                           // #00875f
	Bad:    {many: 161, old: []color.Attribute{color.FgRed}, bold: true},     // #d7005f
}

// current is what the last Apply chose.
var current atomic.Pointer[map[Ink][]color.Attribute]

func codesOf(i Ink) []color.Attribute {
	if m := current.Load(); m != nil {
		return (*m)[i]
	}
	return nil
}

var ownCodes sync.Once

// inkCode is what survey's templates write for the name of an ink, and for "reset".
func inkCode(name string) string {
	switch {
	case color.NoColor:
		return ""
	case name == "reset":
		return "\x1b[0m"
	}
	return "\x1b[" + joined(codesOf(Ink(name))) + "m"
}

func (i ink) codes(many bool) []color.Attribute {
	var out []color.Attribute
	if i.bold {
		out = append(out, color.Bold)
	}
	if !many {
		return append(out, i.old...)
	}
	if i.many > 0 {
		out = append(out, 38, 5, color.Attribute(i.many)) // ISO/IEC 8613-6: a colour by its index
	}
	return out
}

func joined(codes []color.Attribute) string {
	var out []string
	for _, c := range codes {
		out = append(out, strconv.Itoa(int(c)))
	}
	return strings.Join(out, ";")
}

// Paint colours a text, if the policy in force has colour.
func Paint(i Ink, text string) string {
	codes := codesOf(i)
	if text == "" || len(codes) == 0 || color.NoColor {
		return text
	}
	// Not through color.New: it takes the 5 of an index for blinking, and ends that.
	return "\x1b[" + joined(codes) + "m" + text + "\x1b[0m"
}

// Unicode reports whether the terminal can be sent more than ASCII: whether the locale's
// character set is UTF-8, by the first of LC_ALL, LC_CTYPE and LANG that is set (POSIX). Where
// none is, the locale is the POSIX one and has ASCII alone. Windows and macOS name no
// character set there and have UTF-8. What is not a terminal is a file or a pipe, and
// those always get UTF-8.
func (p Policy) Unicode(goos string) bool {
	if !p.Tty {
		return true
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := p.env(name); v != "" {
			v = strings.ToLower(v)
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8") || goos == "windows"
		}
	}
	return goos == "windows" || goos == "darwin"
}

// IsTerminal reports whether f is a terminal.
func IsTerminal(f *os.File) bool {
	return f != nil && term.IsTerminal(int(f.Fd()))
}
