package sequence_test

import (
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/hostile"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/sequences"
)

func readSequence(t testing.TB) func([]byte) error {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Load(lib, "rigging-store")
	if err != nil {
		t.Fatal(err)
	}
	find := sequence.NewFinder(lib)
	return func(data []byte) error {
		s, err := sequence.Parse("f.yaml", data)
		if err != nil {
			return err
		}
		p, problems := sequence.Unroll(s, r, sequence.Declared, find)
		if len(p.Steps) > 20_000 {
			t.Errorf("%d steps of %d bytes", len(p.Steps), len(data))
		}
		for _, x := range problems {
			if bad := hostile.Acts(x.Text); bad != "" {
				t.Error(bad)
			}
		}
		return nil
	}
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readSequence(t)) }

// FuzzParse: no file makes reader or unroller panic, grow without bound or say what acts on a terminal.
func FuzzParse(f *testing.F) {
	hostile.Seed(f, sequences.FS, ".")
	read := readSequence(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}
