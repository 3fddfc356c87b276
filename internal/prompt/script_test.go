package prompt

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

func script(t *testing.T, text string) *Script {
	t.Helper()
	s, err := ParseScript("answers.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestRawText: say is what stands in the file, never a decoded number.
func TestRawText(t *testing.T) {
	s := script(t, `
answers:
  - {at: a, say: 0.40}
  - {at: a, say: 010}
  - {at: a, say: 1_000}
  - {at: a, say: 0x1F}
  - {at: a, say: yes}
  - {at: a, say: 12:30}
  - {at: a, say: .inf}
  - {at: a, say: "0.40"}
  - {at: a, say: '>299'}
  - {at: a, say: 0.40 0.41 0.42}
  - {at: a, say: 0.30 Ω}
`)
	for _, want := range []string{"0.40", "010", "1_000", "0x1F", "yes", "12:30", ".inf", "0.40", ">299", "0.40 0.41 0.42", "0.30 Ω"} {
		r, err := s.Next("a")
		if err != nil {
			t.Fatal(err)
		}
		if r.Raw != want {
			t.Errorf("say %s came out as %q", want, r.Raw)
		}
	}
}

// TestBlockStyles: an unquoted >299 is a block in YAML; the error says so, where,
// and what to write.
func TestBlockStyles(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"answers:\n  - at: a\n    say: >299\n", "answers.yaml:3:10: "},
		{"answers:\n  - {at: a, say: >299}\n", "answers.yaml:2:18: "},
		{"answers:\n  - at: a\n    say: >\n      299\n", "folded block"},
		{"answers:\n  - at: a\n    say: |\n      299\n", "literal block"},
		{"answers:\n  - at: a\n    correct: >\n      299\n", "folded block"},
	} {
		_, err := ParseScript("answers.yaml", []byte(c.text))
		if err == nil {
			t.Errorf("%q was read", c.text)
			continue
		}
		if !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "quote") {
			t.Errorf("%q: want %q and what to quote in\n%v", c.text, c.want, err)
		}
	}
}

// TestSchemaAgrees: the schema for editors and the parser give the same answer
// on every fixture.
func TestSchemaAgrees(t *testing.T) {
	data, err := sequences.FS.ReadFile("schema/answers.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("answers.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("answers.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"good", "bad"} {
		files, err := filepath.Glob(filepath.Join("testdata", "answers", want, "*.yaml"))
		if err != nil || len(files) == 0 {
			t.Fatalf("no %s fixtures (%v)", want, err)
		}
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			_, parseErr := ParseScript(name, data)
			schemaErr := schema.Validate(content.NewReader(name, data).Root().Plain())
			if (parseErr == nil) != (want == "good") {
				t.Errorf("%s: the parser says %v", name, parseErr)
			}
			if (schemaErr == nil) != (want == "good") {
				t.Errorf("%s: the schema says %v", name, schemaErr)
			}
		}
	}
}

// TestNext: which answer is taken, and what is said when it does not fit.
func TestNext(t *testing.T) {
	s := script(t, `answers:
  - {at: safety/lock/number, say: "4417"}
  - {at: ring-1/ends/r1, correct: "0.42"}
  - {do: pause}
  - {at: ring-1/crossed/s2, say: "0.31"}
  - {at: ring-1/crossed, say: "0.30 0.31"}
  - {at: ring-1/insulation/L-E, do: stop}
  - {at: ring-1/insulation/L-E, say: ">299"}
`)
	for _, want := range []struct {
		due   string
		parts []string
		reply Reply
	}{
		{"safety/lock/number", nil, Reply{Raw: "4417", At: "safety/lock/number"}},
		{"ring-1/ends/rn", nil, Reply{Raw: "0.42", Command: CommandCorrect, At: "ring-1/ends/r1"}},
		{"ring-1/ends/rn", nil, Reply{Command: CommandPause, At: "ring-1/ends/rn"}},
		{"ring-1/crossed", []string{"ring-1/crossed/s1", "ring-1/crossed/s2"}, Reply{Raw: "0.31", At: "ring-1/crossed/s2"}},
		{"ring-1/crossed", []string{"ring-1/crossed/s1"}, Reply{Raw: "0.30 0.31", At: "ring-1/crossed"}},
		{"ring-1/insulation/L-E", nil, Reply{Command: CommandStop, At: "ring-1/insulation/L-E"}},
	} {
		got, err := s.Next(want.due, want.parts...)
		if err != nil || got != want.reply {
			t.Errorf("%s: got %+v, %v", want.due, got, err)
		}
	}
	_, err := s.Next("ring-1/insulation/N-E", "part")
	const text = `answers.yaml:8:5: this answer is for ring-1/insulation/L-E, but ring-1/insulation/N-E is asked
hint: put {at: ring-1/insulation/N-E, say: "..."} before it
hint: one of its parts may be answered instead: part`
	if err == nil || err.Error() != text {
		t.Errorf("got\n%v\nwant\n%s", err, text)
	}
	if errors.Is(err, ErrEnd) || errors.Is(err, ErrRefused) {
		t.Error("a wrong at is neither the end nor a refusal")
	}
	if n, line := s.Left(); n != 1 || line != 8 {
		t.Errorf("left %d from line %d", n, line)
	}
	if _, err := s.Next("ring-1/insulation/L-E"); err != nil {
		t.Fatal(err)
	}
	_, err = s.Next("ring-1/polarity/s1")
	if !errors.Is(err, ErrEnd) || errors.Is(err, ErrRefused) {
		t.Errorf("the end: got %v", err)
	}
	if !strings.Contains(err.Error(), "ring-1/polarity/s1") {
		t.Errorf("the id that was due is missing in %v", err)
	}
	var se *ScriptError
	if !errors.As(err, &se) || se.Due != "ring-1/polarity/s1" || !se.Ended {
		t.Errorf("got %#v", err)
	}
}

// TestMisplacedFoundLater: the hint shows the line of the answer that was due.
func TestMisplacedFoundLater(t *testing.T) {
	s := script(t, "answers:\n- {at: b, say: x}\n- {at: a, correct: x}\n- {at: a, say: x}\n")
	_, err := s.Next("a")
	if err == nil || !strings.Contains(err.Error(), "an answer for a stands on line 4") {
		t.Errorf("got %v", err)
	}
}

// TestRefusal: after a refused answer the next is read; ending there is
// ErrRefused, ending further on is not.
func TestRefusal(t *testing.T) {
	s := script(t, "answers:\n- {at: a, say: y}\n- {at: a, say: y}\n- {at: b, say: x}\n")
	if _, err := s.Next("a"); err != nil {
		t.Fatal(err)
	}
	s.Refuse()
	if _, err := s.Next("a"); err != nil {
		t.Fatal(err)
	}
	s.Refuse()
	_, err := s.Next("a")
	if !errors.Is(err, ErrRefused) || errors.Is(err, ErrEnd) {
		t.Errorf("another question's answer after a refusal: %v", err)
	}
	if got := s.Refusals(); len(got) != 2 || got[1] != (Refusal{ID: "a", Line: 3}) {
		t.Errorf("refusals %+v", got)
	}
	if _, err := s.Next("b"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Next("c"); !errors.Is(err, ErrEnd) || errors.Is(err, ErrRefused) {
		t.Errorf("got %v", err)
	}
	s = script(t, "answers: [{at: a, say: y}]")
	s.Next("a")
	s.Refuse()
	if _, err := s.Next("a"); !errors.Is(err, ErrEnd) || !errors.Is(err, ErrRefused) {
		t.Errorf("the end after a refusal: %v", err)
	}
}

// TestScriptedFront: how answers meet questions, and what is printed.
func TestScriptedFront(t *testing.T) {
	s := script(t, `answers:
  - {at: safety/lock/on, say: done}
  - {at: safety/lock/on, say: ""}
  - {at: safety/lock/on, say: "2"}
  - {at: ring-1/lead, say: Neutral bar 2}
  - {at: ring-1/ends/r1, say: "?"}
  - {at: ring-1/ends/r1, say: " 0.40 "}
  - {at: ring-1/ends/r1, say: Stop!}
  - {at: safety/code, say: "7782"}
  - {at: ring-1/lead, say: y}
`)
	var out strings.Builder
	f := NewScripted(s, &out, nil)
	for i, want := range []struct {
		q Question
		r Reply
	}{
		{gate, Reply{Raw: "done", At: gate.ID}},
		{gate, Reply{Raw: "not-yet", Command: CommandNotYet, At: gate.ID}},
		{gate, Reply{Raw: "done", At: gate.ID}},
		{lead, Reply{Raw: "N2", At: lead.ID}},
		{reading, Reply{Raw: " 0.40 ", At: reading.ID}},
		{reading, Reply{Raw: "Stop!", Command: CommandStop, At: reading.ID}},
		{code, Reply{Raw: "7782", At: code.ID}},
	} {
		got, err := f.Ask(want.q)
		if err != nil || got != want.r {
			t.Errorf("answer %d: got %+v, %v; want %+v", i+1, got, err, want.r)
		}
	}
	_, err := f.Ask(lead)
	const text = "answers.yaml:10:5: \"y\" is no answer to ring-1/lead\nhint: the answers are N1, N2, earth"
	if err == nil || err.Error() != text {
		t.Errorf("got %v, want %s", err, text)
	}
	if n, _ := s.Left(); n != 1 {
		t.Errorf("an answer that does not fit was used up")
	}
	if strings.Contains(out.String(), "7782") {
		t.Error("the code was printed")
	}
	for _, want := range []string{"Is the lock on? done\n", "line to line\n", "r1 in Ω:  0.40\n", "Supervisor's code: (hidden)\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing in\n%s", want, out.String())
		}
	}
}

// TestScriptedYes: 10,000 scripted yeses pass no gate.
func TestScriptedYes(t *testing.T) {
	text := "answers:\n" + strings.Repeat("- {at: safety/lock/on, say: y}\n- {at: safety/lock/on, say: ''}\n", 10000)
	s := script(t, text)
	f := NewScripted(s, io.Discard, nil)
	for range 20000 {
		r, err := f.Ask(gate)
		if err != nil {
			s.next++ // as if the file went on behind the answer that does not fit
			continue
		}
		if r.Command != CommandNotYet {
			t.Fatalf("got %+v", r)
		}
	}
	if n, _ := s.Left(); n != 0 {
		t.Errorf("%d answers were not reached", n)
	}
}

func FuzzScript(f *testing.F) {
	files, _ := filepath.Glob(filepath.Join("testdata", "answers", "*", "*.yaml"))
	for _, name := range files {
		if data, err := os.ReadFile(name); err == nil {
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := ParseScript("answers.yaml", data)
		if err != nil {
			return
		}
		front := NewScripted(s, io.Discard, nil)
		for range len(s.answers) {
			r, err := front.Ask(gate)
			if err == nil && r.Raw == "done" {
				a := s.answers[s.next-1]
				if a.at != gate.ID || !strings.EqualFold(strings.TrimSpace(a.text), "done") &&
					strings.TrimSpace(a.text) != "2" && !strings.EqualFold(strings.TrimSpace(a.text), gate.Options[1].Label) {
					t.Fatalf("%+v opened the gate", a)
				}
			}
			if err != nil && s.next < len(s.answers) {
				s.next++
			}
		}
	})
}
