package e2e

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/lint"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// A session in another language: the same schedule, no English sentence, begun in one language and reported in the other.
func TestSecondLanguage(t *testing.T) {
	dir := t.TempDir()
	answers, err := filepath.Abs(filepath.Join(root, "answers", "whole-board.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	run := func(args ...string) string {
		cmd := exec.Command("wanderlead", args...)
		cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_STATE_HOME="+dir, clockAt+"=2026-03-10T09:00:00Z", "WANDERLEAD_LANGUAGE=", "LANG=pl_PL.UTF-8")
		cmd.Dir = dir
		var errs bytes.Buffer
		cmd.Stderr = &errs
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("%v: %v\n%s", args, err, errs.String())
		}
		return string(out)
	}
	english := run("practise", "--plain", "--answers", answers, "--journal", "en.jsonl")
	polish := run("practise", "--plain", "--answers", answers, "--journal", "pl.jsonl", "--language", "pl")
	if !strings.HasPrefix(polish, "SZKIC") || strings.Contains(english, "SZKIC") {
		t.Error("the draft is to be named first, and only where it was chosen: LANG chooses nothing")
	}
	if got := strings.Count(strings.ReplaceAll(polish, "\n", " "), "SZKIC"); got != 1 {
		t.Errorf("the draft is named %d times, once was wanted", got)
	}
	said, values := scheduleOnly(t, run("report", "pl.jsonl", "--json", "--language", "en")), scheduleOnly(t, run("report", "en.jsonl", "--json"))
	if !reflect.DeepEqual(said, values) {
		t.Errorf("the schedules differ:\n%v\n%v", said, values)
	}
	if text := run("report", "pl.jsonl"); !strings.Contains(text, "Wykaz danych") || !strings.Contains(strings.Join(strings.Fields(text), " "), "SZKIC tłumaczenia") {
		t.Errorf("the report of a Polish session is to be in Polish:\n%.300s", text)
	}
	if text := run("report", "en.jsonl", "--language", "pl"); !strings.Contains(text, "gniazda przy stole") {
		t.Errorf("an English session reported in Polish:\n%.300s", text)
	}
	data, err := os.ReadFile(filepath.Join(dir, "pl.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range []string{"gniazda", "rozdzielnica", "Zmierz"} {
		if bytes.Contains(data, []byte(w)) {
			t.Errorf("the record holds the word %q", w)
		}
	}
	flat := strings.Join(strings.Fields(polish), " ")
	for _, s := range englishSentences(t) {
		if strings.Contains(flat, s) {
			t.Errorf("an English text: %q", s)
		}
	}
}

// scheduleOnly is a report without what differs by the second.
func scheduleOnly(t *testing.T, text string) map[string]any {
	t.Helper()
	var all map[string]any
	if err := json.Unmarshal([]byte(text), &all); err != nil {
		t.Fatal(err)
	}
	board := all["board"].(map[string]any)
	delete(board, "session")
	delete(board, "tested_by")
	return all
}

// englishSentences are the pieces of at least four words between the placeholders of all English texts that have another
// text in Polish.
func englishSentences(t *testing.T) []string {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, content.English)
	if err != nil {
		t.Fatal(err)
	}
	texts := []string{}
	for _, id := range cat.IDs() {
		texts = append(texts, cat.Text(id, nil))
	}
	if err := lib.Speak("none"); err != nil {
		t.Fatal(err)
	}
	if err := lint.ReadTexts(lib); err != nil {
		t.Fatal(err)
	}
	for _, e := range lib.Untranslated() {
		_, text, _ := strings.Cut(e.Message, " of: ")
		texts = append(texts, strings.TrimSuffix(text, " …"))
	}
	var out []string
	for _, s := range texts {
		for _, piece := range regexp.MustCompile(`[\[\]{}]`).Split(s, -1) {
			if piece = strings.Join(strings.Fields(piece), " "); len(strings.Fields(piece)) >= 4 {
				out = append(out, piece)
			}
		}
	}
	if len(out) < 2000 {
		t.Fatalf("only %d pieces of English", len(out))
	}
	return out
}
