package prompt

import "os"

// Config says which front to build for a person.
type Config struct {
	In, Out *os.File
	Plain   bool // --plain
	Getenv  func(string) string
	Text    Text // nil: the embedded English
}

// New returns the front for a person: survey's prompts when input and output
// are both a terminal that can draw, else plain lines. (A pipe panics or hangs
// survey.) On Windows it is plain lines too: there survey reads the console
// itself, past the adapter that keeps Ctrl-D and typed-ahead keys out of a gate.
func New(c Config) Front {
	env := c.Getenv
	if env == nil {
		env = os.Getenv
	}
	if !c.Plain && env("TERM") != "dumb" {
		if f, err := newSurvey(c.In, c.Out, c.Text); err == nil {
			return f
		}
	}
	return NewPlain(c.In, c.Out, c.Text)
}
