package rig_test

import (
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/rig"
	"wanderlead/sequences"
)

func readRig(data []byte) error {
	_, err := rig.Parse("f.yaml", data)
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readRig) }

// FuzzSaid: whatever a rig's file holds, what is said of it acts on no terminal, and no name that is taken does.
func FuzzSaid(f *testing.F) {
	hostile.Seed(f, sequences.FS, "rigs")
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := rig.Parse("f.yaml", data)
		if bad := hostile.Said(err); bad != "" {
			t.Error(bad)
		}
		if err != nil {
			return
		}
		texts := []string{r.ID, r.Title, r.Setting, r.Board.Location}
		for i := range r.Circuits {
			texts = append(texts, r.Circuits[i].ID, r.Circuits[i].Description)
			for _, p := range r.Circuits[i].Points {
				texts = append(texts, p.ID, p.Label)
			}
		}
		for _, s := range texts {
			if bad := hostile.Acts(s); bad != "" {
				t.Error(bad)
			}
		}
	})
}
