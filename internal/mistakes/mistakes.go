// Package mistakes knows the usual mistakes of testing: what the readings look like
// when one was made, why, and what puts it right. They are content
// (mistakes/*.yaml); how readings are looked at is a small closed set of predicates
// here.
//
// Recognition sees readings and the rig as described, never what was done. It names
// what readings look like, innocent causes first, and accuses nobody: the same
// readings may come from a fault, which is for the network to weigh.
package mistakes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/content"
)

// Folder is where mistakes live in the content library.
const Folder = "mistakes"

// NoSource is the source of what is common knowledge of the trade.
const NoSource = "common practice, no source"

// Mistake is one usual mistake.
type Mistake struct {
	ID    string
	Title string // "the leads were not nulled"
	Looks string // what the readings look like, with numbers
	Why   string
	Do    string
	// Innocent is what gives the same readings with nothing done wrong; may be empty.
	Innocent string
	Source   string
	// Hidden says why readings cannot show it; empty when they can.
	Hidden string
	// Blameless marks what comes of a method, with nothing done wrong.
	Blameless bool
	// Moves are the ways in which a set-up differs that go with it, by the names that a session with known moves gives them.
	// A mistake of writing down has none.
	Moves []string

	when   [][]clause // one of these, all of its clauses
	across bool       // readings of different circuits are looked at together too
}

// Told reports whether a look at what the learner said, or worked out, belongs to the mistake: that is known whatever is
// known of the moves.
func (m *Mistake) Told() bool {
	for _, cs := range m.when {
		for _, c := range cs {
			if c.see == "said" || c.see == "sum" {
				return true
			}
		}
	}
	return false
}

// Shows reports whether readings can show the mistake.
func (m *Mistake) Shows() bool { return len(m.when) > 0 }

// clause is one predicate over the readings of a circuit, an RCD or the board.
type clause struct {
	see      string
	tests    []string
	parts    []string
	which    string // "all", "any", "one"
	from, to float64
	least    int    // how many readings it needs
	of       string // what it compares with
}

// Book is all mistakes, in the order of the files.
type Book struct {
	All []*Mistake
	by  map[string]*Mistake
}

// Load reads every file of mistakes/. The error lists everything that is wrong, in all of them.
func Load(lib *content.Library) (*Book, error) {
	names, err := lib.List(Folder)
	if err != nil {
		return nil, err
	}
	b := &Book{by: map[string]*Mistake{}}
	var files []*content.Reader
	for _, name := range names {
		r, err := lib.Open(name)
		if err != nil {
			return nil, err
		}
		b.read(r)
		files = append(files, r)
	}
	if err := content.Together(files...); err != nil {
		return nil, err
	}
	return b, nil
}

// Parse reads one file by itself.
func Parse(name string, data []byte) (*Book, error) {
	b, r := &Book{by: map[string]*Mistake{}}, content.NewReader(name, data)
	b.read(r)
	return b, r.Err()
}

func (b *Book) read(r *content.Reader) {
	for _, v := range r.Root().Map("mistakes file", "mistakes").List("mistakes") {
		b.add(v)
	}
}

// Get finds a mistake by its id.
func (b *Book) Get(id string) (*Mistake, bool) {
	m, ok := b.by[id]
	return m, ok
}

func (b *Book) add(v content.Value) {
	m := v.Map("mistake", "mistake", "title", "looks", "why", "do", "innocent", "source", "hidden", "across", "blameless", "moves", "when", "or")
	x := &Mistake{ID: m.Name("mistake"), Title: m.Text("title"), Looks: m.Text("looks"), Why: m.Text("why"), Do: m.Text("do"),
		Innocent: m.OptText("innocent", ""), Source: m.OptStr("source", NoSource), Hidden: m.OptText("hidden", ""), Moves: m.OptStrs("moves"), across: m.OptBool("across", false), Blameless: m.OptBool("blameless", false)}
	checkMoves(m)
	for _, k := range []string{"when", "or"} {
		if m.Has(k) {
			x.when = append(x.when, clauses(m.List(k)))
		}
	}
	if x.Shows() == (x.Hidden != "") {
		m.Errorf("a mistake has `when`, or `hidden` saying why readings cannot show it", "mistake %q has both or neither", x.ID)
	}
	if b.by[x.ID] != nil {
		m.KeyOf("mistake").Errorf("give it an id of its own", "there are two mistakes %q", x.ID)
	}
	b.by[x.ID] = x
	b.All = append(b.All, x)
}

func clauses(list []content.Value) []clause {
	var out []clause
	for _, v := range list {
		m := v.Map("clause", "see", "tests", "parts", "which", "from", "to", "least", "of")
		c := clause{see: m.OneOf("see", predicateNames()...), tests: m.OptStrs("tests"), parts: m.OptStrs("parts"),
			which: m.OptOneOf("which", "all", "all", "any", "one"), least: m.OptInt("least", 1), of: m.OptStr("of", "")}
		c.from, c.to = number(m, "from"), number(m, "to")
		c.check(m)
		out = append(out, c)
	}
	return out
}

func number(m content.Map, key string) float64 {
	raw, _ := m.OptRaw(key, "0")
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		m.KeyOf(key).Errorf("a number such as 0.05", "%q is no number", raw)
	}
	return v
}

func predicateNames() []string {
	var names []string
	for k := range predicates {
		names = append(names, k)
	}
	slices.Sort(names)
	return names
}

// Named is a mistake that readings look like.
type Named struct {
	*Mistake
	IDs []string // the readings that look like it
}

// Most is how many mistakes are named for one judgement.
const Most = 3

// Name lists the mistakes that readings look like, the most particular look first. With focus set, only those that one
// of these readings belongs to.
func (b *Book) Name(v *View, focus ...string) []Named {
	v.index()
	var out []Named
	for _, m := range b.All {
		ids := m.seen(v)
		if len(ids) == 0 || len(focus) > 0 && !slices.ContainsFunc(ids, func(id string) bool { return slices.Contains(focus, id) }) {
			continue
		}
		out = append(out, Named{m, ids})
	}
	slices.SortStableFunc(out, func(a, c Named) int { return weight(c.Mistake) - weight(a.Mistake) })
	return out
}

// weight is how particular a mistake's look is: what its clauses ask for.
func weight(m *Mistake) int {
	most := 0
	for _, cs := range m.when {
		n := 0
		for _, c := range cs {
			n += 2
			if c.see == "over" || c.see == "within" {
				n--
			}
		}
		most = max(most, n)
	}
	return most
}

// Consistent keeps what agrees with what is known to have made readings differ: the names of the deviations in the
// set-up. Where nothing in the set-up made a difference no mistake of handling is named.
func Consistent(all []Named, moves []string) []Named {
	var out []Named
	for _, n := range all {
		if n.Told() || n.Blameless || slices.ContainsFunc(n.Moves, func(m string) bool { return slices.Contains(moves, m) }) {
			out = append(out, n)
		}
	}
	return out
}

func (m *Mistake) seen(v *View) []string {
	for _, cs := range m.when {
		for _, owner := range v.owners {
			if owner == everything && !m.across {
				continue
			}
			if ids := v.all(owner, cs); len(ids) > 0 {
				return ids
			}
		}
	}
	return nil
}

// all gives the readings that every clause holds for, nil when one does not.
func (v *View) all(owner string, cs []clause) []string {
	var ids []string
	for _, c := range cs {
		hit, ok := predicates[c.see](v, owner, c)
		if !ok {
			return nil
		}
		for _, r := range hit {
			if !slices.Contains(ids, r.ID) {
				ids = append(ids, r.ID)
			}
		}
	}
	if !slices.ContainsFunc(ids, func(id string) bool { return v.by[id].Owner == owner || owner == everything }) {
		return nil
	}
	return ids
}

// String is for tests and messages.
func (n Named) String() string { return fmt.Sprintf("%s (%s)", n.ID, strings.Join(n.IDs, ", ")) }
