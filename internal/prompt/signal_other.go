//go:build !unix

package prompt

import "os"

var endSignals = []os.Signal{os.Interrupt}
