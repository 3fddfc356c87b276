package judge

import (
	"sync"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

var library = sync.OnceValue(func() *content.Library {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		panic(err)
	}
	return lib
})

func pack(t testing.TB, name string) *edition.Pack {
	t.Helper()
	p, err := edition.Load(library(), name)
	if err != nil {
		t.Fatalf("edition %q: %v", name, err)
	}
	return p
}

func catalogue(t testing.TB) *words.Catalogue {
	t.Helper()
	c, err := words.Load(library(), "en")
	if err != nil {
		t.Fatalf("words: %v", err)
	}
	return c
}
