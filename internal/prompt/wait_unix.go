//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"os"
	"time"
)

// lineReady waits for a line, at most so long, and reports whether there is one.
func lineReady(tty *os.File, wait time.Duration) bool {
	ready, err := readable(int(tty.Fd()), true, wait)
	return ready || err != nil
}
