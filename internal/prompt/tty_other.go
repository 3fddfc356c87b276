//go:build !linux && !windows && !darwin && !freebsd && !netbsd && !openbsd && !dragonfly

package prompt

import (
	"fmt"
	"io"
	"os"
)

// flushInput cannot drop anything here, so no safety question can be asked.
func flushInput(*os.File) error {
	return fmt.Errorf("typed-ahead input cannot be dropped on this system: %w", ErrGateNeedsTerminal)
}

func drain(io.Writer) {}
