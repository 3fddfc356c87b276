package screen

import (
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/study"
)

// often says with which usual mistakes such readings are seen, after a doubt or a fail, and what innocent causes look
// the same. Study is nil where nobody knows what was done; else only what agrees with the moves is said, so that it
// never contradicts what made the reading differ.
func (s *Screen) often(p *page, st *coach.State, fb coach.Feedback, known *study.Feedback) {
	if s.o.Mistakes == nil || s.o.Coaching == None || len(fb.Judged) == 0 {
		return
	}
	var named []mistakes.Named
	v := mistakes.Of(st)
	for _, j := range fb.Judged {
		if j.Verdict == nil {
			continue
		}
		wrong := j.Class == coach.Doubt || j.Class == coach.Fail || j.Class == coach.SetUp
		focus := focusOf(st, j)
		if known != nil {
			wrong = wrong || known.Claimed != "" && known.Claimed != j.Class.String()
			for i := range v.Readings {
				if slices.Contains(focus, v.Readings[i].ID) {
					v.Readings[i].Claimed = known.Claimed
				}
			}
		}
		if !wrong {
			continue
		}
		for _, n := range s.o.Mistakes().Name(v, focus...) {
			if !slices.ContainsFunc(named, func(x mistakes.Named) bool { return x.ID == n.ID }) {
				named = append(named, n)
			}
		}
	}
	if known != nil {
		named = mistakes.Consistent(named, known.Moves)
	}
	if len(named) == 0 {
		return
	}
	named = named[:min(len(named), mistakes.Most)]
	var innocent, titles, ids []string
	for _, n := range named {
		if n.Innocent != "" && !slices.Contains(innocent, n.Innocent) {
			innocent = append(innocent, n.Innocent)
		}
		titles, ids = append(titles, n.Title), append(ids, n.ID)
	}
	if len(innocent) > 0 && known == nil {
		p.row(Reason, s.word("row.often"), s.word("often.innocent", "causes", strings.Join(innocent, "; ")))
	}
	p.row(Reason, s.word("row.often"), s.word("often.mistake", "mistakes", s.either(titles), "do", named[0].Do))
	p.row(Trace, s.word("row.more"), s.word("often.more", "id", ids[0]))
}

// focusOf are the ids of the readings that were judged together.
func focusOf(st *coach.State, j coach.Judged) []string {
	i, _, ok := stepOf(st.Program(), j.Part)
	if !ok {
		return []string{j.Part}
	}
	var out []string
	for _, r := range st.Results() {
		if r.StepAt == i && (slices.Contains(j.Parts, r.Part) || r.ID == j.Part) {
			out = append(out, r.ID)
		}
	}
	return out
}

// either joins what it may have been.
func (s *Screen) either(titles []string) string {
	n := len(titles)
	if n < 2 {
		return strings.Join(titles, "")
	}
	return s.word("fill.or", "first", s.either(titles[:n-1]), "last", titles[n-1])
}
