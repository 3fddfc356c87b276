package prompt

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/AlecAivazis/survey/v2/core"
	"github.com/fatih/color"
)

// TestColour: the situations in which the colour and the prompt library decide
// differently, by no-color.org and bixense.com/clicolors.
func TestColour(t *testing.T) {
	defer func(a, b bool) { color.NoColor, core.DisableColor = a, b }(color.NoColor, core.DisableColor)
	for _, c := range []struct {
		name   string
		env    string
		policy Policy
		want   bool
	}{
		{"nothing", "", Policy{Tty: true}, true},
		{"NO_COLOR=1", "NO_COLOR=1", Policy{Tty: true}, false},
		{"NO_COLOR empty", "NO_COLOR=", Policy{Tty: true}, true},
		{"CLICOLOR=0", "CLICOLOR=0", Policy{Tty: true}, false},
		{"CLICOLOR=1, piped", "CLICOLOR=1", Policy{}, false},
		{"CLICOLOR_FORCE=1, piped", "CLICOLOR_FORCE=1", Policy{}, true},
		{"CLICOLOR_FORCE=0, piped", "CLICOLOR_FORCE=0", Policy{}, false},
		{"CLICOLOR_FORCE=1 and CLICOLOR=0", "CLICOLOR_FORCE=1 CLICOLOR=0", Policy{}, true},
		{"NO_COLOR and CLICOLOR_FORCE", "NO_COLOR=1 CLICOLOR_FORCE=1", Policy{Tty: true}, false},
		{"TERM=dumb", "TERM=dumb", Policy{Tty: true}, false},
		{"piped", "", Policy{}, false},
		{"--no-color", "CLICOLOR_FORCE=1", Policy{Tty: true, NoColor: true}, false},
		{"--plain", "CLICOLOR_FORCE=1", Policy{Tty: true, Plain: true}, false},
	} {
		env := map[string]string{"TERM": "xterm"}
		for _, f := range strings.Fields(c.env) {
			k, v, _ := strings.Cut(f, "=")
			env[k] = v
		}
		c.policy.Getenv = func(k string) string { return env[k] }
		if got := c.policy.Apply(); got != c.want {
			t.Errorf("%s: colour %v, want %v", c.name, got, c.want)
		}
		if color.NoColor == c.want || core.DisableColor == c.want {
			t.Errorf("%s: the libraries disagree: %v, %v", c.name, color.NoColor, core.DisableColor)
		}
	}
}

// TestOnlyImporter: survey is imported here and nowhere else, so that it can be
// left by changing this package.
func TestOnlyImporter(t *testing.T) {
	const survey = "github.com/AlecAivazis/survey/v2"
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}{{range .TestImports}} {{.}}{{end}}{{range .XTestImports}} {{.}}{{end}}`, "wanderlead/...").Output()
	if err != nil {
		t.Skipf("go list: %v", err)
	}
	seen := false
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		fields := strings.Fields(line)
		uses := slices.ContainsFunc(fields[1:], func(p string) bool { return strings.HasPrefix(p, survey) })
		if fields[0] == "wanderlead/internal/prompt" {
			seen = uses
		} else if uses {
			t.Errorf("%s imports survey", fields[0])
		}
	}
	if !seen {
		t.Error("this package does not import survey, so this test shows nothing")
	}
}
