package cohort

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sort"
	"strings"
	"sync"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/journal"
	"wanderlead/internal/own"
)

// Folder is an exam's records on the disk.
type Folder struct {
	Dir string
	// Key opens the key of a record that has not been revealed; nil: such records are
	// left out and named.
	Key func(record string) (*seal.Key, error)
	// Progress is told how many of how many are done; nil: nobody.
	Progress func(done, of int)
}

// Skipped is a record that could not be marked.
type Skipped struct {
	Record string
	Why    error
}

// marked is one record's outcome.
type marked struct {
	result, second *mark.Result
	err            error
}

// plans keeps what records of the same content share; one for each worker, since a plan
// remembers verdicts and is used by one at a time.
type plans struct {
	made    map[string]*mark.Plan
	byParts map[*journal.Content]*mark.Plan // headers that share their content
	seen    headers
}

func newPlans() *plans {
	return &plans{made: map[string]*mark.Plan{}, byParts: map[*journal.Content]*mark.Plan{}, seen: headers{}}
}

func (p *plans) of(h *journal.Header) (*mark.Plan, error) {
	// Headers read fast share one list of files, whose address then stands for it.
	shared := &h.Included[0]
	if pl := p.byParts[shared]; pl != nil && pl.Content.Paper.ID == h.Fields["paper"] {
		return pl, nil
	}
	k := exam.ContentMark(h)
	if pl := p.made[k]; pl != nil {
		return pl, nil
	}
	e, err := exam.FromHeader(h)
	if err != nil {
		return nil, err
	}
	p.made[k] = mark.NewPlan(e.Content)
	if p.seen.holds(h) {
		p.byParts[shared] = p.made[k]
	}
	return p.made[k], nil
}

// The most that is read of a record, and of each file beside it, in bytes.
const (
	maxRecord = 256 << 20
	maxBeside = 8 << 20
)

// batch is how many records are in memory at once.
const batch = 64

// Read marks every closed record of the folder and collects the results. Records are
// marked side by side and added in the order of their names, so that the report does not
// depend on which was done first.
func (f Folder) Read() (*Report, []Skipped, error) {
	names, err := filepath.Glob(filepath.Join(f.Dir, "*.jsonl"))
	if err != nil {
		return nil, nil, err
	}
	var records []string
	for _, n := range names {
		if !strings.HasSuffix(n, ".overrides.jsonl") && filepath.Base(n) != "deleted.jsonl" {
			records = append(records, n)
		}
	}
	sort.Strings(records)
	c := New()
	var skipped []Skipped
	workers := make([]*plans, max(1, runtime.GOMAXPROCS(0)))
	for i := range workers {
		workers[i] = newPlans()
	}
	for from := 0; from < len(records); from += batch {
		part := records[from:min(from+batch, len(records))]
		out := f.markAll(part, workers)
		for i, m := range out {
			if m.err != nil {
				skipped = append(skipped, Skipped{part[i], m.err})
				continue
			}
			c.Add(m.result, m.second)
		}
		if f.Progress != nil {
			f.Progress(from+len(part), len(records))
		}
	}
	return c.Report(), skipped, nil
}

func (f Folder) markAll(records []string, workers []*plans) []marked {
	out := make([]marked, len(records))
	var wg sync.WaitGroup
	next := make(chan int)
	for _, w := range workers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				out[i] = f.mark(records[i], w)
			}
		}()
	}
	for i := range records {
		next <- i
	}
	close(next)
	wg.Wait()
	return out
}

var errOpen = errors.New("the record is not closed")

// bundle is what one candidate's files hold.
type bundle struct {
	record    []byte
	key       func(*journal.Header) (*seal.Key, error)
	overrides []byte
	second    []byte // nil: not marked by a second assessor
}

func (f Folder) mark(path string, p *plans) marked {
	base := strings.TrimSuffix(path, ".jsonl")
	b := bundle{key: func(*journal.Header) (*seal.Key, error) { return f.key(path, base+".key.json") }}
	var err error
	if b.record, err = own.Named(path, maxRecord); err != nil {
		return marked{err: err}
	}
	if b.overrides, err = optional(base + ".overrides.jsonl"); err != nil {
		return marked{err: err}
	}
	if b.second, err = optional(base + ".second.overrides.jsonl"); err != nil {
		return marked{err: err}
	}
	return b.mark(p)
}

func optional(path string) ([]byte, error) {
	data, err := own.Named(path, maxBeside)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	return data, err
}

// mark checks and marks one record.
func (b bundle) mark(p *plans) marked {
	lines, ok := fastRead(b.record, p.seen)
	if !ok {
		var err error
		if lines, err = journal.Read(bytes.NewReader(b.record)); err != nil {
			return marked{err: err}
		}
	}
	h := lines[0].Header
	if !exam.IsExam(h) {
		return marked{err: errors.New("the record is not one of an exam")}
	}
	if lines[len(lines)-1].Closed == nil {
		return marked{err: errOpen}
	}
	plan, err := p.of(h)
	if err != nil {
		return marked{err: err}
	}
	k, err := b.key(h)
	if err != nil {
		return marked{err: err}
	}
	if k.Session != h.Session || !k.Holds(h.Fields["commitment"]) {
		return marked{err: errors.New("the key is not the one that the record committed to")}
	}
	m := plan.Marker(k)
	var out marked
	if out.result, out.err = overridden(m, lines, b.overrides, b.record); out.err == nil && b.second != nil {
		out.second, out.err = overridden(m, lines, b.second, b.record)
	}
	return out
}

func (f Folder) key(path, clear string) (*seal.Key, error) {
	data, err := own.Named(clear, maxBeside)
	if err == nil {
		return seal.ParseKey(data)
	}
	if f.Key == nil {
		return nil, fmt.Errorf("its key has not been revealed")
	}
	return f.Key(path)
}

// overridden is the result with the overrides of a file in place.
func overridden(m *mark.Marker, lines []journal.Line, data, record []byte) (*mark.Result, error) {
	r := m.Mark(lines)
	if len(data) == 0 {
		return r, nil
	}
	list, err := mark.ReadOverrides(data, record)
	if err != nil {
		return nil, err
	}
	for _, o := range list {
		if err := r.Apply(o); err != nil {
			return nil, err
		}
	}
	return r, nil
}
