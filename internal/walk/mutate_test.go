package walk_test

import (
	"math/rand/v2"
	"slices"
	"strings"
)

// page is a file of content as lines, with the entries of its lists.
type page struct {
	lines   []string
	entries []entry
}

// entry is one entry of a list that begins with a key, and everything under it.
type entry struct {
	from, to int // lines, to excluded
	indent   int
	key, val string
}

// readPage finds the entries of a file. Lists in braces and lists of plain words have none.
func readPage(text string) page {
	p := page{lines: strings.Split(strings.TrimRight(text, "\n"), "\n")}
	for i, l := range p.lines {
		rest := strings.TrimLeft(l, " ")
		body, is := strings.CutPrefix(rest, "- ")
		key, val, keyed := strings.Cut(body, ":")
		if !is || !keyed || strings.ContainsAny(key, " {\"") {
			continue
		}
		e := entry{from: i, to: i + 1, indent: len(l) - len(rest), key: key, val: strings.TrimSpace(val)}
		for e.to < len(p.lines) && (strings.TrimSpace(p.lines[e.to]) == "" || indentOf(p.lines[e.to]) > e.indent) {
			e.to++
		}
		p.entries = append(p.entries, e)
	}
	return p
}

func indentOf(l string) int { return len(l) - len(strings.TrimLeft(l, " ")) }

func (p page) text() string { return strings.Join(p.lines, "\n") + "\n" }

// with is the page with lines put in place of others.
func (p page) with(from, to int, put ...string) page {
	return readPage(strings.Join(slices.Concat(p.lines[:from], put, p.lines[to:]), "\n"))
}

// shifted is lines at another indent.
func shifted(lines []string, by int) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		switch {
		case by > 0:
			l = strings.Repeat(" ", by) + l
		case len(l) > -by:
			l = l[-by:]
		}
		out[i] = l
	}
	return out
}

// key is one "key: value" on a line of its own, or behind the dash of an entry.
type keyed struct {
	line     int
	key, val string
}

func (p page) keys(from, to int, want ...string) []keyed {
	var out []keyed
	for i := from; i < to; i++ {
		l := strings.TrimPrefix(strings.TrimLeft(p.lines[i], " "), "- ")
		key, val, ok := strings.Cut(l, ":")
		if ok && (len(want) == 0 || slices.Contains(want, key)) && !strings.ContainsAny(key, " {\"#") {
			out = append(out, keyed{i, key, strings.TrimSpace(val)})
		}
	}
	return out
}

// set is the page with another value for a key.
func (p page) set(k keyed, val string) page {
	l := p.lines[k.line]
	at := strings.Index(l, k.key+":") + len(k.key) + 1
	return p.with(k.line, k.line+1, l[:at]+" "+val)
}

// script is somebody who changes files, one change at a time.
type script struct {
	r     *rand.Rand
	pages map[string]page
	names []string
	words map[string][]string // values that a key has anywhere
}

func newScript(files map[string]string) *script {
	s := &script{pages: map[string]page{}, words: map[string][]string{}}
	for n, text := range files {
		s.pages[n] = readPage(text)
		s.names = append(s.names, n)
	}
	slices.Sort(s.names)
	for _, n := range s.names {
		p := s.pages[n]
		for _, k := range p.keys(0, len(p.lines)) {
			if !slices.Contains(s.words[k.key], k.val) {
				s.words[k.key] = append(s.words[k.key], k.val)
			}
		}
	}
	return s
}

func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// forms are the keys that a step begins with, and that say what it is.
var forms = []string{"act", "read", "observe", "include", "gate", "safety", "ask", "switch", "declare", "accept", "finish", "inspect", "note"}

// place is an entry of one of the pages.
type spot struct {
	name string
	e    entry
}

// spots lists the steps of pages.
func (s *script) spots(names []string, want ...string) []spot {
	var out []spot
	for _, n := range names {
		for _, e := range s.pages[n].entries {
			if e.key == "say" || e.key == "stage" && len(want) == 0 || len(want) > 0 && !slices.Contains(want, e.key) {
				continue
			}
			out = append(out, spot{n, e})
		}
	}
	return out
}

// change is what a kind of mutation does: to the files of a sequence, by their names. It
// reports the files that are now otherwise, or false when there is nothing to change.
type change struct {
	kind string
	make func(s *script, names []string) (map[string]page, bool)
}

var changes = []change{
	{"step dropped", func(s *script, names []string) (map[string]page, bool) { return s.drop(s.spots(names)) }},
	{"gate removed", func(s *script, names []string) (map[string]page, bool) { return s.drop(s.spots(names, "gate")) }},
	{"step moved", func(s *script, names []string) (map[string]page, bool) { return s.move(s.spots(names), s.spots(names)) }},
	{"gate moved", func(s *script, names []string) (map[string]page, bool) {
		return s.move(s.spots(names, "gate"), s.spots(names))
	}},
	{"step moved in its list", (*script).near},
	{"step doubled", func(s *script, names []string) (map[string]page, bool) { return s.double(names, false) }},
	{"doubled, new id", func(s *script, names []string) (map[string]page, bool) { return s.double(names, true) }},
	{"steps exchanged", (*script).exchange},
	{"includes crossed", (*script).cross},
	{"kind changed", func(s *script, names []string) (map[string]page, bool) { return s.value(names, forms...) }},
	{"form changed", (*script).form},
	{"place changed", func(s *script, names []string) (map[string]page, bool) { return s.value(names, "at") }},
	{"item changed", func(s *script, names []string) (map[string]page, bool) { return s.value(names, "opens", "closes") }},
	{"condition changed", func(s *script, names []string) (map[string]page, bool) {
		return s.value(names, "when", "unless", "where", "each", "parts", "choose", "as")
	}},
	{"start changed", (*script).start},
	{"key dropped", (*script).unkey},
	{"answers crossed", (*script).answers},
	{"block undone", (*script).unblock},
}

func (s *script) drop(from []spot) (map[string]page, bool) {
	if len(from) == 0 {
		return nil, false
	}
	x := pick(s.r, from)
	return map[string]page{x.name: s.pages[x.name].with(x.e.from, x.e.to)}, true
}

// move takes one entry out and puts it before another, at that one's indent.
func (s *script) move(from, to []spot) (map[string]page, bool) {
	if len(from) == 0 || len(to) < 2 {
		return nil, false
	}
	x, y := pick(s.r, from), pick(s.r, to)
	if x.name == y.name && y.e.from >= x.e.from && y.e.from <= x.e.to {
		return nil, false
	}
	p := s.pages[x.name]
	block := shifted(p.lines[x.e.from:x.e.to], y.e.indent-x.e.indent)
	if x.name != y.name {
		return map[string]page{x.name: p.with(x.e.from, x.e.to), y.name: s.pages[y.name].with(y.e.from, y.e.from, block...)}, true
	}
	if y.e.from > x.e.from {
		q := p.with(y.e.from, y.e.from, block...)
		return map[string]page{x.name: q.with(x.e.from, x.e.to)}, true
	}
	return map[string]page{x.name: p.with(x.e.from, x.e.to).with(y.e.from, y.e.from, block...)}, true
}

// near moves an entry to another place of the same list.
func (s *script) near(names []string) (map[string]page, bool) {
	all := s.spots(names)
	if len(all) == 0 {
		return nil, false
	}
	x := pick(s.r, all)
	var same []spot
	for _, y := range all {
		if y.name == x.name && y.e.indent == x.e.indent {
			same = append(same, y)
		}
	}
	return s.move([]spot{x}, same)
}

func (s *script) double(names []string, renamed bool) (map[string]page, bool) {
	all := s.spots(names)
	if len(all) == 0 {
		return nil, false
	}
	x := pick(s.r, all)
	p := s.pages[x.name]
	block := slices.Clone(p.lines[x.e.from:x.e.to])
	if renamed {
		for i, l := range block {
			if strings.HasPrefix(strings.TrimLeft(l, " -"), "id:") {
				block[i] = l + "-again"
			}
		}
		if len(p.keys(x.e.from, x.e.to, "id")) == 0 {
			block = slices.Insert(block, 1, strings.Repeat(" ", x.e.indent+2)+"id: again/this")
		}
	}
	return map[string]page{x.name: p.with(x.e.to, x.e.to, block...)}, true
}

// exchange puts two entries of one list in each other's place.
func (s *script) exchange(names []string) (map[string]page, bool) {
	all := s.spots(names)
	if len(all) < 2 {
		return nil, false
	}
	x, y := pick(s.r, all), pick(s.r, all)
	if x.name != y.name || x.e.indent != y.e.indent || x.e.from == y.e.from {
		return nil, false
	}
	if x.e.from > y.e.from {
		x, y = y, x
	}
	p := s.pages[x.name]
	if x.e.to > y.e.from {
		return nil, false
	}
	lines := slices.Concat(p.lines[y.e.from:y.e.to], p.lines[x.e.to:y.e.from], p.lines[x.e.from:x.e.to])
	return map[string]page{x.name: p.with(x.e.from, y.e.to, lines...)}, true
}

// cross has something else included.
func (s *script) cross(names []string) (map[string]page, bool) {
	from := s.spots(names, "include")
	if len(from) == 0 {
		return nil, false
	}
	x := pick(s.r, from)
	p := s.pages[x.name]
	k := p.keys(x.e.from, x.e.from+1, "include")[0]
	return map[string]page{x.name: p.set(k, pick(s.r, s.names))}, true
}

// value gives a key another value that it has elsewhere.
func (s *script) value(names []string, keys ...string) (map[string]page, bool) {
	type at struct {
		name string
		k    keyed
	}
	var all []at
	for _, n := range names {
		for _, k := range s.pages[n].keys(0, len(s.pages[n].lines), keys...) {
			if k.key != "include" {
				all = append(all, at{n, k})
			}
		}
	}
	if len(all) == 0 {
		return nil, false
	}
	x := pick(s.r, all)
	val := pick(s.r, s.words[x.k.key])
	if val == x.k.val {
		return nil, false
	}
	return map[string]page{x.name: s.pages[x.name].set(x.k, val)}, true
}

// form makes another sort of step of one: a reading of an act, an act of a gate.
func (s *script) form(names []string) (map[string]page, bool) {
	all := s.spots(names, forms...)
	if len(all) == 0 {
		return nil, false
	}
	x := pick(s.r, all)
	key := pick(s.r, forms)
	if key == x.e.key || len(s.words[key]) == 0 {
		return nil, false
	}
	p := s.pages[x.name]
	return map[string]page{x.name: p.with(x.e.from, x.e.from+1, strings.Repeat(" ", x.e.indent)+"- "+key+": "+pick(s.r, s.words[key]))}, true
}

// start changes how a sequence begins: from a record, with the origin declared or not.
func (s *script) start(names []string) (map[string]page, bool) {
	p := s.pages[names[0]]
	ks := p.keys(0, len(p.lines), "incoming", "start")
	at := slices.IndexFunc(p.lines, func(l string) bool { return strings.HasPrefix(l, "title:") }) + 1
	switch s.r.IntN(3) {
	case 0:
		if i := slices.IndexFunc(ks, func(k keyed) bool { return k.key == "start" }); i >= 0 {
			return map[string]page{names[0]: p.with(ks[i].line, ks[i].line+1)}, true
		}
		return map[string]page{names[0]: p.with(at, at, "start: record")}, true
	case 1:
		if len(ks) > 0 && ks[0].key == "incoming" {
			return map[string]page{names[0]: p.set(ks[0], pick(s.r, []string{"measured", "declared", "either"}))}, true
		}
	}
	if len(ks) == 0 {
		return nil, false
	}
	k := pick(s.r, ks)
	return map[string]page{names[0]: p.with(k.line, k.line+1)}, true
}

// unkey drops a line with a key.
func (s *script) unkey(names []string) (map[string]page, bool) {
	n := pick(s.r, names)
	p := s.pages[n]
	ks := p.keys(0, len(p.lines), "opens", "closes", "at", "when", "unless", "where", "parts", "choose", "as", "id", "right", "test", "of")
	if len(ks) == 0 {
		return nil, false
	}
	k := pick(s.r, ks)
	if strings.HasPrefix(strings.TrimLeft(p.lines[k.line], " "), "- ") {
		return nil, false
	}
	return map[string]page{n: p.with(k.line, k.line+1)}, true
}

// answers makes a wrong answer the right one, and the other way round.
func (s *script) answers(names []string) (map[string]page, bool) {
	n := pick(s.r, names)
	p := s.pages[n]
	ks := p.keys(0, len(p.lines), "right")
	if len(ks) == 0 {
		return nil, false
	}
	k := pick(s.r, ks)
	for i := k.line + 1; i < min(k.line+4, len(p.lines)); i++ {
		wrong, is := strings.CutPrefix(strings.TrimLeft(p.lines[i], " "), "- {say: ")
		word, _, _ := strings.Cut(wrong, ",")
		old, _, found := strings.Cut(strings.TrimPrefix(k.val, "{say: "), ",")
		if is && found {
			q := p.with(k.line, k.line+1, strings.Replace(p.lines[k.line], old, word, 1))
			return map[string]page{n: q.with(i, i+1, strings.Replace(p.lines[i], word, old, 1))}, true
		}
	}
	return nil, false
}

// unblock takes the steps of a block, or of a loop, out of it.
func (s *script) unblock(names []string) (map[string]page, bool) {
	all := s.spots(names, "block", "each")
	if len(all) == 0 {
		return nil, false
	}
	x := pick(s.r, all)
	p := s.pages[x.name]
	at := p.keys(x.e.from, x.e.to, "steps")
	if len(at) == 0 || len(p.keys(at[0].line+1, x.e.to)) == 0 {
		return nil, false
	}
	return map[string]page{x.name: p.with(x.e.from, x.e.to, shifted(p.lines[at[0].line+1:x.e.to], -4)...)}, true
}
