package e2e

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"wanderlead/internal/app"
	"wanderlead/internal/journal"
)

// Under the name wanderlead this test binary is the program, so nothing has to be
// built first and coverage counts.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"wanderlead": func() { os.Exit(app.Main(os.Args[1:], outside())) },
	})
}

// What a test changes about the outside world of a program that it starts.
const (
	clockAt   = "WANDERLEAD_TEST_NOW"        // what the clock shows at the start (RFC 3339)
	clockBy   = "WANDERLEAD_TEST_CLOCK"      // a file that says how far the clock is put forward, looked at each time
	fileSize  = "WANDERLEAD_TEST_FILE_SIZE"  // no file may grow beyond so many bytes
	oneThread = "WANDERLEAD_TEST_ONE_THREAD" // all system calls of the session come from one thread
)

func outside() app.Sys {
	sys := app.System()
	if at, err := time.Parse(time.RFC3339, os.Getenv(clockAt)); err == nil {
		began := time.Now()
		sys.Now = func() time.Time { return at.Add(time.Since(began)) }
	}
	if file := os.Getenv(clockBy); file != "" {
		was := sys.Now
		sys.Now = func() time.Time {
			text, _ := os.ReadFile(file)
			ahead, _ := time.ParseDuration(strings.TrimSpace(string(text)))
			return was().Add(ahead)
		}
	}
	if n, err := strconv.ParseUint(os.Getenv(fileSize), 10, 63); err == nil {
		limitFileSize(n)
	}
	if os.Getenv(oneThread) != "" {
		runtime.LockOSThread()
	}
	return sys
}

const root = "../../testdata/"

// world is a folder of its own to start the program in, with a home inside it.
type world struct {
	t   testing.TB
	dir string
	env []string
}

func newWorld(t testing.TB) *world {
	t.Helper()
	dir := t.TempDir()
	w := &world{t: t, dir: dir}
	for _, name := range []string{"HOME", "USERPROFILE"} {
		w.env = append(w.env, name+"="+filepath.Join(dir, "home"))
	}
	for _, name := range []string{"XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_DATA_HOME", "LocalAppData"} {
		w.env = append(w.env, name+"="+filepath.Join(dir, "home", strings.ToLower(name)))
	}
	for _, name := range []string{"PATH", "TMPDIR", "TMP", "SystemRoot", "GOCOVERDIR"} {
		if v, ok := os.LookupEnv(name); ok {
			w.env = append(w.env, name+"="+v)
		}
	}
	w.env = append(w.env, "TERM=xterm-256color", "LC_ALL=C.UTF-8")
	return w
}

// path names a file of this world.
func (w *world) path(name string) string { return filepath.Join(w.dir, name) }

// write puts a file into this world and gives its path.
func (w *world) write(name, text string) string {
	w.t.Helper()
	p := w.path(name)
	if err := os.MkdirAll(filepath.Dir(p), 0o700); err != nil {
		w.t.Fatal(err)
	}
	if err := os.WriteFile(p, []byte(text), 0o600); err != nil {
		w.t.Fatal(err)
	}
	return p
}

// command is the program with these arguments, not yet started.
func (w *world) command(args ...string) *exec.Cmd {
	w.t.Helper()
	self, err := os.Executable()
	if err != nil {
		w.t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Args = append([]string{"wanderlead"}, args...)
	cmd.Dir, cmd.Env = w.dir, w.env
	return cmd
}

// ran is what came of one run of the program.
type ran struct {
	code     int
	out, err string
}

// run runs the program to its end. A nil in is an empty standard input.
func (w *world) run(in io.Reader, args ...string) ran {
	w.t.Helper()
	cmd := w.command(args...)
	var out, errs bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = in, &out, &errs
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		w.t.Fatal(err)
	}
	r := ran{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
	if strings.Contains(r.err, "panic:") || strings.Contains(r.err, "goroutine ") {
		w.t.Fatalf("%v panicked:\n%s", args, r.err)
	}
	return r
}

// must fails the test unless a run ended with this code.
func (r ran) must(t testing.TB, code int) ran {
	t.Helper()
	if r.code != code {
		t.Fatalf("exit code %d, want %d\nstderr: %s\nend of stdout: %s", r.code, code, r.err, tail(r.out, 2000))
	}
	return r
}

func tail(s string, n int) string { return s[max(0, len(s)-n):] }

// turn is one event of a record with what the session made of it.
type turn struct {
	journal.Said
	gave []journal.Gave
}

// verdict is the first verdict given, rule and notes those of every line.
func (u turn) verdict() string {
	if len(u.gave) == 0 {
		return ""
	}
	return u.gave[0].Verdict
}

func (u turn) notes() string {
	var ids []string
	for _, g := range u.gave {
		ids = append(ids, g.Rule)
		for _, f := range g.Feedback {
			ids = append(ids, f.ID)
		}
	}
	return strings.Join(ids, " ")
}

// turns reads a record. closed is how it was closed, empty if it was not.
func turns(t testing.TB, path string) (list []turn, closed string) {
	t.Helper()
	lines, err := journal.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range lines {
		switch {
		case l.Said != nil:
			list = append(list, turn{Said: *l.Said})
		case l.Gave != nil:
			u := &list[len(list)-1]
			u.gave = append(u.gave, *l.Gave)
		case l.Closed != nil:
			closed = l.Closed.How
		}
	}
	return list, closed
}

// live reports whether an event of a record was an act on something energised, or
// energised it. It reads the kinds as written; a list of its own, so that a slip in
// the session's list shows.
func (u turn) live() bool {
	for _, g := range u.gave {
		switch g.Params["kind"] {
		case "energise-incoming", "energise-installation", "live-incoming", "circuit-on", "live-test", "operate-live":
			return true
		}
	}
	return false
}
