//go:build linux

package e2e

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
)

// traced stops the program at one system call: the call number n (counted from 1) of a name, by a signal before it is made,
// or by an error in its place. It is not there everywhere; .ci/full asks for it.
func (v *victim) traced(t *testing.T, inject string) attempt {
	t.Helper()
	a := v.start(t, oneThread+"=1")
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Fatal(err)
	}
	program := v.w.path("wanderlead") // the name makes the test binary the program
	if err := os.Symlink(a.cmd.Path, program); err != nil && !errors.Is(err, fs.ErrExist) {
		t.Fatal(err)
	}
	a.cmd.Args = append([]string{"strace", "-f", "-o", v.w.path("trace"), "-e", "trace=" + strings.Join(boundaries, ","), "-e", "inject=" + inject, "--", program}, a.cmd.Args[1:]...)
	a.cmd.Path = strace
	return a
}

// boundaries are the calls by which a record gets onto the disk.
var boundaries = []string{"pwrite64", "fsync", "ftruncate", "unlinkat", "close"}

var tracedCall = regexp.MustCompile(`(?m)^(\d+) +(\w+)\(`)

// callsOf counts the calls that the session's own thread made in a trace: the one that wrote to the record.
func callsOf(t *testing.T, v *victim) map[string]int {
	t.Helper()
	data, err := os.ReadFile(v.w.path("trace"))
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]map[string]int{}
	writer := ""
	for _, m := range tracedCall.FindAllStringSubmatch(string(data), -1) {
		if by[m[1]] == nil {
			by[m[1]] = map[string]int{}
		}
		by[m[1]][m[2]]++
		if m[2] == "pwrite64" {
			writer = m[1]
		}
	}
	return by[writer]
}

// TestStoppedAtEveryBoundary: the program is killed before each system call by which its record gets onto the disk, and each
// of these calls fails once as on a full or a broken disk. Nothing acknowledged is lost, and the session goes on from there.
func TestStoppedAtEveryBoundary(t *testing.T) {
	if os.Getenv("WANDERLEAD_STRACE") == "" {
		t.Skip("WANDERLEAD_STRACE=1 asks for it; it needs strace")
	}
	all := subjects(t)
	all["practise"].of = newPractised(t, "lesson-isolation") // short: every one of its calls
	for name, v := range all {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			v.next()
			v.of.begin(v.w, v.file)
			a := v.traced(t, "fsync:when=65535:signal=KILL")
			if err := a.cmd.Run(); err != nil {
				t.Fatalf("%v\n%s", err, a.errs)
			}
			calls := callsOf(t, v)
			stopped, tried := 0, map[string]int{}
			for _, fault := range []string{"pwrite64:signal=KILL", "fsync:signal=KILL", "ftruncate:signal=KILL", "unlinkat:signal=KILL", "close:signal=KILL",
				"pwrite64:error=ENOSPC", "fsync:error=EIO", "pwrite64:error=EIO"} {
				call, _, _ := strings.Cut(fault, ":")
				for _, k := range spread(calls[call]) {
					v.next()
					v.of.begin(v.w, v.file)
					a := v.traced(t, fmt.Sprintf("%s:when=%d", fault, k))
					err := a.cmd.Run()
					what := fmt.Sprintf("%s at call %d of %d", fault, k, calls[call])
					var exit *exec.ExitError
					killed := errors.As(err, &exit) && exit.Sys().(syscall.WaitStatus).Signaled()
					if strings.Contains(fault, "KILL") && !killed && call != "close" || bytes.Contains(a.errs.Bytes(), []byte("goroutine ")) {
						t.Fatalf("%s: %v\n%s", what, err, a.errs)
					}
					if err != nil {
						stopped++
						tried[fault]++
					}
					if v.settle(t, a, "killed") || k%7 == 0 || k > calls[call]-8 {
						v.finish(t)
					}
				}
			}
			t.Logf("%s: stopped at %d boundaries %v (%d before the record began), %d answers acknowledged, 0 lost; taken up again rightly %d times; %d records worked to their end and verified",
				name, stopped, tried, v.acc.before, v.acc.acknowledged, v.acc.resumed, v.acc.complete)
		})
	}
}

// spread is 1 to n where n is small, else both ends of it whole and every seventh between.
func spread(n int) []int {
	var out []int
	for k := 1; k <= n; k++ {
		if n <= 80 || k <= 20 || k > n-20 || k%7 == 0 {
			out = append(out, k)
		}
	}
	return slices.Clip(out)
}
