//go:build !unix

package e2e

func limitFileSize(uint64) {}
