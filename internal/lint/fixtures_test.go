package lint

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

var update = flag.Bool("update", false, "rewrite the want.txt files")

const fixtures = "../../testdata/sequences"

func readFile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return bytes.ReplaceAll(data, []byte("\r\n"), []byte("\n"))
}

func fixtureRig(t testing.TB, name string) *rig.Rig {
	t.Helper()
	r, err := rig.Parse(name, readFile(t, filepath.Join(fixtures, "rigs", name+".yaml")))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// checkText gives everything that is said about one sequence on the small rig, with the origin as its first line asks
// ("# origin: measured"; declared when it says nothing).
func checkText(t *testing.T, name string, data []byte, dir string) string {
	t.Helper()
	s, err := sequence.Parse(name, data)
	if err != nil {
		return err.Error() + "\n"
	}
	o := sequence.Declared
	if strings.Contains(firstLine(data), "origin: measured") {
		o = sequence.Measured
	}
	ps := Quick(library(t, dir), s, fixtureRig(t, "one-radial"), o)
	if len(ps) == 0 {
		return ""
	}
	text := ""
	for _, p := range ps {
		text += p.text()
	}
	return strings.ReplaceAll(text, dir+string(filepath.Separator), "")
}

func firstLine(data []byte) string {
	line, _, _ := strings.Cut(string(data), "\n")
	return line
}

// TestBadSequences compares every word of what is said about each bad sequence: the place, the line, the caret, why,
// and what would be right.
func TestBadSequences(t *testing.T) {
	dirs, err := filepath.Glob(filepath.Join(fixtures, "bad", "*"))
	if err != nil || len(dirs) < 40 {
		t.Fatalf("%d bad sequences in %s (%v), should be at least 40", len(dirs), fixtures, err)
	}
	for _, dir := range dirs {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			got := checkText(t, "sequence.yaml", readFile(t, filepath.Join(dir, "sequence.yaml")), dir)
			if got == "" {
				t.Fatal("nothing is said about it")
			}
			want := filepath.Join(dir, "want.txt")
			if *update {
				if err := os.WriteFile(want, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			if w := string(readFile(t, want)); got != w {
				t.Errorf("got:\n%s\nwant:\n%s", got, w)
			}
		})
	}
}

func TestGoodSequences(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(fixtures, "good", "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no good sequences in %s: %v", fixtures, err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			if got := checkText(t, filepath.Base(file), readFile(t, file), ""); got != "" {
				t.Errorf("%s", got)
			}
		})
	}
}
