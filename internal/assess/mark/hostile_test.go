package mark

import (
	"testing"

	"wanderlead/internal/hostile"
)

func readOverrides(data []byte) error {
	_, err := ReadOverrides(data, []byte("record"))
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readOverrides) }

func FuzzOverrides(f *testing.F) {
	line, err := OverrideLine(Override{Task: "ends", By: "A", Reason: "\x1b[2J\u202e"}, nil, []byte("record"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(line)
	f.Add(append(line, line...))
	f.Add([]byte("{}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(readOverrides(data)); bad != "" {
			t.Error(bad)
		}
	})
}
