package words

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/judge"
	"wanderlead/sequences"
)

func load(t *testing.T, files map[string]string) (*Catalogue, error) {
	t.Helper()
	dir := ""
	if files != nil {
		dir = t.TempDir()
		for name, text := range files {
			path := filepath.Join(dir, filepath.FromSlash(name))
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	lib, err := content.NewLibrary(sequences.FS, dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { lib.Close() })
	if files != nil {
		return Load(lib, "xx")
	}
	return Load(lib, "en")
}

func english(t *testing.T) *Catalogue {
	t.Helper()
	c, err := load(t, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Every id the judge can emit has a text, and no text asks for a value that the
// judge does not give.
func TestEveryReasonHasAText(t *testing.T) {
	c := english(t)
	for id, params := range judge.Reasons() {
		if !c.Has(id) {
			t.Errorf("reason %q has no text", id)
		}
		for _, name := range c.Placeholders(id) {
			if !slices.Contains(params, name) {
				t.Errorf("the text of %q asks for {%s}; it carries %v", id, name, params)
			}
		}
	}
	for _, id := range judge.Steps() {
		if !c.Has(id) {
			t.Errorf("step %q has no text", id)
		}
		if len(c.Placeholders(id)) > 0 {
			t.Errorf("step %q asks for %v; steps stand alone", id, c.Placeholders(id))
		}
	}
	for _, id := range judge.Labels() {
		if !c.Has(id) {
			t.Errorf("label %q has no text", id)
		}
	}
}

var (
	sentence = regexp.MustCompile(`[.?!](?:\s|$)`)
	verdicts = regexp.MustCompile(`(?i)\b(safe|safely|compliant|complies|comply|certified|certify|certificate|dangerous)\b`)
	// A remedy that swaps the device for one of another type or rating would
	// turn a failing reading into a passing one without mending anything.
	otherType = regexp.MustCompile(`(?i)\b(fit|change|swap|replace|use|install)\b[^.]*\b(type [A-F]\b|rating|breaker|rcd|device)`)
	tooMuch   = regexp.MustCompile(`(?i)nothing is loose|no fault|is sound|is healthy|all good|guarantee`)
)

func TestVoice(t *testing.T) {
	c := english(t)
	ids := append(judge.Steps(), judge.Labels()...)
	for id := range judge.Reasons() {
		ids = append(ids, id)
	}
	for _, id := range ids {
		text := c.texts[id].raw
		if n := len(sentence.FindAllString(text, -1)); n > 3 {
			t.Errorf("%s has %d sentences: %s", id, n, text)
		}
		for _, bad := range []*regexp.Regexp{verdicts, otherType, tooMuch} {
			if word := bad.FindString(text); word != "" {
				t.Errorf("%s says %q: %s", id, word, text)
			}
		}
	}
}

func TestFill(t *testing.T) {
	c, err := load(t, map[string]string{"words/xx/a.yaml": "words: xx\ntexts:\n  hello: \"{value}[ at {point}], {kind}.\"\n  k: \"a kind\"\n  plain: \"plain\"\n"})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		params map[string]string
		want   string
		bad    string
	}{
		{map[string]string{"value": "0.42 Ω", "point": "socket 3", "kind": "@k"}, "0.42 Ω at socket 3, a kind.", ""},
		{map[string]string{"value": "0.42 Ω", "kind": "x"}, "0.42 Ω, x.", ""},
		{map[string]string{"value": "0.42 Ω", "point": "", "kind": "x"}, "0.42 Ω, x.", ""},
		{map[string]string{"kind": "x"}, "{value}, x.", "value"},
		{map[string]string{"value": "{kind} [x]", "kind": "x"}, "{kind} [x], x.", ""}, // a value is never read as a text
	} {
		got, err := c.Fill("hello", x.params)
		if got != x.want || (err == nil) != (x.bad == "") || err != nil && !strings.Contains(err.Error(), x.bad) {
			t.Errorf("%v: %q, %v; want %q", x.params, got, err, x.want)
		}
	}
	if got := c.Text("nowhere", nil); got != "nowhere" {
		t.Errorf("an unknown id prints %q", got)
	}
	if _, err := c.Fill("nowhere", nil); err == nil {
		t.Error("an unknown id is no error")
	}
	if got := c.IDs(); !slices.Equal(got, []string{"hello", "k", "plain"}) {
		t.Errorf("ids %v", got)
	}
	if got := c.Placeholders("hello"); !slices.Equal(got, []string{"kind", "point", "value"}) {
		t.Errorf("placeholders %v", got)
	}
}

func TestLoadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"words: en\ntexts:\n  a: \"x\"\n":           `the words of "en" are in the folder of "xx"`,
		"words: xx\ntexts:\n  a: \"{x\"\n":          "starts no {name}",
		"words: xx\ntexts:\n  a: \"{}\"\n":          "starts no {name}",
		"words: xx\ntexts:\n  a: \"{X}\"\n":         "starts no {name}",
		"words: xx\ntexts:\n  a: \"x}\"\n":          "closes nothing",
		"words: xx\ntexts:\n  a: \"[x\"\n":          "without its ]",
		"words: xx\ntexts:\n  a: \"[x [y] z]\"\n":   "without its ]",
		"words: xx\ntexts:\n  a: \"x]\"\n":          "closes nothing",
		"words: xx\ntext:\n  a: \"x\"\n":            `no key "text"`,
		"words: xx\ntexts:\n  b: 3\n":               "expected text",
		"words: xx\ntexts:\n  a: \"x\"\n  a: \"y\"": "a",
	} {
		if _, err := load(t, map[string]string{"words/xx/a.yaml": text}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	two := map[string]string{"words/xx/a.yaml": "words: xx\ntexts:\n  a: \"x\"\n", "words/xx/b.yaml": "words: xx\ntexts:\n  a: \"y\"\n"}
	if _, err := load(t, two); err == nil || !strings.Contains(err.Error(), `"a" is already in words/xx/a.yaml`) {
		t.Errorf("one id in two files: %v", err)
	}
	if _, err := load(t, map[string]string{"rigs/x.yaml": "a: b\n"}); err == nil || !strings.Contains(err.Error(), `no words in "xx"`) {
		t.Errorf("no folder: %v", err)
	}
}
