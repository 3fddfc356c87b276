package words_test

import (
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

func readWords() func([]byte) error {
	return func(data []byte) error {
		cat, err := words.Load(hostile.Alone("words/en/own.yaml", data), "en")
		if err != nil {
			return err
		}
		for _, id := range cat.IDs() {
			_ = cat.Text(id, map[string]string{"value": "@" + id})
		}
		return nil
	}
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readWords()) }

func FuzzWords(f *testing.F) {
	hostile.Seed(f, sequences.FS, "words/en")
	f.Add([]byte("words: en\ntexts:\n  zz.a: \"{a} [ {b}\"\n"))
	read := readWords()
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(read(data)); bad != "" {
			t.Error(bad)
		}
	})
}
