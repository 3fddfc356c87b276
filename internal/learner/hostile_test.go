//go:build unix

package learner

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"wanderlead/internal/hostile"
)

func readMemory(data []byte) error {
	m, err := parse(data, "sam")
	if err != nil {
		return err
	}
	m.Note(Session{Day: "2027-03-01", Practised: map[string]Practice{"ends": {Right: 1}, "zs": {Wrong: 1}}, Mistakes: []string{"x"}})
	_, _ = m.Order([]string{"ends", "zs", "rcd"}, "2027-03-02"), m.Recurring()
	again, err := json.Marshal(m)
	if err != nil {
		return err
	}
	_, err = parse(again, "sam")
	return err
}

func TestHostileFiles(t *testing.T) { hostile.Each(t, readMemory) }

// FuzzMemory: any bytes are refused or are a memory to which a session can be added, and which can be read again.
func FuzzMemory(f *testing.F) {
	f.Add([]byte(`{"version":1,"learner":"sam"}`))
	f.Add([]byte(`{"version":1,"learner":"sam","topics":{"ends":{"repetitions":3,"interval_days":36500,"ease":999.99,"last":"2027-01-01","due":"2027-02-01"}}}`))
	f.Add([]byte(`{"version":1,"learner":"sam","topics":{"ends":{"repetitions":3,"interval_days":9223372036854775807,"ease":1e308}}}`))
	f.Add([]byte(`{"version":1,"learner":"sam","topics":null,"mistakes":{"\u001b[2J":{"times":-1,"last":"\u202e"}}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		err := readMemory(data)
		if bad := hostile.Said(err); bad != "" {
			t.Error(bad)
		}
		if m, first := parse(data, "sam"); first == nil && err != nil && len(m.Topics) < 50 {
			t.Errorf("read, added to, written, and then refused: %v", err)
		}
	})
}

// TestMemoryIsTheOwnersAlone: private modes, and a link in place of memory or lock is neither read nor written through.
func TestMemoryIsTheOwnersAlone(t *testing.T) {
	old := syscall.Umask(0)
	defer syscall.Umask(old)
	dir := filepath.Join(t.TempDir(), "a", "learners")
	s := Store{Dir: dir}
	session := Session{Day: "2027-03-01", Practised: map[string]Practice{"ends": {Right: 1}}}
	if err := s.Note("sam", session); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]os.FileMode{dir: os.ModeDir | 0o700, filepath.Dir(dir): os.ModeDir | 0o700, s.file("sam"): 0o600, s.file("sam") + ".lock": 0o600} {
		if info, err := os.Stat(path); err != nil || info.Mode() != want {
			t.Errorf("%s: %v, %v; want %v", path, info.Mode(), err, want)
		}
	}
	other := filepath.Join(t.TempDir(), "other.json")
	theirs := `{"version":1,"learner":"kim"}`
	if err := os.WriteFile(other, []byte(theirs), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(other, s.file("kim")); err != nil {
		t.Skip("no links here: ", err)
	}
	if _, err := s.Load("kim"); err == nil || !strings.Contains(err.Error(), "a link") {
		t.Errorf("a link was read as a memory: %v", err)
	}
	if err := s.Note("kim", session); err == nil {
		t.Error("a link was written to")
	}
	if err := os.Symlink(other, s.file("lee")+".lock"); err != nil {
		t.Fatal(err)
	}
	if err := s.Note("lee", session); err == nil {
		t.Error("a link was taken for a lock")
	}
	if got, err := os.ReadFile(other); err != nil || string(got) != theirs {
		t.Errorf("the other file holds %q, %v", got, err)
	}
	for _, name := range []string{"../sam", "/etc/passwd", "sam/../kim", ".", "", "Sam", "a\x00", "a\u202e", strings.Repeat("a", 33)} {
		if _, err := s.Load(name); err == nil || hostile.Said(err) != "" {
			t.Errorf("%q: %v", name, err)
		}
		if s.Note(name, session) == nil {
			t.Errorf("%q was noted", name)
		}
	}
}
