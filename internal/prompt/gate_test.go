//go:build linux || darwin

package prompt

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"wanderlead/internal/ptytest"
)

// A stream of `y` and Enter, 10,000 of them.
var yeses = strings.Repeat("y\r", 10000)

// TestTypedAhead: what is typed during a slow step answers no gate, whatever it
// is. The keys are all in the terminal before the question is asked.
func TestTypedAhead(t *testing.T) {
	for _, c := range []struct{ scene, wait, ahead, then, want string }{
		{"slow", "pocket", "y\r", ptytest.CtrlD, "got 1 <not-yet> <not-yet>"},
		{"slow", "pocket", ptytest.Down + "\r", ptytest.CtrlD, "got 1 <not-yet> <not-yet>"},
		{"slow", "pocket", ptytest.Down, "\r", "got 1 <not-yet> <not-yet>"},
		{"slow", "pocket", ptytest.Down + "\r", ptytest.Down + "\r", "got 1 <done> <>"},
		{"slow", "pocket", "\x1b[200~", ptytest.Down + "\r", "got 1 <done> <>"},
		{"slowline", "padlock:", "4417\r", "4418\r", "got 1 <4418> <>"},
		{"slowline", "padlock:", "44", "17\r", "got 1 <17> <>"},
		{"slowcode", "code:", "7782\r", "7783\r", "got 1 <7783> <>"},
	} {
		for _, plain := range []string{"", "PROMPT_TEST_PLAIN=1"} {
			c := c
			if plain != "" && c.wait == "pocket" {
				c.ahead, c.then = strings.NewReplacer(ptytest.Down, "2").Replace(c.ahead), strings.NewReplacer(ptytest.Down, "2").Replace(c.then)
			}
			t.Run(c.scene+" "+plain, func(t *testing.T) {
				t.Parallel()
				start := filepath.Join(t.TempDir(), "go")
				p := onTerminal(t, c.scene, "PROMPT_TEST_GO="+start, plain)
				p.Wait("working")
				p.Send(c.ahead)
				p.Expect(echo(c.ahead)) // the terminal has it
				if err := os.WriteFile(start, nil, 0o600); err != nil {
					t.Fatal(err)
				}
				if plain == "" {
					p.Answer(c.wait, c.then)
				} else {
					p.Expect(map[bool]string{true: "means not yet: ", false: "answer: "}[c.wait == "pocket"])
					p.Send(c.then)
				}
				p.Expect(c.want)
			})
		}
	}
}

// echo is what the terminal shows of keys that nobody reads yet.
func echo(keys string) string {
	keys, _, _ = strings.Cut(keys, "\r")
	return strings.ReplaceAll(keys, "\x1b", "^[")
}

// TestYesStream: 10,000 times y and Enter pass no gate, typed ahead or not.
// (A question with a typed answer hands "y" on: what it must hold is known
// only behind the front. A choice is never left by it.)
func TestYesStream(t *testing.T) {
	for _, front := range []string{"", "PROMPT_TEST_PLAIN=1"} {
		t.Run("typed ahead "+front, func(t *testing.T) {
			t.Parallel()
			start := filepath.Join(t.TempDir(), "go")
			p := onTerminal(t, "slow", "PROMPT_TEST_GO="+start, front)
			p.Wait("working")
			typed := make(chan struct{})
			go func() {
				defer close(typed)
				p.Type(yeses) // the terminal takes a few thousand, and the rest as there is room
			}()
			p.Expect("y")
			if err := os.WriteFile(start, nil, 0o600); err != nil {
				t.Fatal(err)
			}
			<-typed
			endsNotYet(t, p)
		})
		t.Run("typed at the question "+front, func(t *testing.T) {
			t.Parallel()
			p := onTerminal(t, "gate", front)
			p.Wait("pocket")
			for !strings.Contains(p.Raw(), "othing taken: \"y\"") { // it has begun to listen
				p.Type("y\r")
				time.Sleep(10 * time.Millisecond)
			}
			p.Type(yeses)
			endsNotYet(t, p)
		})
	}
}

// endsNotYet sends Ctrl-D until the gate takes it (one that comes before the
// question is shown is dropped too), and demands that nothing else was taken.
func endsNotYet(t *testing.T, p *ptytest.Terminal) {
	t.Helper()
	for end := time.Now().Add(ptytest.Patience); time.Now().Before(end) && !strings.Contains(p.Raw(), "got 1"); {
		p.Type(ptytest.CtrlD)
		time.Sleep(10 * time.Millisecond)
	}
	p.Exit()
	if !strings.Contains(p.Raw(), "got 1 <not-yet> <not-yet>") {
		t.Error("the stream was taken for an answer")
	}
}

// TestSignals: told to end from outside, the program leaves the terminal as it
// was: echo, line mode and the cursor.
func TestSignals(t *testing.T) {
	for _, s := range []syscall.Signal{syscall.SIGTERM, syscall.SIGHUP, syscall.SIGINT} {
		for _, c := range [][2]string{{"gate", "pocket"}, {"reading", "r1 in"}, {"code", "code:"}} {
			t.Run(s.String()+" "+c[0], func(t *testing.T) {
				t.Parallel()
				p := onTerminal(t, c[0], "PROMPT_TEST_SIGNALS=1")
				p.Answer(c[1], "1")
				if p.Restored() {
					t.Error("the question has not taken over the terminal, so this test shows nothing")
				}
				if err := p.Process().Signal(s); err != nil {
					t.Fatal(err)
				}
				p.Expect("saved on")
				if code := p.Exit(); code != 130 {
					t.Errorf("exit code %d, want 130", code)
				}
				if !p.Restored() {
					t.Error("the terminal is not set as before")
				}
				if p.CursorHidden() {
					t.Error("the cursor stayed hidden")
				}
			})
		}
	}
}

// TestWindowClosed: a terminal that goes away ends the program at a gate too.
func TestWindowClosed(t *testing.T) {
	t.Parallel()
	p := onTerminal(t, "gates")
	p.Answer("pocket", ptytest.CtrlD)
	p.Answer("pocket", ptytest.CtrlD)
	p.Expect("error " + ErrEnd.Error())
}

// TestPanicIsCaught: a panic in the middle of a question is an error that names
// it, and the terminal is put back.
func TestPanicIsCaught(t *testing.T) {
	t.Parallel()
	p := onTerminal(t, "panic")
	p.Expect("error question ring-1/ends/r1: the terminal prompt broke off")
	p.Exit()
	if !p.Restored() {
		t.Error("the terminal is not set as before")
	}
}

func (f *surveyFront) breakForTest() { f.keys.src = brokenSource{f.keys.src} }

type brokenSource struct{ source }

func (brokenSource) read([]byte, time.Duration) (int, error) { panic("as survey does on a bare pipe") }

// TestPlainOnTerminal: the plain front at each kind of question, without one
// escape code.
func TestPlainOnTerminal(t *testing.T) {
	t.Parallel()
	p := onTerminal(t, "mixed", "PROMPT_TEST_PLAIN=1")
	for _, step := range [][2]string{
		{"answer: ", "?\r"}, {"line to line", ""}, {"answer: ", "1\x1b[1;5D2\r"}, {"got 1 <12>", ""},
		{"from 1 to 3", "earth\r"}, {"got 2 <earth>", ""},
		{"means not yet: ", "y\r"}, {"nothing taken: \"y\"", ""},
		{"means not yet: ", "?\r"}, {"look at the switch itself", ""},
		{"means not yet: ", "2\r"}, {"got 3 <done>", ""},
		{"answer: ", "4417\r"}, {"got 4 <4417>", ""},
		{"answer: ", "secret\r"}, {"got 5 <secret>", ""},
		{"answer: ", "stop\r"}, {"got 6 <stop> <stop>", ""},
	} {
		p.Expect(step[0])
		if step[1] != "" {
			p.Send(step[1])
		}
	}
	p.Expect("all asked")
	if strings.ContainsRune(p.Raw(), 0x1b) {
		t.Errorf("an escape code was written: %q", p.Raw())
	}
	if strings.Count(p.Raw(), "secret") != 1 {
		t.Error("the code was shown while it was typed")
	}
}

// TestDumbTerminal: TERM=dumb gets plain lines.
func TestDumbTerminal(t *testing.T) {
	t.Parallel()
	p := onTerminal(t, "gate", "TERM=dumb")
	p.Expect("means not yet: ")
	p.Send("\r")
	p.Expect("got 1 <not-yet> <not-yet>")
	if strings.ContainsRune(p.Raw(), 0x1b) {
		t.Errorf("an escape code was written: %q", p.Raw())
	}
}
