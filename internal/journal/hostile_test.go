package journal_test

import (
	"bytes"
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/journal"
)

func readRecord(data []byte) error {
	_, err := journal.Read(bytes.NewReader(data))
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readRecord) }

// FuzzSaid: what is said of a record acts on no terminal.
func FuzzSaid(f *testing.F) {
	hostile.Seed(f, nil, "")
	f.Add([]byte(`{"prev":"` + "\u202e" + `","line":"\u001b[2J"}` + "\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if bad := hostile.Said(readRecord(data)); bad != "" {
			t.Error(bad)
		}
	})
}
