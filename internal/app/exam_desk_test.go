package app

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/journal"
)

// Between two candidates the checklist first clears what was planted for the one, then plants what was drawn for the other: each
// fault of both draws once, with its own words, and nothing that was left out.
func TestTheChecklistBetweenCandidates(t *testing.T) {
	b := newBay(t)
	pass := b.write("pass", "tide tables and herons\n")
	b.must("assess", "prepare", "ring-dead", "--candidates", "C-01,C-02", "--setting", "observed", "--dir", b.path("day"), "--passphrase-file", pass, "--seal-work", "6")
	one, two := b.key("day/C-01.jsonl", "tide tables and herons").Draw, b.key("day/C-02.jsonl", "tide tables and herons").Draw
	where := func(circuit string) string { return or(circuit, "board") }
	first := b.must("assess", "plant", b.path("day/C-01.jsonl"), "--passphrase-file", pass)
	last := b.must("assess", "plant", b.path("day/C-02.jsonl"), "--clear", "--passphrase-file", pass)
	both := b.must("assess", "plant", b.path("day/C-02.jsonl"), "--after", b.path("day/C-01.jsonl"), "--passphrase-file", pass)
	clear, plant, ok := strings.Cut(both, "Plant, for C-02")
	if !ok || !strings.Contains(clear, "Clear, after C-01") {
		t.Fatal(both)
	}
	for _, f := range one {
		for _, list := range []string{clear, first} {
			text := f.Clear
			if list == first {
				text = f.Plant
			}
			if strings.Count(list, "[ ] "+where(f.Circuit)+": "+text+"\n") != 1 {
				t.Errorf("%q is not once in\n%s", text, list)
			}
		}
	}
	for _, f := range two {
		if strings.Count(plant, "[ ] "+where(f.Circuit)+": "+f.Plant+"\n") != 1 || strings.Count(last, "[ ] "+where(f.Circuit)+": "+f.Clear+"\n") != 1 {
			t.Errorf("%+v is not once in\n%s\n%s", f, plant, last)
		}
		if f.NeverEnergise != strings.Contains(plant, "NEVER ENERGISE "+where(f.Circuit)) && where(f.Circuit) != where(two[0].Circuit) {
			t.Errorf("%+v and never energise:\n%s", f, plant)
		}
	}
	if n := strings.Count(clear, "[ ]"); n != len(one)+1 { // and the readings of the assessor's own
		t.Errorf("%d boxes to clear, %d faults", n, len(one))
	}
	if n := strings.Count(plant, "[ ]"); n != len(two) {
		t.Errorf("%d boxes to plant, %d faults", n, len(two))
	}
	var js struct {
		Candidate string
		Faults    []struct{ Plant string }
		Before    drawn `json:"clear_first"`
	}
	out := b.must("assess", "plant", b.path("day/C-02.jsonl"), "--after", b.path("day/C-01.jsonl"), "--passphrase-file", pass, "--json")
	if err := json.Unmarshal([]byte(out), &js); err != nil || js.Candidate != "C-02" || js.Before.Candidate != "C-01" || len(js.Before.Faults) != len(one) || len(js.Faults) != len(two) {
		t.Errorf("%v: %s", err, out)
	}
	if code, _, _ := b.run("assess", "plant", b.path("day/C-02.jsonl"), "--after", b.path("day/C-01.jsonl"), "--clear", "--passphrase-file", pass); code != ExitUsage {
		t.Errorf("both at once: exit %d", code)
	}
	if code, out, _ := b.run("assess", "plant", b.path("day/C-02.jsonl"), "--after", b.path("day/C-01.jsonl"), "--passphrase-file", b.write("wrong", "some other words\n")); code != ExitUsage || out != "" {
		t.Errorf("without the passphrase: exit %d, %s", code, out)
	}
}

// An adjustment is one candidate's alone, is in the record from the start, and only for somebody who is prepared.
func TestAdjustments(t *testing.T) {
	b := newBay(t)
	pass := b.write("pass", "tide tables and herons\n")
	args := []string{"assess", "prepare", "ring-dead", "--setting", "hold-points", "--passphrase-file", pass, "--seal-work", "6", "--dir"}
	out := b.must(append(args, b.path("day"), "--candidates", "C-01,C-02,C-03", "--extra", "C-02=15,C-03=30")...)
	for id, minutes := range map[string]int{"C-01": 75, "C-02": 90, "C-03": 105} {
		if !strings.Contains(out, fmt.Sprintf("%s.jsonl, %d min", id, minutes)) {
			t.Errorf("%s has not %d min:\n%s", id, minutes, out)
		}
		lines, err := journal.ReadFile(b.path("day/" + id + ".jsonl"))
		if err != nil {
			t.Fatal(err)
		}
		if f := lines[0].Header.Fields; f["minutes"] != "75" || f["extra_minutes"] != fmt.Sprint(minutes-75) {
			t.Errorf("%s: %v", id, f)
		}
	}
	for _, bad := range []string{"C-09=15", "C-01", "C-01=", "C-01=-5", "C-01=much", "C-01=481", "=15"} {
		code, _, errs := b.run(append(args, b.path("other"), "--candidates", "C-01", "--extra", bad)...)
		if _, err := os.Stat(b.path("other")); code != ExitUsage || err == nil {
			t.Errorf("--extra %s: exit %d, %s", bad, code, errs)
		}
	}
}

// Two people do not put marks in place at the same time: the second is told who is at it, nothing is written, and afterwards it
// goes on.
func TestOneOverrideAtATime(t *testing.T) {
	b, d := newBay(t), day{passphrase: "tide tables and herons", code: "heron-77", paper: "radial-insulation"}
	pass := b.write("pass", d.passphrase+"\n")
	b.must("assess", "key", "--out", b.path("assessor"), "--passphrase-file", pass)
	b.must("assess", "prepare", d.paper, "--candidates", "C-01", "--setting", "observed", "--dir", b.path("day"), "--passphrase-file", pass, "--rehearsal", "--seal-work", "6")
	record := b.path("day/C-01.jsonl")
	b.must("assess", "sit", record, "--answers", b.answers("day/C-01.jsonl", dayCandidate{id: "C-01", setting: "observed"}, d)[0], "--passphrase-file", pass)
	override := []string{"assess", "override", record, "insulation", "reading", "--to", "1", "--by", "Sam Orrell", "--reason", "seen at another value", "--key", b.path("assessor"), "--passphrase-file", pass}
	release, err := journal.LockAs(b.path("day/C-01.overrides.jsonl"), "Ruth Pallister")
	if err != nil {
		t.Fatal(err)
	}
	code, _, errs := b.run(override...)
	if _, err := os.Stat(b.path("day/C-01.overrides.jsonl")); code != ExitUsage || !strings.Contains(errs, "in use by Ruth Pallister") || err == nil {
		t.Errorf("while somebody else is at it: exit %d, %s", code, errs)
	}
	if err := release(); err != nil {
		t.Fatal(err)
	}
	b.must(override...)
	b.must(append(override, "--second")...)
	if _, err := os.Stat(b.path("day/C-01.overrides.jsonl.lock")); err == nil {
		t.Error("the lock stays")
	}
	data, recorded := b.read("day/C-01.overrides.jsonl"), b.read("day/C-01.jsonl")
	if list, err := mark.ReadOverrides(data, recorded); err != nil || len(list) != 1 || list[0].By != "Sam Orrell" {
		t.Errorf("%v %v", list, err)
	}
}

// The bar keeps its width, never goes back, and is full at the end.
func TestProgressBar(t *testing.T) {
	was := -1
	for done := 0; done <= 37; done++ {
		line := progress(done, 37)
		n := strings.Count(line, "#")
		if n < was || len([]rune(line)) > 60 || strings.Count(line, "#")+strings.Count(line[:strings.IndexByte(line, ']')], " ") != 40 {
			t.Errorf("%d: %q", done, line)
		}
		if !strings.HasSuffix(line, fmt.Sprintf("%d of 37", done)) {
			t.Errorf("%q", line)
		}
		was = n
	}
	if was != 40 || !strings.Contains(progress(0, 0), "0 of 0") {
		t.Errorf("at the end %d of 40; of nothing %q", was, progress(0, 0))
	}
}
