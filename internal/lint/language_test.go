package lint

import (
	"path"
	"strings"
	"testing"
	"testing/fstest"

	"wanderlead/internal/content"
	"wanderlead/sequences"
)

// Every language that ships has what English has: ids and placeholders of words, safety texts and their placeholders, pages,
// and a translation of each text inside sequences, rigs, papers, exercises, mistakes and the glossary.
func TestLanguagesAreWhole(t *testing.T) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	folders, err := lib.Folders("words")
	if err != nil || len(folders) < 2 {
		t.Fatalf("%d languages: %v", len(folders), err)
	}
	for _, f := range folders {
		if err := lib.Speak(path.Base(f)); err != nil {
			t.Error(err)
			continue
		}
		es, err := Language(lib)
		if err != nil {
			t.Error(err)
		}
		for _, e := range es {
			t.Error(e)
		}
	}
}

// What a language lacks is complained of where it stands.
func TestLanguageComplains(t *testing.T) {
	files := fstest.MapFS{
		"words/en/a.yaml":          {Data: []byte("words: en\ntexts:\n  one: \"{a} and more\"\n  two: Two\n")},
		"words/xx/a.yaml":          {Data: []byte("words: xx\ntexts:\n  one: \"more\"\n  three: Three\n")},
		"translations/xx/own.yaml": {Data: []byte("translations: xx\ntexts:\n  - en: Gone\n    to: Weg\n")},
		"lesson.yaml":              {Data: []byte("sequence: lesson\ntitle: A lesson\nsteps:\n  - safety: isolate\n")},
	}
	lib, err := content.NewLibrary(files, "")
	if err != nil {
		t.Fatal(err)
	}
	if err := lib.Speak("xx"); err != nil {
		t.Fatal(err)
	}
	es, err := wordsOf(lib)
	if err != nil {
		t.Fatal(err)
	}
	if err := ReadTexts(lib); err != nil && !strings.Contains(err.Error(), "marking/") {
		t.Log(err)
	}
	var all []string
	for _, e := range append(append(es, lib.Untranslated()...), lib.Unused()...) {
		all = append(all, e.Error())
	}
	got := strings.Join(all, "\n")
	for _, want := range []string{
		`words/xx/a.yaml:3:8: one: {a} of the English text is not here`,
		`words/en/a.yaml:4:3: "two" has no text in "xx"`,
		`words/xx/a.yaml:4:3: there is no English text "three"`,
		`lesson.yaml:2:8: no translation into "xx" of: A lesson`,
		`translations/xx/own.yaml:3:5: translates a text that is not there`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("no complaint %q in\n%s", want, got)
		}
	}
	files["translations/xx/own.yaml"] = &fstest.MapFile{Data: []byte("translations: xx\ntexts:\n  - en: Take {a} out\n    to: Heraus\n")}
	if err := lib.Speak("xx"); err == nil || !strings.Contains(err.Error(), "own.yaml:4:9: {a} of the English text is not here") {
		t.Errorf("a dropped placeholder: %v", err)
	}
}
