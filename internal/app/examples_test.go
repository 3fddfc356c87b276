package app

import (
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

func commands(t testing.TB) (*cobra.Command, []*cobra.Command) {
	t.Helper()
	root := (&app{sys: System()}).root()
	root.InitDefaultCompletionCmd()
	var out []*cobra.Command
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Hidden || c.Name() == "completion" || c.Name() == "help" {
			return
		}
		out = append(out, c)
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(root)
	return root, out
}

// Every command has an example, and every example is one that the command line takes:
// its commands and flags exist and its arguments are as many as they have to be.
func TestExamples(t *testing.T) {
	_, all := commands(t)
	if len(all) < 20 {
		t.Fatalf("%d commands", len(all))
	}
	for _, c := range all {
		if c.Example == "" {
			t.Errorf("%s has no example", c.CommandPath())
		}
		if c.Short == "" {
			t.Errorf("%s does not say what it is", c.CommandPath())
		}
		own := false
		for _, line := range strings.Split(c.Example, "\n") {
			words := shellWords(line)
			if len(words) == 0 {
				continue
			}
			if words[0] != "wanderlead" {
				t.Errorf("%s: the example %q runs something else", c.CommandPath(), line)
				continue
			}
			root, _ := commands(t)
			cmd, rest, err := root.Find(words[1:])
			if err != nil {
				t.Errorf("%s: %q: %v", c.CommandPath(), line, err)
				continue
			}
			own = own || strings.HasPrefix(cmd.CommandPath(), c.CommandPath())
			if err := cmd.ParseFlags(rest); err != nil {
				t.Errorf("%s: %q: %v", c.CommandPath(), line, err)
				continue
			}
			if err := cmd.ValidateArgs(cmd.Flags().Args()); err != nil {
				t.Errorf("%s: %q: %v", c.CommandPath(), line, err)
			}
		}
		if !own && c.Example != "" {
			t.Errorf("%s: no example is of the command itself", c.CommandPath())
		}
	}
}

// shellWords splits a line as a shell would; what is redirected or a comment is left out.
func shellWords(line string) []string {
	var out []string
	word, open, quote := "", false, rune(0)
	end := func() {
		if open {
			out = append(out, word)
		}
		word, open = "", false
	}
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word += string(r)
		case r == '\'' || r == '"':
			quote, open = r, true
		case r == ' ' || r == '\t':
			end()
		case r == '>' || r == '#' || r == '|':
			end()
			return out
		default:
			word, open = word+string(r), true
		}
	}
	end()
	return out
}

func TestNearestOf(t *testing.T) {
	names := []string{"practise", "resume", "report", "verify", "judge", "list", "lint", "study", "assess"}
	for typed, want := range map[string]string{"practice": "practise", "reprot": "report", "lits": "list", "jugde": "judge", "ver": "verify", "zzz": "", "x": "", "studdy": "study"} {
		if got := nearestOf(typed, append([]string(nil), names...)); got != want {
			t.Errorf("%q: %q, want %q", typed, got, want)
		}
	}
	for _, c := range []struct {
		a, b string
		n    int
	}{{"", "", 0}, {"kitten", "sitting", 3}, {"flaw", "lawn", 2}, {"abc", "", 3}, {"list", "lits", 1}} { // the usual textbook pairs
		if got := changes(c.a, c.b); got != c.n {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.n)
		}
	}
}
