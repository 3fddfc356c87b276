//go:build !unix

package journal

// Windows has neither flag; Create and Open look at the path before and after
// opening instead.
const (
	noFollow = 0
	noWait   = 0
)

// syncFolder does nothing: a folder cannot be synced there.
func syncFolder(string) error { return nil }

// exposed is unknown there: access is not a matter of modes.
func exposed(readFile) bool { return false }
