package e2e

import (
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/screen"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// screenOf lays questions out as the program does, with the texts that are built in.
func screenOf(t testing.TB, o screen.Options) (*screen.Screen, *words.Catalogue) {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	safe, err := screen.LoadTexts(lib, screen.English)
	if err != nil {
		t.Fatal(err)
	}
	s, err := screen.New(o, cat, safe)
	if err != nil {
		t.Fatal(err)
	}
	return s, cat
}
