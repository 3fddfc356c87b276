// Package lint is the author's check of content: what can be known of a sequence, a rig or a text before anybody works
// with it.
//
// [Quick] is the check at every start, for one sequence on one rig: what the loader and the unrolling complain about,
// the order of tests, the reinstatement ledger, the gates and the tests they need, the wording, and a drive through the
// session in which every answer is right. [Full] adds the walk through wrong answers, skips, repeats and stops, and
// remembers that it was done. Nothing that has problems is worked with.
//
// Problems print as content errors do: place, source line, caret, hint; all at once, in the order of their places.
package lint

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Problem is one complaint. Rule names the check that made it; Rigs are the rigs it shows on, none when it shows on any.
type Problem struct {
	*content.Error
	Rule string
	Rigs []string
	// Remark: worth knowing, but nothing that keeps the sequence from being used.
	Remark bool
	// Unfit: the sequence is not for this rig, and nothing is wrong with either.
	Unfit bool
}

// Problems is a list of complaints as one error.
type Problems []Problem

// Error prints all of them, one below the other.
func (ps Problems) Error() string {
	texts := make([]string, len(ps))
	for i, p := range ps {
		texts[i] = p.Error.Error()
	}
	return strings.Join(texts, "\n")
}

// Bad lists the problems that keep a sequence from being used.
func (ps Problems) Bad() Problems {
	return slices.DeleteFunc(slices.Clone(ps), func(p Problem) bool { return p.Remark })
}

// Quick checks a sequence on a rig, with the origin known in the given way. Packs other than the default edition are
// checked with [QuickWith].
func Quick(lib *content.Library, seq *sequence.Sequence, r *rig.Rig, incoming sequence.Origin) Problems {
	pack, err := edition.Load(lib, "")
	if err != nil {
		return Problems{plain("edition", err)}
	}
	return QuickWith(lib, seq, r, incoming, pack)
}

// QuickWith is [Quick] with the limits that the session will be judged by.
func QuickWith(lib *content.Library, seq *sequence.Sequence, r *rig.Rig, incoming sequence.Origin, pack *edition.Pack) Problems {
	return QuickFrom(sequence.NewFinder(lib), seq, r, incoming, pack)
}

// QuickFrom is [QuickWith] for somebody who has the included sequences at hand: reading them again is the greater part
// of the check's time.
func QuickFrom(find sequence.Finder, seq *sequence.Sequence, r *rig.Rig, incoming sequence.Origin, pack *edition.Pack) Problems {
	l := &linter{find: find, pack: pack}
	if l.load(seq) {
		l.on(seq, r, incoming)
	}
	return l.sorted()
}

// QuickRun is [QuickFrom] for a program that is about to be worked through: what is checked is that very program.
func QuickRun(find sequence.Finder, p *sequence.Program, pack *edition.Pack) Problems {
	l := &linter{find: find, pack: pack}
	if l.load(p.Seq) {
		l.rig = p.Rig.ID
		l.program(p)
	}
	return l.sorted()
}

// linter collects the problems of one sequence, on one rig or several.
type linter struct {
	lib      *content.Library
	find     sequence.Finder
	pack     *edition.Pack
	rules    safety.Rules // nil: the full interlock
	rig      string
	problems Problems
	reached  map[place]bool // steps that stood in a program
}

func newLinter(lib *content.Library, pack *edition.Pack) *linter {
	return &linter{lib: lib, find: sequence.NewFinder(lib), pack: pack}
}

// place is where a step is written.
type place struct {
	file      string
	line, col int
}

func placeOf(v content.Value) place {
	f, l, c := v.Pos()
	return place{f, l, c}
}

func (l *linter) add(rule string, at content.Value, hint, format string, args ...any) *Problem {
	l.problems = append(l.problems, Problem{Error: at.Complaint(hint, format, args...), Rule: rule})
	p := &l.problems[len(l.problems)-1]
	if l.rig != "" {
		p.Rigs = []string{l.rig}
	}
	return p
}

func (l *linter) remark(rule string, at content.Value, hint, format string, args ...any) {
	l.add(rule, at, hint, format, args...).Remark = true
}

// at complains about a step and says which includes led to it.
func (l *linter) at(rule string, st *sequence.Step, hint, format string, args ...any) *Problem {
	p := l.add(rule, st.At, hint, format, args...)
	p.via(st.Via)
	return p
}

func (p *Problem) via(includes []content.Value) {
	for i := len(includes) - 1; i >= 0; i-- {
		f, line, _ := includes[i].Pos()
		p.Hints = append(p.Hints, fmt.Sprintf("included at %s:%d", f, line))
	}
}

// sorted gives the problems in the order of their places; the same one on several rigs is one.
func (l *linter) sorted() Problems {
	slices.SortStableFunc(l.problems, func(a, b Problem) int {
		return cmp.Or(content.Compare(a.Error, b.Error), slices.Compare(a.Hints, b.Hints))
	})
	var out Problems
	for _, p := range l.problems {
		if n := len(out); n > 0 && content.Compare(out[n-1].Error, p.Error) == 0 {
			for _, r := range p.Rigs {
				if !slices.Contains(out[n-1].Rigs, r) {
					out[n-1].Rigs = append(out[n-1].Rigs, r)
				}
			}
			continue
		}
		out = append(out, p)
	}
	return out
}

// plain is an error that names no place.
func plain(rule string, err error) Problem {
	text, hints := err.Error(), []string(nil)
	for i, line := range strings.Split(text, "\n") {
		if i == 0 {
			text = line
		} else {
			hints = append(hints, strings.TrimPrefix(line, "hint: "))
		}
	}
	return Problem{Error: &content.Error{Message: text, Hints: hints}, Rule: rule}
}

// load complains about everything in the sequence's file and those it includes that needs no rig. It reports whether all
// of them could be read.
func (l *linter) load(seq *sequence.Sequence) bool {
	whole := true
	seen := map[string]bool{seq.ID: true}
	queue := []*sequence.Sequence{seq}
	for len(queue) > 0 {
		s := queue[0]
		queue = queue[1:]
		l.wording(s)
		for _, inc := range s.Includes() {
			if seen[inc.Name] {
				continue
			}
			seen[inc.Name] = true
			sub, err := l.find(inc.Name)
			if err != nil {
				l.loadError("include", inc.At, err)
				whole = false
				continue
			}
			queue = append(queue, sub)
		}
	}
	return whole
}

// loadError takes over what a loader said about a file, or says at the include that there is no such file.
func (l *linter) loadError(rule string, at content.Value, err error) {
	if es, ok := err.(content.Errors); ok {
		for _, e := range es {
			l.problems = append(l.problems, Problem{Error: e, Rule: "load"})
		}
		return
	}
	p := plain(rule, err)
	hint := ""
	if len(p.Hints) > 0 {
		hint = p.Hints[0]
	}
	l.add(rule, at, hint, "%s", p.Message)
}

// on unrolls the sequence on a rig and checks what comes of it.
func (l *linter) on(seq *sequence.Sequence, r *rig.Rig, incoming sequence.Origin) (*sequence.Program, Drive) {
	l.rig = r.ID
	defer func() { l.rig = "" }()
	p, problems := sequence.UnrollFor(seq, r, incoming, l.find, record.Multiples(l.pack))
	if l.reached != nil {
		for i := range p.Steps {
			l.reached[placeOf(p.Steps[i].At)] = true
			for _, v := range p.Steps[i].Via {
				l.reached[placeOf(v)] = true
			}
		}
	}
	for _, x := range problems {
		q := l.add("unroll", x.At, x.Hint, "%s", x.Text)
		q.via(x.Via)
		q.Unfit = x.Unfit
	}
	if len(problems) > 0 {
		return nil, Drive{}
	}
	return p, l.program(p)
}

// program checks a program as it stands, and works through it when nothing is wrong with it.
func (l *linter) program(p *sequence.Program) Drive {
	before := len(l.problems)
	l.order(p)
	l.ledger(p)
	l.live(p)
	l.gates(p)
	l.placeholders(p)
	if len(l.problems[before:].Bad()) > 0 {
		return Drive{}
	}
	return l.drive(p)
}

// Unfit reports whether the sequence is not for the rig: a remark on the pair, not on either.
func (ps Problems) Unfit() bool {
	return slices.ContainsFunc(ps, func(p Problem) bool { return p.Unfit })
}

// Origins lists the ways to know the origin that a sequence takes on a rig. It is empty when the sequence only measures
// the origin and the rig offers no incoming gate.
func Origins(s *sequence.Sequence, r *rig.Rig) []sequence.Origin {
	if len(s.Origins) == 0 {
		return []sequence.Origin{sequence.Declared}
	}
	var out []sequence.Origin
	for _, o := range s.Origins {
		if o == sequence.Declared || r.Isolation.At == rig.Upstream {
			out = append(out, o)
		}
	}
	return out
}
