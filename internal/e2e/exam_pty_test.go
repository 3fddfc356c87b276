//go:build linux || darwin

package e2e

import (
	"strings"
	"testing"

	"wanderlead/internal/ptytest"
)

// The assessor's flow at a terminal of 80 columns: two candidates open at once, one key
// for an ordinary observation, two keys to change between candidates, and an
// interruption that loses nothing.
func TestTheAssessorsDesk(t *testing.T) {
	w := newWorld(t)
	pass := w.write("pass", "tide tables and herons\n")
	w.run(nil, "assess", "prepare", "ring-dead", "--candidates", "C-01,C-02", "--setting", "observed", "--dir", "day", "--passphrase-file", pass, "--seal-work", "6").must(t, 0)
	desk := ptytest.Start(t, w.command("assess", "sit", "day/C-01.jsonl", "day/C-02.jsonl", "--passphrase-file", pass), 80, 40)
	begin := func(code string) {
		desk.Answer("your name?", "Ruth Pallister"+ptytest.Enter)
		desk.Answer("choose a code", code+ptytest.Enter)
	}
	desk.Expect("[1] C-01")
	begin("heron-77")
	desk.Answer("What goes into the record?", "A. Candidate"+ptytest.Enter)
	desk.Answer("s seen", "s") // one key, no Enter
	desk.Answer("What goes into the record?", "\t2")
	desk.Expect("[2] C-02")
	begin("heron-78")
	desk.Answer("What goes into the record?", "B. Candidate"+ptytest.Enter)
	desk.Answer("p prompted", "p")
	desk.Answer("What goes into the record?", "BY-07"+ptytest.Enter)
	desk.Answer("n not seen", "\t1") // also from the single-key question
	desk.Expect("[1] C-01")
	desk.Answer("What goes into the record?", "BY-07"+ptytest.Enter)
	desk.Answer("n not seen", "n")
	desk.Answer("What goes into the record?", ptytest.CtrlC)
	if code := desk.Exit(); code != 130 {
		t.Errorf("exit %d", code)
	}
	for id, want := range map[string]string{"C-01": "seen not-seen", "C-02": "prompted"} {
		var got []string
		list, closed := turns(t, w.path("day/"+id+".jsonl"))
		for _, u := range list {
			if u.Type == "observe" {
				got = append(got, u.Raw)
			}
		}
		if strings.Join(got, " ") != want || closed != "" {
			t.Errorf("%s: observed %v, closed %q", id, got, closed)
		}
	}
	for _, line := range strings.Split(desk.Raw(), "\n") {
		if text := withoutReturn(line); len([]rune(text)) > 80 && !strings.Contains(line, "\x1b[") {
			t.Errorf("%d columns: %q", len([]rune(text)), text)
		}
	}
}

func withoutReturn(s string) string { return strings.TrimRight(s, "\r") }
