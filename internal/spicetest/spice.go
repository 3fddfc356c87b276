// Package spicetest lets tests ask ngspice, a general circuit simulator, for a second opinion on a network. Only tests use
// it; without ngspice they are skipped, unless WANDERLEAD_SPICE=1 says that it has to be there.
package spicetest

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Need skips the test when ngspice is not there; with WANDERLEAD_SPICE=1 it fails it.
func Need(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("ngspice"); err != nil {
		if os.Getenv("WANDERLEAD_SPICE") == "1" {
			t.Fatal("WANDERLEAD_SPICE=1 and there is no ngspice: install it, or set WANDERLEAD_NO_SPICE=1 for .ci/run")
		}
		t.Skip("no ngspice on this machine: nothing was compared with it (Debian: apt-get install ngspice)")
	}
}

var printed = regexp.MustCompile(`(?m)^([vi]\([a-z0-9_]+(?:,[a-z0-9_]+)?\)) = (\S+?)(?:,(\S+))?\s*$`)

// Run solves a netlist of element lines, by the analysis ("op", "ac lin 1 50 50"), and returns what is asked for, by its
// name: v(n1), v(n1,n2), i(v1). ngspice ends with 0 and prints numbers even for a line it did not understand, so anything
// on its standard error is an error here, and so is a number that is missing.
func Run(elements []string, analysis string, ask ...string) (map[string]complex128, error) {
	dir, err := os.MkdirTemp("", "spice-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	var b strings.Builder
	fmt.Fprintf(&b, "* an installation\n%s\n.control\nset numdgt=15\n%s\n", strings.Join(elements, "\n"), analysis)
	for _, a := range ask {
		fmt.Fprintf(&b, "print %s\n", a)
	}
	b.WriteString("quit 0\n.endc\n.end\n")
	net := filepath.Join(dir, "net.cir")
	if err := os.WriteFile(net, []byte(b.String()), 0o600); err != nil {
		return nil, err
	}
	cmd := exec.Command("ngspice", "-n", "-b", net) // with -o its warnings would go to the log instead of standard error
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("ngspice: %w\n%s", err, stderr.String())
	}
	if s := strings.TrimSpace(stderr.String()); s != "" {
		return nil, fmt.Errorf("ngspice complains: %s", s)
	}
	text := stdout.String()
	out := map[string]complex128{}
	for _, m := range printed.FindAllStringSubmatch(text, -1) {
		re, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return nil, err
		}
		im := 0.0
		if m[3] != "" {
			if im, err = strconv.ParseFloat(m[3], 64); err != nil {
				return nil, err
			}
		}
		out[m[1]] = complex(re, im)
	}
	for _, a := range ask {
		if _, ok := out[a]; !ok {
			return nil, fmt.Errorf("ngspice printed no %s:\n%s", a, text)
		}
	}
	return out, nil
}
