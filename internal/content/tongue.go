package content

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// English is the language that content is written in; others are translated from it.
const English = "en"

// TranslationFolder is where the translations of texts inside other content are, by language.
const TranslationFolder = "translations"

// Tongue holds the texts of one other language, each under the English text that it translates. Steps, limits and order
// are written once; only what people read is exchanged. That the English text is the key makes sure that no translation
// is shown for a text that has changed since, or for another author's text under the same id: it is English then.
type Tongue struct {
	Language string
	texts    map[string]translation

	lock    sync.Mutex
	used    map[string]bool
	missing map[string]*Error // English text -> where it was read
}

type translation struct {
	text string
	at   Value
	own  bool
}

// Speak makes texts that are read from now on come in a language: those of translations/LANGUAGE and of the folders in
// it. The error lists everything that is wrong with these files; a placeholder that only one of the two texts has is.
func (l *Library) Speak(language string) error {
	if language == English {
		l.tongue = nil
		return nil
	}
	t := &Tongue{Language: language, texts: map[string]translation{}, used: map[string]bool{}, missing: map[string]*Error{}}
	names, err := l.translationFiles(language)
	if err != nil {
		return err
	}
	var files []*Reader
	for _, own := range []bool{false, true} { // what the user's own folder says of a text is what counts
		for _, name := range names {
			if l.Builtin(name) == own {
				continue
			}
			r, err := l.Open(name)
			if err != nil {
				return err
			}
			t.read(r, own)
			files = append(files, r)
		}
	}
	if err := Together(files...); err != nil {
		return err
	}
	l.tongue = t
	return nil
}

func (l *Library) translationFiles(language string) ([]string, error) {
	top := path.Join(TranslationFolder, language)
	folders, err := l.Folders(top)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, dir := range append([]string{top}, folders...) {
		files, err := l.List(dir)
		if err != nil {
			return nil, err
		}
		names = append(names, files...)
	}
	return names, nil
}

// SpeakLike makes the library speak what another one does; what neither has in that language is counted there.
func (l *Library) SpeakLike(other *Library) { l.tongue = other.tongue }

// Written is the library with its texts as they were written, in English: what goes into records and files.
func (l *Library) Written() *Library {
	w := *l
	w.tongue = nil
	return &w
}

// Language is what the library speaks.
func (l *Library) Language() string {
	if l.tongue == nil {
		return English
	}
	return l.tongue.Language
}

// Parse reads a text that did not come from the library in the language that it speaks.
func (l *Library) Parse(name string, data []byte) *Reader {
	r := NewReader(name, data)
	r.tongue = l.tongue
	return r
}

// Say gives a text that was kept somewhere, such as in a record, in the language that the library speaks.
func (l *Library) Say(s string) string {
	if l.tongue == nil {
		return s
	}
	return l.tongue.say(Value{}, s)
}

// Untranslated lists the texts that were read and had no translation, with their places.
func (l *Library) Untranslated() Errors {
	if l.tongue == nil {
		return nil
	}
	l.tongue.lock.Lock()
	defer l.tongue.lock.Unlock()
	var out Errors
	for _, e := range l.tongue.missing {
		out = append(out, e)
	}
	return Sorted(out)
}

// Unused lists the translations of texts that were not read since Speak, with their places: where all content was read,
// of texts that are gone.
func (l *Library) Unused() Errors {
	if l.tongue == nil {
		return nil
	}
	l.tongue.lock.Lock()
	defer l.tongue.lock.Unlock()
	var out Errors
	for en, t := range l.tongue.texts {
		if !l.tongue.used[en] {
			out = append(out, t.at.Complaint("take it out, or put the English text as it is now", "translates a text that is not there"))
		}
	}
	return Sorted(out)
}

func (t *Tongue) read(r *Reader, own bool) {
	m := r.Root().Map("translations file", "translations", "texts")
	if lang := m.Name("translations"); lang != "" && lang != t.Language {
		m.Value("translations").Errorf("", "translations into %q are in the folder of %q", lang, t.Language)
	}
	for _, v := range m.List("texts") {
		p := v.Map("a translation", "en", "to")
		en, to := strings.TrimSpace(p.Str("en")), strings.TrimSpace(p.Str("to"))
		if en == "" || to == "" {
			if p.Exists() {
				v.Errorf("write both `en:` and `to:`", "this text is empty")
			}
			continue
		}
		if old, taken := t.texts[en]; taken && old.own == own {
			file, line, _ := old.at.Pos()
			v.Errorf("translate each text once", "this text is translated already, in %s:%d", file, line)
			continue
		}
		if d := Differs(en, to); d != "" {
			p.Value("to").Errorf("keep every {name} as it is", "%s", d)
		}
		t.texts[en] = translation{to, v, own}
	}
}

var placeholder = regexp.MustCompile(`\{[^{}]*\}`)

// Differs says which placeholder one of two texts has and the other lacks.
func Differs(en, to string) string {
	a, b := placeholder.FindAllString(en, -1), placeholder.FindAllString(to, -1)
	for _, p := range a {
		if !slices.Contains(b, p) {
			return fmt.Sprintf("%s of the English text is not here", p)
		}
	}
	for _, p := range b {
		if !slices.Contains(a, p) {
			return fmt.Sprintf("%s is not in the English text", p)
		}
	}
	return ""
}

// say gives the translation of a text read at v, or the text.
func (t *Tongue) say(v Value, s string) string {
	en := strings.TrimSpace(s)
	if en == "" {
		return s
	}
	t.lock.Lock()
	defer t.lock.Unlock()
	if x, ok := t.texts[en]; ok {
		t.used[en] = true
		return x.text
	}
	if t.missing[en] == nil {
		t.missing[en] = v.Complaint("add it to "+TranslationFolder+"/"+t.Language, "no translation into %q of: %s", t.Language, en)
	}
	return s
}

// Translated is a text of the program's own in the language of the library that the file was read from.
func (v Value) Translated(s string) string {
	if v.r == nil || v.r.tongue == nil {
		return s
	}
	return v.r.tongue.say(v, s)
}

// Text is Str for what people read: it comes in the language of the library that the file was read from.
func (v Value) Text() string {
	return v.Translated(v.Str())
}

// Line is Name for what people read; see Text.
func (v Value) Line() string {
	return v.Translated(v.Name())
}

// Text is the text for people under a required key; see Value.Text.
func (m Map) Text(k string) string { return m.Value(k).Text() }

// OptText is the text for people under an optional key, def when it is missing.
func (m Map) OptText(k, def string) string { return opt(m, k, def, Value.Text) }

// Line is the one-line text for people under a required key; see Value.Line.
func (m Map) Line(k string) string { return m.Value(k).Line() }

// OptLine is the one-line text for people under an optional key, def when it is missing.
func (m Map) OptLine(k, def string) string { return opt(m, k, def, Value.Line) }
