package prompt

import (
	"math"
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

// TestInks: both libraries write the same codes, and none on a terminal without colour.
func TestInks(t *testing.T) {
	defer func(a, b bool) { color.NoColor, core.DisableColor = a, b }(color.NoColor, core.DisableColor)
	for _, c := range []struct {
		env  map[string]string
		want map[Ink]string
	}{
		{map[string]string{"TERM": "xterm-256color"}, map[Ink]string{Strong: "1", Accent: "1;38;5;30", Care: "1;38;5;130", Good: "1;38;5;29", Bad: "1;38;5;161"}},
		{map[string]string{"TERM": "xterm"}, map[Ink]string{Strong: "1", Accent: "1", Care: "1;35", Good: "1", Bad: "1;31"}},
		{map[string]string{"TERM": "xterm-256color", "NO_COLOR": "1"}, map[Ink]string{Strong: "", Accent: "", Care: "", Good: "", Bad: ""}},
	} {
		Policy{Tty: true, Getenv: func(k string) string { return c.env[k] }}.Apply()
		for i, want := range c.want {
			painted, template := "", ""
			if want != "" {
				painted, template = "\x1b["+want+"m", "\x1b["+want+"m"
			}
			if got, _, _ := strings.Cut(Paint(i, "x"), "x"); got != painted {
				t.Errorf("%v: %s is painted with %q, want %q", c.env, i, got, painted)
			}
			if got := core.TemplateFuncsWithColor["color"].(func(string) string)(string(i)); got != template {
				t.Errorf("%v: %s in a template is %q, want %q", c.env, i, got, template)
			}
		}
	}
}

// TestContrast computes the contrast of every ink with black and with white by the formula
// of WCAG 2.2 (W3C recommendation: relative luminance, contrast ratio). The colours of the
// 256 are those of the cube that terminals have in common: 0, 95, 135, 175, 215, 255.
func TestContrast(t *testing.T) {
	steps := []float64{0, 95, 135, 175, 215, 255}
	linear := func(v float64) float64 {
		if v /= 255; v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	contrast := func(i int) (white, black float64) {
		n := i - 16
		l := 0.2126*linear(steps[n/36]) + 0.7152*linear(steps[n/6%6]) + 0.0722*linear(steps[n%6])
		return 1.05 / (l + 0.05), (l + 0.05) / 0.05
	}
	if w, b := contrast(21); w < 8 || b > 3 { // pure blue: 8.6 on white, 2.4 on black by the same formula
		t.Fatalf("blue has %.2f on white and %.2f on black: the formula is not that of the recommendation", w, b)
	}
	for name, i := range inks {
		if i.many == 0 {
			continue
		}
		if w, b := contrast(i.many); w < 4 || b < 4 {
			t.Errorf("%s: contrast %.2f with white, %.2f with black", name, w, b)
		}
		for _, a := range i.old {
			if a != color.FgRed && a != color.FgMagenta {
				t.Errorf("%s: colour %d of the old eight is lost on white or on black", name, a)
			}
		}
	}
}

// TestUnicode: which character set a terminal has, by POSIX (Base Definitions, 8.2).
func TestUnicode(t *testing.T) {
	for _, c := range []struct {
		env, goos string
		want      bool
	}{
		{"LANG=en_GB.UTF-8", "linux", true}, {"LANG=cy_GB.utf8", "linux", true}, {"LANG=C.UTF-8", "linux", true},
		{"LANG=C", "linux", false}, {"LANG=POSIX", "linux", false}, {"", "linux", false}, {"LANG=en_GB.ISO-8859-1", "linux", false},
		{"LANG=en_GB.UTF-8 LC_ALL=C", "linux", false}, {"LANG=C LC_CTYPE=C.UTF-8", "linux", true}, {"LANG=C LC_CTYPE=UTF-8", "darwin", true},
		{"LC_ALL= LANG=C.UTF-8", "linux", true}, {"", "darwin", true}, {"", "windows", true}, {"LANG=C", "windows", true},
	} {
		env := map[string]string{}
		for _, f := range strings.Fields(c.env) {
			k, v, _ := strings.Cut(f, "=")
			env[k] = v
		}
		p := Policy{Tty: true, Getenv: func(k string) string { return env[k] }}
		if got := p.Unicode(c.goos); got != c.want {
			t.Errorf("%q on %s: %v, want %v", c.env, c.goos, got, c.want)
		}
		if p.Tty = false; !p.Unicode(c.goos) {
			t.Errorf("%q on %s: a file does not get UTF-8", c.env, c.goos)
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
