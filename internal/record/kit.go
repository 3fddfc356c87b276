// Package record joins the session to its record: it gathers the content a session
// is made of, turns events and feedback into journal lines, and replays a record to
// the session it came from.
package record

import (
	"fmt"
	"io/fs"
	"slices"
	"sort"
	"strings"
	"time"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// Kit is the content a session is made of, with the text of every file that went
// into it.
type Kit struct {
	Sequence *sequence.Sequence
	Rig      *rig.Rig
	Pack     *edition.Pack
	Program  *sequence.Program
	Incoming sequence.Origin
	Find     sequence.Finder   // finds the included sequences without reading them again
	texts    map[string]string // file name in the library -> text
	names    [3]string         // files of sequence, rig and pack
}

// Gather loads sequence, rig and edition by name, with everything they draw in.
// The origin is measured where sequence and rig allow it, unless incoming says
// otherwise ("measured", "declared", or empty). Texts come in the language that lib
// speaks; what goes into the record is the files as they are.
func Gather(lib *content.Library, seq, rigName, pack, incoming string) (*Kit, error) {
	k := &Kit{texts: map[string]string{}}
	pages := &pages{lib: lib, read: map[string]page{}}
	parsed := make(chan struct{})
	go func() { // beside rig and edition: people wait for the first question
		pages.withIncludes(seq, 0)
		close(parsed)
	}()
	var err error
	k.Rig, err = rig.Load(lib, rigName)
	if err == nil {
		k.Pack, err = edition.Load(lib, pack)
	}
	<-parsed
	if err != nil {
		return nil, err
	}
	k.names = [3]string{seq + ".yaml", "rigs/" + rigName + ".yaml", "editions/" + k.Pack.Name + ".yaml"}
	if err := k.read(lib, k.names[1]); err != nil {
		return nil, err
	}
	for _, name := range append([]string{k.Pack.Name}, k.Pack.StandsOn...) {
		if err := k.read(lib, "editions/"+name+".yaml"); err != nil {
			return nil, err
		}
	}
	find := func(name string) (*sequence.Sequence, error) {
		p := pages.get(name)
		if p.err == nil {
			k.texts[name+".yaml"] = p.text // what is asked for goes into the record
		}
		return p.seq, p.err
	}
	k.Find = find
	if k.Sequence, err = find(seq); err != nil {
		return nil, err
	}
	if k.Incoming, err = chooseOrigin(k.Sequence, k.Rig, incoming); err != nil {
		return nil, err
	}
	var problems []sequence.Problem
	k.Program, problems = sequence.UnrollFor(k.Sequence, k.Rig, k.Incoming, find, Multiples(k.Pack))
	if len(problems) > 0 {
		return nil, Problems(problems)
	}
	return k, nil
}

// Problems are complaints about a sequence on a rig, as one error.
type Problems []sequence.Problem

// Error prints one line a complaint, with its hint below.
func (ps Problems) Error() string {
	var lines []string
	for _, p := range ps {
		lines = append(lines, p.Error())
		if p.Hint != "" {
			lines = append(lines, "hint: "+p.Hint)
		}
	}
	return strings.Join(lines, "\n")
}

// Multiples says at which multiples an edition wants an RCD timed: those it asks of
// the device's delay and rating, or one times the rating where it names none.
func Multiples(pack *edition.Pack) sequence.Multiples {
	return func(d *rig.RCD) []float64 {
		var out []float64
		for _, t := range pack.RCDRequired() {
			fits := t.Delay == "" || t.Delay == "any" || t.Delay == d.Delay
			if fits && (t.RatedUpToMA == 0 || d.IdnMA <= t.RatedUpToMA) && !slices.Contains(out, t.Multiple) {
				out = append(out, t.Multiple)
			}
		}
		if len(out) == 0 {
			out = []float64{1}
		}
		slices.Sort(out)
		return out
	}
}

func chooseOrigin(s *sequence.Sequence, r *rig.Rig, want string) (sequence.Origin, error) {
	allowed := map[sequence.Origin]bool{}
	for _, o := range s.Origins {
		allowed[o] = true
	}
	if want != "" {
		o := sequence.Origin(want)
		if len(s.Origins) > 0 && !allowed[o] {
			return "", fmt.Errorf("sequence %s does not take the origin as %s", s.ID, want)
		}
		if o == sequence.Measured && r.Isolation.At != rig.Upstream {
			return "", fmt.Errorf("rig %s is not isolated upstream of its main switch, so its origin can only be declared", r.ID)
		}
		return o, nil
	}
	if r.Isolation.At == rig.Upstream && allowed[sequence.Measured] {
		return sequence.Measured, nil
	}
	return sequence.Declared, nil
}

func (k *Kit) read(lib *content.Library, name string) error {
	if _, have := k.texts[name]; have {
		return nil
	}
	data, err := lib.Read(name)
	if err != nil {
		return err
	}
	k.texts[name] = string(data)
	return nil
}

// In is the kit with its texts in the language that lib speaks.
func (k *Kit) In(lib *content.Library) (*Kit, error) {
	if lib.Language() == content.English {
		return k, nil
	}
	own, err := content.NewLibrary(texts(k.texts), "")
	if err != nil {
		return nil, err
	}
	own.SpeakLike(lib)
	return Gather(own, k.Sequence.ID, k.Rig.ID, k.Pack.Name, string(k.Incoming))
}

// Own reports whether some file of the kit is not the one that ships with the
// program: it was written or changed by the user.
func (k *Kit) Own(builtin fs.FS) bool {
	for name, text := range k.texts {
		if data, err := fs.ReadFile(builtin, name); err != nil || string(data) != text {
			return true
		}
	}
	return false
}

// included lists the files besides sequence, rig and pack, sorted by name.
func (k *Kit) included() []string {
	var names []string
	for n := range k.texts {
		if n != k.names[0] && n != k.names[1] && n != k.names[2] {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	return names
}

// texts is a file system of the files held in a record, so that a session can be
// rebuilt from its own content long after the files have changed.
type texts map[string]string

func (t texts) Open(name string) (fs.File, error) {
	if name == "." {
		return &textFile{name: name, dir: true}, nil
	}
	s, ok := t[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return &textFile{name: name, r: strings.NewReader(s)}, nil
}

func (t texts) ReadDir(string) ([]fs.DirEntry, error) { return nil, nil }

type textFile struct {
	name string
	dir  bool
	r    *strings.Reader
}

func (f *textFile) Stat() (fs.FileInfo, error) { return f, nil }
func (f *textFile) Close() error               { return nil }
func (f *textFile) Read(b []byte) (int, error) {
	if f.r == nil {
		return 0, fs.ErrInvalid
	}
	return f.r.Read(b)
}

func (f *textFile) Name() string       { return f.name }
func (f *textFile) Size() int64        { return int64(f.length()) }
func (f *textFile) ModTime() time.Time { return time.Time{} }
func (f *textFile) IsDir() bool        { return f.dir }
func (f *textFile) Sys() any           { return nil }
func (f *textFile) Mode() fs.FileMode {
	if f.dir {
		return fs.ModeDir | 0o500
	}
	return 0o400
}

func (f *textFile) length() int {
	if f.r == nil {
		return 0
	}
	return int(f.r.Size())
}
