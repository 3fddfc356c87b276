//go:build unix

package own

import "syscall"

// Flags that keep an open from following a link or waiting on a pipe.
const (
	NoFollow = syscall.O_NOFOLLOW
	NoWait   = syscall.O_NONBLOCK
)
