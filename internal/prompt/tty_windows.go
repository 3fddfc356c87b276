package prompt

import (
	"io"
	"os"

	"golang.org/x/sys/windows"
)

// flushInput drops what the console holds and nobody has read.
func flushInput(tty *os.File) error {
	return windows.FlushConsoleInputBuffer(windows.Handle(tty.Fd()))
}

// drain: the console shows what is written before WriteConsole returns.
func drain(io.Writer) {}
