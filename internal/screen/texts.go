package screen

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/safety"
)

// English is the language of the built-in safety texts.
const English = content.English

// Texts holds the safety texts of one language: the wording of package safety, with
// what the overlay folder adds to it or translates.
type Texts struct {
	texts map[string]string
	kinds map[string][]string
	tests map[string][]string
}

// LoadTexts reads the built-in safety texts and what the overlay folder of lib holds
// in safety/LANGUAGE/questions.yaml and cautions.yaml. In English the overlay adds:
// its text is joined to the built-in one, its cautions come after the built-in ones.
// In another language it translates; what it leaves out stays English. The error is
// a content.Errors with every complaint: an empty text, an id that does not exist, a
// translation that drops a placeholder or shortens a list of cautions.
func LoadTexts(lib *content.Library, language string) (*Texts, error) {
	t := &Texts{texts: map[string]string{}, kinds: map[string][]string{}, tests: map[string][]string{}}
	var errs content.Errors
	for _, name := range []string{"questions.yaml", "cautions.yaml"} {
		data, err := safety.Texts.ReadFile(name)
		if err != nil {
			return nil, err
		}
		if errs, err = t.take(errs, content.NewReader("safety/"+name, data), name, builtin, English); err != nil {
			return nil, err
		}
	}
	how := add
	if language != English {
		how = translate
	}
	for _, name := range []string{"questions.yaml", "cautions.yaml"} {
		reader, err := lib.Open("safety/" + language + "/" + name)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		} else if err != nil {
			return nil, err
		}
		if errs, err = t.take(errs, reader, name, how, language); err != nil {
			return nil, err
		}
	}
	if len(errs) > 0 {
		return nil, errs
	}
	return t, nil
}

// merge is what a file does to the texts read before it.
type merge uint8

const (
	builtin merge = iota
	add
	translate
)

func (t *Texts) take(errs content.Errors, r *content.Reader, name string, how merge, language string) (content.Errors, error) {
	if name == "questions.yaml" {
		t.questions(r.Root().Map("safety texts", "safety-texts", "texts"), how, language)
	} else {
		t.cautions(r.Root().Map("safety cautions", "safety-cautions", "kinds", "tests"), how, language)
	}
	err := r.Err()
	var more content.Errors
	if errors.As(err, &more) {
		return append(errs, more...), nil
	}
	return errs, err
}

func checkLanguage(m content.Map, key, language string) {
	if got := m.Name(key); got != "" && got != language {
		m.Value(key).Errorf("", "texts of %q in the folder of %q", got, language)
	}
}

func (t *Texts) questions(m content.Map, how merge, language string) {
	checkLanguage(m, "safety-texts", language)
	tm := m.OptMap("texts", content.AnyKey)
	for _, id := range tm.Keys() {
		v := tm.Value(id)
		raw := strings.TrimSpace(v.Str())
		base, known := t.texts[id]
		switch {
		case raw == "":
			v.Errorf("a safety text can be added to or translated, not emptied", "%s is empty", id)
		case how == builtin:
			t.texts[id] = raw
		case !known:
			tm.KeyOf(id).Errorf("", "there is no safety text %q", id)
		case how == add:
			t.texts[id] = joined(base, raw)
		default:
			for _, p := range placeholdersIn(base) {
				if !strings.Contains(raw, "{"+p+"}") {
					v.Errorf("every {name} of the English text has to be there", "%s leaves out {%s}", id, p)
				}
			}
			t.texts[id] = raw
		}
		if unknown := unknownIn(t.texts[id]); len(unknown) > 0 {
			v.Errorf("", "%s: {%s} is no placeholder", id, strings.Join(unknown, "}, {"))
		}
	}
}

// joined adds a text to a question before its last sentence, which is the one that
// is asked; to another text after its end.
func joined(base, more string) string {
	do, ask := split(base)
	if ask == "" {
		return base + " " + more
	}
	return strings.TrimSpace(do + " " + more + " " + ask)
}

// split parts a text into what to do and the question that ends it, if one does.
func split(s string) (do, ask string) {
	s = strings.TrimSpace(s)
	if !strings.HasSuffix(s, "?") {
		return s, ""
	}
	cut := strings.LastIndexAny(s[:len(s)-1], ".?!")
	for cut > 0 && cut+1 < len(s) && s[cut+1] != ' ' { // a full stop inside 0.40
		cut = strings.LastIndexAny(s[:cut], ".?!")
	}
	return strings.TrimSpace(s[:cut+1]), strings.TrimSpace(s[cut+1:])
}

func (t *Texts) cautions(m content.Map, how merge, language string) {
	checkLanguage(m, "safety-cautions", language)
	for key, into := range map[string]map[string][]string{"kinds": t.kinds, "tests": t.tests} {
		cm := m.OptMap(key, content.AnyKey)
		for _, name := range cm.Keys() {
			v := cm.Value(name)
			list := v.Strs()
			for _, s := range list {
				if strings.TrimSpace(s) == "" {
					v.Errorf("a caution can be added or translated, not emptied", "%s: an empty caution", name)
				}
				if unknown := unknownIn(s); len(unknown) > 0 {
					v.Errorf("", "%s: {%s} is no placeholder", name, strings.Join(unknown, "}, {"))
				}
			}
			_, known := into[name]
			switch {
			case how == builtin:
				into[name] = list
			case !known:
				cm.KeyOf(name).Errorf("", "there is no kind of act or test %q", name)
			case how == add:
				into[name] = append(slices.Clone(into[name]), list...)
			case len(list) < len(into[name]):
				v.Errorf("translate every one of them", "%s: %d cautions, the English list has %d", name, len(list), len(into[name]))
			default:
				into[name] = list
			}
		}
	}
}

// Text is the raw text of an id and whether there is one. In study the text of
// id.study is preferred.
func (t *Texts) Text(id string, study bool) (text string, own bool, ok bool) {
	if study {
		if s, found := t.texts[id+".study"]; found {
			return s, true, true
		}
	}
	s, found := t.texts[id]
	return s, false, found
}

// IDs lists the ids of all texts, sorted.
func (t *Texts) IDs() []string {
	ids := make([]string, 0, len(t.texts))
	for id := range t.texts {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// Cautions lists the cautions of a kind of act, then those of a test.
func (t *Texts) Cautions(k safety.Kind, test string) []string {
	return append(slices.Clone(t.kinds[k.String()]), t.tests[test]...)
}

// paramNames are the placeholders that coach fills, beside those of the rig.
var paramNames = []string{"name", "place", "pairs", "count", "list", "what", "part", "value", "item", "emergency"}

func unknownIn(text string) []string {
	var bad []string
	for _, p := range placeholdersIn(text) {
		if !slices.Contains(paramNames, p) && !slices.Contains(Placeholders(), p) {
			bad = append(bad, p)
		}
	}
	return bad
}

// placeholdersIn lists the names in braces, each once.
func placeholdersIn(text string) []string {
	var out []string
	for {
		i := strings.IndexByte(text, '{')
		if i < 0 {
			return out
		}
		j := strings.IndexByte(text[i:], '}')
		if j < 0 {
			return append(out, text[i+1:])
		}
		if name := text[i+1 : i+j]; !slices.Contains(out, name) {
			out = append(out, name)
		}
		text = text[i+j+1:]
	}
}

// substitute fills the names that lookup knows and lists the others.
func substitute(text string, lookup func(string) (string, bool)) (string, []string) {
	var missing []string
	for _, name := range placeholdersIn(text) {
		v, ok := lookup(name)
		if !ok {
			missing = append(missing, name)
			continue
		}
		text = strings.ReplaceAll(text, "{"+name+"}", v)
	}
	return text, missing
}

var errNoTexts = fmt.Errorf("a screen needs a catalogue of words and safety texts")
