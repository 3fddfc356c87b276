//go:build !unix

package ptytest

import "syscall"

func ownSession() *syscall.SysProcAttr { return nil }
