//go:build unix

package e2e

import (
	"fmt"
	"os"
	"syscall"
)

// limitFileSize makes this process fail where a full disk would: in the middle of a write that goes past the limit. The
// limit that may not be raised again is left as it is.
func limitFileSize(n uint64) {
	var now syscall.Rlimit
	err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &now)
	if err == nil {
		now.Cur = n
		err = syscall.Setrlimit(syscall.RLIMIT_FSIZE, &now)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "limit of a file's size:", err)
		os.Exit(99)
	}
}
