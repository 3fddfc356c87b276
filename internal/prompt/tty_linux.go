package prompt

import (
	"io"
	"os"

	"golang.org/x/sys/unix"
)

// flushInput drops what the terminal holds and nobody has read.
func flushInput(tty *os.File) error {
	return unix.IoctlSetInt(int(tty.Fd()), unix.TCFLSH, unix.TCIFLUSH)
}

// drain waits until what was written has left for the terminal.
func drain(out io.Writer) {
	if f, ok := out.(interface{ Fd() uintptr }); ok {
		_ = unix.IoctlSetInt(int(f.Fd()), unix.TCSBRK, 1)
	}
}
