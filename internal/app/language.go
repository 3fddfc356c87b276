package app

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/screen"
	"wanderlead/internal/words"
)

// languageVar chooses a language where --language does not. LANG is not asked: a translation may be a draft, and nobody
// should get one who did not choose it.
const languageVar = "WANDERLEAD_LANGUAGE"

// fieldLanguage of a record's header is what the session was begun in, where that is not English. The record itself holds
// ids and values.
const fieldLanguage = "language"

// languages are those that there are words of, English first.
func languages(lib *content.Library) ([]string, error) {
	folders, err := lib.Folders("words")
	if err != nil {
		return nil, err
	}
	out := []string{content.English}
	for _, f := range folders {
		if name := path.Base(f); name != content.English {
			out = append(out, name)
		}
	}
	return out, nil
}

// speak makes a library speak the language that was chosen.
func (a *app) speak(lib *content.Library) error {
	want := or(a.opt.language, a.sys.Getenv(languageVar))
	if want == "" || want == content.English {
		return nil
	}
	all, err := languages(lib)
	if err != nil {
		return fail(ExitUsage, err)
	}
	if !slices.Contains(all, want) {
		return usagef("one of: "+strings.Join(all, ", "), "there are no words in the language %q", want)
	}
	if err := lib.Speak(want); err != nil {
		return fail(ExitUsage, err)
	}
	return nil
}

// speakOf takes the language of a record where none was chosen.
func (a *app) speakOf(h *journal.Header) {
	if h != nil && a.opt.language == "" && a.sys.Getenv(languageVar) == "" {
		a.opt.language = h.Fields[fieldLanguage]
	}
}

// keepLanguage writes the language into a header.
func keepLanguage(h *journal.Header, lib *content.Library) {
	if lang := lib.Language(); lang != content.English {
		h.Fields[fieldLanguage] = lang
	}
}

// noteLanguage says once, of a language other than English, what has to be known of it: that it is a draft, and how much
// of it is English because no translation is there.
func (a *app) noteLanguage(lib *content.Library, cat *words.Catalogue) {
	if a.languageNoted || lib.Language() == content.English || a.opt.json {
		return
	}
	a.languageNoted = true
	var lines []string
	if cat.Has(words.Draft) && !a.draftIsShown {
		lines = append(lines, screen.Wrap(cat.Text(words.Draft, nil), a.width())...)
	}
	if n := len(cat.Missing()); n > 0 {
		lines = append(lines, fmt.Sprintf("wanderlead: %d texts have no translation into %q and are in English", n, lib.Language()))
	}
	for _, l := range lines {
		fmt.Fprintln(a.errs(), l)
	}
}

// noteEnglish says how many texts of the content at hand are English for want of a translation.
func (a *app) noteEnglish(lib *content.Library) {
	if n := len(lib.Untranslated()); n > 0 {
		fmt.Fprintf(a.errs(), "wanderlead: %d texts of this content have no translation into %q and are in English\nhint: wanderlead lint --language %s lists them\n",
			n, lib.Language(), lib.Language())
	}
}

// draft is the note on a translation not yet checked, for the start of a session; none in English.
func (v *view) draft() []string {
	if !v.cat.Has(words.Draft) {
		return nil
	}
	return append(v.wrap(v.text(words.Draft, nil)), "")
}
