package journal

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// start creates a record with n events on the real disk and closes the file.
func start(t *testing.T, path string, n int) {
	t.Helper()
	j, err := Create(path, sampleHeader())
	must(t, err)
	for i := 1; i <= n; i++ {
		seq, err := j.Said(event(i))
		must(t, err)
		must(t, j.Gave(seq, Given{Verdict: "pass"}))
	}
	must(t, j.Close())
}

// names lists a folder.
func names(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	must(t, err)
	var all []string
	for _, e := range entries {
		all = append(all, e.Name())
	}
	return strings.Join(all, " ")
}

func TestCreateResumeClose(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "s.jsonl")
	start(t, path, 3)
	j, lines, err := Open(path)
	must(t, err)
	if len(lines) != 7 || j.Seq() != 3 || j.Kept() != "" {
		t.Errorf("%d lines, seq %d, kept %q; want 7, 3, none", len(lines), j.Seq(), j.Kept())
	}
	if lines[0].Header.Rig.Text != sampleHeader().Rig.Text {
		t.Errorf("rig read back as %q", lines[0].Header.Rig.Text)
	}
	must(t, j.Gave(3, Given{Verdict: "doubt"})) // recomputed after a crash before its verdict
	seq, err := j.Said(Event{Time: "2025-11-25T11:00:00Z", Type: TypeResume})
	must(t, err)
	if seq != 4 {
		t.Errorf("seq %d after resuming, want 4", seq)
	}
	must(t, j.CloseRecord("complete", "2025-11-25T11:30:00Z"))
	if _, err := j.Said(event(5)); !errors.Is(err, ErrDone) {
		t.Errorf("event after the end: %v", err)
	}
	must(t, j.Close())
	must(t, j.Close())
	if _, err := j.Said(event(5)); !errors.Is(err, ErrDone) {
		t.Errorf("event after Close: %v", err)
	}
	if _, _, err := Open(path); err == nil || !strings.Contains(err.Error(), "is closed: complete") {
		t.Errorf("closed record: %v", err)
	}
	lines, err = ReadFile(path)
	must(t, err)
	if last := lines[len(lines)-1]; last.Kind != KindClosed || last.Closed.Lines != len(lines) {
		t.Errorf("last line %+v of %d", last, len(lines))
	}
	if got := names(t, dir); got != "s.jsonl" {
		t.Errorf("folder holds %q, want the record alone", got)
	}
}

func TestCreateNeverOverwrites(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "s.jsonl")
	must(t, os.WriteFile(path, []byte("mine"), 0o644))
	_, err := Create(path, sampleHeader())
	if _, ok := as[*ExistsError](err); !ok || !errors.Is(err, fs.ErrExist) || !strings.Contains(err.Error(), "hint: use resume") {
		t.Errorf("%v, want a hint to use resume", err)
	}
	if data, _ := os.ReadFile(path); string(data) != "mine" || names(t, dir) != "s.jsonl" {
		t.Errorf("file holds %q, folder %q", data, names(t, dir))
	}
}

func TestPrivateModes(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes on windows")
	}
	path := filepath.Join(t.TempDir(), "s.jsonl")
	j, err := Create(path, sampleHeader())
	must(t, err)
	for _, name := range []string{path, path + ".lock"} {
		info, err := os.Stat(name)
		must(t, err)
		if info.Mode() != 0o600 {
			t.Errorf("%s has mode %v, want -rw-------", filepath.Base(name), info.Mode())
		}
	}
	must(t, j.Close())
	tear(t, path, "half")
	j, _, err = Open(path)
	must(t, err)
	must(t, j.Close())
	info, err := os.Stat(path + ".torn-1")
	must(t, err)
	if info.Mode() != 0o600 {
		t.Errorf("tail has mode %v, want -rw-------", info.Mode())
	}
}

func TestNoLinkIsFollowed(t *testing.T) {
	dir := t.TempDir()
	real := filepath.Join(dir, "real.jsonl")
	start(t, real, 1)
	before, err := os.ReadFile(real)
	must(t, err)
	link := filepath.Join(dir, "link.jsonl")
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	dangling := filepath.Join(dir, "dangling.jsonl")
	must(t, os.Symlink(filepath.Join(dir, "elsewhere"), dangling))
	locked := filepath.Join(dir, "locked.jsonl")
	must(t, os.Symlink(filepath.Join(dir, "elsewhere"), locked+".lock"))

	tries := map[string]func() error{
		"create at a link":        func() error { _, err := Create(link, sampleHeader()); return err },
		"create at a dead link":   func() error { _, err := Create(dangling, sampleHeader()); return err },
		"create with linked lock": func() error { _, err := Create(locked, sampleHeader()); return err },
		"resume a link":           func() error { _, _, err := Open(link); return err },
		"verify a link":           func() error { _, err := Verify(link); return err },
		"read a link":             func() error { _, err := ReadFile(link); return err },
		"resume a folder":         func() error { _, _, err := Open(dir); return err },
		"create at a folder":      func() error { _, err := Create(dir, sampleHeader()); return err },
	}
	for name, try := range tries {
		if _, ok := as[*PathError](try()); !ok {
			t.Errorf("%s: %v, want a path error", name, try())
		}
	}
	if after, _ := os.ReadFile(real); !bytes.Equal(before, after) {
		t.Error("the file behind the link changed")
	}
	if got := names(t, dir); got != "dangling.jsonl link.jsonl locked.jsonl.lock real.jsonl" {
		t.Errorf("folder holds %q", got)
	}
}

// tear adds bytes without a line feed.
func tear(t *testing.T, path, tail string) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	must(t, err)
	_, err = f.WriteString(tail)
	must(t, errors.Join(err, f.Close()))
}

func TestTornTailIsKeptBeside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.jsonl")
	start(t, path, 2)
	whole, err := os.ReadFile(path)
	must(t, err)
	for n, tail := range []string{`{"prev":"`, "\x00\x00\x00", strings.Repeat("x", 9000)} {
		tear(t, path, tail)
		j, lines, err := Open(path)
		must(t, err)
		kept := path + ".torn-" + string(rune('1'+n))
		if j.Kept() != kept || len(lines) != 5 {
			t.Errorf("kept %q with %d lines, want %q with 5", j.Kept(), len(lines), kept)
		}
		must(t, j.Close())
		if data, _ := os.ReadFile(kept); string(data) != tail {
			t.Errorf("%s holds %q, want %q", kept, data, tail)
		}
		if data, _ := os.ReadFile(path); !bytes.Equal(data, whole) {
			t.Errorf("record holds %d bytes after the cut, want %d", len(data), len(whole))
		}
	}
}

func TestDamagedRecordIsLeftUntouched(t *testing.T) {
	whole := sampleRecord(t, 3, false)
	middle := bytes.Clone(whole)
	middle[len(middle)/2] ^= 1
	closedAndMore := append(sampleRecord(t, 1, true), "{}"...)
	tests := map[string][]byte{
		"byte changed":               middle,
		"byte changed and torn":      append(bytes.Clone(middle), "{"...),
		"empty":                      nil,
		"half a header":              whole[:100],
		"bytes after the closed end": closedAndMore,
		"something else":             []byte("answers:\n  - 1\n"),
	}
	for name, data := range tests {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "s.jsonl")
			must(t, os.WriteFile(path, data, 0o600))
			_, _, err := Open(path)
			d, ok := as[*Damage](err)
			if !ok || !strings.Contains(err.Error(), path) || d.Line == 0 {
				t.Errorf("%v, want damage that names the file and the line", err)
			}
			if now, _ := os.ReadFile(path); !bytes.Equal(now, data) || names(t, dir) != "s.jsonl" {
				t.Errorf("file changed, or something was left beside it: %q", names(t, dir))
			}
		})
	}
}

func TestMissingRecordOrFolder(t *testing.T) {
	path := filepath.Join(t.TempDir(), "no", "s.jsonl")
	_, createErr := Create(path, sampleHeader())
	_, _, openErr := Open(path)
	_, verifyErr := Verify(path)
	for _, err := range []error{createErr, openErr, verifyErr} {
		if !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%v, want: does not exist", err)
		}
	}
}

func TestRefusedBeforeAnythingIsWritten(t *testing.T) {
	dir := t.TempDir()
	h := sampleHeader()
	h.Mode, h.Edition, h.Rig.Text = ModeAssess, "", "\xff"
	_, err := Create(filepath.Join(dir, "s.jsonl"), h)
	for _, want := range []string{"header seed: is given in an exam", "header edition: is empty", "header rig text: \"\\xff\" is not valid UTF-8"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
	h = sampleHeader()
	h.Rig.Text = strings.Repeat("x", MaxHeaderLine)
	if _, err := Create(filepath.Join(dir, "s.jsonl"), h); err == nil {
		t.Error("a header longer than the reader takes was written")
	}
	if got := names(t, dir); got != "" {
		t.Errorf("folder holds %q, want nothing", got)
	}
}

func TestLinesThatAreRefused(t *testing.T) {
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	if err := j.Gave(0, Given{Verdict: "pass"}); !errors.Is(err, ErrNotSaid) {
		t.Errorf("verdict on nothing: %v", err)
	}
	_, err = j.Said(event(1))
	must(t, err)
	size := len(d.files["r"].data)
	events := map[string]Event{
		"unknown type":  {Time: "t", Type: "guess"},
		"no time":       {Type: TypeAnswer},
		"invalid UTF-8": {Time: "t", Type: TypeAnswer, Raw: "0.4\xff"},
		"in a key":      {Time: "t", Type: TypeAnswer, Params: map[string]string{"\xff": ""}},
		"in a value":    {Time: "t", Type: TypeAnswer, Params: map[string]string{"a": "\xff"}},
		"too long":      {Time: "t", Type: TypeAnswer, Raw: strings.Repeat("x", MaxLine)},
	}
	for name, e := range events {
		if seq, err := j.Said(e); err == nil {
			t.Errorf("%s: stored as event %d", name, seq)
		} else if _, ok := as[*FieldError](err); !ok {
			t.Errorf("%s: %v, want a field error", name, err)
		}
	}
	for seq, g := range map[int]Given{0: {Verdict: "pass"}, 2: {Verdict: "pass"}, 1: {Rule: "no verdict"}} {
		if err := j.Gave(seq, g); err == nil {
			t.Errorf("verdict %+v on event %d was stored", g, seq)
		}
	}
	if err := j.CloseRecord("", "t"); err == nil {
		t.Error("closed without saying how")
	}
	if now := len(d.files["r"].data); now != size {
		t.Errorf("refused lines took %d bytes", now-size)
	}
	if seq, err := j.Said(event(2)); err != nil || seq != 2 {
		t.Errorf("after refusals: event %d, %v", seq, err)
	}
}

// The clock may go back: times are kept as given, order is by number.
func TestClockGoingBack(t *testing.T) {
	d := newMemDisk()
	j, err := create(d, "r", sampleHeader())
	must(t, err)
	times := []string{"2025-11-25T09:00:00Z", "2025-11-25T10:00:00+02:00", "1970-01-01T00:00:00Z", "2025-11-25T09:30:00Z"}
	for _, at := range times {
		_, err := j.Said(Event{Time: at, Type: TypeTime})
		must(t, err)
	}
	for i, l := range readAll(t, d.files["r"].data)[1:] {
		if l.Said.Seq != i+1 || l.Said.Time != times[i] {
			t.Errorf("event %d at %s, want %d at %s", l.Said.Seq, l.Said.Time, i+1, times[i])
		}
	}
}
