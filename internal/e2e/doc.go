// Package e2e holds only tests: they start the program as a person or a script would
// and look at what it printed, how it ended and what stands in the record.
package e2e
