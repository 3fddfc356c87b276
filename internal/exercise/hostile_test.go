package exercise_test

import (
	"testing"

	"wanderlead/internal/exercise"
	"wanderlead/internal/hostile"
	"wanderlead/sequences"
)

func readExercises(data []byte) error {
	lib := hostile.Library(sequences.FS, exercise.Folder+"/study.yaml", data)
	_, err := exercise.Load(lib)
	if err == nil {
		err = exercise.Check(lib)
	}
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readExercises) }

func FuzzExercises(f *testing.F) {
	hostile.Seed(f, sequences.FS, "exercises")
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(readExercises(data)); bad != "" {
			t.Error(bad)
		}
	})
}
