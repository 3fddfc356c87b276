package mistakes_test

import (
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/mistakes"
	"wanderlead/sequences"
)

func readMistakes() func([]byte) error {
	return func(data []byte) error {
		_, err := mistakes.Load(hostile.Alone(mistakes.Folder+"/general.yaml", data))
		return err
	}
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readMistakes()) }

func FuzzFile(f *testing.F) {
	hostile.Seed(f, sequences.FS, mistakes.Folder)
	read := readMistakes()
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}
