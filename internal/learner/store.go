package learner

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/gofrs/flock"

	"wanderlead/internal/own"
)

// Usual is the learner when none is named.
const Usual = "learner"

var nameForm = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,31}$`)

// CheckName reports whether a name can be a learner's: it becomes part of a file's name.
func CheckName(name string) error {
	if !nameForm.MatchString(name) {
		return fmt.Errorf("%q is no learner's name\nhint: up to 32 small letters, digits and hyphens, as in sam-2", name)
	}
	return nil
}

// Store keeps memories in a folder, a file each, readable by their owner alone.
type Store struct{ Dir string }

func (s Store) file(name string) string { return filepath.Join(s.Dir, name+".json") }

// Load reads a memory, a new one when there is none. A file that cannot be read is an error, and is left as it is.
func (s Store) Load(name string) (*Memory, error) {
	if err := CheckName(name); err != nil {
		return nil, err
	}
	data, err := own.Read(s.file(name), maxSize)
	if errors.Is(err, fs.ErrNotExist) {
		return New(name), nil
	}
	if err != nil {
		return nil, err
	}
	m, err := parse(data, name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w\nhint: move it away, or delete it with: wanderlead progress delete --learner %s", s.file(name), err, name)
	}
	return m, nil
}

// mostTimes is more than anybody does anything.
const mostTimes = 1 << 40

// maxSize is the largest memory read, in bytes: some ten thousand sessions.
const maxSize = 8 << 20

// parse reads a memory. The error says what in it no session could have left there.
func parse(data []byte, name string) (*Memory, error) {
	m := New(name)
	if err := json.Unmarshal(data, m); err != nil {
		return nil, fmt.Errorf("not a memory: %w", err)
	}
	if m.Version != Version || m.Learner != name {
		return nil, fmt.Errorf("version %d of learner %q, not version %d of %q", m.Version, m.Learner, Version, name)
	}
	if m.Topics == nil {
		m.Topics = map[string]Topic{}
	}
	if m.Mistakes == nil {
		m.Mistakes = map[string]Mistake{}
	}
	for id, t := range m.Topics {
		if !(t.Ease == 0 || t.Ease >= leastEase && t.Ease <= mostEase) || min(t.IntervalDays, t.Repetitions, t.Right, t.Wrong, t.Hints) < 0 ||
			t.IntervalDays > longest || t.Repetitions > mostTimes || max(t.Right, t.Wrong, t.Hints) > mostTimes || !isDay(t.Last) || !isDay(t.Due) {
			return nil, fmt.Errorf("no practice of %q could have left %q", id, fmt.Sprintf("%+v", t))
		}
	}
	for id, x := range m.Mistakes {
		if x.Times < 0 || x.Times > mostTimes || !isDay(x.Last) {
			return nil, fmt.Errorf("no mistake %q could have left %q", id, fmt.Sprintf("%+v", x))
		}
	}
	return m, nil
}

// Note adds a session to a learner's memory. Two programs that end at once do not lose each other's.
func (s Store) Note(name string, session Session) error {
	if err := CheckName(name); err != nil {
		return err
	}
	if err := own.Folder(s.Dir); err != nil {
		return err
	}
	lock := flock.New(s.file(name)+".lock", flock.SetFlag(os.O_CREATE|os.O_RDWR|own.NoFollow|own.NoWait), flock.SetPermissions(own.Mode))
	if err := lock.Lock(); err != nil {
		return err
	}
	defer func() { _ = lock.Unlock() }()
	m, err := s.Load(name)
	if err != nil {
		return err
	}
	m.Note(session)
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return err
	}
	return own.Replace(s.file(name), append(data, '\n'))
}

// Names lists the learners there are.
func (s Store) Names() ([]string, error) {
	entries, err := os.ReadDir(s.Dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var out []string
	for _, e := range entries {
		if n, ok := strings.CutSuffix(e.Name(), ".json"); ok && CheckName(n) == nil {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out, err
}

// Delete forgets a learner: their file and its lock. It reports whether there was one.
func (s Store) Delete(name string) (bool, error) {
	if err := CheckName(name); err != nil {
		return false, err
	}
	err := os.Remove(s.file(name))
	_ = os.Remove(s.file(name) + ".lock")
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}
