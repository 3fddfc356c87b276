package prompt

import (
	"fmt"
	"os"
	"os/signal"

	"golang.org/x/term"
)

// RestoreOnSignal remembers how the terminal is set now, at the start, and puts
// it back when the process is told to end from outside (TERM, HUP, INT): a
// question in progress has switched echo and line mode off and may have hidden
// the cursor. Then it calls after, which saves what there is to save and exits;
// nil means exit code 130. The returned function ends the watch.
func RestoreOnSignal(in, out *os.File, after func(os.Signal)) (cancel func()) {
	if after == nil {
		after = func(os.Signal) { os.Exit(130) }
	}
	restore := restorer(in, out)
	signals := make(chan os.Signal, 1)
	done := make(chan struct{})
	signal.Notify(signals, endSignals...)
	go func() {
		select {
		case s := <-signals:
			restore()
			after(s)
		case <-done:
		}
	}()
	return func() {
		signal.Stop(signals)
		close(done)
	}
}

// restorer returns a function that puts the terminal back as it is now.
func restorer(in, out *os.File) func() {
	if !IsTerminal(in) {
		return func() {}
	}
	state, err := term.GetState(int(in.Fd()))
	if err != nil {
		return func() {}
	}
	escapes := IsTerminal(out) && os.Getenv("TERM") != "dumb"
	return func() {
		now, err := term.GetState(int(in.Fd()))
		changed := err != nil || *now != *state
		_ = term.Restore(int(in.Fd()), state)
		if escapes && changed {
			fmt.Fprint(out, "\x1b[?25h\r\n")
		}
	}
}
