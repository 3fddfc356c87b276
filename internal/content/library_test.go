package content

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
)

func sampleLibrary(t *testing.T) (*Library, string) {
	t.Helper()
	builtin := fstest.MapFS{
		"first.yaml":      {Data: []byte("title: built in")},
		"rigs/bay.yaml":   {Data: []byte("title: built in")},
		"rigs/store.yaml": {Data: []byte("title: built in")},
		"rigs/README.md":  {Data: []byte("#")},
	}
	dir := t.TempDir()
	write(t, filepath.Join(dir, "rigs", "bay.yaml"), "title: overlay")
	write(t, filepath.Join(dir, "rigs", "extra.yaml"), "titel: overlay")
	lib, err := NewLibrary(builtin, dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { lib.Close() })
	return lib, dir
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestLibraryOverlay(t *testing.T) {
	lib, dir := sampleLibrary(t)
	for name, want := range map[string]string{"rigs/bay.yaml": "title: overlay", "rigs/store.yaml": "title: built in"} {
		if got, err := lib.Read(name); err != nil || string(got) != want {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	got, err := lib.List("rigs")
	if want := []string{"rigs/bay.yaml", "rigs/extra.yaml", "rigs/store.yaml"}; err != nil || !slices.Equal(got, want) {
		t.Errorf("list %q, %v, want %q", got, err, want)
	}
	if got, err := lib.List(""); err != nil || !slices.Equal(got, []string{"first.yaml"}) {
		t.Errorf("list of the top: %q, %v", got, err)
	}
	if got, err := lib.Folders(""); err != nil || !slices.Equal(got, []string{"rigs"}) {
		t.Errorf("folders: %q, %v", got, err)
	}
	r, err := lib.Open("rigs/extra.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r.Root().Map("rig", "title")
	if want := filepath.Join(dir, "rigs", "extra.yaml") + ":1:1: "; r.Err() == nil || !strings.HasPrefix(r.Err().Error(), want) {
		t.Errorf("complaint %v does not start with %q", r.Err(), want)
	}
	if _, err := lib.Read("rigs/none.yaml"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("an unknown file: %v", err)
	}
}

func TestLibraryStaysInside(t *testing.T) {
	lib, dir := sampleLibrary(t)
	outside := filepath.Join(t.TempDir(), "secret.yaml")
	write(t, outside, "title: secret")
	if err := os.Symlink(outside, filepath.Join(dir, "rigs", "link.yaml")); err != nil {
		t.Skip("no symbolic links here")
	}
	names := []string{"../secret.yaml", "/etc/passwd", "rigs/../../x.yaml", "rigs//bay.yaml", "./first.yaml", "", "rigs/",
		"RIGS/bay.yaml", "rigs\\bay.yaml", "rigs/bay.yaml\x00", "c:/x.yaml", "rigs/link.yaml", "rigs", ".hidden.yaml"}
	for _, name := range names {
		if data, err := lib.Read(name); err == nil {
			t.Errorf("%q was read: %q", name, data)
		}
	}
}

func TestLibraryRefusesLargeFilesUnread(t *testing.T) {
	lib, dir := sampleLibrary(t)
	name := filepath.Join(dir, "large.yaml")
	write(t, name, "")
	if err := os.Truncate(name, 200<<20); err != nil { // sparse: takes no room
		t.Fatal(err)
	}
	used := testing.AllocsPerRun(1, func() {
		if _, err := lib.Read("large.yaml"); err == nil || !strings.Contains(err.Error(), "209715200 bytes") {
			t.Errorf("a 200 MB file: %v", err)
		}
	})
	if used > 200 {
		t.Errorf("refusing took %v allocations: was it read?", used)
	}
	if _, err := ReadFile(name); err == nil {
		t.Error("ReadFile took a 200 MB file")
	}
	if _, err := ReadFile(dir); err == nil {
		t.Error("ReadFile took a folder")
	}
	endless := readerFunc(func(p []byte) (int, error) { return len(p), nil })
	if _, err := ReadAll(endless, "stdin"); err == nil {
		t.Error("ReadAll took an endless stream")
	}
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

func TestLibraryNamesThatCannotBeReached(t *testing.T) {
	lib, dir := sampleLibrary(t)
	write(t, filepath.Join(dir, "rigs", "My Rig.yml"), "title: x")
	if _, err := lib.List("rigs"); err == nil || !strings.Contains(err.Error(), "My Rig.yml") {
		t.Errorf("a name that cannot be reached: %v", err)
	}
	if _, err := NewLibrary(nil, filepath.Join(dir, "none")); err == nil || strings.Contains(err.Error(), "openat") {
		t.Errorf("a missing folder: %v", err)
	}
}
