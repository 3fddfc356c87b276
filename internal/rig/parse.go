package rig

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"wanderlead/internal/content"
)

// Folder is where rigs live in the content library.
const Folder = "rigs"

// Load reads the rig of that name from the library. The error lists everything that is wrong with it, each with file,
// line and column, or says which rigs there are.
func Load(lib *content.Library, name string) (*Rig, error) {
	if !wellFormedID(name) {
		return nil, fmt.Errorf("%q is not the name of a rig\nhint: %s", name, rigHint(lib, name))
	}
	file := path.Join(Folder, name+".yaml")
	reader, err := lib.Open(file)
	if err != nil {
		if content.NotFound(err) {
			return nil, fmt.Errorf("there is no rig %q\nhint: %s", name, rigHint(lib, name))
		}
		return nil, err
	}
	return parse(reader, name)
}

// Names lists the rigs in the library.
func Names(lib *content.Library) ([]string, error) {
	files, err := lib.List(Folder)
	if err != nil {
		return nil, err
	}
	for i, f := range files {
		files[i] = strings.TrimSuffix(path.Base(f), ".yaml")
	}
	return files, nil
}

func rigHint(lib *content.Library, name string) string {
	names, err := Names(lib)
	if err != nil || len(names) == 0 {
		return "put one into the rigs folder of your content folder"
	}
	return content.DidYouMean(name, names)
}

// Parse reads a rig from YAML; name is the file's name in messages. The error lists everything that is wrong, each with
// file, line and column. A rig read without error is whole: every reference resolves and every shape has what it needs.
func Parse(name string, data []byte) (*Rig, error) {
	return parse(content.NewReader(name, data), "")
}

func parse(reader *content.Reader, wantID string) (*Rig, error) {
	r := &Rig{}
	p := &parser{rig: r, places: map[any]content.Value{}}
	p.record(reader.Root(), rigRecord, r)
	if reader.Root().Kind() == content.MapKind {
		check(r, p.complain)
	}
	if wantID != "" && r.ID != "" && r.ID != wantID {
		p.complain(&r.ID, "rename the file or the rig", "the file is named %s.yaml, the rig %s", wantID, r.ID)
	}
	if err := reader.Err(); err != nil {
		return nil, err
	}
	sortReadings(r)
	return r, nil
}

type parser struct {
	rig    *Rig
	places map[any]content.Value // pointer into the rig -> where it was read from
}

// complain puts a complaint where the thing p points to was read. What was not in the file has no place; the loader
// has complained about that already.
func (p *parser) complain(at any, hint, format string, args ...any) {
	if v, ok := p.places[at]; ok {
		v.Errorf(hint, format, args...)
	}
}

func (p *parser) record(v content.Value, rec *record, into any) {
	keys := make([]string, len(rec.fields))
	for i, f := range rec.fields {
		keys[i] = f.key
	}
	m := v.Map(rec.name, keys...)
	p.places[into] = v
	if !m.Exists() {
		return
	}
	for _, f := range rec.fields {
		switch applies := f.applies(p.rig, into); {
		case m.Has(f.key) && !applies:
			m.KeyOf(f.key).Errorf("", "%s is not for this %s: %s", f.key, rec.name, f.why)
		case m.Has(f.key):
			p.field(m.Value(f.key), f, into)
		case applies && f.required:
			m.Value(f.key) // complains
		}
	}
	if rec.finish != nil {
		rec.finish(p.rig, into)
	}
}

func (p *parser) field(v content.Value, f *field, into any) {
	at := f.at(into)
	if f.kind < group {
		p.places[at] = v
	}
	switch f.kind {
	case texts:
		p.texts(v, f, into, at.(*[]string))
	case group:
		p.record(v, f.rec, at)
	case maybe:
		p.record(v, f.rec, at.(optional).Make())
	case many:
		items := countedItems(v, f)
		l := at.(list)
		l.Resize(len(items))
		for i, item := range items {
			p.record(item, f.rec, l.Item(i))
		}
	default:
		p.single(v, f, into)
	}
}

// countedItems are the items of a list, with a complaint when there are too few or too many.
func countedItems(v content.Value, f *field) []content.Value {
	items := v.List()
	switch {
	case v.Kind() != content.ListKind:
	case len(items) < f.least:
		v.Errorf("", "%s must list at least %d", f.key, f.least)
	case len(items) > f.most():
		v.Errorf("", "%s lists %d, the most is %d", f.key, len(items), f.most())
		return nil
	}
	return items
}

func (p *parser) single(v content.Value, f *field, into any) {
	var raw string
	switch f.kind {
	case textField:
		if raw = v.Str(); f.prose {
			raw = v.Text()
		}
	case idField, wordField:
		raw = v.Str()
	case wholeField:
		if n := v.Int(); v.Kind() == content.Scalar {
			raw = fmt.Sprint(n)
		}
	case yesNo:
		*f.at(into).(*bool) = v.Bool()
		return
	default:
		raw = v.Raw()
	}
	if v.Kind() != content.Scalar { // refused above
		return
	}
	if problem, hint := f.setText(p.rig, into, raw); problem != "" {
		v.Errorf(hint, "%s: %s", f.key, problem)
	}
}

func (p *parser) texts(v content.Value, f *field, into any, to *[]string) {
	for _, item := range countedItems(v, f) {
		raw := item.Raw()
		if f.key != "values" { // readings are raw text, all else is text proper
			raw = item.Str()
		}
		if f.prose {
			raw = item.Text()
		}
		if item.Kind() != content.Scalar {
			continue
		}
		problem, hint := checkItem(p.rig, f, into, *to, raw)
		if problem != "" {
			item.Errorf(hint, "%s: %s", f.key, problem)
		}
		*to = append(*to, raw)
	}
}

// checkItem says what is wrong with one more text of a list.
func checkItem(r *Rig, f *field, p any, before []string, text string) (problem, hint string) {
	switch {
	case len(before) >= f.most():
		return fmt.Sprintf("the most is %d", f.most()), ""
	case f.words != nil:
		problem, hint = checkWord(text, f.words(r, p))
	default:
		problem, hint = checkText(text)
	}
	if problem == "" && f.key != "values" && slices.Contains(before, text) {
		problem = fmt.Sprintf("%q is listed twice", text)
	}
	return problem, hint
}
