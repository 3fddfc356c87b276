package journal

import "syscall"

// fileUser gives this thread the file rights of another user.
func fileUser(uid int) error { return syscall.Setfsuid(uid) }
