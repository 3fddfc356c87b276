package mistakes_test

import (
	"testing"

	"wanderlead/internal/mistakes"
)

func BenchmarkLoad(b *testing.B) {
	lib := library(b)
	for b.Loop() {
		if _, err := mistakes.Load(lib); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkName(b *testing.B) {
	bk := book(b)
	v := scene{}.view(b)
	for b.Loop() {
		bk.Name(v)
	}
}
