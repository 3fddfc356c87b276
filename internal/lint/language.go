package lint

import (
	"errors"
	"io/fs"
	"path"
	"slices"
	"strings"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/content"
	"wanderlead/internal/exercise"
	"wanderlead/internal/explain"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/pages"
	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
	"wanderlead/safety"
)

// Language lists where the language that lib speaks and English differ: words that one has and the other lacks, values
// that are put into one text and not into the other, safety texts and pages that are not there, and, of the texts inside
// sequences, rigs, papers, exercises, mistakes and the glossary, those without a translation and translations of texts
// that are gone. The error is one of reading; complaints stand with their places.
func Language(lib *content.Library) (content.Errors, error) {
	if lib.Language() == content.English {
		return nil, nil
	}
	var out content.Errors
	for _, look := range []func(*content.Library) (content.Errors, error){wordsOf, safetyOf, pagesOf} {
		es, err := look(lib)
		if err != nil {
			return nil, err
		}
		out = append(out, es...)
	}
	if err := ReadTexts(lib); err != nil {
		return nil, err
	}
	return content.Sorted(slices.Concat(out, lib.Untranslated(), lib.Unused())), nil
}

// ReadTexts reads all content of a library that holds texts for people.
func ReadTexts(lib *content.Library) error {
	load := func(names []string, err error, one func(string) error) error {
		if err != nil {
			return err
		}
		for _, n := range names {
			if err := one(n); err != nil {
				return err
			}
		}
		return nil
	}
	seqs, err := sequence.Names(lib)
	if err := load(seqs, err, func(n string) error { _, err := sequence.Load(lib, n); return err }); err != nil {
		return err
	}
	rigs, err := rig.Names(lib)
	if err := load(rigs, err, func(n string) error { _, err := rig.Load(lib, n); return err }); err != nil {
		return err
	}
	papers, err := paper.Names(lib)
	if err := load(papers, err, func(n string) error { _, err := paper.Load(lib, n); return err }); err != nil {
		return err
	}
	if _, err := exercise.Load(lib); err != nil {
		return err
	}
	book, err := mistakes.Load(lib)
	if err != nil {
		return err
	}
	_, err = explain.Load(lib, book)
	return err
}

// entry is one text of a file of words or safety texts.
type entry struct{ key, value content.Value }

// entries are the texts of some files by id; list takes the maps that they stand in out of a file.
func entries(lib *content.Library, files []string, maps ...string) (map[string]entry, error) {
	out := map[string]entry{}
	for _, name := range files {
		r, err := lib.Open(name)
		if err != nil {
			if errors.Is(err, fs.ErrNotExist) {
				continue
			}
			return nil, err
		}
		add(out, r, maps...)
	}
	return out, nil
}

func add(out map[string]entry, r *content.Reader, maps ...string) {
	for _, of := range maps {
		m := r.Root().OpenMap("texts").OptMap(of, content.AnyKey)
		for _, k := range m.Keys() {
			id := k
			if len(maps) > 1 {
				id = of + "/" + k
			}
			out[id] = entry{m.KeyOf(k), m.Value(k)}
		}
	}
}

func wordsOf(lib *content.Library) (content.Errors, error) {
	var both [2]map[string]entry
	for i, l := range []string{content.English, lib.Language()} {
		files, err := lib.List("words/" + l)
		if err != nil {
			return nil, err
		}
		if both[i], err = entries(lib, files, "texts"); err != nil {
			return nil, err
		}
	}
	delete(both[1], words.Draft) // what only a translation says
	return compared(both[0], both[1], lib.Language()), nil
}

// compared complains of ids and placeholders that only one of two languages has.
func compared(en, other map[string]entry, language string) (out content.Errors) {
	for id, e := range en {
		o, ok := other[id]
		if !ok {
			out = append(out, e.key.Complaint("add it to words/"+language, "%q has no text in %q", id, language))
			continue
		}
		if d := content.Differs(e.value.Str(), o.value.Str()); d != "" {
			out = append(out, o.value.Complaint("keep every {name} as it is", "%s: %s", id, d))
		}
	}
	for id, o := range other {
		if _, ok := en[id]; !ok {
			out = append(out, o.key.Complaint("take it out, or name it as in English", "there is no English text %q", id))
		}
	}
	return out
}

func safetyOf(lib *content.Library) (out content.Errors, err error) {
	if _, err := screen.LoadTexts(lib, lib.Language()); err != nil {
		if errors.As(err, &out) {
			return out, nil
		}
		return nil, err
	}
	for name, maps := range map[string][]string{"questions.yaml": {"texts"}, "cautions.yaml": {"kinds", "tests"}} {
		data, err := safety.Texts.ReadFile(name)
		if err != nil {
			return nil, err
		}
		en := map[string]entry{}
		add(en, content.NewReader("safety/"+name, data), maps...)
		other, err := entries(lib, []string{"safety/" + lib.Language() + "/" + name}, maps...)
		if err != nil {
			return nil, err
		}
		for id, e := range en {
			o, ok := other[id]
			if !ok {
				out = append(out, e.key.Complaint("add it to safety/"+lib.Language()+"/"+name, "the safety text %q has no translation into %q", id, lib.Language()))
			} else if e.value.Kind() == content.Scalar {
				if d := content.Differs(e.value.Str(), o.value.Str()); d != "" {
					out = append(out, o.value.Complaint("keep every {name} as it is", "%s: %s", id, d))
				}
			}
		}
	}
	return out, nil
}

// pagesOf complains of pages that are not there. Pages are no YAML, so the library lists none.
func pagesOf(lib *content.Library) (out content.Errors, err error) {
	for _, name := range pages.Names() {
		file := path.Join("pages", lib.Language(), name+".md")
		if _, err := lib.Read(file); content.NotFound(err) {
			out = append(out, &content.Error{File: strings.TrimPrefix(file, "/"), Message: "this page is not there", Hints: []string{"translate pages/en/" + name + ".md"}})
		} else if err != nil {
			return nil, err
		}
	}
	return out, nil
}
