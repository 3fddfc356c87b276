package walk_test

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/lint"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
	"wanderlead/safety"
)

// fate is what became of a mutant.
type fate struct {
	kind     string
	what     string // "reader", "lint", "unfit", "same", "walked"
	rule     string // of the first complaint
	mark     string // of the program, with the rig
	bad      []string
	change   string
	rejected string // "": lint has nothing against it
}

// verdict is what walk and streams say of one program.
type verdict struct {
	once           sync.Once
	states, trans  int
	live, touching int
	refused        int
	streams        int
	whole          bool
	problems       []string
}

// bench is where mutants are tried.
type bench struct {
	h     house
	rules safety.Rules
	files map[string]string
	rigs  []*rig.Rig
	mu    sync.Mutex
	seen  map[string]*verdict
	same  map[string]string // mark of the program of the unchanged sequence
	// reach of a trial
	maxStates, streams int
}

func newBench(t testing.TB) *bench {
	h := load(t)
	b := &bench{h: h, files: map[string]string{}, seen: map[string]*verdict{}, same: map[string]string{}}
	names, err := sequence.Names(h.lib)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		data, err := h.lib.Read(n + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		b.files[n] = string(data)
	}
	for _, r := range [][]string{{"training-bay", "radial-2"}, {"training-bay", "ring-2"}, {"training-bay", "lighting-2"}, {"rigging-store", "fixed-1"},
		{"slip-outbuilding", "radial-2"}, {"winch-workshop", "winch-1"}, {"winch-workshop", "radial-1"}, {"training-bay", "radial-1", "radial-2"}} {
		b.rigs = append(b.rigs, h.rig(t, r[0], r[1:]...))
	}
	open := *h.rig(t, "training-bay", "radial-2") // incoming terminals behind an access, so that there are two incoming gates
	open.Isolation.Incoming = rig.OpenTerminals
	b.rigs = append(b.rigs, &open)
	return b
}

// chain is a sequence with everything it includes, itself first.
func (b *bench) chain(name string) []string {
	names := []string{name}
	for i := 0; i < len(names); i++ {
		p := readPage(b.files[names[i]])
		for _, k := range p.keys(0, len(p.lines), "include") {
			if _, is := b.files[k.val]; is && !slices.Contains(names, k.val) {
				names = append(names, k.val)
			}
		}
	}
	return names
}

// mutant makes the n-th mutant and says what becomes of it.
func (b *bench) mutant(n int, wholes []string) fate {
	r := rand.New(rand.NewPCG(7, uint64(n)))
	s := newScript(b.files)
	s.r = r
	top := wholes[n%len(wholes)]
	names := b.chain(top)
	c := changes[n/len(wholes)%len(changes)]
	f := fate{kind: c.kind}
	changed := map[string]page{}
	for try := 0; len(changed) == 0; try++ {
		if try == 40 {
			f.what = "none"
			return f
		}
		if got, ok := c.make(s, names); ok {
			changed = got
		}
	}
	if r.IntN(3) == 0 { // and something else besides
		maps.Copy(s.pages, changed)
		if got, ok := pick(r, changes).make(s, names); ok {
			maps.Copy(changed, got)
		}
	}
	files := maps.Clone(b.files)
	for name, p := range changed {
		f.change += name + " "
		files[name] = p.text()
	}
	b.judge(&f, files, top, r)
	return f
}

// judge lets reader and lint see a changed sequence, then walks what is left.
func (b *bench) judge(f *fate, files map[string]string, top string, r *rand.Rand) {
	find := func(name string) (*sequence.Sequence, error) {
		text, ok := files[name]
		if !ok {
			return nil, fmt.Errorf("no sequence %s", name)
		}
		return sequence.Parse(name+".yaml", []byte(text))
	}
	for name, text := range files {
		if text == b.files[name] {
			continue
		}
		if _, err := find(name); err != nil {
			f.what = "reader"
			return
		}
	}
	seq, _ := find(top)
	for _, i := range r.Perm(len(b.rigs)) { // the first rig that it is for
		x := b.rigs[i]
		origins := lint.Origins(seq, x)
		if len(origins) == 0 {
			continue
		}
		o := pick(r, origins)
		ps := lint.QuickFrom(find, seq, x, o, b.h.pack)
		if ps.Unfit() {
			f.what = "unfit"
			continue
		}
		f.what = "walked"
		if bad := ps.Bad(); len(bad) > 0 {
			f.what, f.rule, f.rejected = "lint", bad[0].Rule, bad[0].Message
		}
		b.walk(f, seq, x, o, find, top)
		return
	}
	f.what = cmp.Or(f.what, "unfit")
}

func (b *bench) program(seq *sequence.Sequence, r *rig.Rig, o sequence.Origin, find sequence.Finder) (*sequence.Program, bool) {
	p, problems := sequence.UnrollFor(seq, r, o, find, record.Multiples(b.h.pack))
	return p, len(problems) == 0
}

func (b *bench) walk(f *fate, seq *sequence.Sequence, r *rig.Rig, o sequence.Origin, find sequence.Finder, top string) {
	p, ok := b.program(seq, r, o, find)
	if !ok || len(p.Steps) == 0 {
		return // nothing to work with
	}
	mark := markOf(p, r, o)
	if b.unchanged(top, r, o) == mark && f.what == "walked" {
		f.what = "same"
		return
	}
	f.mark = mark
	b.mu.Lock()
	v := b.seen[mark]
	if v == nil {
		v = &verdict{}
		b.seen[mark] = v
	}
	b.mu.Unlock()
	v.once.Do(func() {
		b.try(v, coach.Setup{Program: p, Pack: b.h.pack, Rules: b.rules}, r, seq.FromRecord, f.what == "lint")
	})
	f.bad = v.problems
}

// try walks a program as far as the bench goes, and runs streams through it from all along
// the way of right answers. What lint rejects nobody works with: of that, only streams.
func (b *bench) try(v *verdict, setup coach.Setup, r *rig.Rig, fromRecord, rejected bool) {
	obs := observer(r, fromRecord)
	if !rejected {
		rep := walk.Run(setup, walk.Options{MaxStates: b.maxStates, Observer: obs, Problems: 1, Alone: b.rules != nil})
		v.states, v.trans, v.live, v.touching, v.refused = rep.States, rep.Transitions, rep.LiveArrivals, rep.TouchArrivals, rep.Refusals
		v.whole = !rep.Cut
		for _, p := range rep.Problems {
			v.problems = append(v.problems, p.Kind+": "+p.Text+"\n"+tell(p))
		}
	}
	x := newStream(course{name: "streams", setup: setup, watched: obs, alone: b.rules != nil, free: rejected}, 1, 0)
	x.run(b.streams)
	v.streams, v.live, v.touching, v.refused = x.got.streams, v.live+x.got.live, v.touching+x.got.touching, v.refused+x.got.refused
	v.problems = append(v.problems, x.got.problems...)
}

func (b *bench) unchanged(top string, r *rig.Rig, o sequence.Origin) string {
	key := fmt.Sprintf("%s %p %s", top, r, o)
	b.mu.Lock()
	defer b.mu.Unlock()
	if m, ok := b.same[key]; ok {
		return m
	}
	m := ""
	if seq, err := b.h.find(top); err == nil {
		if p, ok := b.program(seq, r, o, b.h.find); ok {
			m = markOf(p, r, o)
		}
	}
	b.same[key] = m
	return m
}

// markOf tells programs apart by everything but their wording.
func markOf(p *sequence.Program, r *rig.Rig, o sequence.Origin) string {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%s %v %v\n", rig.Write(r), o, p.Seq.FromRecord, p.Items)
	for i := range p.Steps {
		s := &p.Steps[i]
		fmt.Fprintln(h, s.ID, s.Form, s.Want, s.Stage, s.Block, s.Circuit, s.RCD, s.Test, s.Opens, s.Closes, s.Parts, s.Choose, s.Right.Say)
		for _, w := range s.Wrong {
			fmt.Fprintln(h, w.Say)
		}
	}
	return string(h.Sum(nil))
}

// tally is a line of the table.
type tally struct {
	made, reader, lint, unfit, same, walked    int
	programs, whole, states, live, touch, refs int
	streams, bad, badRejected                  int
}

func (b *bench) table(t *testing.T, fates []fate) (bad, badRejected int) {
	by, marks := map[string]*tally{}, map[string]bool{}
	all := &tally{}
	rules := map[string]int{}
	for _, f := range fates {
		if by[f.kind] == nil {
			by[f.kind] = &tally{}
		}
		for _, x := range []*tally{by[f.kind], all} {
			x.made++
			switch f.what {
			case "reader":
				x.reader++
			case "lint":
				x.lint++
			case "same":
				x.same++
			case "walked":
				x.walked++
			default:
				x.unfit++
			}
			if v := b.seen[f.mark]; f.mark != "" && !marks[f.mark] {
				x.programs++
				x.states, x.live, x.touch, x.refs, x.streams = x.states+v.states, x.live+v.live, x.touch+v.touching, x.refs+v.refused, x.streams+v.streams
				if v.whole {
					x.whole++
				}
			}
			if len(f.bad) > 0 && f.what == "walked" {
				x.bad++
			} else if len(f.bad) > 0 {
				x.badRejected++
			}
		}
		marks[f.mark] = true
		if f.what == "lint" {
			rules[f.rule]++
		}
	}
	head := "%-24s %6s %6s %6s %6s %6s %6s | %8s %6s %9s %8s %8s %9s %8s | %4s %8s"
	t.Logf(head, "kind", "made", "reader", "lint", "unfit", "same", "walked", "programs", "whole", "states", "live", "touched", "refusals", "streams", "bad", "rejected")
	line := func(name string, x *tally) {
		t.Logf(strings.ReplaceAll(strings.ReplaceAll(head, "s ", "d "), "%-24d", "%-24s")[:len(head)-1]+"d", name, x.made, x.reader, x.lint, x.unfit, x.same, x.walked,
			x.programs, x.whole, x.states, x.live, x.touch, x.refs, x.streams, x.bad, x.badRejected)
	}
	for _, k := range slices.Sorted(maps.Keys(by)) {
		line(k, by[k])
	}
	line("all", all)
	t.Logf("rejected by lint: %v", rules)
	return all.bad, all.badRejected
}

func (b *bench) run(n int, one func(int) fate) []fate {
	fates := make([]fate, n)
	jobs := make(chan int)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range jobs {
				fates[i] = one(i)
			}
		})
	}
	for i := range n {
		jobs <- i
	}
	close(jobs)
	wg.Wait()
	return fates
}

func count(short, whole int) int {
	if v, err := strconv.Atoi(os.Getenv("WANDERLEAD_MUTANTS")); err == nil {
		return v
	}
	if long() {
		return whole
	}
	return short
}

// Mutants of the built-in sequences: steps dropped, moved, doubled, exchanged, gates removed
// and moved, includes crossed, kinds, forms, places, items and conditions changed, keys
// dropped, one change or two. What reader and lint let through is walked on a rig of one or
// two circuits as far as the bench goes, and streams run through it from all along the way:
// nothing is done without what it needs, by the word of interlock and checker, and right
// answers reach the end. What lint rejects is not worked with; streams show what the
// interlock would still have refused.
func TestSequenceMutants(t *testing.T) {
	b := newBench(t)
	wholes := b.h.wholes(t)
	n := count(150, 10_000)
	b.maxStates, b.streams = 150, 3
	if long() {
		b.maxStates, b.streams = 4_000, 40
	}
	fates := b.run(n, func(i int) fate { return b.mutant(i, wholes) })
	b.table(t, fates)
	told := map[string]int{}
	for i, f := range fates {
		if len(f.bad) == 0 {
			continue
		}
		first, _, _ := strings.Cut(f.bad[0], "\n")
		if f.what != "walked" {
			if told[f.rule+" | "+ruleOf(first)]++; told[f.rule+" | "+ruleOf(first)] == 1 {
				t.Logf("mutant %d, %s of %s, rejected by lint: %s\n%s", i, f.kind, f.change, f.rejected, f.bad[0])
			}
			continue
		}
		t.Errorf("mutant %d, %s of %s: %s", i, f.kind, f.change, f.bad[0])
	}
	for _, k := range slices.Sorted(maps.Keys(told)) {
		t.Logf("rejected by lint, and then: %4d %s", told[k], k)
	}
}

// ruleOf is the rule of the checker in a problem's first line.
func ruleOf(text string) string {
	if _, rest, ok := strings.Cut(text, "the checker: "); ok {
		rule, _, _ := strings.Cut(rest, ":")
		return rule
	}
	return text
}
