// Package explain holds what there is to say about every test, limit, fault, usual
// mistake and term: what it is, why, where it comes from and an example with numbers.
// The texts are content (glossary/*.yaml, mistakes/*.yaml); numbers that can be worked
// out are worked out, by the judge for tests and limits and by the network for
// faults.
package explain

import (
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/mistakes"
)

// Folder is where the glossary lives in the content library.
const Folder = "glossary"

// The kinds of entry, in the order of a list.
var Kinds = []string{"test", "limit", "fault", "mistake", "term"}

// Entry is one thing explained.
type Entry struct {
	ID      string   `json:"id"`
	Kind    string   `json:"kind"`
	Title   string   `json:"title"`
	What    string   `json:"what"`
	Why     string   `json:"why"`
	Do      string   `json:"do,omitempty"`
	Example string   `json:"example"`
	Source  string   `json:"source"`
	See     []string `json:"see,omitempty"`

	judge   string // query whose verdict is the example
	circuit string // of the reference rig, for a fault's example
	where   content.Map
}

// Guide is everything that can be explained.
type Guide struct {
	All []*Entry
	by  map[string]*Entry
}

// Load reads the glossary and adds the mistakes and the kinds of fault. The error lists everything that is wrong.
func Load(lib *content.Library, book *mistakes.Book) (*Guide, error) {
	g := &Guide{by: map[string]*Entry{}}
	names, err := lib.List(Folder)
	if err != nil {
		return nil, err
	}
	titles := map[string]string{}
	for _, k := range faults.Kinds() {
		titles[k.ID] = k.Title
	}
	var files []*content.Reader
	for _, name := range names {
		r, err := lib.Open(name)
		if err != nil {
			return nil, err
		}
		g.read(r, titles)
		files = append(files, r)
	}
	for _, m := range book.All {
		e := &Entry{ID: m.ID, Kind: "mistake", Title: m.Title, What: m.Looks, Why: m.Why, Do: m.Do, Example: m.Looks, Source: m.Source}
		if m.Innocent != "" {
			e.Why += " The same readings come with nothing done wrong: " + m.Innocent + "."
		}
		g.add(e, content.Value{})
	}
	for _, e := range g.All {
		e.refers(g)
	}
	if err := content.Together(files...); err != nil {
		return nil, err
	}
	slices.SortStableFunc(g.All, func(a, b *Entry) int { return slices.Index(Kinds, a.Kind) - slices.Index(Kinds, b.Kind) })
	return g, nil
}

// Parse reads one file of the glossary by itself; what it refers to elsewhere is not looked for.
func Parse(name string, data []byte) error {
	r := content.NewReader(name, data)
	titles := map[string]string{}
	for _, k := range faults.Kinds() {
		titles[k.ID] = k.Title
	}
	(&Guide{by: map[string]*Entry{}}).read(r, titles)
	return r.Err()
}

func (g *Guide) read(r *content.Reader, titles map[string]string) {
	file := r.Root().Map("glossary file", "kind", "entries")
	kind := file.OneOf("kind", "test", "limit", "fault", "term")
	for _, v := range file.List("entries") {
		g.add(read(v, kind, titles), v)
	}
}

// refers looks for what the entry names elsewhere.
func (e *Entry) refers(g *Guide) {
	for _, id := range e.See {
		if _, ok := g.Find(id); !ok {
			e.where.KeyOf("see").Errorf(content.DidYouMean(id, g.IDs()), "see names %q, which is not explained", id)
		}
	}
}

func read(v content.Value, kind string, titles map[string]string) *Entry {
	m := v.Map("entry", "entry", "title", "what", "why", "do", "example", "source", "see", "judge", "circuit")
	id := m.Str("entry")
	e := &Entry{ID: id, Kind: kind, Title: m.OptText("title", m.Self().Translated(titles[id])), What: m.Text("what"), Why: m.Text("why"), Do: m.OptText("do", ""),
		Example: m.OptText("example", ""), Source: m.OptStr("source", mistakes.NoSource), judge: m.OptStr("judge", ""), circuit: m.OptStr("circuit", ""), where: m}
	if see := m.OptStr("see", ""); see != "" {
		e.See = strings.Split(see, ", ")
	}
	if e.Title == "" {
		m.Errorf("give it a title", "entry %q has none", id)
	}
	if args := strings.Fields(e.judge); len(args) > 0 {
		if _, err := judge.ParseArgs(args[0], args[1:]); err != nil {
			message, hint, _ := strings.Cut(err.Error(), "\nhint: ")
			m.KeyOf("judge").Errorf(strings.ReplaceAll(hint, "\nhint: ", "; "), "judge cannot take %q: %s", e.judge, message)
		}
	}
	return e
}

func (g *Guide) add(e *Entry, v content.Value) {
	key := tidy(e.ID)
	if old := g.by[key]; old != nil {
		v.Errorf("give it an id of its own", "%q is both a %s and a %s", e.ID, old.Kind, e.Kind)
		return
	}
	g.by[key] = e
	g.All = append(g.All, e)
}

// tidy makes ids that are typed differently alike: case, and _ for -.
func tidy(id string) string {
	return strings.ReplaceAll(strings.ToLower(strings.TrimSpace(id)), "_", "-")
}

// Find finds an entry by its id.
func (g *Guide) Find(id string) (*Entry, bool) {
	e, ok := g.by[tidy(id)]
	return e, ok
}

// IDs lists every id.
func (g *Guide) IDs() []string {
	var out []string
	for _, e := range g.All {
		out = append(out, e.ID)
	}
	return out
}

// Near is a hint for an id that there is not: the one meant, else those whose title or text has the word.
func (g *Guide) Near(id string) string {
	if hint := content.DidYouMean(id, g.IDs()); strings.HasPrefix(hint, "did you mean") {
		return hint
	}
	var with []string
	for _, e := range g.All {
		if strings.Contains(strings.ToLower(e.ID+" "+e.Title), strings.ToLower(id)) {
			with = append(with, e.ID)
		}
	}
	const most = 8
	if len(with) > 0 {
		return "perhaps one of: " + strings.Join(with[:min(len(with), most)], ", ")
	}
	return "explain without an id lists what there is"
}
