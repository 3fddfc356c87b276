package journal

import (
	"bytes"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
	"testing/iotest"
)

// Cut at every byte: at the end of a line a shorter open record is left,
// anywhere else a torn one, whose whole lines are all there.
func TestCutAtEveryByte(t *testing.T) {
	data := sampleRecord(t, 4, true)
	for n := range len(data) {
		cut := data[:n]
		lines, err := Read(bytes.NewReader(cut))
		whole := bytes.Count(cut, []byte("\n"))
		if len(lines) != whole {
			t.Fatalf("cut at %d: %d lines, want %d", n, len(lines), whole)
		}
		end := bytes.LastIndexByte(cut, '\n') + 1
		torn, isTorn := as[*Torn](err)
		switch {
		case n == 0:
			if d, ok := as[*Damage](err); !ok || d.Reason != NoHeader {
				t.Errorf("empty file: %v", err)
			}
		case end == n:
			if err != nil {
				t.Errorf("cut at %d, after a line: %v", n, err)
			}
			if lines[len(lines)-1].Kind == KindClosed {
				t.Errorf("cut at %d counts as closed", n)
			}
		case !isTorn || torn.Offset != int64(end) || !bytes.Equal(torn.Tail, cut[end:]):
			t.Errorf("cut at %d: %v, want torn at %d", n, err, end)
		}
	}
}

// Flip every byte, each bit and to every byte that means something in the
// format: damage at that very line, or torn if it was the last line feed.
func TestFlipEveryByte(t *testing.T) {
	for _, closed := range []bool{true, false} {
		data := sampleRecord(t, 3, closed)
		line := 1
		for at, was := range data {
			for _, now := range flips(was) {
				data[at] = now
				lines, err := Read(bytes.NewReader(data))
				if at == len(data)-1 {
					if torn, ok := as[*Torn](err); !ok || torn.Line != line {
						t.Fatalf("last line feed to %q: %v, want torn at line %d", now, err, line)
					}
				} else if d, ok := as[*Damage](err); !ok || d.Line != line || len(lines) != line-1 {
					t.Fatalf("byte %d from %q to %q: %v, want damage at line %d", at, was, now, err, line)
				}
			}
			data[at] = was
			if was == '\n' {
				line++
			}
		}
	}
}

func flips(was byte) []byte {
	var out []byte
	for bit := range 8 {
		out = append(out, was^1<<bit)
	}
	for _, b := range []byte("\n\x00\xff\"\\,0af ") {
		if b != was {
			out = append(out, b)
		}
	}
	return out
}

// Whole lines dropped, doubled, swapped or taken from another record.
func TestLinesOutOfPlace(t *testing.T) {
	data := sampleRecord(t, 4, true)
	split := func(data []byte) []string { return strings.SplitAfter(strings.TrimSuffix(string(data), "\n"), "\n") }
	lines := split(data)
	lines[len(lines)-1] += "\n"
	for i := 0; i < len(lines)-1; i++ {
		dropped := strings.Join(lines[:i], "") + strings.Join(lines[i+1:], "")
		doubled := strings.Join(lines[:i+1], "") + strings.Join(lines[i:], "")
		for name, text := range map[string]string{"dropped": dropped, "doubled": doubled} {
			if _, err := Read(strings.NewReader(text)); err == nil {
				t.Errorf("line %d %s: accepted", i+1, name)
			} else if d, ok := as[*Damage](err); !ok || d.Reason != NotChained {
				t.Errorf("line %d %s: %v, want not chained", i+1, name, err)
			}
		}
	}
	if _, err := Read(strings.NewReader(string(data) + lines[len(lines)-1])); err == nil {
		t.Error("last line doubled: accepted")
	}
}

// Lines that chain but may not stand where they do.
func TestMisplaced(t *testing.T) {
	header := sampleHeader()
	head := Line{Kind: KindHeader, Header: &header}
	said := func(seq int) Line { return Line{Kind: KindSaid, Said: &Said{Seq: seq, Event: event(seq)}} }
	gave := func(seq int) Line { return Line{Kind: KindGave, Gave: &Gave{Said: seq, Given: Given{Verdict: "pass"}}} }
	closed := func(n int) Line { return Line{Kind: KindClosed, Closed: &Closed{Time: "t", Lines: n, How: "complete"}} }
	tests := []struct {
		name  string
		lines []Line
		at    int // damaged line, 0 for none
	}{
		{"whole", []Line{head, said(1), gave(1), gave(1), said(2), closed(6)}, 0},
		{"no answer yet", []Line{head, said(1), said(2), gave(2)}, 0},
		{"no header", []Line{said(1)}, 1},
		{"two headers", []Line{head, head}, 2},
		{"starts at 2", []Line{head, said(2)}, 2},
		{"number twice", []Line{head, said(1), said(1)}, 3},
		{"number left out", []Line{head, said(1), said(3)}, 3},
		{"verdict on nothing", []Line{head, gave(0)}, 2},
		{"verdict on an older event", []Line{head, said(1), said(2), gave(1)}, 4},
		{"verdict on a later event", []Line{head, said(1), gave(2)}, 3},
		{"counts too few", []Line{head, said(1), closed(2)}, 3},
		{"counts too many", []Line{head, said(1), closed(4)}, 3},
		{"after the end", []Line{head, closed(2), said(1)}, 3},
		{"closed twice", []Line{head, closed(2), closed(3)}, 3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Read(bytes.NewReader(chain(tt.lines)))
			d, damaged := as[*Damage](err)
			switch {
			case tt.at == 0 && err != nil:
				t.Error(err)
			case tt.at != 0 && (!damaged || d.Line != tt.at || d.Reason != Misplaced):
				t.Errorf("%v, want misplaced at line %d", err, tt.at)
			}
		})
	}
}

// chain encodes lines one after the other.
func chain(lines []Line) []byte {
	var out []byte
	var prev hash
	for _, l := range lines {
		text := encode(prev, l)
		prev = hashOf(text)
		out = append(out, text...)
	}
	return out
}

// A line without end asks for no more memory than the longest line needs.
func TestLineLengthIsBounded(t *testing.T) {
	endless := io.MultiReader(strings.NewReader(`{"prev":"`), &zeros{left: 1 << 32})
	if _, err := Read(endless); !isReason(err, TooLong) {
		t.Errorf("endless header: %v", err)
	}
	data := sampleRecord(t, 1, false)
	src := &zeros{left: 1 << 32}
	if _, err := Read(io.MultiReader(bytes.NewReader(data), src)); !isReason(err, TooLong) {
		t.Errorf("endless tail: %v", err)
	}
	if read := int64(1<<32) - src.left; read > MaxLine+128<<10 {
		t.Errorf("read %d bytes before giving up on a line of at most %d", read, MaxLine)
	}
}

type zeros struct{ left int64 }

func (z *zeros) Read(p []byte) (int, error) {
	if z.left == 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), z.left)
	for i := range p[:n] {
		p[i] = '0'
	}
	z.left -= n
	return int(n), nil
}

func isReason(err error, want Reason) bool {
	d, ok := as[*Damage](err)
	return ok && d.Reason == want
}

func TestReadErrorIsNotDamage(t *testing.T) {
	boom := errors.New("bad sector")
	data := sampleRecord(t, 2, false)
	lines, err := Read(io.MultiReader(bytes.NewReader(data[:len(data)-5]), iotest.ErrReader(boom)))
	if !errors.Is(err, boom) || len(lines) != 4 {
		t.Errorf("%d lines, %v; want 4 and the disk's error", len(lines), err)
	}
	if _, ok := as[*Torn](err); ok {
		t.Error("an unreadable disk was taken for a torn line; resuming would cut the record")
	}
	lines, err = Read(iotest.OneByteReader(bytes.NewReader(data)))
	if err != nil || len(lines) != 5 {
		t.Errorf("byte by byte: %d lines, %v", len(lines), err)
	}
}

func TestReaderStaysStopped(t *testing.T) {
	data := sampleRecord(t, 1, false)
	data[len(data)-10] ^= 1
	r := NewReader(bytes.NewReader(append(data, data...)))
	var first error
	for first == nil {
		_, first = r.Next()
	}
	if _, again := r.Next(); again != first {
		t.Errorf("after %v came %v", first, again)
	}
}

// Any bytes: no panic, and whatever is accepted writes back to the same bytes.
func FuzzRead(f *testing.F) {
	small, err := os.ReadFile("testdata/small.jsonl")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(small)
	f.Add(small[:len(small)-20])
	f.Add(sampleRecord(f, 2, false))
	f.Add([]byte(`{"prev":"","line":"said"}` + "\n"))
	f.Add([]byte("\n"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		lines, err := Read(bytes.NewReader(data))
		again := chain(lines)
		torn, isTorn := as[*Torn](err)
		switch {
		case err == nil && !bytes.Equal(again, data):
			t.Errorf("accepted %q, which is written %q", data, again)
		case isTorn && !bytes.Equal(append(again, torn.Tail...), data):
			t.Errorf("torn %q, whole lines %q and tail %q", data, again, torn.Tail)
		case !bytes.HasPrefix(data, again):
			t.Errorf("lines %q do not begin %q", again, data)
		}
	})
}

// The same with one line of any content, hashes and checksum put right, so that
// the fuzzer gets past them.
func FuzzLine(f *testing.F) {
	f.Add([]byte(`,"seq":1,"time":"t","type":"answer","at":"a/b","raw":"0.40","params":{"a":"1"}`), "said")
	f.Add([]byte(`,"said":1,"verdict":"pass","feedback":[{"id":"x","params":{"a":"1"}}]`), "gave")
	f.Add([]byte(`,"time":"t","lines":2,"how":"complete"`), "closed")
	f.Fuzz(func(t *testing.T, middle []byte, kind string) {
		e := begin(hash{}, kind)
		e.buf = append(e.buf, middle...)
		data := e.finish()
		line, prev, reason, _ := decode(data)
		if reason == WrongChecksum {
			t.Errorf("%q: its checksum is right", data)
		}
		if reason == "" && !bytes.Equal(encode(prev, line), data) {
			t.Errorf("accepted %q, which is written %q", data, encode(prev, line))
		}
	})
}
