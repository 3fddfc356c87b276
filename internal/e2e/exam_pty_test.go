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
	begin := func(code string) { begin(desk, code) }
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

// begin answers what the assessor is asked first.
func begin(desk *ptytest.Terminal, code string) {
	desk.Answer("your name?", "Ruth Pallister"+ptytest.Enter)
	desk.Answer("choose a code", code+ptytest.Enter)
	desk.Answer("once more", code+ptytest.Enter)
}

// lines answers in plain lines: when the question stands there, and the line calls for an answer.
func lines(desk *ptytest.Terminal, asked ...string) {
	for i := 0; i+1 < len(asked); i += 2 {
		desk.Expect(asked[i])
		desk.Expect("answer: ")
		desk.Send(asked[i+1] + ptytest.Enter)
	}
}

// beginPlain is begin in plain lines.
func beginPlain(desk *ptytest.Terminal, code string) {
	lines(desk, "your name?", "Ruth Pallister", "choose a code", code, "once more", code)
}

// prepared makes records of an exam, and gives the file with the passphrase.
func (w *world) prepared(paper, setting string, ids ...string) string {
	w.t.Helper()
	pass := w.write("pass", "tide tables and herons\n")
	w.run(nil, "assess", "prepare", paper, "--candidates", strings.Join(ids, ","), "--setting", setting, "--dir", "day",
		"--passphrase-file", pass, "--seal-work", "6").must(w.t, 0)
	return pass
}

// deskWithAClock seats candidates of a short paper at a desk whose clock the test puts on, by what it writes into the file "ahead".
func (w *world) deskWithAClock(setting string, ids []string, more ...string) *ptytest.Terminal {
	w.t.Helper()
	args := []string{"assess", "sit"}
	for _, id := range ids {
		args = append(args, "day/"+id+".jsonl")
	}
	args = append(append(args, "--passphrase-file", w.prepared("radial-insulation", setting, ids...)), more...)
	cmd := w.command(args...)
	cmd.Env = append(cmd.Env, clockAt+"=2027-03-01T09:00:00Z", clockBy+"="+w.write("ahead", "0s"))
	return ptytest.Start(w.t, cmd, 80, 40)
}

// The time runs out while somebody types: what they have typed by then is kept, marked late, and the exam ends there, without a
// key being pressed. The clock is the test's own.
func TestTimeOverWhileTyping(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, typed, want string }{
		{"half a line", "A. Cand", "A. Cand"},
		{"put right with the arrows", "A.Cxd" + ptytest.Left + ptytest.Backspace + "an" + ptytest.Left + ptytest.Left + ptytest.Left + " ", "A. Cand"},
		{"nothing", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			w := newWorld(t)
			desk := w.deskWithAClock("hold-points", []string{"C-01"})
			begin(desk, "heron-77")
			desk.Answer("What goes into the record?", c.typed)
			if c.want != "" {
				desk.Wait("What goes into the record? " + c.want)
			}
			w.write("ahead", "31m")
			desk.Expect("The time is over")
			if code := desk.Exit(); code != 0 {
				t.Errorf("exit %d", code)
			}
			if !desk.Restored() || desk.CursorHidden() {
				t.Error("the terminal is not as before")
			}
			list, closed := turns(t, w.path("day/C-01.jsonl"))
			last := list[len(list)-1]
			if last.Type != "time" || last.Raw != c.want || closed != "time-over" {
				t.Errorf("the record ends with %s %q, closed %q", last.Type, last.Raw, closed)
			}
		})
	}
}

// In plain lines what is typed cannot be seen before Enter: that the time is over is said at once, and the line is taken as late.
func TestTimeOverInPlainLines(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	desk := w.deskWithAClock("hold-points", []string{"C-01"}, "--plain")
	beginPlain(desk, "heron-77")
	desk.Expect("What goes into the record?")
	desk.Expect("answer: ")
	w.write("ahead", "31m")
	desk.Expect("the time is over")
	desk.Send("A. Candidate" + ptytest.Enter)
	desk.Expect("marked as late")
	if code := desk.Exit(); code != 0 {
		t.Errorf("exit %d", code)
	}
	list, closed := turns(t, w.path("day/C-01.jsonl"))
	if last := list[len(list)-1]; last.Type != "answer" || last.Raw != "A. Candidate" || closed != "time-over" {
		t.Errorf("the record ends with %s %q, closed %q", last.Type, last.Raw, closed)
	}
}

// Somebody's time runs out while another candidate of the desk is asked: it is told and kept as soon as the assessor is through
// with the question, and the other's exam goes on.
func TestTimeOverAtAnotherSeat(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	desk := w.deskWithAClock("hold-points", []string{"C-01", "C-02"})
	begin(desk, "heron-77")
	desk.Answer("What goes into the record?", "\t2")
	desk.Expect("[2] C-02")
	w.write("ahead", "20m") // a staggered start
	begin(desk, "heron-78")
	desk.Expect("What goes into the record?")
	w.write("ahead", "31m")
	desk.Answer("What goes into the record?", "B. Candidate"+ptytest.Enter)
	desk.Expect("[1] C-01")
	desk.Expect("time is over, and the exam ends here")
	desk.Answer("What goes into the record?", ptytest.CtrlC)
	if code := desk.Exit(); code != 130 {
		t.Errorf("exit %d", code)
	}
	if list, closed := turns(t, w.path("day/C-01.jsonl")); closed != "time-over" || list[len(list)-1].Type != "time" {
		t.Errorf("the first is closed %q", closed)
	}
	if list, closed := turns(t, w.path("day/C-02.jsonl")); closed != "" || list[len(list)-1].Raw != "B. Candidate" {
		t.Errorf("the second is closed %q", closed)
	}
}

// A pause stops the clock for as long as it takes, at the desk as well, and only "go on" ends it.
func TestThePausedDesk(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	desk := w.deskWithAClock("observed", []string{"C-01", "C-02"})
	begin(desk, "heron-77")
	desk.Answer("What goes into the record?", "A. Candidate"+ptytest.Enter)
	desk.Answer("s seen", "z") // one key pauses
	desk.Answer("Paused: the clock stands", "\t2")
	desk.Expect("[2] C-02") // another seat goes on meanwhile
	begin(desk, "heron-78")
	desk.Answer("What goes into the record?", "pause"+ptytest.Enter)
	desk.Expect("Paused: the clock stands")
	w.write("ahead", "10h")
	desk.Send("\t1")
	desk.Expect("[1] C-01")
	desk.Answer("Paused: the clock stands", ptytest.Enter)
	desk.Answer("s seen", "s") // what was to be observed still is
	desk.Expect("0 of 30 min used")
	desk.Answer("What goes into the record?", ptytest.CtrlC)
	if code := desk.Exit(); code != 130 {
		t.Errorf("exit %d", code)
	}
	want := map[string]string{"C-01": "answer answer answer pause resume observe", "C-02": "answer answer pause"}
	for id, types := range want {
		var got []string
		list, _ := turns(t, w.path("day/"+id+".jsonl"))
		for _, u := range list {
			got = append(got, u.Type)
		}
		if strings.Join(got, " ") != types {
			t.Errorf("%s: %v", id, got)
		}
	}
}

// Seats in plain lines: =2 changes between candidates, an observation is a line, and no escape code is written.
func TestPlainSeats(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	pass := w.prepared("radial-insulation", "observed", "C-01", "C-02")
	desk := ptytest.Start(t, w.command("assess", "sit", "day/C-01.jsonl", "day/C-02.jsonl", "--passphrase-file", pass, "--plain"), 80, 40)
	desk.Expect("[1] C-01")
	beginPlain(desk, "heron-77")
	lines(desk, "What goes into the record?", "A. Candidate", "s seen", "=2", "[2] C-02", "Ruth Pallister", "choose a code", "heron-78", "once more", "heron-78",
		"What goes into the record?", "=1", "s seen", "not seen", "What goes into the record?", "BY-07", "s seen", "p")
	desk.Expect("What goes into the record?")
	desk.Expect("answer: ")
	desk.Send(ptytest.CtrlC)
	if code := desk.Exit(); code != 130 {
		t.Errorf("exit %d", code)
	}
	if strings.Contains(desk.Raw(), "\x1b") {
		t.Error("an escape code was written")
	}
	var got []string
	list, _ := turns(t, w.path("day/C-01.jsonl"))
	for _, u := range list {
		if u.Type == "observe" {
			got = append(got, u.Raw)
		}
	}
	if strings.Join(got, " ") != "not-seen prompted" {
		t.Errorf("observed %v", got)
	}
}

// A code is set only when it was typed the same twice.
func TestTheCodeIsTypedTwice(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	pass := w.prepared("radial-insulation", "observed", "C-01")
	desk := ptytest.Start(t, w.command("assess", "sit", "day/C-01.jsonl", "--passphrase-file", pass), 80, 40)
	desk.Answer("your name?", "Ruth Pallister"+ptytest.Enter)
	desk.Answer("choose a code", "heron-77"+ptytest.Enter)
	desk.Answer("once more", "heron-78"+ptytest.Enter)
	desk.Expect("not the same")
	desk.Answer("choose a code", "heron-77"+ptytest.Enter)
	desk.Answer("once more", "heron-77"+ptytest.Enter)
	desk.Answer("What goes into the record?", ptytest.CtrlC)
	desk.Exit()
	if list, _ := turns(t, w.path("day/C-01.jsonl")); len(list) != 2 {
		t.Errorf("%d entries: %v", len(list), list)
	}
}

// The bar of a cohort is drawn over itself on standard error at a terminal, and is not there in plain lines.
func TestCohortBar(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	pass := w.prepared("radial-insulation", "observed", "C-01", "C-02", "C-03")
	for _, c := range []struct {
		flag string
		bar  bool
	}{{"--no-color", true}, {"--plain", false}} {
		x := ptytest.Start(t, w.command("cohort", "day", "--passphrase-file", pass, c.flag), 80, 24)
		x.Expect("left out")
		x.Exit()
		if got := strings.Contains(x.Raw(), "\r[") && strings.Contains(x.Raw(), "3 of 3"); got != c.bar {
			t.Errorf("%s: a bar %v:\n%q", c.flag, got, x.Raw())
		}
	}
}
