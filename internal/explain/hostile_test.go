package explain_test

import (
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/explain"
	"wanderlead/internal/hostile"
	"wanderlead/internal/mistakes"
	"wanderlead/sequences"
)

func readGlossary(t testing.TB) func([]byte) error {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	book, err := mistakes.Load(lib)
	if err != nil {
		t.Fatal(err)
	}
	return func(data []byte) error {
		g, err := explain.Load(hostile.Alone(explain.Folder+"/terms.yaml", data), book)
		if err == nil {
			_ = g.Near("\x1b[2J")
		}
		return err
	}
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readGlossary(t)) }

func FuzzFile(f *testing.F) {
	hostile.Seed(f, sequences.FS, explain.Folder)
	read := readGlossary(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}
