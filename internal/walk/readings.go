package walk

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// valueKey names the one value that is typed for a part to come to a class: the key
// of a state holds classes only, so each class has to have one value.
type valueKey struct {
	part  int
	class coach.Class
	whole bool // the row typed from this part on, or a correction of it alone
}

// maxSought is in how many states a value for a class is looked for before it is
// taken that there is none: an item that is seen is right or wrong, never in doubt.
const maxSought = 4

// readings adds rows of readings that do not pass, words in place of readings, and a
// row typed one by one.
func (g *generator) readings(s *coach.State, q coach.Question, right string) {
	words := strings.Fields(right)
	if len(words) != len(q.Parts) {
		return // the right row is tried as it is
	}
	if len(words) > 1 {
		if g.o.Unreduced || g.load(s) < g.o.Unpassed {
			g.add(try{ev: answer(q.PartIDs[0], words[0])})
		}
		g.add(try{ev: answer(q.ID, strings.Join(words[1:], " ")), bare: len(words) > 2})
	}
	if g.prog.Steps[q.Step].Form == sequence.Read {
		g.add(try{ev: answer(q.ID, "y z ?"), bare: true})
	}
	if !g.room(s, q.Step) {
		return
	}
	for _, raw := range g.inPlace(q.Step) {
		g.add(try{ev: answer(q.ID, raw)})
	}
	classes := []coach.Class{coach.Doubt, coach.Fail, coach.SetUp}
	if g.again(s, q.Step) {
		classes = classes[1:2]
	}
	for _, class := range classes {
		for _, at := range g.spots(s, q, len(words)) {
			if raw := g.row(s, q, words, at, class); raw != "" {
				g.add(try{ev: answer(q.ID, raw), want: class})
			}
		}
	}
}

// inPlace lists the words that are typed in place of a reading. Whether something is
// out of reach or was left out comes to the same for the gates.
func (g *generator) inPlace(step int) []string {
	if g.o.Unreduced || step%2 == 0 {
		return []string{"limitation: boarded over", "not tested: no time left", "n/a"}[:2+step%2]
	}
	return []string{"not tested: no time left", "n/a"}
}

// again reports whether a step is being repeated. On whole boards a repeat passes or
// fails; what else it can come to is tried when it is read first.
func (g *generator) again(s *coach.State, step int) bool {
	if g.o.Unreduced || g.o.Unpassed > 1 {
		return false
	}
	return slices.Contains(s.Unpassed(), step)
}

// spots lists where in a row a value is made wrong: at its start and its end, or
// everywhere when nothing is reduced.
func (g *generator) spots(s *coach.State, q coach.Question, n int) []int {
	if g.o.Unreduced {
		all := make([]int, n)
		for i := range all {
			all[i] = i
		}
		return all
	}
	if n == 1 || s.Together(q.Parts[0], q.Parts[n-1]) {
		return []int{0}
	}
	return []int{0, n - 1}
}

// row is a row with one value that makes it come to the class, or empty when there
// is none.
func (g *generator) row(s *coach.State, q coach.Question, words []string, at int, class coach.Class) string {
	k := valueKey{part: q.Parts[at], class: class, whole: true}
	with := func(v string) string {
		row := append([]string(nil), words...)
		row[at] = v
		return strings.Join(row, " ")
	}
	if v, known := g.vals[k]; known {
		if v == "" {
			return ""
		}
		return with(v)
	}
	g.vals[k] = ""
	for _, v := range g.candidates(q.Step, words[at], class) {
		if _, fb, err := s.Apply(answer(q.ID, with(v))); err == nil && fb.Refused == "" && fb.Class == class {
			g.vals[k] = v
			return with(v)
		}
	}
	return ""
}

// candidates are values that may come to a class, given the right one.
func (g *generator) candidates(step int, right string, class coach.Class) []string {
	st := &g.prog.Steps[step]
	if st.Form == sequence.Inspect {
		return []string{"Z99", "Z"}
	}
	if st.Test >= 0 && g.prog.Tests[st.Test].Name == safety.TestSwitching {
		return []string{"reads", "open"}
	}
	var out []string
	v, err := strconv.ParseFloat(strings.TrimLeft(right, ">"), 64)
	if err == nil && class == coach.Doubt {
		for _, x := range []float64{float64(v * 1.15), v + 0.07, v + 0.12, v + 0.3, float64(v * 1.5), float64(v * 2), float64(v * 0.85), float64(v * 0.6), v + 5} {
			out = append(out, fmt.Sprintf("%.2f", x))
		}
	}
	if err == nil && class == coach.Fail {
		out = append(out, fmt.Sprintf("%.2f", float64(v*1.25)+0.06))
	}
	if class == coach.SetUp {
		return append(out, "-0.05", "0.35", "0.02", right+"1")
	}
	return append(out, "1.50", "0.02", ">1999", "0.30", "0.00", "0", "99.9", "9.99", "no-trip", "500", "400", "40", "30", "16")
}

// corrections adds corrections of what is on record, to each class.
func (g *generator) corrections(s *coach.State, q coach.Question) {
	ids, steps := s.Correctable()
	last := -1
	for i, id := range ids {
		step := steps[i]
		if !g.o.Unreduced && (step == last || !g.quiet(s, q, step)) {
			continue
		}
		last = step
		for _, class := range []coach.Class{coach.Pass, coach.Doubt, coach.Fail} {
			switch {
			case class != coach.Pass && !g.room(s, step):
				continue
			case class == coach.Doubt && !g.doubts(q):
				continue
			}
			if raw := g.correction(s, id, step, class); raw != "" {
				g.add(try{ev: coach.Event{Type: coach.Correct, At: id, Raw: raw}, want: class})
			}
		}
	}
}

// quiet reports whether a correction of a step's reading is tried in this state. It
// commutes with the questions that lead up to a step, so it is tried at the steps
// themselves. Where nothing is live and no gate is passed, it changes only what
// belongs to its own block, and commutes with what is done in others: there it is
// tried in its own block, and at the start of every stage.
func (g *generator) quiet(s *coach.State, q coach.Question, step int) bool {
	if g.o.Unpassed > 1 {
		return true
	}
	if !q.Own || q.Step < 0 {
		return false
	}
	steps := g.prog.Steps
	if k := steps[q.Step].Want.Kind; k.IsGate() || k.Live() && g.first(q.Step) {
		return true
	}
	return steps[q.Step].Block == steps[step].Block || q.Step == 0 || steps[q.Step-1].Stage != steps[q.Step].Stage
}

// first reports whether a live step is the first at the origin, the first on a circuit
// or the last of all. Which live step is due makes no difference to what a correction
// leads to: isolation, the gate, and back to that step.
func (g *generator) first(step int) bool {
	origin := g.prog.Steps[step].Want.Kind == safety.LiveIncoming
	before, after := false, false
	for i := range g.prog.Steps {
		switch k := g.prog.Steps[i].Want.Kind; {
		case !k.Live():
		case i < step:
			before = before || (k == safety.LiveIncoming) == origin
		case i > step:
			after = true
		}
	}
	return !before || !after
}

// doubts reports whether a correction may come to a doubt in this state. A doubt
// changes nothing before a gate.
func (g *generator) doubts(q coach.Question) bool {
	if g.o.Unpassed > 1 || q.Step < 0 {
		return true
	}
	k := g.prog.Steps[q.Step].Want.Kind
	return k.IsGate() || k.Live()
}

func (g *generator) correction(s *coach.State, id string, step int, class coach.Class) string {
	part, ok := s.PartOf(id)
	if !ok {
		return ""
	}
	k := valueKey{part: part, class: class}
	if v, known := g.vals[k]; known {
		return v
	}
	if g.sought[k]++; g.sought[k] > maxSought {
		return ""
	}
	st := &g.prog.Steps[step]
	var try []string
	switch {
	case st.Right.Say != "":
		try = append(try, st.Right.Say)
		for _, w := range st.Wrong {
			try = append(try, w.Say)
		}
	case class == coach.Pass:
		try = []string{s.RightReading(part)}
	default:
		try = g.candidates(step, s.RightReading(part), class)
	}
	for _, v := range try {
		next, fb, err := s.Apply(coach.Event{Type: coach.Correct, At: id, Raw: v})
		if err == nil && fb.Refused == "" && fb.Class == class && (g.o.Unreduced || len(next.Unpassed()) <= len(s.Unpassed())+1) {
			g.vals[k] = v
			return v
		}
	}
	return ""
}
