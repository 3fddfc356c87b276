package words

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

// TestOpenIsLoad: a catalogue whose files are parsed when they are needed has the ids and the texts of one that parsed
// them all, and parses only what is asked for.
func TestOpenIsLoad(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	all, err := Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	lazy, err := Open(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	if lazy.Text("locate.board", nil) != all.Text("locate.board", nil) || len(lazy.texts) == 0 || len(lazy.texts) > len(all.texts)/4 {
		t.Errorf("asked for one text, %d of %d were parsed", len(lazy.texts), len(all.texts))
	}
	for _, id := range all.IDs() {
		if lazy.Text(id, nil) != all.Text(id, nil) || !slices.Equal(lazy.Placeholders(id), all.Placeholders(id)) {
			t.Errorf("%s is another text", id)
		}
	}
	if !slices.Equal(lazy.IDs(), all.IDs()) {
		t.Error("the ids differ")
	}
	if lazy.Has("no.such") || len(lazy.waiting) != 0 {
		t.Errorf("%d ids still wait", len(lazy.waiting))
	}
}

// TestOpenReadsOwnFilesAtOnce: a file of the user's own takes the place of the built-in one of its name, and what is
// wrong in one is told when the catalogue is opened.
func TestOpenReadsOwnFilesAtOnce(t *testing.T) {
	for _, c := range []struct{ file, text, want, complaint string }{
		{"locate.yaml", "words: en\ntexts:\n    locate.board: \"the consumer unit\"\n", "the consumer unit", ""},
		{"own.yaml", "words: en\ntexts: {own.x: \"mine\"}\n", "the board", ""},
		{"own.yaml", "words: en\ntexts:\n  locate.board: \"mine\"\n", "", "own.yaml:3:3"},
		{"own.yaml", "words: en\ntexts:\n  own.x: \"{mine\"\n", "", "own.yaml:3:10"},
	} {
		dir := t.TempDir()
		if err := os.MkdirAll(filepath.Join(dir, "words", "en"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "words", "en", c.file), []byte(c.text), 0o644); err != nil {
			t.Fatal(err)
		}
		lib, err := content.NewLibrary(sequences.FS, dir)
		if err != nil {
			t.Fatal(err)
		}
		cat, err := Open(lib, "en")
		switch {
		case c.complaint != "":
			if err == nil || !strings.Contains(err.Error(), c.complaint) {
				t.Errorf("%q: %v, want %s", c.text, err, c.complaint)
			}
		case err != nil:
			t.Errorf("%q: %v", c.text, err)
		default:
			if got := cat.Text("locate.board", nil); got != c.want {
				t.Errorf("%q: %q, want %q", c.text, got, c.want)
			}
		}
		lib.Close()
	}
}
