//go:build unix

package faultfind

import "syscall"

// cpuSeconds is the processor time that this process has used, so that a rate can be told on a machine that does other
// things too.
func cpuSeconds() float64 {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
}
