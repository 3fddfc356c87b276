//go:build unix

package ptytest

import "syscall"

// ownSession makes the terminal the program's controlling terminal, so that it
// gets Ctrl-C and the hang-up from it.
func ownSession() *syscall.SysProcAttr {
	return &syscall.SysProcAttr{Setsid: true, Setctty: true}
}
