package words

import (
	"slices"
	"strings"

	"wanderlead/internal/content"
)

// file is a built-in file of which only the ids were looked at.
type file struct {
	name string
	data []byte
	ids  []string
}

// Open is Load for a program that says a few things and ends: of a built-in file only the ids are looked for, and it is
// parsed when one of its texts is first asked for. Files of the user's own folder are parsed at once, so that what is
// wrong in them is told before anything else; what is wrong in built-in ones is for the tests, which load them all.
//
// Below another language lies English: what that language does not have is said in English, and Missing counts it.
func Open(lib *content.Library, language string) (*Catalogue, error) {
	c, err := open(lib, language)
	if err == nil && language != content.English {
		c.base, err = open(lib, content.English)
	}
	return c, err
}

func open(lib *content.Library, language string) (*Catalogue, error) {
	names, err := lib.List("words/" + language)
	if err != nil {
		return nil, err
	}
	builtin, own := []string{}, []string{}
	for _, name := range names {
		if lib.Builtin(name) {
			builtin = append(builtin, name)
		} else {
			own = append(own, name)
		}
	}
	if len(builtin) == 0 {
		return Load(lib, language)
	}
	c := &Catalogue{Language: language, texts: map[string]text{}, waiting: map[string]*file{}}
	for _, name := range builtin {
		data, err := lib.Read(name)
		if err != nil {
			return nil, err
		}
		f := &file{name: name, data: data, ids: idsIn(data)}
		for _, id := range f.ids {
			c.waiting[id] = f
		}
	}
	if err := c.readAll(lib, own); err != nil {
		return nil, err
	}
	return c, nil
}

// idsIn finds the keys under `texts`: what stands two blanks in, as in all built-in files.
func idsIn(data []byte) (ids []string) {
	_, rest, _ := strings.Cut(string(data), "\ntexts:")
	for line := range strings.SplitSeq(rest, "\n") {
		key, ok := strings.CutPrefix(line, "  ")
		if !ok || key == "" || key[0] == ' ' || key[0] == '#' {
			continue
		}
		if id, _, ok := strings.Cut(key, ":"); ok {
			ids = append(ids, id)
		}
	}
	return ids
}

// get is the text of an id; its file is parsed for the first of them.
func (c *Catalogue) get(id string) (text, bool) {
	c.lock.Lock()
	defer c.lock.Unlock()
	if f := c.waiting[id]; f != nil {
		c.parse(f)
	}
	t, ok := c.texts[id]
	return t, ok
}

// find is get in the language itself, then in what lies below it.
func (c *Catalogue) find(id string) (text, bool) {
	t, ok := c.get(id)
	if !ok && c.base != nil {
		return c.base.find(id)
	}
	return t, ok
}

// known lists the ids without parsing anything.
func (c *Catalogue) known() map[string]bool {
	c.lock.Lock()
	defer c.lock.Unlock()
	ids := make(map[string]bool, len(c.texts)+len(c.waiting))
	for id := range c.texts {
		ids[id] = true
	}
	for id := range c.waiting {
		ids[id] = true
	}
	return ids
}

// Missing lists the ids that are said in English because the language has no text for them.
func (c *Catalogue) Missing() []string {
	if c.base == nil {
		return nil
	}
	own := c.known()
	var out []string
	for id := range c.base.known() {
		if !own[id] {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

// all parses whatever is still waiting.
func (c *Catalogue) all() {
	c.lock.Lock()
	defer c.lock.Unlock()
	for _, f := range c.waiting {
		c.parse(f)
	}
}

func (c *Catalogue) parse(f *file) {
	c.read(content.NewReader(f.name, f.data), f.name)
	for _, id := range f.ids {
		delete(c.waiting, id)
	}
}
