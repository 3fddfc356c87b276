//go:build darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"io"
	"os"

	"golang.org/x/sys/unix"
)

const fread = 1 // FREAD of sys/fcntl.h: the input queue

// flushInput drops what the terminal holds and nobody has read.
func flushInput(tty *os.File) error {
	return unix.IoctlSetPointerInt(int(tty.Fd()), unix.TIOCFLUSH, fread)
}

// drain waits until what was written has left for the terminal.
func drain(out io.Writer) {
	if f, ok := out.(interface{ Fd() uintptr }); ok {
		_ = unix.IoctlSetInt(int(f.Fd()), unix.TIOCDRAIN, 0)
	}
}
