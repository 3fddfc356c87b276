//go:build unix && !linux

package journal

import "errors"

func fileUser(int) error { return errors.New("not on this system") }
