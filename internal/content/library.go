package content

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// builtinLabel is put before the name of a built-in file in messages: its path in the source.
const builtinLabel = "sequences/"

// Library finds content files by name ("rigs/training-bay.yaml"): in the user's overlay folder first, then among the
// built-in ones. Names never lead out of either; a symbolic link in the overlay that does is refused.
type Library struct {
	builtin fs.FS
	dir     string
	root    *os.Root
	tongue  *Tongue // nil: English
}

// NewLibrary joins the built-in files with an overlay folder; an empty dir means none. The overlay mirrors the
// built-in layout.
func NewLibrary(builtin fs.FS, dir string) (*Library, error) {
	l := &Library{builtin: builtin, dir: dir}
	if dir == "" {
		return l, nil
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("the content folder %q cannot be opened: %w", dir, reason(err))
	}
	l.root = root
	return l, nil
}

// Close gives the overlay folder back.
func (l *Library) Close() error {
	if l.root == nil {
		return nil
	}
	return l.root.Close()
}

var namePart = regexp.MustCompile(`^[a-z0-9][a-z0-9-]*(\.[a-z0-9]+)*$`)

// checkName accepts names made of lower-case parts, so that a name means the same file on every system.
func checkName(name string) error {
	for part := range strings.SplitSeq(name, "/") {
		if len(part) > 100 || !namePart.MatchString(part) {
			return fmt.Errorf("%q is not a content name: use lower-case letters, digits and hyphens, parts joined by /", name)
		}
	}
	return nil
}

// Read gives the bytes of a file, overlay before built-in. It reads no more than MaxSize and only regular files. The
// error wraps fs.ErrNotExist when neither has it.
func (l *Library) Read(name string) ([]byte, error) {
	data, _, err := l.find(name)
	return data, err
}

// Builtin reports whether Read of a name gives a built-in file: the overlay has none of that name.
func (l *Library) Builtin(name string) bool {
	if l.root != nil {
		if _, err := l.root.Lstat(filepath.FromSlash(name)); err == nil || !errors.Is(err, fs.ErrNotExist) {
			return false
		}
	}
	return l.builtin != nil
}

// Open reads a file and parses it; complaints name the file where it was found. The error is that of Read.
func (l *Library) Open(name string) (*Reader, error) {
	data, label, err := l.find(name)
	if err != nil {
		return nil, err
	}
	return l.Parse(label, data), nil
}

func (l *Library) find(name string) (data []byte, label string, err error) {
	if err := checkName(name); err != nil {
		return nil, "", err
	}
	if l.root != nil {
		label := filepath.Join(l.dir, filepath.FromSlash(name))
		data, err := readLimited(rootFS{l.root}, filepath.FromSlash(name), label)
		if err == nil || !errors.Is(err, fs.ErrNotExist) {
			return data, label, err
		}
	}
	label = builtinLabel + name
	if l.builtin == nil {
		return nil, label, fmt.Errorf("%s: %w", label, fs.ErrNotExist)
	}
	data, err = readLimited(l.builtin, name, label)
	return data, label, err
}

// List gives the names of the YAML files in a folder ("" is the top), of overlay and built-in together, sorted. Names
// are those to give to Read. A YAML file in the overlay whose name could not be read is an error, lest it be missed.
func (l *Library) List(dir string) ([]string, error) {
	return l.entries(dir, func(e fs.DirEntry) bool { return !e.IsDir() && path.Ext(e.Name()) == ".yaml" })
}

// Folders gives the names of the folders in a folder ("words" gives "words/en", ...), sorted.
func (l *Library) Folders(dir string) ([]string, error) {
	return l.entries(dir, fs.DirEntry.IsDir)
}

func (l *Library) entries(dir string, want func(fs.DirEntry) bool) ([]string, error) {
	if dir == "" {
		dir = "."
	} else if err := checkName(dir); err != nil {
		return nil, err
	}
	var names []string
	if l.root != nil {
		found, err := fs.ReadDir(l.root.FS(), dir)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("the content folder %q cannot be listed: %w", filepath.Join(l.dir, dir), reason(err))
		}
		for _, e := range found {
			if err := l.checkOverlayName(dir, e); err != nil {
				return nil, err
			}
			if want(e) && checkName(e.Name()) == nil {
				names = append(names, path.Join(dir, e.Name()))
			}
		}
	}
	if l.builtin != nil {
		found, err := fs.ReadDir(l.builtin, dir)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s%s: %w", builtinLabel, dir, reason(err))
		}
		for _, e := range found {
			if want(e) {
				names = append(names, path.Join(dir, e.Name()))
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names), nil
}

// checkOverlayName complains about a file that looks like YAML and that no name can reach. Dot files are editors' own.
func (l *Library) checkOverlayName(dir string, e fs.DirEntry) error {
	ext := strings.ToLower(path.Ext(e.Name()))
	if e.IsDir() || strings.HasPrefix(e.Name(), ".") || ext != ".yaml" && ext != ".yml" {
		return nil
	}
	if path.Ext(e.Name()) == ".yaml" && checkName(e.Name()) == nil {
		return nil
	}
	return fmt.Errorf("%s: this name cannot be used\nhint: name it with lower-case letters, digits and hyphens, ending in .yaml",
		filepath.Join(l.dir, dir, e.Name()))
}

// ReadFile reads a file that the user named (answers, a rig by path): regular, at most MaxSize bytes.
func ReadFile(name string) ([]byte, error) {
	return readLimited(hostFS{}, name, name)
}

// ReadAll reads a stream such as standard input, at most MaxSize bytes; label names it in the error.
func ReadAll(r io.Reader, label string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", label, reason(err))
	}
	if len(data) > MaxSize {
		return nil, fmt.Errorf("%s: more than %d bytes\nhint: no content file is that large; is it the right file?", label, MaxSize)
	}
	return data, nil
}

// hostFS and rootFS are file systems for readLimited; both look before they open, as opening a pipe would wait.
type hostFS struct{}

func (hostFS) Open(name string) (fs.File, error)     { return os.Open(name) }
func (hostFS) Stat(name string) (fs.FileInfo, error) { return os.Stat(name) }

type rootFS struct{ *os.Root }

func (r rootFS) Open(name string) (fs.File, error) { return r.Root.Open(name) }

// readLimited looks at size and kind first: a file of 200 MB is refused without being read.
func readLimited(fsys fs.FS, name, label string) ([]byte, error) {
	info, err := stat(fsys, name)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", label, reason(err))
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: not a regular file", label)
	}
	if info.Size() > MaxSize {
		return nil, fmt.Errorf("%s: the file has %d bytes, the most read is %d\nhint: no content file is that large; is it the right file?",
			label, info.Size(), MaxSize)
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be read: %w", label, reason(err))
	}
	defer f.Close()
	return ReadAll(f, label)
}

func stat(fsys fs.FS, name string) (fs.FileInfo, error) {
	if s, ok := fsys.(interface {
		Stat(string) (fs.FileInfo, error)
	}); ok {
		return s.Stat(name)
	}
	return fs.Stat(fsys, name)
}

// reason drops the operation and path that the os package adds: the label already says which file.
func reason(err error) error {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err
	}
	return err
}

// NotFound says whether err means that neither overlay nor built-in files have that name.
func NotFound(err error) bool { return errors.Is(err, fs.ErrNotExist) }
