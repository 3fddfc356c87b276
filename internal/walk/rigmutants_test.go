package walk_test

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/lint"
	"wanderlead/internal/rig"
	"wanderlead/internal/study"
)

// draft is the text of a rig of one or two circuits that somebody changes.
type draft struct {
	r     *rand.Rand
	lines []string
	words map[string][]string
}

var (
	pairRE   = regexp.MustCompile(`([a-z][a-z0-9-]*): ("[^"]*"|[^,{}\[\]]+)`)
	numberRE = regexp.MustCompile(`\d+(\.\d+)?`)
)

// rigWords are the values that keys have in any of the texts.
func rigWords(texts []string) map[string][]string {
	words := map[string][]string{}
	for _, t := range texts {
		for _, l := range strings.Split(t, "\n") {
			for _, m := range pairRE.FindAllStringSubmatch(l, -1) {
				if v := strings.TrimSpace(m[2]); v != "" && !slices.Contains(words[m[1]], v) {
					words[m[1]] = append(words[m[1]], v)
				}
			}
		}
	}
	return words
}

// rigChanges are the kinds of change; each reports whether there was something to change.
var rigChanges = []struct {
	kind string
	make func(d *draft) bool
}{
	{"value changed", func(d *draft) bool { return d.pair(d.other) }},
	{"circuit value changed", func(d *draft) bool {
		return d.pair(d.other, "shape", "section", "kind", "plug-in", "two-way", "electronics", "spd", "curve", "rating", "line", "cpc")
	}},
	{"supply value changed", func(d *draft) bool {
		return d.pair(d.other, "earthing", "phases", "neutral-earthed", "arrangement", "poles", "voltage", "ze", "incoming", "neutral-bar", "supply-cable")
	}},
	{"isolation changed", func(d *draft) bool {
		for i, l := range d.lines {
			for _, w := range [][2]string{{"at: upstream", "at: main-switch"}, {"at: main-switch", "at: upstream"}, {"incoming: shrouded", "incoming: terminals"}, {"incoming: terminals", "incoming: shrouded"}} {
				if strings.TrimSpace(l) != w[0] || d.r.IntN(2) == 0 {
					continue
				}
				d.lines[i] = strings.Replace(l, w[0], w[1], 1)
				if j := slices.IndexFunc(d.lines, func(l string) bool { return strings.HasPrefix(l, "  incoming:") }); w[0] == "at: upstream" && d.r.IntN(4) > 0 {
					d.lines[j] = "  incoming: none" // as on a rig that is isolated at its main switch
				}
				return true
			}
		}
		return false
	}},
	{"key dropped", func(d *draft) bool { return d.pair(func(string, string) string { return "" }) }},
	{"number changed", func(d *draft) bool {
		i := d.r.IntN(len(d.lines))
		at := numberRE.FindStringIndex(d.lines[i])
		if at == nil {
			return false
		}
		n := []string{"0", "-1", "1", "3", "0.01", "999", "1e9", d.lines[i][at[0]:at[1]] + "0"}[d.r.IntN(8)]
		d.lines[i] = d.lines[i][:at[0]] + n + d.lines[i][at[1]:]
		return true
	}},
	{"line dropped", func(d *draft) bool {
		i := d.r.IntN(len(d.lines))
		d.lines = slices.Delete(d.lines, i, i+1)
		return true
	}},
	{"entry dropped", func(d *draft) bool {
		from, to := d.entry()
		d.lines = slices.Delete(d.lines, from, to)
		return to > from
	}},
	{"entry doubled", func(d *draft) bool {
		from, to := d.entry()
		d.lines = slices.Insert(d.lines, to, slices.Clone(d.lines[from:to])...)
		return to > from
	}},
	{"entry doubled, new id", func(d *draft) bool {
		from, to := d.entry()
		more := slices.Clone(d.lines[from:to])
		for i := range more {
			more[i] = regexp.MustCompile(`id: ([a-z0-9-]+)`).ReplaceAllString(more[i], "id: ${1}-b")
		}
		d.lines = slices.Insert(d.lines, to, more...)
		return to > from
	}},
	{"entries exchanged", func(d *draft) bool {
		a, b := d.entry()
		x, y := d.entry()
		if a > x {
			a, b, x, y = x, y, a, b
		}
		if b > x || indentOf(d.lines[a]) != indentOf(d.lines[x]) {
			return false
		}
		d.lines = slices.Concat(d.lines[:a], d.lines[x:y], d.lines[b:x], d.lines[a:b], d.lines[y:])
		return true
	}},
}

// other is the key with a value that it has anywhere.
func (d *draft) other(key, val string) string {
	if len(d.words[key]) > 0 {
		val = pick(d.r, d.words[key])
	}
	return key + ": " + val
}

// pair changes one "key: value", in braces or on a line of its own, of the keys named.
func (d *draft) pair(change func(key, val string) string, keys ...string) bool {
	type at struct {
		line int
		m    []int
	}
	var all []at
	for i, l := range d.lines {
		for _, m := range pairRE.FindAllStringSubmatchIndex(l, -1) {
			if len(keys) == 0 || slices.Contains(keys, l[m[2]:m[3]]) {
				all = append(all, at{i, m})
			}
		}
	}
	if len(all) == 0 {
		return false
	}
	x := pick(d.r, all)
	l, m := d.lines[x.line], x.m
	key, val := l[m[2]:m[3]], strings.TrimSpace(l[m[4]:m[5]])
	put := change(key, val)
	if put == key+": "+val {
		return false
	}
	l = l[:m[0]] + put + l[m[1]:]
	if put == "" {
		l = strings.NewReplacer("{, ", "{", ", , ", ", ", ", }", "}").Replace(l)
	}
	d.lines[x.line] = l
	return true
}

// entry is some entry of a list, with what is under it.
func (d *draft) entry() (from, to int) {
	var all []int
	for i, l := range d.lines {
		if strings.HasPrefix(strings.TrimLeft(l, " "), "- ") {
			all = append(all, i)
		}
	}
	from = pick(d.r, all)
	for to = from + 1; to < len(d.lines) && indentOf(d.lines[to]) > indentOf(d.lines[from]); to++ {
	}
	return from, to
}

// rigMutant makes the n-th mutant of a rig and says what becomes of it.
func (b *bench) rigMutant(n int, texts []string, wholes []string) fate {
	r := rand.New(rand.NewPCG(11, uint64(n)))
	text := texts[n%len(texts)]
	c := rigChanges[n/len(texts)%len(rigChanges)]
	f := fate{kind: c.kind}
	d := &draft{r: r, lines: strings.Split(strings.TrimRight(text, "\n"), "\n"), words: rigWords(texts)}
	for try := 0; !c.make(d); try++ {
		if try == 400 {
			f.what = "none"
			return f
		}
	}
	if r.IntN(3) == 0 {
		pick(r, rigChanges).make(d)
	}
	changed := strings.Join(d.lines, "\n") + "\n"
	x, err := rig.Parse("mutant.yaml", []byte(changed))
	if err != nil {
		f.what = "reader"
		return f
	}
	if string(rig.Write(x)) == text {
		f.what = "same"
		return f
	}
	f.change = difference(text, string(rig.Write(x)))
	for _, i := range r.Perm(len(wholes)) {
		seq, err := b.h.find(wholes[i])
		if err != nil {
			f.what = "none"
			return f
		}
		origins := lint.Origins(seq, x)
		if len(origins) == 0 {
			continue
		}
		o := pick(r, origins)
		ps := lint.QuickFrom(b.h.find, seq, x, o, b.h.pack)
		if ps.Unfit() {
			f.what = "unfit"
			continue
		}
		f.what = "walked"
		if bad := ps.Bad(); len(bad) > 0 {
			f.what, f.rule, f.rejected = "lint", bad[0].Rule, bad[0].Message
		}
		b.walk(&f, seq, x, o, b.h.find, "")
		return f
	}
	return f
}

// difference is the first line in which two texts differ.
func difference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("line %d: %s -> %s", i+1, strings.TrimSpace(x[i]), strings.TrimSpace(y[i]))
		}
	}
	return "its end"
}

// Mutants of rigs of one and two circuits: values and numbers changed, keys, lines and
// entries dropped, doubled, exchanged. As with sequences, what reader and lint let through
// is walked as far as the bench goes, and streams run through it; the checker is told of the
// rig as it now is.
func TestRigMutants(t *testing.T) {
	b := newBench(t)
	wholes := b.h.wholes(t)
	var texts []string
	for _, pair := range [][]string{{"training-bay", "radial-2"}, {"training-bay", "ring-2"}, {"training-bay", "lighting-1"}, {"rigging-store", "fixed-1"},
		{"slip-outbuilding", "radial-2"}, {"winch-workshop", "winch-1"}, {"winch-workshop", "lighting-1"}, {"training-bay", "radial-1", "ring-1"}, {"reference", "ring"}} {
		r, err := study.Only(b.h.rig(t, pair[0]), pair[1:]...)
		if err != nil {
			t.Fatal(err)
		}
		// Reference readings and the list of faults hold everything else in its place: a rig
		// without them can be changed in more ways.
		bare := *r
		bare.Reference, bare.Faults = rig.Reference{}, nil
		text := string(rig.Write(&bare))
		if _, err := rig.Parse("base.yaml", []byte(text)); err != nil {
			t.Fatal(pair, err)
		}
		texts = append(texts, text)
	}
	n := count(60, 1000)
	b.maxStates, b.streams = 100, 3
	if long() {
		b.maxStates, b.streams = 4_000, 40
	}
	fates := b.run(n, func(i int) fate { return b.rigMutant(i, texts, wholes) })
	b.table(t, fates)
	for i, f := range fates {
		if len(f.bad) > 0 && f.what == "walked" {
			t.Errorf("rig mutant %d, %s: %s: %s", i, f.kind, f.change, f.bad[0])
		}
	}
}
