//go:build !linux && !darwin && !freebsd && !netbsd && !openbsd && !dragonfly

package prompt

import "os"

func newSurvey(in, out *os.File, text Text) (Front, error) { return nil, ErrNoTerminal }
