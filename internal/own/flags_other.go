//go:build !unix

package own

// Flags that this system does not have.
const (
	NoFollow = 0
	NoWait   = 0
)
