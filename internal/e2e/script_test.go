package e2e

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestScripts runs every script in every folder below testdata/script. A new folder
// needs no line here.
func TestScripts(t *testing.T) {
	dir, err := filepath.Abs(filepath.Join(root, "script"))
	if err != nil {
		t.Fatal(err)
	}
	folders, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	ran := 0
	for _, f := range folders {
		if !f.IsDir() {
			continue
		}
		ran++
		t.Run(f.Name(), func(t *testing.T) {
			testscript.Run(t, testscript.Params{
				Condition: func(c string) (bool, error) {
					if c != "long" {
						return false, fmt.Errorf("no condition %q", c)
					}
					return os.Getenv("WANDERLEAD_LONG") != "", nil
				},
				Dir: filepath.Join(dir, f.Name()), Setup: home, RequireExplicitExec: true, RequireUniqueNames: true,
				Cmds: map[string]func(*testscript.TestScript, bool, []string){
					"exits": exits, "json": jsonValue, "sparse": sparse, "upto": upto, "tear": tear, "damage": damage, "control": control, "replace": replace,
				},
			})
		})
	}
	if ran == 0 {
		t.Errorf("no folder of scripts in %s", dir)
	}
}

// home gives a script a home of its own and the way to the answers files.
func home(env *testscript.Env) error {
	answers, err := filepath.Abs(filepath.Join(root, "answers"))
	if err != nil {
		return err
	}
	env.Setenv("ANSWERS", answers)
	env.Setenv("HOME", filepath.Join(env.WorkDir, "home"))
	env.Setenv("USERPROFILE", filepath.Join(env.WorkDir, "home"))
	for _, v := range []string{"XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "LocalAppData"} {
		env.Setenv(v, filepath.Join(env.WorkDir, "home", strings.ToLower(v)))
	}
	return nil
}

// exits CODE program args…: the program ends with this very code, without a panic.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	if err != nil || neg {
		ts.Fatalf("usage: exits CODE program args…")
	}
	got := 0
	var exit *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
	if errs := ts.ReadFile("stderr"); strings.Contains(errs, "goroutine ") || strings.Contains(errs, "panic:") {
		ts.Fatalf("it panicked")
	}
}

// json PATH VALUE: standard output is one JSON value and nothing else; at the path
// (keys and indexes joined by dots) it holds the value, "null", or a "*" for any.
func jsonValue(ts *testscript.TestScript, neg bool, args []string) {
	var doc any
	dec := json.NewDecoder(strings.NewReader(ts.ReadFile("stdout")))
	dec.UseNumber()
	ts.Check(dec.Decode(&doc))
	if dec.More() {
		ts.Fatalf("more than one JSON value on standard output")
	}
	for _, key := range strings.Split(args[0], ".") {
		switch v := doc.(type) {
		case map[string]any:
			next, ok := v[key]
			if !ok {
				if neg {
					return
				}
				ts.Fatalf("no key %q of %s", key, args[0])
			}
			doc = next
		case []any:
			i, err := strconv.Atoi(key)
			if key == "length" {
				doc = json.Number(fmt.Sprint(len(v)))
				continue
			}
			if err != nil || i >= len(v) {
				ts.Fatalf("no item %q of %s in a list of %d", key, args[0], len(v))
			}
			doc = v[i]
		default:
			ts.Fatalf("%q of %s is below a plain value", key, args[0])
		}
	}
	got := "null"
	if doc != nil {
		got = fmt.Sprint(doc)
	}
	if (len(args) > 1 && args[1] != "*" && got != args[1]) != neg {
		ts.Fatalf("%s is %s, want %s", args[0], got, args[1])
	}
}

// sparse FILE BYTES makes a file of that size that takes no room.
func sparse(ts *testscript.TestScript, _ bool, args []string) {
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	name := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(name), 0o700))
	f, err := os.Create(name)
	ts.Check(err)
	ts.Check(f.Truncate(size))
	ts.Check(f.Close())
}

func edit(ts *testscript.TestScript, name string, change func([]byte) []byte) {
	data, err := os.ReadFile(ts.MkAbs(name))
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(name), change(data), 0o600))
}

// upto TEXT FROM TO copies the lines up to and with the first that holds the text.
func upto(ts *testscript.TestScript, _ bool, args []string) {
	data, err := os.ReadFile(ts.MkAbs(args[1]))
	ts.Check(err)
	before, after, found := bytes.Cut(data, []byte(args[0]))
	if !found {
		ts.Fatalf("%q is not in %s", args[0], args[1])
	}
	line, _, _ := bytes.Cut(after, []byte("\n"))
	out := bytes.Join([][]byte{before, []byte(args[0]), line, []byte("\n")}, nil)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), out, 0o600))
}

// tear FILE leaves the first half of the last line, as a power cut does.
func tear(ts *testscript.TestScript, _ bool, args []string) {
	edit(ts, args[0], func(b []byte) []byte {
		last := bytes.LastIndexByte(b[:len(b)-1], '\n') + 1
		return b[:last+(len(b)-last)/2]
	})
}

// damage FILE LINE changes one character in the middle of a line; the last line has
// the name last.
func damage(ts *testscript.TestScript, _ bool, args []string) {
	edit(ts, args[0], func(b []byte) []byte {
		lines := bytes.SplitAfter(b, []byte("\n"))
		n := len(lines) - 1 // nothing stands after the last line feed
		if args[1] != "last" {
			var err error
			n, err = strconv.Atoi(args[1])
			ts.Check(err)
		}
		l := lines[n-1]
		l[len(l)/2] ^= 1
		return bytes.Join(lines, nil)
	})
}

// control FILE puts an escape character where the file says <ESC>.
func control(ts *testscript.TestScript, _ bool, args []string) {
	edit(ts, args[0], func(b []byte) []byte { return bytes.ReplaceAll(b, []byte("<ESC>"), []byte("\x1b")) })
}

// replace FILE OLD NEW replaces the first OLD, which must be there.
func replace(ts *testscript.TestScript, _ bool, args []string) {
	edit(ts, args[0], func(b []byte) []byte {
		if !bytes.Contains(b, []byte(args[1])) {
			ts.Fatalf("%q is not in %s", args[1], args[0])
		}
		return bytes.Replace(b, []byte(args[1]), []byte(args[2]), 1)
	})
}
