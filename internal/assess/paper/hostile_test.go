package paper_test

import (
	"testing"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/hostile"
	"wanderlead/sequences"
)

// readPaper reads a file as each of the kinds that marking stands on; the complaints about the first are given.
func readPaper(t testing.TB) func([]byte) error {
	return func(data []byte) error {
		p, err := paper.Parse("f.yaml", data)
		if err == nil {
			_, _, _ = p.Draw(1), p.Draw(^uint64(0)), p.Total()
			if p.Draws() < 1 {
				t.Errorf("%d draws", p.Draws())
			}
		}
		for name, load := range map[string]func() error{
			"marking/tolerances.yaml": func() error {
				_, err := paper.LoadTolerances(hostile.Library(sequences.FS, "marking/tolerances.yaml", data))
				return err
			},
			"marking/difficulty.yaml": func() error {
				_, err := paper.LoadLevels(hostile.Library(sequences.FS, "marking/difficulty.yaml", data))
				return err
			},
		} {
			if bad := hostile.Said(load()); bad != "" {
				t.Errorf("%s: %s", name, bad)
			}
		}
		return err
	}
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readPaper(t)) }

func FuzzSaid(f *testing.F) {
	hostile.Seed(f, sequences.FS, "papers")
	hostile.Seed(f, sequences.FS, "marking")
	read := readPaper(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}
