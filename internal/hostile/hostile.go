// Package hostile is for tests only: files made to harm whoever reads them, and what has to hold of a reader that gets
// one. A reader refuses a file or reads it; it neither panics nor hangs nor takes more than [MaxHeap], and nothing that
// acts on a terminal stands in what it says.
package hostile

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"testing/fstest"
	"time"
	"unicode/utf8"

	"wanderlead/internal/content"
	"wanderlead/internal/plain"
)

const (
	// MaxHeap is the most that reading a file of content.MaxSize may add to the heap, in bytes.
	MaxHeap = 64 << 20
	// maxText is the longest that all complaints about a file may be, in bytes.
	maxText = 256 << 10
	// hang is when a reader is taken to hang and the test is ended with the stacks of all goroutines: far above what the
	// slowest machine needs, as no test is about the time on the wall.
	hang = 2 * time.Minute
)

// File is one hostile file.
type File struct {
	Name string
	Data []byte
}

// fill repeats a unit to just below a size, between two ends.
func fill(head, unit, tail string, size int) []byte {
	n := (size - len(head) - len(tail)) / len(unit)
	return []byte(head + strings.Repeat(unit, n) + tail)
}

// Files are hostile files of every sort that a reader of YAML or of JSON lines may meet. Some are as large as is read;
// with WANDERLEAD_LONG set there are more of those.
func Files() []File {
	const size = content.MaxSize
	var out []File
	long := os.Getenv("WANDERLEAD_LONG") != ""
	add := func(name string, data []byte) { out = append(out, File{name, data}) }
	add("nothing", nil)
	add("one byte too many", bytes.Repeat([]byte(" "), size+1))
	for i, unit := range []string{"- a\n", "a: b\n", "? \n", "&a a,\n", "*a,", "{a,", "[a,", "[],", "a,", "\n", " ", "x", "\"", "'", "-", "- ", "|\n", "!a ", "<<: *a\n", "#", "%", "\t", "\xff", "\x00", "\u202e", "é", "9", "{\"a\":", "{\"prev\":\"\",", "[", "]", "\\u0000"} {
		if i%3 != 0 && !long {
			add(fmt.Sprintf("%d of %q", content.MaxMarks/40, unit), fill("x: [", unit, "]\n", content.MaxMarks/40*len(unit)))
			continue
		}
		add(fmt.Sprintf("1 MiB of %q", unit), fill("", unit, "", size))
		// Below the number of signs, so that the parser itself sees them.
		add(fmt.Sprintf("%d of %q", content.MaxMarks/4, unit), fill("", unit, "", min(size, content.MaxMarks/4*len(unit))))
		add(fmt.Sprintf("a list of %q", unit), fill("x: [", unit, "]\n", min(size, content.MaxMarks/4*len(unit))))
	}
	bomb := "a: &a [x,x,x,x,x,x,x,x,x]\n"
	for c := 'b'; c <= 'z'; c++ {
		bomb += fmt.Sprintf("%c: &%c [%s]\n", c, c, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*%c,", c-1), 9), ","))
	}
	add("alias bomb", []byte(bomb))
	add("merge bomb", []byte("a: &a {x: 1}\nb: {<<: [*a, *a]}\n"))
	add("alias of itself", []byte("a: &a [*a]\n"))
	add("deep maps", fill("", "{a: ", "", 400_000))
	add("deep dashes", fill("", "- ", "x", 200_000))
	add("deep indents", deepIndents(900))
	add("huge number", fill("limit: ", "9", "", 500_000))
	add("huge exponent", []byte("limit: 1e999999999\nother: -1e-999999999\nthird: 0x"+strings.Repeat("f", 5000)+"\n"))
	add("long key", fill("", "k", ": 1\n", size))
	add("long quoted escape", fill("a: \"", "\\e[2J", "\"\n", size))
	add("escapes in text", []byte("title: \"\\e]0;x\\a\\u202e\\u2066\"\nother: \"\\x9b2J\"\n"))
	add("raw escapes", []byte("title: \x1b[2J\n"))
	add("second document", fill("a: 1\n", "---\n", "", 100_000))
	add("UTF-16", []byte("\xff\xfea\x00:\x00 \x001\x00"))
	return out
}

func deepIndents(depth int) []byte {
	var b bytes.Buffer
	for i := range depth {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.Bytes()
}

// Each gives every hostile file to read. What read returns is only looked at for what it says; a panic, a hang or too
// large a heap fails the test.
func Each(t *testing.T, read func(data []byte) error) {
	t.Helper()
	old := debug.SetGCPercent(20) // so that the heap is what is held, not what was left lying
	defer debug.SetGCPercent(old)
	var most uint64
	var slowest time.Duration
	var which, slow string
	for _, f := range Files() {
		begin := time.Now()
		used, err := Measured(func() error { return read(f.Data) })
		if took := time.Since(begin); took > slowest {
			slowest, slow = took, f.Name
		}
		if used > most {
			most, which = used, f.Name
		}
		if used > MaxHeap {
			t.Errorf("%s: %d MiB of heap, at most %d are right", f.Name, used>>20, MaxHeap>>20)
		}
		if bad := Said(err); bad != "" {
			t.Errorf("%s: %s", f.Name, bad)
		}
	}
	t.Logf("%d files; at most %d KiB of heap (%s); the slowest %d ms (%s)", len(Files()), most>>10, which, slowest.Milliseconds(), slow)
}

// Measured runs f and reports by how much the heap grew at most, as it was seen every millisecond.
func Measured(f func() error) (uint64, error) {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	base, peak := m.HeapAlloc, m.HeapAlloc
	watchdog := time.AfterFunc(hang, func() {
		buf := make([]byte, 1<<20)
		fmt.Fprintf(os.Stderr, "a reader hangs:\n%s", buf[:runtime.Stack(buf, true)])
		os.Exit(2)
	})
	defer watchdog.Stop()
	done := make(chan error, 1)
	go func() { done <- f() }()
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case err := <-done:
			runtime.ReadMemStats(&m)
			return max(peak, m.HeapAlloc) - base, err
		case <-tick.C:
			runtime.ReadMemStats(&m)
			peak = max(peak, m.HeapAlloc)
		}
	}
}

// Said says what is wrong with how a complaint is put; empty when nothing is.
func Said(err error) string {
	if err == nil {
		return ""
	}
	text := err.Error()
	switch {
	case strings.TrimSpace(text) == "":
		return "an error without words"
	case len(text) > maxText:
		return fmt.Sprintf("%d bytes of complaints", len(text))
	case !utf8.ValidString(text):
		return "a complaint that is not UTF-8"
	}
	return Acts(text)
}

// Acts names the first character of a text of several lines that would act on a terminal; empty when there is none.
func Acts(text string) string {
	for _, r := range text {
		if r != '\n' && r != '\t' && plain.Active(r) {
			return fmt.Sprintf("%U stands in %.200q", r, text)
		}
	}
	return ""
}

// Library is the built-in content with one of its files, or one that is asked for by name, replaced.
func Library(builtin fs.FS, name string, data []byte) *content.Library {
	lib, err := content.NewLibrary(over{builtin, fstest.MapFS{name: {Data: data}}}, "")
	if err != nil {
		panic(err) // only an overlay folder can fail
	}
	return lib
}

// Alone is a library that holds one file.
func Alone(name string, data []byte) *content.Library {
	return Library(fstest.MapFS{}, name, data)
}

type over struct {
	fs.FS
	top fstest.MapFS
}

func (o over) Open(name string) (fs.File, error) {
	_, ours := o.top[name]
	if _, err := fs.Stat(o.FS, name); ours || errors.Is(err, fs.ErrNotExist) {
		return o.top.Open(name)
	}
	return o.FS.Open(name)
}

// Seed gives a fuzz target the built-in files of a folder as seeds ("" is the top), and the small hostile ones.
func Seed(f *testing.F, builtin fs.FS, folder string) {
	f.Helper()
	if folder != "" {
		found, err := fs.Glob(builtin, folder+"/*.yaml")
		if err != nil || len(found) == 0 {
			f.Fatalf("no seeds in %s: %v", folder, err)
		}
		for _, name := range found {
			data, err := fs.ReadFile(builtin, name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	for _, x := range Files() {
		if len(x.Data) < 2000 {
			f.Add(x.Data)
		}
	}
}
