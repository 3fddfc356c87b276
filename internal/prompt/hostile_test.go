package prompt_test

import (
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/prompt"
	"wanderlead/sequences"
)

func readScript(data []byte) error {
	_, err := prompt.ParseScript("f.yaml", data)
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readScript) }

func FuzzAnswersFile(f *testing.F) {
	hostile.Seed(f, sequences.FS, "")
	f.Add([]byte("rig: training-bay\nanswers:\n  - {at: ring-1/ends/r1, say: \"0.40\"}\n  - {do: stop}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(readScript(data)); bad != "" {
			t.Error(bad)
		}
	})
}
