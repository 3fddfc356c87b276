package journal

import (
	"bytes"
	"path/filepath"
	"testing"
)

// One turn of a session on the real disk: an event written and synced, its
// verdict written.
func BenchmarkAppendSynced(b *testing.B) {
	j, err := Create(filepath.Join(b.TempDir(), "s.jsonl"), sampleHeader())
	must(b, err)
	e, given, _ := sampleLines()
	b.ResetTimer()
	for range b.N {
		seq, err := j.Said(e)
		must(b, err)
		must(b, j.Gave(seq, given[0]))
	}
	b.StopTimer()
	must(b, j.Close())
}

// The same without a disk: what the journal itself costs.
func BenchmarkAppendInMemory(b *testing.B) {
	j, err := New(nowhere{}, sampleHeader())
	must(b, err)
	e, given, _ := sampleLines()
	b.ReportAllocs()
	for range b.N {
		seq, err := j.Said(e)
		must(b, err)
		must(b, j.Gave(seq, given[0]))
	}
}

type nowhere struct{}

func (nowhere) WriteAt(p []byte, _ int64) (int, error) { return len(p), nil }
func (nowhere) Sync() error                            { return nil }
func (nowhere) Truncate(int64) error                   { return nil }
func (nowhere) Close() error                           { return nil }

// A record of 50,000 entries, and a tenth of it to show the growth.
func BenchmarkRead(b *testing.B) {
	for _, n := range []int{5_000, 50_000} {
		data := benchRecord(b, n)
		b.Run(map[int]string{5_000: "entries=5000", 50_000: "entries=50000"}[n], func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for range b.N {
				lines, err := Read(bytes.NewReader(data))
				if err != nil || len(lines) != n+1 {
					b.Fatal(len(lines), err)
				}
			}
		})
	}
}

// The same line by line, as verify does it.
func BenchmarkVerify(b *testing.B) {
	data := benchRecord(b, 50_000)
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for range b.N {
		if r, err := verify(bytes.NewReader(data)); err != nil || !r.Holds() {
			b.Fatal(r, err)
		}
	}
}

// benchRecord is a record of n lines after the header, half said, half gave.
func benchRecord(b *testing.B, n int) []byte {
	e, given, _ := sampleLines()
	header := sampleHeader()
	lines := []Line{{Kind: KindHeader, Header: &header}}
	for seq := 1; seq <= n/2; seq++ {
		lines = append(lines, Line{Kind: KindSaid, Said: &Said{Seq: seq, Event: e}},
			Line{Kind: KindGave, Gave: &Gave{Said: seq, Given: given[0]}})
	}
	return chain(lines)
}
