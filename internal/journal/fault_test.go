package journal

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"syscall"
	"testing"

	"pgregory.net/rapid"
)

// The one right order: written and synced before the session sees it, the
// verdict written before anything is shown, and on the disk with the next event.
func TestOrder(t *testing.T) {
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	f := d.files["r"]
	d.log = nil
	for n := 1; n <= 2; n++ {
		must(t, j.Turn(event(n), func(seq int) ([]Given, error) {
			d.log = append(d.log, "session")
			if got := rawBySeq(readAll(t, f.durable))[seq]; got != event(n).Raw {
				t.Errorf("the session sees event %d while the disk holds %q", seq, got)
			}
			return []Given{{Verdict: "pass"}, {Verdict: "doubt"}}, nil
		}, func() error {
			d.log = append(d.log, "feedback")
			if lines := readAll(t, f.data); lines[len(lines)-1].Kind != KindGave {
				t.Error("feedback before its verdict was written")
			}
			return nil
		}))
	}
	turn := []string{"write", "sync", "session", "write", "write", "feedback"}
	if want := append(turn, turn...); !slices.Equal(d.log, want) {
		t.Errorf("order %v, want %v", d.log, want)
	}
	lines := readAll(t, f.durable)
	if last := lines[len(lines)-1]; last.Kind != KindSaid || last.Said.Seq != 2 || lines[len(lines)-2].Kind != KindGave {
		t.Errorf("after event 2 the disk ends in %+v, want event 2 after the verdicts of event 1", last)
	}
	must(t, j.Close())
	if !bytes.Equal(f.durable, f.data) {
		t.Error("closing left verdicts unsynced")
	}
}

// A turn ends where something fails: no session without a stored event, no
// feedback without a stored verdict.
func TestTurnStopsAtAFailure(t *testing.T) {
	refused := errors.New("does not fit")
	tests := []struct {
		name    string
		fault   map[int]fault // by operation of the turn
		session error
		want    []string
	}{
		{"event not written", map[int]fault{1: full}, nil, nil},
		{"event not synced", map[int]fault{2: broken}, nil, nil},
		{"session refuses", nil, refused, []string{"session"}},
		{"verdict not written", map[int]fault{3: full}, nil, []string{"session"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := newMemDisk()
			j, err := create(d, "r", sampleHeader())
			must(t, err)
			base := d.ops
			d.fault = func(_ string, n int) fault { return tt.fault[n-base] }
			var got []string
			err = j.Turn(event(1), func(int) ([]Given, error) {
				got = append(got, "session")
				return []Given{{Verdict: "pass"}}, tt.session
			}, func() error { got = append(got, "feedback"); return nil })
			if err == nil || !slices.Equal(got, tt.want) {
				t.Errorf("ran %v with error %v, want %v and an error", got, err, tt.want)
			}
		})
	}
}

// run writes a session of n events on d, trying a line again where the journal
// says that it may, and returns the events acknowledged.
func run(d *memDisk, n int) (acked map[int]string, err error) {
	acked = map[int]string{}
	j, err := create(d, "r", sampleHeader())
	if err != nil {
		return acked, err
	}
	again := func(call func() error) error {
		err := call()
		if w, ok := as[*WriteError](err); ok && w.Retry {
			err = call()
		}
		return err
	}
	for i := 1; i <= n; i++ {
		var seq int
		err := again(func() (err error) { seq, err = j.Said(event(i)); return err })
		if err != nil {
			return acked, errors.Join(err, j.Close())
		}
		acked[seq] = event(i).Raw
		if err := again(func() error { return j.Gave(seq, Given{Verdict: "pass"}) }); err != nil {
			return acked, errors.Join(err, j.Close())
		}
	}
	if err := again(func() error { return j.CloseRecord("complete", "2025-11-25T10:00:00Z") }); err != nil {
		return acked, errors.Join(err, j.Close())
	}
	return acked, j.Close()
}

// survives checks what a next process makes of data: everything acknowledged
// is there, and the record takes further events on a clean line.
func survives(data []byte, d *memDisk, acked map[int]string) error {
	next := d.after("r", data)
	j, lines, err := open(next, "r")
	if _, ok := as[*ClosedError](err); ok {
		lines, err = Read(bytes.NewReader(data))
		if err != nil {
			return err
		}
		return allThere(lines, acked)
	}
	if isReason(err, NoHeader) && len(acked) == 0 {
		return nil
	}
	if err != nil {
		return err
	}
	if err := allThere(lines, acked); err != nil {
		return err
	}
	seq, err := j.Said(event(1000))
	if err != nil {
		return err
	}
	if err := j.Close(); err != nil {
		return err
	}
	lines, err = Read(bytes.NewReader(next.files["r"].durable))
	if err != nil {
		return fmt.Errorf("after resuming: %w", err)
	}
	acked[seq] = event(1000).Raw
	defer delete(acked, seq)
	return allThere(lines, acked)
}

func allThere(lines []Line, acked map[int]string) error {
	raw := rawBySeq(lines)
	for seq, want := range acked {
		if raw[seq] != want {
			return fmt.Errorf("event %d was acknowledged as %q, the record holds %q", seq, want, raw[seq])
		}
	}
	if len(raw) > len(acked)+1 {
		return fmt.Errorf("%d events, only %d were acknowledged", len(raw), len(acked))
	}
	return nil
}

// powerCuts checks every file that a power cut may leave of f: what was synced,
// and any part of what was not.
func powerCuts(f *memFile, d *memDisk, acked map[int]string) error {
	for n := len(f.durable); n <= len(f.data); n++ {
		if err := survives(f.data[:n], d, acked); err != nil {
			return fmt.Errorf("cut to %d of %d bytes: %w", n, len(f.data), err)
		}
	}
	return nil
}

// A fault of each sort at every operation of a session: the caller is told,
// nothing acknowledged is lost, no line ever follows half a line.
func TestFaultAtEveryBoundary(t *testing.T) {
	const events = 3
	clean := newMemDisk()
	_, err := run(clean, events)
	must(t, err)
	for at := 1; at <= clean.ops; at++ {
		for _, kind := range []fault{full, short, broken, doneNoted} {
			for _, lasting := range []bool{false, true} {
				d := newMemDisk()
				d.fault = func(_ string, n int) fault {
					if n == at || lasting && n > at {
						return kind
					}
					return none
				}
				acked, err := run(d, events)
				name := fmt.Sprintf("fault %d at operation %d (%s), lasting %v", kind, at, clean.log[at-1], lasting)
				f, exists := d.files["r"]
				if !exists {
					if err == nil || len(acked) != 0 {
						t.Errorf("%s: no file, error %v, %d acknowledged", name, err, len(acked))
					}
					continue
				}
				if err == nil && (lasting || clean.log[at-1] != "write") {
					t.Errorf("%s: no error surfaced", name)
				}
				if err == nil {
					if lines := readAll(t, f.durable); lines[len(lines)-1].Kind != KindClosed || len(acked) != events {
						t.Errorf("%s: tried again, but the record does not end closed with %d events", name, events)
					}
				}
				if err := powerCuts(f, d, acked); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			}
		}
	}
}

// Any mixture of faults, with a power cut after any of them.
func TestRandomFaults(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		plan := rapid.SliceOfN(rapid.SampledFrom([]fault{none, none, none, none, full, short, broken, doneNoted}), 0, 60).Draw(t, "plan")
		d := newMemDisk()
		d.fault = func(_ string, n int) fault {
			if n > 3 && n-4 < len(plan) { // the header gets through
				return plan[n-4]
			}
			return none
		}
		acked, _ := run(d, rapid.IntRange(0, 8).Draw(t, "events"))
		if f, ok := d.files["r"]; ok {
			if err := powerCuts(f, d, acked); err != nil {
				t.Fatal(err)
			}
		} else if len(acked) > 0 {
			t.Fatalf("%d events acknowledged, no file", len(acked))
		}
	})
}

// Half a line that cannot be cut off again ends the journal for good.
func TestNothingAfterHalfALine(t *testing.T) {
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	d.fault = func(op string, _ int) fault {
		if op == "write" {
			return full
		}
		return broken
	}
	_, first := j.Said(event(1))
	if w, ok := as[*WriteError](first); !ok || w.Retry || !errors.Is(first, syscall.ENOSPC) {
		t.Fatalf("%v, want a final error of a full disk", first)
	}
	d.fault, d.log = nil, nil
	_, again := j.Said(event(1))
	if !errors.Is(again, first) || !errors.Is(j.Gave(1, Given{Verdict: "pass"}), first) || !errors.Is(j.CloseRecord("x", "t"), first) {
		t.Errorf("a broken journal took another line: %v", again)
	}
	if len(d.log) != 0 {
		t.Errorf("a broken journal touched the file: %v", d.log)
	}
}

// A failed sync is final: the system may report success the next time without
// having stored anything.
func TestFailedSyncIsFinal(t *testing.T) {
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	d.fault = func(op string, _ int) fault {
		if op == "sync" {
			return broken
		}
		return none
	}
	if _, err := j.Said(event(1)); err == nil {
		t.Fatal("an event that is not on the disk was acknowledged")
	}
	d.fault, d.log = nil, nil
	if _, err := j.Said(event(2)); err == nil || len(d.log) != 0 {
		t.Errorf("after a failed sync: error %v, operations %v; want the same error and none", err, d.log)
	}
	_ = j.Close()
	if slices.Contains(d.log, "sync") {
		t.Error("closing tried the sync again")
	}
}

// A record whose start failed leaves no file that would bar the next try, and
// no lock.
func TestFailedCreateLeavesNothing(t *testing.T) {
	for at := 1; at <= 4; at++ {
		d := newMemDisk()
		d.fault = func(_ string, n int) fault {
			if n == at {
				return full
			}
			return none
		}
		if _, err := create(d, "r", sampleHeader()); err == nil {
			t.Errorf("fault at operation %d: no error", at)
		}
		if len(d.files) != 0 || d.held {
			t.Errorf("fault at operation %d: %d files left, locked %v", at, len(d.files), d.held)
		}
		d.fault = nil
		if _, err := create(d, "r", sampleHeader()); err != nil {
			t.Errorf("second try: %v", err)
		}
	}
}

// Faults while an unfinished line is set aside: the record keeps it until it is
// safe beside, and the next try succeeds.
func TestFaultWhileSettingATailAside(t *testing.T) {
	whole := sampleRecord(t, 2, false)
	torn := append(bytes.Clone(whole), `{"prev":"12`...)
	clean := newMemDisk().after("r", torn)
	_, _, err := open(clean, "r")
	must(t, err)
	for at := 1; at <= clean.ops; at++ {
		for _, kind := range []fault{full, short, broken} {
			d := newMemDisk().after("r", torn)
			d.fault = func(_ string, n int) fault {
				if n == at {
					return kind
				}
				return none
			}
			name := fmt.Sprintf("fault %d at operation %d (%s)", kind, at, clean.log[at-1])
			if _, _, err := open(d, "r"); err == nil {
				t.Errorf("%s: no error surfaced", name)
				continue
			}
			if kept := d.files["r.torn-1"]; !bytes.Equal(d.files["r"].data, torn) &&
				(kept == nil || !bytes.Equal(kept.durable, torn[len(whole):])) {
				t.Errorf("%s: the tail was cut off and not kept", name)
			}
			d.fault = nil
			j, lines, err := open(d, "r")
			if err != nil || len(lines) != 5 {
				t.Errorf("%s: second try: %d lines, %v", name, len(lines), err)
				continue
			}
			_, err = j.Said(event(3))
			must(t, err)
			readAll(t, d.files["r"].data)
		}
	}
}

// What the last process wrote without syncing is on the disk before a resumed
// session goes on from it.
func TestResumingSyncsWhatItReliesOn(t *testing.T) {
	d := newMemDisk().after("r", sampleRecord(t, 2, false))
	f := d.files["r"]
	if len(f.durable) != 0 {
		t.Fatal("the sample is on the disk already")
	}
	_, _, err := open(d, "r")
	must(t, err)
	if !bytes.Equal(f.durable, f.data) {
		t.Errorf("%d of %d bytes are on the disk when the session goes on", len(f.durable), len(f.data))
	}
	d = newMemDisk().after("r", sampleRecord(t, 2, false))
	d.fault = func(string, int) fault { return broken }
	if _, _, err := open(d, "r"); err == nil || d.held {
		t.Errorf("resumed on a disk that cannot sync: %v, locked %v", err, d.held)
	}
}
