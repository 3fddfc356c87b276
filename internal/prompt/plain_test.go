package prompt

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

//lint:ignore ST1008 the reply and its error are read together, the output beside them
func askPlain(t *testing.T, input string, q Question) (Reply, error, string) {
	t.Helper()
	var out strings.Builder
	r, err := NewPlain(strings.NewReader(input), &out, nil).Ask(q)
	return r, err, out.String()
}

// TestPlainPipe: lines from a pipe.
func TestPlainPipe(t *testing.T) {
	for _, c := range []struct {
		q     Question
		input string
		want  Reply
		err   error
	}{
		{reading, "0.35\n", Reply{Raw: "0.35", At: reading.ID}, nil},
		{reading, "0.35\r\n", Reply{Raw: "0.35", At: reading.ID}, nil},
		{reading, "0.35", Reply{Raw: "0.35", At: reading.ID}, nil},
		{reading, "?\n0.35\n", Reply{Raw: "0.35", At: reading.ID}, nil},
		{reading, "\n", Reply{At: reading.ID}, nil},
		{reading, "", Reply{}, ErrEnd},
		{reading, "stop\n", Reply{Raw: "stop", Command: CommandStop, At: reading.ID}, nil},
		{reading, "Pause.\n", Reply{Raw: "Pause.", Command: CommandPause, At: reading.ID}, nil},
		{reading, "not yet\n", Reply{Raw: "not yet", At: reading.ID}, nil}, // no gate: a remark
		{reading, strings.Repeat("9", 5000) + "\n0.35\n", Reply{Raw: "0.35", At: reading.ID}, nil},
		{lead, "2\n", Reply{Raw: "N2", At: lead.ID}, nil},
		{lead, " n2 \n", Reply{Raw: "N2", At: lead.ID}, nil},
		{lead, "Earth bar\n", Reply{Raw: "earth", At: lead.ID}, nil},
		{lead, "4\n0\n-1\ny\n\n3\n", Reply{Raw: "earth", At: lead.ID}, nil},
		{lead, "correct\n", Reply{Raw: "correct", Command: CommandCorrect, At: lead.ID}, nil},
		{lead, "", Reply{}, ErrEnd},
		{lead, strings.Repeat("y\n", 10000), Reply{}, ErrEnd},
		{code, "7782\n", Reply{}, ErrGateNeedsTerminal},
		{gate, "2\n", Reply{}, ErrGateNeedsTerminal},
		{gate, strings.Repeat("y\n\n", 10000), Reply{}, ErrGateNeedsTerminal},
		{padlock, "4417\n", Reply{}, ErrGateNeedsTerminal},
	} {
		got, err, out := askPlain(t, c.input, c.q)
		if got != c.want || !errors.Is(err, c.err) {
			t.Errorf("%s, %.40q: got %+v, %v; want %+v, %v\n%s", c.q.ID, c.input, got, err, c.want, c.err, out)
		}
		if c.q.Gate && out != "" {
			t.Errorf("a refused gate printed %q", out)
		}
	}
}

// TestGateRefusedFromFile: a file as standard input is no person either, and the
// message names the way out.
func TestGateRefusedFromFile(t *testing.T) {
	null, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	_, err = New(Config{In: null, Out: null}).Ask(gate)
	if !errors.Is(err, ErrGateNeedsTerminal) || !errors.Is(err, ErrNoTerminal) || !strings.Contains(err.Error(), "--answers") {
		t.Errorf("got %v", err)
	}
}

// TestPlainLook: numbered list, no escape codes, nothing drawn twice.
func TestPlainLook(t *testing.T) {
	q := lead
	q.Lines = []string{"\x1b[1mring 1\x1b[0m, dead 3 of 7"}
	_, _, out := askPlain(t, "8\n?\n2\n", q)
	const want = `ring 1, dead 3 of 7
Where is the lead?
1. neutral bar 1
2. neutral bar 2
3. earth bar
type a number from 1 to 3, or the answer itself: 
not one of the answers here, nothing taken: "8"
Where is the lead?
1. neutral bar 1
2. neutral bar 2
3. earth bar
type a number from 1 to 3, or the answer itself: 
help:
the long one
Where is the lead?
1. neutral bar 1
2. neutral bar 2
3. earth bar
type a number from 1 to 3, or the answer itself: `
	if out != want {
		t.Errorf("got\n%s\nwant\n%s", out, want)
	}
}

// TestCase: two terminals that differ in case only are never mixed up.
func TestCase(t *testing.T) {
	q := Question{ID: "x", Ask: "Which?", Kind: Choice, Options: []Option{{Value: "L1"}, {Value: "l1"}, {Value: "N"}}}
	for in, want := range map[string]string{"L1": "L1", "l1": "l1", "n": "N"} {
		if r, err, _ := askPlain(t, in+"\n", q); r.Raw != want || err != nil {
			t.Errorf("%s: got %q, %v", in, r.Raw, err)
		}
	}
	q.Options[1].Value = "lI"
	q.Options[0].Value = "LI"
	if r, _, _ := askPlain(t, "li\nN\n", q); r.Raw != "N" {
		t.Errorf("li was taken for %q", r.Raw)
	}
}

// TestUnaskable: questions that could open a gate by default are refused by
// every front.
func TestUnaskable(t *testing.T) {
	for _, q := range []Question{
		{ID: "a", Kind: Choice},
		{ID: "b", Kind: Choice, Gate: true, Options: []Option{{Value: "done"}}},
		{ID: "c", Kind: Line, Options: []Option{{Value: "done"}}},
	} {
		for _, f := range []Front{NewPlain(strings.NewReader("1\n"), io.Discard, nil), NewScripted(script(t, "answers: [{at: b, say: done}]"), io.Discard, nil)} {
			if _, err := f.Ask(q); err == nil || !strings.Contains(err.Error(), "question "+q.ID) {
				t.Errorf("%s: %v", q.ID, err)
			}
		}
	}
}

// TestTexts: every id that the fronts look up has a text, none is left over, and
// all have values for what stands in them.
func TestTexts(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	c, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	var looked []string
	files, _ := filepath.Glob("*.go")
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		looked = append(looked, regexp.MustCompile(`prompt\.[a-z]+(-[a-z]+)*"`).FindAllString(string(data), -1)...)
	}
	known := map[string]bool{}
	for _, id := range looked {
		id = strings.TrimSuffix(id, `"`)
		known[id] = true
		if !c.Has(id) {
			t.Errorf("%s has no text", id)
		}
	}
	for _, id := range c.IDs() {
		if strings.HasPrefix(id, "prompt.") && !known[id] {
			t.Errorf("%s is never looked up", id)
		}
		if strings.HasPrefix(id, "prompt.hint") && len(c.Text(id, nil)) > 57 {
			t.Errorf("%s is longer than one line at 60 columns", id)
		}
	}
	if got := embedded()("prompt.choose", map[string]string{"count": "3"}); !strings.Contains(got, "1 to 3") {
		t.Errorf("got %q", got)
	}
}
