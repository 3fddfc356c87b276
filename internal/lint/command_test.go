package lint

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/sequence"
)

func command(t *testing.T, dir string, q Request) (code int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	code = Command(library(t, dir), q, &o, &e)
	return code, o.String(), e.String()
}

func TestCommandOnEverything(t *testing.T) {
	code, out, errOut := command(t, "", Request{})
	if code != ExitDone || errOut != "" {
		t.Fatalf("exit %d, %s\n%s", code, errOut, out)
	}
	for _, want := range []string{"rig training-bay\n", "part own-bar\n", "edition bs7671-2018-a4\n", "words en\n", "safety texts en\n",
		"sequence whole-board on training-bay, origin measured: ", "no problems, "} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in:\n%s", want, out)
		}
	}
}

// TestCommandExitCodes: 0 when there is nothing to complain about, 1 when there is, 2 when the question makes no sense.
func TestCommandExitCodes(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "bad.yaml", "sequence: bad\ntitle: Bad\nsteps: none\n")
	put(t, dir, "rigs/bad-rig.yaml", "id: bad-rig\ntitle:\n")
	put(t, dir, "answers-good.txt", "answers: []\n")
	put(t, dir, "answers-bad.txt", "answers:\n  - {at: a, sya: b}\n")
	put(t, dir, "words/en/own.yaml", "words: en\ntexts:\n  own.text: \"an {open brace\"\n")
	put(t, dir, "editions/own.yaml", "edition: own\ntitle: Own\nbase: bs7671-2018-a2\nvalues: 3\n")
	at := func(n string) string { return filepath.Join(dir, n) }
	for _, c := range []struct {
		name string
		q    Request
		code int
		says string
	}{
		{"a sound sequence", Request{Names: []string{"lesson-ring"}, Rig: "training-bay"}, ExitDone, "sequence lesson-ring on training-bay"},
		{"a sound rig", Request{Names: []string{"training-bay"}, Rig: "training-bay"}, ExitDone, "rig training-bay"},
		{"a sound edition", Request{Names: []string{"bs7671-2018"}, Rig: "training-bay"}, ExitDone, "edition bs7671-2018"},
		{"a part", Request{Names: []string{"own-bar"}, Rig: "training-bay"}, ExitDone, "part own-bar"},
		{"a rig without a ring", Request{Names: []string{"lesson-ring"}, Rig: "slip-outbuilding"}, ExitNo, "has no circuit that is ring"},
		{"a broken sequence", Request{Names: []string{"bad"}, Rig: "training-bay"}, ExitNo, "bad.yaml:3:8: expected a list"},
		{"a broken rig", Request{Names: []string{"bad-rig"}, Rig: "training-bay"}, ExitNo, "bad-rig.yaml:2:7: no value is given"},
		{"a broken edition", Request{Names: []string{"own"}, Rig: "training-bay"}, ExitNo, "editions/own.yaml:4:9"},
		{"everything of a folder", Request{Rig: "training-bay"}, ExitNo, "own.yaml:3:13"},
		{"a file", Request{Names: []string{at("bad.yaml")}, Rig: "training-bay"}, ExitNo, "bad.yaml:3:8"},
		{"answers", Request{Names: []string{at("answers-good.txt")}, Rig: "training-bay"}, ExitDone, "answers "},
		{"broken answers", Request{Names: []string{at("answers-bad.txt")}, Rig: "training-bay"}, ExitNo, "answers-bad.txt:2:"},
		{"an unknown name", Request{Names: []string{"lesson-rign"}, Rig: "training-bay"}, ExitUsage, "did you mean \"lesson-ring\"?"},
		{"an unknown rig", Request{Rig: "training-bya"}, ExitUsage, "did you mean \"training-bay\"?"},
		{"an unknown edition", Request{Edition: "bs7671-1066"}, ExitUsage, "no edition is named"},
		{"an unknown origin", Request{Incoming: "guessed"}, ExitUsage, "measured or declared"},
		{"a file that is not there", Request{Names: []string{at("none.yaml")}}, ExitUsage, "none.yaml"},
		{"a folder", Request{Names: []string{dir + "/rigs"}}, ExitUsage, "not a regular file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			code, out, errOut := command(t, dir, c.q)
			if code != c.code || !strings.Contains(out+errOut, c.says) {
				t.Errorf("exit %d, want %d with %q:\n%s%s", code, c.code, c.says, out, errOut)
			}
			if (code == ExitUsage) != (errOut != "") || code == ExitUsage && out != "" {
				t.Errorf("problems belong on standard output, usage on standard error: %q, %q", out, errOut)
			}
		})
	}
}

func TestCommandJSON(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "bad.yaml", "sequence: bad\ntitle: Bad\nsteps:\n  - act: remove\n")
	code, out, _ := command(t, dir, Request{Names: []string{"bad"}, Rig: "training-bay", JSON: true})
	var v struct {
		Problems, Remarks []struct {
			File, Message, Source, Rule string
			Line, Col                   int
			Hints, Rigs                 []string
		}
		Checked []Checked
	}
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		t.Fatalf("%v:\n%s", err, out)
	}
	if code != ExitNo || len(v.Problems) == 0 || v.Problems[0].Line != 4 || v.Problems[0].Rule == "" || v.Problems[0].Hints == nil {
		t.Errorf("exit %d, %+v", code, v)
	}
}

type mapCache map[string]Walked

func (m mapCache) Get(k string) (Walked, bool) { w, ok := m[k]; return w, ok }
func (m mapCache) Put(k string, w Walked)      { m[k] = w }

// TestWalkIsRemembered: the walk is done once for the same content and program, again when either changes, and never
// taken from memory when it found something.
func TestWalkIsRemembered(t *testing.T) {
	walks, found := 0, []string(nil)
	cache := mapCache{}
	o := Options{Cache: cache, Program: "one", Walk: func(coach.Setup) Walked {
		walks++
		return Walked{States: 1, Problems: found}
	}}
	full := func(dir string, program string, origin sequence.Origin) (Problems, Walked) {
		t.Helper()
		lib := library(t, dir)
		pack, err := edition.Load(lib, "")
		if err != nil {
			t.Fatal(err)
		}
		o.Program = program
		return Full(lib, loadSeq(t, lib, "whole-board"), loadRig(t, lib, "training-bay"), origin, pack, o)
	}
	changed, rigged := t.TempDir(), t.TempDir()
	put(t, changed, "own-bar.yaml", edited(t, "own-bar.yaml", "title: Line way", "title: A line way"))
	put(t, rigged, "rigs/training-bay.yaml", edited(t, "rigs/training-bay.yaml", "bench left", "bench far left"))
	for i, c := range []struct {
		dir, program string
		origin       sequence.Origin
		want         int // walks so far
	}{
		{"", "one", sequence.Measured, 1}, {"", "one", sequence.Measured, 1}, {"", "two", sequence.Measured, 2},
		{"", "two", sequence.Declared, 3}, {changed, "two", sequence.Declared, 4}, {rigged, "two", sequence.Declared, 5},
		{"", "two", sequence.Declared, 5}, {"", "", sequence.Declared, 6}, {"", "", sequence.Declared, 7},
	} {
		before := walks
		ps, w := full(c.dir, c.program, c.origin)
		if walks != c.want || w.Remembered != (walks == before) || len(ps.Bad()) > 0 {
			t.Errorf("turn %d: %d walks, want %d; remembered %v; %v", i, walks, c.want, w.Remembered, ps)
		}
	}
	found = []string{"stuck: nothing takes it further"}
	for range 2 {
		before := walks
		if ps, _ := full("", "three", sequence.Measured); len(ps.Bad()) != 1 || ps.Bad()[0].Rule != "walk" || walks != before+1 {
			t.Errorf("a walk that found something: %v after %d walks", ps, walks-before)
		}
	}
}

func TestDirCache(t *testing.T) {
	c := DirCache{filepath.Join(t.TempDir(), "walks")}
	if _, ok := c.Get("k"); ok {
		t.Error("found in an empty cache")
	}
	c.Put("k", Walked{States: 7, Transitions: 9})
	if w, ok := c.Get("k"); !ok || w.States != 7 || w.Transitions != 9 {
		t.Errorf("got %+v, %v", w, ok)
	}
	for _, damage := range []string{"", "{", "null", `{"states":0}`} {
		if err := os.WriteFile(c.file("k"), []byte(damage), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok := c.Get("k"); ok {
			t.Errorf("a damaged entry %q was taken", damage)
		}
	}
	files, _ := os.ReadDir(c.Dir)
	if len(files) != 1 {
		t.Errorf("%d files left", len(files))
	}
	// A folder that cannot be made is no error: the walk is done again.
	DirCache{filepath.Join(c.file("k"), "below")}.Put("k", Walked{States: 1})
	if first, second := ProgramMark(), ProgramMark(); first == "" || first != second {
		t.Error("the program's mark is empty or changes")
	}
}
