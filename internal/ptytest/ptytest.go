// Package ptytest runs a program on a pseudo-terminal and plays the person in
// front of it: it draws what the program writes, answers its cursor queries,
// types keys and waits for text. It is for tests only.
package ptytest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"golang.org/x/term"
)

// Patience is how long a wait lasts before the test fails. It bounds a hang;
// no test measures with it.
const Patience = 20 * time.Second

// Keys as a terminal sends them.
const (
	Enter     = "\r"
	Up        = "\x1b[A"
	Down      = "\x1b[B"
	Left      = "\x1b[D"
	Right     = "\x1b[C"
	CtrlC     = "\x03"
	CtrlD     = "\x04"
	Backspace = "\x7f"
)

// Ready is what a program writes when a question begins to take keys: a colour
// reset in its short form, which shows nothing.
const Ready = "\x1b[m"

// Terminal is one running program and its screen.
type Terminal struct {
	t    testing.TB
	cmd  *exec.Cmd
	file *os.File // our end
	tty  *os.File // the program's end, kept open to ask for its modes
	gone chan struct{}
	err  error // of Wait, once gone is closed

	before, after term.State // how the terminal is set, around the run

	mu     sync.Mutex
	screen *vt.Emulator
	text   bytes.Buffer // everything written
	mark   int          // where text stood at the last Send
}

// Option changes how Start sets things up.
type Option func(*setup)

type setup struct{ deaf bool }

// Deaf makes a terminal that answers no cursor query, like a bare pipe to a
// terminal in some build machines.
func Deaf(s *setup) { s.deaf = true }

// Start runs cmd on a terminal of this size. It is ended with the test, and the
// screen is logged if the test failed.
func Start(t testing.TB, cmd *exec.Cmd, columns, rows int, options ...Option) *Terminal {
	t.Helper()
	var s setup
	for _, o := range options {
		o(&s)
	}
	file, tty, err := pty.Open()
	if errors.Is(err, pty.ErrUnsupported) {
		t.Skip("no pseudo-terminals on this system")
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := pty.Setsize(file, &pty.Winsize{Rows: uint16(rows), Cols: uint16(columns)}); err != nil {
		t.Fatal(err)
	}
	p := &Terminal{t: t, cmd: cmd, file: file, tty: tty, gone: make(chan struct{}), screen: vt.NewEmulator(columns, rows)}
	if p.before, err = p.modes(); err != nil {
		t.Fatal(err)
	}
	cmd.Stdin, cmd.Stdout, cmd.Stderr = tty, tty, tty
	cmd.SysProcAttr = ownSession()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	answers := io.Writer(file)
	if s.deaf {
		answers = io.Discard
	}
	go io.Copy(answers, p.screen)
	drawn := make(chan struct{})
	go func() {
		p.draw()
		close(drawn)
	}()
	go func() {
		p.err = cmd.Wait()
		p.after, _ = p.modes()
		tty.Close() // ends draw, after the last that was written
		<-drawn
		close(p.gone)
	}()
	t.Cleanup(p.end)
	return p
}

func (p *Terminal) draw() {
	var b [4096]byte
	for {
		n, err := p.file.Read(b[:])
		p.mu.Lock()
		p.screen.Write(b[:n])
		p.text.Write(b[:n])
		p.mu.Unlock()
		if err != nil {
			return
		}
	}
}

func (p *Terminal) end() {
	if p.t.Failed() {
		p.t.Logf("screen at the end:\n%s", p.Screen())
	}
	p.cmd.Process.Kill()
	<-p.gone
	p.file.Close()
}

// Send types keys. What Expect looks at starts here.
func (p *Terminal) Send(keys string) {
	p.t.Helper()
	p.mu.Lock()
	p.mark = p.text.Len()
	p.mu.Unlock()
	p.Type(keys)
}

// Type types keys without moving where Expect starts.
func (p *Terminal) Type(keys string) {
	p.t.Helper()
	if _, err := io.WriteString(p.file, keys); err != nil {
		select {
		case <-p.gone: // there is nobody to type to
		case <-time.After(Patience):
			p.t.Errorf("typing: %v", err)
		}
	}
}

// Expect waits until text has been written since the last Send.
func (p *Terminal) Expect(text string) {
	p.t.Helper()
	p.until(fmt.Sprintf("%q written", text), func() bool { return strings.Contains(p.Since(), text) })
}

// Answer waits until text has been written since the last Send and the question
// after it takes keys, then types. A question that drops what was typed before
// it was shown needs this; so the program must write Ready when it takes keys.
func (p *Terminal) Answer(text, keys string) {
	p.t.Helper()
	p.until(fmt.Sprintf("%q asked", text), func() bool {
		p.mu.Lock()
		defer p.mu.Unlock()
		since := string(p.text.Bytes()[p.mark:])
		at := strings.LastIndex(since, Ready)
		return at >= 0 && strings.Contains(escapes.ReplaceAllString(since[:at], ""), text)
	})
	p.Send(keys)
}

// AnswerNext is Answer for a question that follows another one whose own redraws, as
// arrows were pressed, look like a question too: text and Ready have to come after
// what is left standing of the answered one.
func (p *Terminal) AnswerNext(answered, text, keys string) {
	p.t.Helper()
	p.until(fmt.Sprintf("%q asked after %q", text, answered), func() bool {
		p.mu.Lock()
		defer p.mu.Unlock()
		since := string(p.text.Bytes()[p.mark:])
		at := strings.LastIndex(since, Ready)
		if at < 0 {
			return false
		}
		_, after, ok := strings.Cut(escapes.ReplaceAllString(since[:at], ""), answered)
		return ok && strings.Contains(after, text)
	})
	p.Send(keys)
}

// Wait waits until text stands on the screen.
func (p *Terminal) Wait(text string) {
	p.t.Helper()
	p.until(fmt.Sprintf("%q on the screen", text), func() bool { return strings.Contains(p.Screen(), text) })
}

func (p *Terminal) until(what string, done func() bool) {
	p.t.Helper()
	for end := time.Now().Add(Patience); time.Now().Before(end); time.Sleep(2 * time.Millisecond) {
		if done() {
			return
		}
		select {
		case <-p.gone:
			if done() {
				return
			}
			p.t.Fatalf("waited for %s, but the program ended (%v); screen:\n%s", what, p.err, p.Screen())
		default:
		}
	}
	p.t.Fatalf("waited for %s in vain; screen:\n%s", what, p.Screen())
}

// Exit waits for the program to end and returns its exit code, -1 if a signal
// ended it.
func (p *Terminal) Exit() int {
	p.t.Helper()
	select {
	case <-p.gone:
	case <-time.After(Patience):
		p.t.Fatalf("waited for the end in vain; screen:\n%s", p.Screen())
	}
	return p.cmd.ProcessState.ExitCode()
}

// Screen is the text on the screen, without blanks at the line ends.
func (p *Terminal) Screen() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	lines := strings.Split(p.screen.String(), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \r")
	}
	return strings.TrimRight(strings.Join(lines, "\n"), "\n")
}

var escapes = regexp.MustCompile(`\x1b(\[[0-9;?]*[ -/]*[@-~]|\][^\x07\x1b]*(\x07|\x1b\\)|[@-Z\\^_78=>])`)

// Since is what was written since the last Send, escape codes taken out.
func (p *Terminal) Since() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return escapes.ReplaceAllString(string(p.text.Bytes()[p.mark:]), "")
}

// Raw is everything written so far, escape codes included.
func (p *Terminal) Raw() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.text.String()
}

// CursorHidden reports whether the program has hidden the cursor.
func (p *Terminal) CursorHidden() bool {
	shown, hidden := strings.LastIndex(p.Raw(), "\x1b[?25h"), strings.LastIndex(p.Raw(), "\x1b[?25l")
	return hidden > shown
}

// Process is the running program, to send it signals.
func (p *Terminal) Process() *os.Process { return p.cmd.Process }

// Restored reports whether the terminal is set (echo, line mode and so on) as it
// was before the program started: now, or when it ended.
func (p *Terminal) Restored() bool {
	p.t.Helper()
	if now, err := p.modes(); err == nil {
		return now == p.before
	}
	<-p.gone // its end is closed when the program has gone
	return p.after == p.before
}

func (p *Terminal) modes() (term.State, error) {
	s, err := term.GetState(int(p.tty.Fd()))
	if err != nil {
		return term.State{}, err
	}
	return *s, nil
}

// Resize changes the size of the terminal.
func (p *Terminal) Resize(columns, rows int) {
	p.mu.Lock()
	p.screen.Resize(columns, rows)
	p.mu.Unlock()
	if err := pty.Setsize(p.file, &pty.Winsize{Rows: uint16(rows), Cols: uint16(columns)}); err != nil {
		p.t.Error(err)
	}
}
