//go:build unix

package journal

import (
	"errors"
	"fmt"
	"os"
	"syscall"

	"wanderlead/internal/own"
)

// Flags that keep an open from following a link or waiting on a pipe.
const (
	noFollow = own.NoFollow
	noWait   = own.NoWait
)

// syncFolder makes sure that a new file's name is on the disk too. Some file
// systems cannot sync a folder and say so; there is nothing more to do there.
func syncFolder(folder string) error {
	d, err := os.Open(folder)
	if err != nil {
		return fmt.Errorf("folder %s cannot be synced: %w", shorten(folder), cause(err))
	}
	defer d.Close()
	err = d.Sync()
	if err == nil || errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		return nil
	}
	return fmt.Errorf("folder %s cannot be synced: %w", shorten(folder), cause(err))
}

// exposed reports whether others than the owner may open the file.
func exposed(f readFile) bool {
	file, ok := f.(*os.File)
	if !ok {
		return false
	}
	info, err := file.Stat()
	return err == nil && info.Mode().Perm()&0o077 != 0
}
