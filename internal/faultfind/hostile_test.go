package faultfind_test

import (
	"strings"
	"testing"

	"wanderlead/internal/faultfind"
	"wanderlead/internal/hostile"
	"wanderlead/sequences"
)

func readReadings(data []byte) error {
	if _, err := faultfind.ParseArgs(strings.Split(string(data[:min(len(data), 2000)]), "\n")); hostile.Said(err) != "" {
		return err
	}
	_, _, err := faultfind.ParseAnswers("f.yaml", data)
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readReadings) }

func FuzzAnswers(f *testing.F) {
	hostile.Seed(f, sequences.FS, "")
	f.Add([]byte("rig: reference\nanswers:\n  - {at: ring/ends/r1, say: \"0.40\"}\n"))
	f.Add([]byte("ends/r1=0.40\nends/r2=>99.9\n=\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(readReadings(data)); bad != "" {
			t.Error(bad)
		}
	})
}
