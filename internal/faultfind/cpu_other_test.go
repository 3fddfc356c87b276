//go:build !unix

package faultfind

func cpuSeconds() float64 { return 0 }
