//go:build unix

package prompt

import (
	"os"
	"syscall"
)

var endSignals = []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}
