//go:build linux || darwin

package prompt

import (
	"errors"
	"io"
	"os"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// fakeSource hands out chunks; between two chunks every bounded wait runs out
// at once, as if the person paused.
type fakeSource struct {
	chunks  []string
	paused  bool
	flushed int
}

func (s *fakeSource) read(p []byte, wait time.Duration) (int, error) {
	if wait >= 0 && !s.paused {
		s.paused = true
		return 0, nil
	}
	s.paused = false
	if len(s.chunks) == 0 {
		return 0, io.EOF
	}
	n := copy(p, s.chunks[0])
	if s.chunks[0] = s.chunks[0][n:]; s.chunks[0] == "" {
		s.chunks = s.chunks[1:]
	}
	return n, nil
}

func (s *fakeSource) flush() error {
	s.flushed++
	return nil
}

func fakeReader(t testing.TB, chunks ...string) *keyReader {
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { null.Close() })
	return &keyReader{src: &fakeSource{chunks: chunks}, out: &queryWriter{file: null}}
}

// keysOf reads until the input ends.
func keysOf(t testing.TB, k *keyReader) (keys []string, err error) {
	t.Helper()
	var p [64]byte
	for {
		n, err := k.Read(p[:])
		if err != nil {
			return keys, err
		}
		keys = append(keys, string(p[:n]))
	}
}

// TestOneKeyPerRead: however the bytes arrive, each Read is one key.
func TestOneKeyPerRead(t *testing.T) {
	for _, c := range []struct {
		chunks []string
		want   string // keys, joined by |
	}{
		{[]string{"0.35\r"}, "0|.|3|5|\r"},
		{[]string{"0\x1b[A\x1b[3~é\n"}, "0|\x1b[A|\x1b[3~|é|\r"},
		{[]string{"\x1b", "j"}, "j"},    // Esc alone would make survey move by letters
		{[]string{"\x1b", "[A"}, "[|A"}, // Esc, a pause, then typed
		{[]string{"\x1b[200~0.35\r\n0.36\r\x1b[201~\r"}, "0|.|3|5| |0|.|3|6|\r"},
		{[]string{"\x1b[200~0.35\r", "\r"}, "0|.|3|5|\r"}, // a paste that never ends
		{[]string{"\x1b[24;80R7"}, "7"},                   // a report that nobody asked for
		{[]string{"\x08\x7f"}, "\x7f|\x7f"},
	} {
		keys, err := keysOf(t, fakeReader(t, c.chunks...))
		if got := strings.Join(keys, "|"); got != c.want || err != io.EOF {
			t.Errorf("%q: got %q, %v; want %q", c.chunks, got, err, c.want)
		}
	}
	k := fakeReader(t, "\x1b[3~x")
	var p [1]byte
	var got []byte
	for {
		n, err := k.Read(p[:])
		if err != nil {
			break
		}
		got = append(got, p[:n]...)
	}
	if string(got) != "\x1b[3~x" {
		t.Errorf("through a buffer of one byte: %q", got)
	}
}

func TestInterruptAndEnd(t *testing.T) {
	if keys, err := keysOf(t, fakeReader(t, "1\x03\r")); !errors.Is(err, ErrInterrupted) || len(keys) != 1 {
		t.Errorf("Ctrl-C: %q, %v", keys, err)
	}
	if keys, err := keysOf(t, fakeReader(t, "1\x04\r")); err != io.EOF || len(keys) != 1 {
		t.Errorf("Ctrl-D: %q, %v", keys, err)
	}
}

// TestReportsComeFirst: a query gets its report before the keys that were typed
// ahead of it, and none of them is lost.
func TestReportsComeFirst(t *testing.T) {
	k := fakeReader(t, "0.3\x1b[24;80R5\x1b[5;14R\r")
	k.out.Write([]byte("\x1b[999;999f"))
	k.out.Write([]byte(reportQuery))
	k.out.Write([]byte(reportQuery))
	keys, _ := keysOf(t, k)
	if got, want := strings.Join(keys, "|"), "\x1b[24;80R|\x1b[5;14R|0|.|3|5|\r"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestGateDropsWhatCameBefore: everything in front of the report is dropped,
// everything behind it counts, and an interrupt always does.
func TestGateDropsWhatCameBefore(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"y\ry\r\x1b[B\r\x1b[9;1R\x1b[B\r", "\x1b[B|\r"},
		{"\x1b[200~4417\r\x1b[9;1R4418\r\x1b[201~x\r", "4|4|1|8|x|\r"}, // a paste still under way
		{"4417\r\x1b[9;1R", ""},
	} {
		k := fakeReader(t, c.in)
		if err := k.arm(); err != nil {
			t.Fatal(err)
		}
		if k.src.(*fakeSource).flushed != 1 {
			t.Error("what the terminal holds was not dropped")
		}
		keys, err := keysOf(t, k)
		if got := strings.Join(keys, "|"); got != c.want || err != io.EOF {
			t.Errorf("%q: got %q, %v; want %q", c.in, got, err, c.want)
		}
	}
	k := fakeReader(t, "y\x03\r\x1b[9;1Ry")
	k.arm()
	if keys, err := keysOf(t, k); !errors.Is(err, ErrInterrupted) || len(keys) != 0 {
		t.Errorf("Ctrl-C before the gate: %q, %v", keys, err)
	}
	// With a query of survey's under way, its report is the mark and still reaches it.
	k = fakeReader(t, "4417\r\x1b[24;80R44\x1b[9;1R18\r")
	k.arm()
	k.out.Write([]byte(reportQuery))
	k.out.Write([]byte(reportQuery))
	keys, _ := keysOf(t, k)
	if got, want := strings.Join(keys, "|"), "\x1b[24;80R|\x1b[9;1R|4|4|1|8|\r"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// FuzzKeyReader: whatever the terminal sends and however it is cut up, each
// Read is one key or one report, reports come only when asked for, and no key
// from in front of a gate is handed over.
func FuzzKeyReader(f *testing.F) {
	f.Add([]byte("0.35\r\x1b[24;80R\x1b[200~x\x1b[201~"), uint8(3), true)
	f.Add([]byte("y\ry\r\x1b[9;1R\x1b[B\r"), uint8(1), true)
	f.Add([]byte("\x1b[\x1b\x03\x04\xff"), uint8(2), false)
	f.Fuzz(func(t *testing.T, data []byte, size uint8, atGate bool) {
		var chunks []string
		for rest := data; len(rest) > 0; {
			n := min(len(rest), int(size)+1)
			chunks = append(chunks, string(rest[:n]))
			rest = rest[n:]
		}
		k := fakeReader(t, chunks...)
		k.mute = len(data)%7 == 0
		if atGate {
			if err := k.arm(); err != nil {
				t.Fatal(err)
			}
		} else {
			k.out.Write([]byte(reportQuery))
		}
		keys, _ := keysOf(t, k)
		reports := 0
		for _, key := range keys {
			tok, n := nextToken([]byte(key), true)
			if n != len(key) || tok.kind == dropped || tok.kind == pasteStart || tok.kind == pasteEnd {
				t.Fatalf("%q is not one key", key)
			}
			if !utf8.ValidString(key) {
				t.Fatalf("%q is not valid text", key)
			}
			if tok.kind == report {
				reports++
			}
		}
		if want := map[bool]int{true: 0, false: 1}[atGate]; reports != want && len(data) > 0 {
			t.Fatalf("%d reports handed over, %d asked for", reports, want)
		}
		if atGate && !k.mute && !strings.Contains(string(data), "R") && len(keys) > 0 {
			t.Fatalf("%q came through a gate before it was shown", keys)
		}
	})
}
