package app

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/hostile"
	"wanderlead/internal/journal"
	"wanderlead/internal/own"
	"wanderlead/internal/record"
)

// TestNothingIsPrintedPast: every command writes through out, jsonOut or errs. What is left writes what it made harmless
// itself, and is listed.
func TestNothingIsPrintedPast(t *testing.T) {
	past := regexp.MustCompile(`(Fprint\w*|NewEncoder)\(\w*\.?\w*\.?sys\.(Out|Err)\b|sys\.Out\.Write\(`)
	allowed := map[string]string{
		`fmt.Fprintln(sys.Err, "wanderlead: "+plainText(e.err.Error()))`:                         "made harmless there",
		`fmt.Fprintln(sys.Err, "hint: "+plainText(h))`:                                           "made harmless there",
		`fmt.Fprintln(a.sys.Err)`:                                                                "nothing in it",
		`fmt.Fprintln(a.sys.Err, plain.Painted(line))`:                                           "made harmless there",
		`if _, err := a.sys.Out.Write(out); err != nil {`:                                        "a schedule; package report makes it harmless",
		`_, err := a.sys.Out.Write(data)`:                                                        "a rig as package rig writes it; it holds nothing else",
		`f.Progress = func(done, of int) { fmt.Fprintf(a.sys.Err, "\r%s", progress(done, of)) }`: "two numbers",
	}
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 20 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for n, line := range strings.Split(string(data), "\n") {
			if line = strings.TrimSpace(line); past.MatchString(line) && allowed[line] == "" {
				t.Errorf("%s:%d: %s", f, n+1, line)
			}
		}
	}
}

// hostileName is a name as somebody might put it into a record: it clears the screen, renames the window, turns the
// writing round, and is a formula.
const hostileName = "=1+1\x1b[2J\x1b]0;x\a\u202egnp\u2066\u009b31m"

// hostileRecord makes a record whose every free field holds hostileName.
func hostileRecord(t *testing.T, b *bay, name string, events ...journal.Event) string {
	t.Helper()
	kit, err := record.Gather(builtin(t), "lesson-continuity", "rigging-store", "", "")
	if err != nil {
		t.Fatal(err)
	}
	h := kit.Header()
	h.Version, h.Created, h.Session = hostileName, "2027-03-01T09:00:00Z", "0011223344556677"
	if h.Fields == nil {
		h.Fields = map[string]string{}
	}
	for _, k := range []string{"tested-by", "date", "supervisor", "instrument", "instrument-calibration", "candidate", "board-reference"} {
		h.Fields[k] = hostileName
	}
	path := b.path(name)
	j, err := journal.Create(path, h)
	if err != nil {
		t.Fatal(err)
	}
	for _, ev := range events {
		if _, err := j.Said(ev); err != nil {
			t.Fatal(err)
		}
	}
	if err := j.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestRecordsActOnNothing: whatever a record holds, no command that reads one writes anything that acts on a terminal,
// and no cell of its table starts a formula.
func TestRecordsActOnNothing(t *testing.T) {
	b := newBay(t)
	path := hostileRecord(t, b, "hostile.jsonl", journal.Event{Time: "2027-03-01T09:00:01Z", Type: journal.TypeAnswer, At: hostileName, Raw: hostileName})
	fits := hostileRecord(t, b, "fits.jsonl")
	named := b.write("\u202ename\x1b[2J.jsonl", "{}\n")
	for _, args := range [][]string{
		{"verify", path}, {"verify", path, "--json"}, {"report", path}, {"report", path, "--csv"}, {"report", path, "--json"}, {"report", path, "--csv"},
		{"verify", fits}, {"report", fits}, {"report", fits, "--csv"}, {"report", fits, "--json"}, {"resume", fits}, {"resume", path}, {"resume", path, "--plain"}, {"locate", "--journal", path, "--circuit", "x"}, {"assess", "mark", path}, {"assess", "evidence", path}, {"assess", "evidence", path, "--json"},
		{"cohort", b.dir}, {"cohort", b.dir, "--json"}, {"cohort", b.dir, "--csv"}, {"verify", named}, {"lint", hostileName}, {"explain", hostileName}, {"judge", hostileName, hostileName},
		{"judge", "zs", hostileName}, {"practise", "--rig", hostileName}, {"progress", "--learner", hostileName}, {"signature", "--faults", hostileName}, {"locate", hostileName}, {hostileName}, {"--" + hostileName}} {
		code, out, errs := b.run(args...)
		// The names are there, so that the test could fail.
		if args[0] == "report" && args[1] == fits && (code != ExitDone || !strings.Contains(out, "=1+1")) {
			t.Errorf("%v: exit %d, %s%s", args, code, out, errs)
		}
		if strings.Contains(out, ",=") {
			t.Errorf("%v: a cell starts a formula:\n%s", args, out)
		}
		out = strings.TrimPrefix(out, "\ufeff") // of a table, see package report
		for _, text := range []string{strings.ReplaceAll(out, "\r\n", "\n"), errs} {
			if bad := hostile.Acts(text); bad != "" {
				t.Errorf("%.40q: %s", args, bad)
			}
		}
		if len(out)+len(errs) == 0 {
			t.Errorf("%.40q: nothing is said", args)
		}
	}
}

// TestMemoryActsOnNothing is the same for a learner's memory.
func TestMemoryActsOnNothing(t *testing.T) {
	b := newBay(t)
	dir := filepath.Join(b.dir, "wanderlead", "learners")
	if err := os.MkdirAll(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	text := `{"version":1,"learner":"sam","mistakes":{"` + "\u202e\u009b31m" + `\u001b[2J":{"times":2,"last":"2027-01-01"}},"sessions":[{"day":"\u001b[2J"}]}`
	if err := os.WriteFile(filepath.Join(dir, "sam.json"), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"progress", "--learner", "sam"}, {"progress", "--learner", "sam", "--json"}, {"progress", "export", "-", "--learner", "sam"}} {
		code, out, errs := b.run(args...)
		if bad := hostile.Acts(out + errs); bad != "" || code != ExitDone {
			t.Errorf("%v: exit %d, %s%s", args, code, bad, errs)
		}
	}
}

// TestHeldRecordsAreNamed: a second process on a record, of a session or of an exam, is told who holds it and changes
// nothing.
func TestHeldRecordsAreNamed(t *testing.T) {
	b := newBay(t)
	pass := b.write("pass", "four words to seal it\n")
	b.must("assess", "prepare", "ring-dead", "--candidates", "C-01", "--setting", "alone", "--dir", b.path("day"), "--passphrase-file", pass, "--seal-work", "6")
	exam, session := b.path("day/C-01.jsonl"), hostileRecord(t, b, "hostile.jsonl")
	for path, args := range map[string][]string{exam: {"assess", "sit", exam, "--passphrase-file", pass}, session: {"resume", session}} {
		j, _, err := journal.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		before := b.read(strings.TrimPrefix(path, b.dir+"/"))
		code, _, errs := b.run(args...)
		if code != ExitUsage || !strings.Contains(errs, "process") {
			t.Errorf("%v: exit %d, %s", args[:2], code, errs)
		}
		if after := b.read(strings.TrimPrefix(path, b.dir+"/")); string(after) != string(before) {
			t.Errorf("%s was changed", path)
		}
		if err := j.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// TestExamFilesAreTheOwnersAlone: private modes, nothing written over, and no link followed where a mark is overridden.
func TestExamFilesAreTheOwnersAlone(t *testing.T) {
	b := newBay(t)
	pass := b.write("pass", "four words to seal it\n")
	prepare := []string{"assess", "prepare", "ring-dead", "--candidates", "C-01", "--setting", "alone", "--dir", b.path("day"), "--passphrase-file", pass, "--seal-work", "6"}
	b.must(prepare...)
	b.must("assess", "key", "--out", b.path("day/assessor"), "--passphrase-file", pass)
	for name, want := range map[string]os.FileMode{"day": os.ModeDir | own.FolderMode, "day/C-01.jsonl": own.Mode, "day/C-01.key.age": own.Mode, "day/assessor": own.Mode} {
		if info, err := os.Stat(b.path(name)); err != nil || info.Mode() != want {
			t.Errorf("%s: %v, %v; want %v", name, info.Mode(), err, want)
		}
	}
	was := string(b.read("day/C-01.jsonl")) + string(b.read("day/C-01.key.age"))
	if code, _, errs := b.run(prepare...); code != ExitUsage {
		t.Errorf("prepared twice: exit %d, %s", code, errs)
	}
	if string(b.read("day/C-01.jsonl"))+string(b.read("day/C-01.key.age")) != was {
		t.Error("a prepared record was written over")
	}
	for _, id := range []string{"../C-01", "a/b", "..", "", "-x", "a\x1b", "C 1", "C-01.key"} {
		args := append([]string{}, prepare...)
		args[4] = id
		if code, _, errs := b.run(args...); code != ExitUsage || hostile.Acts(errs) != "" {
			t.Errorf("candidate %q: exit %d, %q", id, code, errs)
		}
	}
	other := b.write("other", "theirs")
	if err := os.Symlink(other, b.path("day/linked.jsonl")); err != nil {
		t.Skip("no links here: ", err)
	}
	args := append([]string{}, prepare...)
	args[4] = "linked"
	if code, _, _ := b.run(args...); code != ExitUsage || string(b.read("other")) != "theirs" {
		t.Errorf("a record was made through a link: exit %d", code)
	}
}
