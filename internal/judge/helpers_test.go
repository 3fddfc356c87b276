package judge

import (
	"strings"
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

var packs sync.Map

func pack(t testing.TB, name string) *edition.Pack {
	t.Helper()
	if p, ok := packs.Load(name); ok {
		return p.(*edition.Pack)
	}
	p, err := edition.Load(library(), name)
	if err != nil {
		t.Fatalf("edition %q: %v", name, err)
	}
	packs.Store(name, p)
	return p
}

// ask judges what is typed, by the default edition.
func ask(t testing.TB, test, args string) Verdict {
	t.Helper()
	q, err := ParseArgs(test, strings.Fields(args))
	if err != nil {
		t.Fatalf("%s %s: %v", test, args, err)
	}
	v, err := Judge(pack(t, ""), q)
	if err != nil {
		t.Fatalf("%s %s: %v", test, args, err)
	}
	return v
}

func (v Verdict) expected(name string) (float64, bool) {
	for _, e := range v.Expected {
		if e.Name == name {
			return e.Value, true
		}
	}
	return 0, false
}

func catalogue(t testing.TB) *words.Catalogue {
	t.Helper()
	c, err := words.Load(library(), "en")
	if err != nil {
		t.Fatalf("words: %v", err)
	}
	return c
}
