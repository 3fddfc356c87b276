package lint

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// Walked is what a walk through every turn of a session found.
type Walked struct {
	States       int      `json:"states"`
	Transitions  int      `json:"transitions"`
	LiveArrivals int      `json:"live_arrivals"`
	Problems     []string `json:"problems,omitempty"`
	Cut          bool     `json:"cut,omitempty"` // stopped before it was through: nothing is shown
	Remembered   bool     `json:"remembered,omitempty"`
}

// Cache remembers walks that found nothing, by what they depend on.
type Cache interface {
	Get(key string) (Walked, bool)
	Put(key string, w Walked)
}

// Options say how the full check walks.
type Options struct {
	Walk    func(coach.Setup) Walked // see [Walk]; nil: no walk
	Cache   Cache                    // nil: nothing is remembered
	Program string                   // mark of the program, part of what a walk depends on; empty: nothing is remembered
}

// Full is the quick check and then the walk. A walk that was done before, of the same content by the same program, is
// not done again.
func Full(lib *content.Library, seq *sequence.Sequence, r *rig.Rig, incoming sequence.Origin, pack *edition.Pack, o Options) (Problems, Walked) {
	l := newLinter(lib, pack)
	if !l.load(seq) {
		return l.sorted(), Walked{}
	}
	p, _ := l.on(seq, r, incoming)
	if len(l.problems.Bad()) > 0 {
		return l.sorted(), Walked{}
	}
	w := l.walk(p, o)
	return l.sorted(), w
}

func (l *linter) walk(p *sequence.Program, o Options) Walked {
	if o.Walk == nil {
		return Walked{}
	}
	key := ""
	if o.Cache != nil && o.Program != "" {
		key = l.key(o.Program, p)
	}
	if key != "" {
		if w, ok := o.Cache.Get(key); ok && len(w.Problems) == 0 && !w.Cut {
			w.Remembered = true
			return w
		}
	}
	w := o.Walk(coach.Setup{Program: p, Pack: l.pack, Rules: l.rules})
	for _, text := range w.Problems {
		q := l.add("walk", p.Seq.At(), "", "%s", text)
		q.Rigs = []string{p.Rig.ID}
	}
	if w.Cut {
		l.remark("walk", p.Seq.At(), "", "the walk was cut after %d states, so nothing is shown by it", w.States)
	}
	if key != "" && len(w.Problems) == 0 && !w.Cut {
		o.Cache.Put(key, w)
	}
	return w
}

// key is a hash of everything that a walk depends on: the program, the sequence with what it includes, the rig, the
// editions, and how the origin is known. It is empty when one of them cannot be read.
func (l *linter) key(program string, p *sequence.Program) string {
	h := sha256.New()
	part := func(name, text string) { fmt.Fprintf(h, "%s %d\n%s\n", name, len(text), text) }
	part("program", program)
	part("origin", string(p.Origin))
	part("rig", string(rig.Write(p.Rig)))
	part("edition", l.pack.Name)
	files, err := l.lib.List("editions")
	if err != nil {
		return ""
	}
	for _, f := range files {
		data, err := l.lib.Read(f)
		if err != nil {
			return ""
		}
		part(f, string(data))
	}
	part("sequence", p.Seq.At().FileText())
	for _, name := range included(p.Seq, l.find) {
		s, err := l.find(name)
		if err != nil {
			return ""
		}
		part(name, s.At().FileText())
	}
	return hex.EncodeToString(h.Sum(nil))
}

// included lists the names of everything that a sequence includes, directly or not, sorted.
func included(s *sequence.Sequence, find sequence.Finder) []string {
	var names []string
	queue := []*sequence.Sequence{s}
	for len(queue) > 0 {
		for _, inc := range queue[0].Includes() {
			if slices.Contains(names, inc.Name) {
				continue
			}
			names = append(names, inc.Name)
			if sub, err := find(inc.Name); err == nil {
				queue = append(queue, sub)
			}
		}
		queue = queue[1:]
	}
	slices.Sort(names)
	return names
}

// EmptyRig is a rig with nothing on it. Whatever is asked, no gate opens on it.
func EmptyRig() *rig.Rig { return &rig.Rig{ID: "empty"} }

// onEmpty complains when a sequence opens a gate on a rig that has nothing that could have been tested.
func (l *linter) onEmpty(seq *sequence.Sequence) {
	for _, isolated := range []rig.IsolationPoint{rig.Upstream, rig.AtMainSwitch} {
		r := EmptyRig()
		r.Isolation.At = isolated
		for _, o := range Origins(seq, r) {
			p, _ := sequence.Unroll(seq, r, o, l.find)
			p = p.Lean()
			quiet := &linter{pack: l.pack}
			if d := quiet.driven(p, coach.New(coach.Setup{Program: p, Pack: l.pack, Rules: l.rules})); d.GatePassed {
				l.add("empty", seq.At(), "", "a gate opens on a rig that has nothing on it")
			}
		}
	}
}
