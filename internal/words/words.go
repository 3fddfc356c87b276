// Package words turns an id and its values into a sentence. The sentences are
// content (words/LANGUAGE/*.yaml); nothing in Go says anything to a person that
// a trainer could not reword.
package words

import (
	"fmt"
	"sort"
	"strings"
	"sync"

	"wanderlead/internal/content"
)

// Draft is the id of what is said of a language that no speaker has checked yet; English and checked ones have none.
const Draft = "language.draft"

// Catalogue holds the texts of one language by id.
type Catalogue struct {
	Language string
	texts    map[string]text
	base     *Catalogue // what is said where there is no text: English, below another language

	lock    sync.Mutex
	waiting map[string]*file // id -> the file that has it, not parsed yet; see Open
}

// text is a sentence cut at its placeholders once, when it is loaded.
type text struct {
	raw   string
	parts []part
	file  string
}

// part is literal text, a placeholder, or an optional segment that is left out
// when one of its placeholders has no value.
type part struct {
	literal  string
	name     string
	optional []part
}

// Load reads every file of words/LANGUAGE. A file is `words: LANGUAGE` and a map
// `texts` of id to text. In a text, {name} stands for a value and [ … {name} … ]
// for a segment printed only if its values are there. An id in two files, an
// unclosed brace or bracket is an error; all of them come at once.
func Load(lib *content.Library, language string) (*Catalogue, error) {
	files, err := lib.List("words/" + language)
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("no words in %q", language)
	}
	c := &Catalogue{Language: language, texts: map[string]text{}}
	if err := c.readAll(lib, files); err != nil {
		return nil, err
	}
	return c, nil
}

// readAll reads files; what is wrong in any of them comes at once.
func (c *Catalogue) readAll(lib *content.Library, files []string) error {
	var errs content.Errors
	for _, name := range files {
		reader, err := lib.Open(name)
		if err != nil {
			return err
		}
		c.read(reader, name)
		switch err := reader.Err().(type) {
		case nil:
		case content.Errors:
			errs = append(errs, err...)
		default:
			return err
		}
	}
	if len(errs) > 0 {
		return errs
	}
	return nil
}

func (c *Catalogue) read(reader *content.Reader, file string) {
	m := reader.Root().Map("words file", "words", "texts")
	if lang := m.Name("words"); lang != "" && lang != c.Language {
		m.Value("words").Errorf("", "the words of %q are in the folder of %q", lang, c.Language)
	}
	texts := m.Value("texts").OpenMap("texts")
	for _, id := range texts.Keys() {
		v := texts.Value(id)
		raw := v.Str()
		if other, taken := c.texts[id]; taken {
			texts.KeyOf(id).Errorf("", "%q is already in %s", id, other.file)
			continue
		}
		if other, taken := c.waiting[id]; taken && other.name != file {
			texts.KeyOf(id).Errorf("", "%q is already in %s", id, other.name)
			continue
		}
		parts, err := cut(raw)
		if err != nil {
			v.Errorf("", "%v", err)
			continue
		}
		c.texts[id] = text{raw, parts, file}
	}
}

// cut parses a text into parts; segments do not nest.
func cut(raw string) ([]part, error) {
	var out []part
	for raw != "" {
		i := strings.IndexAny(raw, "{}[]")
		if i < 0 {
			return append(out, part{literal: raw}), nil
		}
		if i > 0 {
			out = append(out, part{literal: raw[:i]})
		}
		switch raw[i] {
		case '{':
			end := strings.IndexByte(raw[i:], '}')
			if end < 2 || !isName(raw[i+1:i+end]) {
				return nil, fmt.Errorf("a { that starts no {name}: %.20q", raw[i:])
			}
			out = append(out, part{name: raw[i+1 : i+end]})
			raw = raw[i+end+1:]
		case '[':
			end := strings.IndexByte(raw[i:], ']')
			if end < 0 || strings.IndexByte(raw[i+1:i+end], '[') >= 0 {
				return nil, fmt.Errorf("a [ without its ]: %.20q", raw[i:])
			}
			inner, err := cut(raw[i+1 : i+end])
			if err != nil {
				return nil, err
			}
			out = append(out, part{optional: inner})
			raw = raw[i+end+1:]
		default:
			return nil, fmt.Errorf("a %c that closes nothing", raw[i])
		}
	}
	return out, nil
}

func isName(s string) bool {
	for _, r := range s {
		if (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '_' {
			return false
		}
	}
	return s != ""
}

// Text fills a text. An unknown id prints as itself and a value that is missing
// as its {name}: a person in a test bay needs the rest of the sentence more than
// an error. A value that starts with @ is the id of another text.
func (c *Catalogue) Text(id string, params map[string]string) string {
	s, _ := c.Fill(id, params)
	return s
}

// Fill is Text with an error that names an unknown id or the values missing.
func (c *Catalogue) Fill(id string, params map[string]string) (string, error) {
	t, ok := c.find(id)
	if !ok {
		return id, fmt.Errorf("no text %q", id)
	}
	var b strings.Builder
	var missing []string
	c.write(&b, t.parts, params, &missing)
	if len(missing) > 0 {
		return b.String(), fmt.Errorf("text %q has no value for %s", id, strings.Join(missing, ", "))
	}
	return b.String(), nil
}

func (c *Catalogue) write(b *strings.Builder, parts []part, params map[string]string, missing *[]string) {
	for _, p := range parts {
		switch {
		case p.name != "":
			v := c.value(p.name, params)
			if v == "" {
				*missing = append(*missing, p.name)
				v = "{" + p.name + "}"
			}
			b.WriteString(v)
		case p.optional != nil:
			if c.filled(p.optional, params) {
				c.write(b, p.optional, params, missing)
			}
		default:
			b.WriteString(p.literal)
		}
	}
}

// value looks a value up; an @id is resolved once, with plain text inside.
func (c *Catalogue) value(name string, params map[string]string) string {
	v := params[name]
	if id, ok := strings.CutPrefix(v, "@"); ok {
		if t, known := c.find(id); known {
			return t.raw
		}
	}
	return v
}

func (c *Catalogue) filled(parts []part, params map[string]string) bool {
	for _, p := range parts {
		if p.name != "" && params[p.name] == "" {
			return false
		}
	}
	return true
}

// Has reports whether there is a text.
func (c *Catalogue) Has(id string) bool { _, ok := c.find(id); return ok }

// IDs lists every id of the language itself, sorted.
func (c *Catalogue) IDs() []string {
	c.all()
	out := make([]string, 0, len(c.texts))
	for id := range c.texts {
		out = append(out, id)
	}
	sort.Strings(out)
	return out
}

// Placeholders lists the names a text uses, sorted, those in optional segments included.
func (c *Catalogue) Placeholders(id string) []string {
	seen := map[string]bool{}
	var walk func([]part)
	walk = func(parts []part) {
		for _, p := range parts {
			if p.name != "" {
				seen[p.name] = true
			}
			walk(p.optional)
		}
	}
	t, _ := c.find(id)
	walk(t.parts)
	out := make([]string, 0, len(seen))
	for name := range seen {
		out = append(out, name)
	}
	sort.Strings(out)
	return out
}
