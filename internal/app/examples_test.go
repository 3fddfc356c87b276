package app

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"wanderlead/internal/pages"
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
			if cmd := taken(t, c.CommandPath(), line); cmd != nil {
				own = own || strings.HasPrefix(cmd.CommandPath(), c.CommandPath())
			}
		}
		if !own && c.Example != "" {
			t.Errorf("%s: no example is of the command itself", c.CommandPath())
		}
	}
}

// taken finds the command of a line that is shown somewhere; a line that the program would
// not take is an error.
func taken(t *testing.T, where, line string) *cobra.Command {
	t.Helper()
	words := shellWords(line)
	if len(words) == 0 {
		return nil
	}
	if words[0] != "wanderlead" {
		t.Errorf("%s: the example %q runs something else", where, line)
		return nil
	}
	root, _ := commands(t)
	cmd, rest, err := root.Find(words[1:])
	if err == nil {
		err = cmd.ParseFlags(rest)
	}
	if err == nil {
		err = cmd.ValidateArgs(cmd.Flags().Args())
	}
	if err != nil {
		t.Errorf("%s: %q: %v", where, line, err)
		return nil
	}
	return cmd
}

// Every command that a page for people shows is one that the command line takes, and the
// README leads to every page.
func TestPagesShowCommandsThatThereAre(t *testing.T) {
	files := []string{"README.md", "DEVELOPERS.md"}
	for _, name := range pages.Names() {
		files = append(files, "sequences/pages/en/"+name+".md")
	}
	inline := regexp.MustCompile("`(wanderlead [^`]+)`")
	shown := 0
	for _, f := range files {
		data, err := os.ReadFile("../../" + f)
		if err != nil {
			t.Fatal(err)
		}
		if f == "README.md" {
			for _, name := range files[2:] {
				if !strings.Contains(string(data), "("+name+")") {
					t.Errorf("README.md has no link to %s", name)
				}
			}
		}
		var lines []string
		for line := range strings.Lines(string(data)) {
			line = strings.TrimRight(line, "\n")
			if code, ok := strings.CutPrefix(line, "    "); ok {
				code = strings.TrimPrefix(strings.ReplaceAll(code, "go run ./cmd/wanderlead", "wanderlead"), "$ ")
				if strings.HasPrefix(code, "wanderlead ") {
					lines = append(lines, code)
				}
				continue
			}
			for _, m := range inline.FindAllStringSubmatch(line, -1) {
				lines = append(lines, m[1])
			}
		}
		for _, line := range lines {
			if !strings.Contains(line, "…") && !strings.Contains(line, "--help") {
				taken(t, f, line)
				shown++
			}
		}
	}
	if shown < 60 {
		t.Errorf("%d commands are shown", shown)
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
}
