package cohort

import (
	"bytes"
	"fmt"
	"runtime"
	"sync"
	"testing"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/play"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/sequences"
)

// memory is a record's file in memory.
type memory struct{ data []byte }

func (m *memory) WriteAt(p []byte, at int64) (int, error) {
	m.data = append(m.data[:at], p...)
	return len(p), nil
}
func (m *memory) Sync() error               { return nil }
func (m *memory) Truncate(size int64) error { m.data = m.data[:size]; return nil }
func (m *memory) Close() error              { return nil }

func load(t testing.TB, name string) *exam.Exam {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	e, err := exam.Load(lib, name)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// sat makes a candidate's files: a record with at least the wanted number of entries,
// remarks added where the paper has fewer, and the key.
func sat(t testing.TB, e *exam.Exam, id string, s paper.Setting, seed uint64, c play.Candidate, entries int) bundle {
	t.Helper()
	k, err := truth.Of(e.Content, s, seed)
	if err != nil {
		t.Fatal(err)
	}
	h, err := e.Header()
	if err != nil {
		t.Fatal(err)
	}
	play.Fields(&h, id, s, e.Paper.Minutes, 0)
	h.Session = fmt.Sprintf("%032x", seed)
	k.Session, k.Salt = h.Session, fmt.Sprintf("%064x", seed*7919)
	if h.Fields["commitment"], err = k.Commitment(); err != nil {
		t.Fatal(err)
	}
	m := &memory{}
	j, err := journal.New(m, h)
	if err != nil {
		t.Fatal(err)
	}
	hashed, err := journal.NewSecret("c0de").Hash(h.Session)
	if err != nil {
		t.Fatal(err)
	}
	c.Key, c.Code = k, hashed.String()
	n := 0
	put := func(ev journal.Event, fb sitting.Feedback) {
		seq, err := j.Said(ev)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range fb.Given(h.Edition) {
			if err := j.Gave(seq, g); err != nil {
				t.Fatal(err)
			}
		}
		n++
	}
	end, err := play.Sit(sitting.New(e.Setup(&h)), c, put)
	if err != nil {
		t.Fatal(err)
	}
	for n < entries {
		put(journal.Event{Time: "2027-03-01T11:00:00Z", Type: journal.TypeObserve, At: "ring-1/ends", Raw: sitting.Seen}, sitting.Feedback{Taken: true})
	}
	if err := j.CloseRecord(end.Ended(), "2027-03-01T11:00:00Z"); err != nil {
		t.Fatal(err)
	}
	text, err := k.Clear()
	if err != nil {
		t.Fatal(err)
	}
	return bundle{record: m.data, key: func(*journal.Header) (*seal.Key, error) { return seal.ParseKey(text) }}
}

// 10,000 records, by a group at the rig with 150 entries each and by one at the bench with as many as its moves make
// (entries/record): marked from their bytes, every line checked, keys held against their commitments, and summarised. The
// disk is left out.
func BenchmarkTenThousandRecords(b *testing.B) {
	for name, setting := range map[string]paper.Setting{"rig": paper.HoldPoints, "alone": paper.Alone} {
		b.Run(name, func(b *testing.B) { tenThousand(b, setting) })
	}
}

func tenThousand(b *testing.B, setting paper.Setting) {
	e := load(b, "ring-dead")
	const distinct = 50
	var all []bundle
	for i := range distinct {
		say := map[string][]string{"ring-1/ends": {fmt.Sprintf("0.%d 0.41 0.65", 30+i)}}
		all = append(all, sat(b, e, fmt.Sprintf("C-%03d", i), setting, uint64(i+1), play.Candidate{Say: say}, 150))
	}
	var peak uint64
	for b.Loop() {
		c := New()
		workers := []*plans{newPlans(), newPlans()}
		out := make([]marked, batch)
		for from := 0; from < 10_000; from += batch {
			var wg sync.WaitGroup
			for w := range workers {
				wg.Add(1)
				go func() {
					defer wg.Done()
					for i := w; i < batch; i += len(workers) {
						out[i] = all[(from+i)%distinct].mark(workers[w])
					}
				}()
			}
			wg.Wait()
			for _, m := range out {
				if m.err != nil {
					b.Fatal(m.err)
				}
				c.Add(m.result, nil)
			}
			var ms runtime.MemStats
			runtime.ReadMemStats(&ms)
			peak = max(peak, ms.Sys)
		}
		if r := c.Report(); len(r.Rows) < 10_000 {
			b.Fatal(len(r.Rows))
		}
	}
	b.ReportMetric(float64(peak)/(1<<20), "MB-peak")
	b.ReportMetric(float64(len(all[0].record)), "bytes/record")
	b.ReportMetric(float64(bytes.Count(all[0].record, []byte(`"line":"said"`))), "entries/record")
}
