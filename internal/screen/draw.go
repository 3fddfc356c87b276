package screen

import (
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/draw"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// options are how this screen's drawings are laid out.
func (s *Screen) options() draw.Options {
	return draw.Options{W: min(s.o.Width, longLine) - 1, ASCII: s.o.ASCII, Say: s.word}
}

// sketch is a drawing with the label its words stand behind, and smaller ones to take
// where it does not fit.
type sketch struct {
	label string
	pics  []draw.Picture
}

// add puts a drawing at the end of a page; in the plain form its words. free is how many
// lines there are: the largest that fits is taken, if any does.
func (s *Screen) add(p *page, k sketch, free int) {
	if len(k.pics) == 0 {
		return
	}
	if s.o.Plain {
		var words []string
		for _, w := range k.pics[0].Words {
			words = append(words, capital(w))
		}
		p.row(Drawing, s.word("row."+k.label), strings.Join(words, ". "))
		return
	}
	for _, pic := range k.pics {
		if pic.H <= free {
			p.picture(pic)
			return
		}
	}
}

// picture adds the rows of a drawing.
func (p *page) picture(pic draw.Picture) {
	for _, row := range draw.Rows(pic, p.ascii) {
		p.lines = append(p.lines, Line{Role: Drawing, Text: row.String(), Runs: row})
	}
}

// noLimit is more lines than any drawing has.
const noLimit = 1000

// stepSketch is what helps at a step: the board where a lead or a conductor goes to one of
// its ways and bars, the joins of a ring that is crossed, the ring with the band that its
// readings should be in, the half-cycle an RCD test starts on.
func (s *Screen) stepSketch(st *coach.State, step int) sketch {
	prog := st.Program()
	at := &prog.Steps[step]
	test := testOf(prog, at)
	switch crossed := crossedAhead(prog, step); {
	case test == safety.TestBars:
		v := s.boardView(st, nil)
		for i, bar := range prog.Rig.Bars() {
			v.Leads = append(v.Leads, draw.Lead{Letter: string(rune('A' + i)), At: "board/bar/" + bar})
		}
		return s.boardSketch(v)
	case test == safety.TestRCD && at.Form == sequence.Read:
		return s.cycleSketch(at)
	case at.Circuit < 0:
		return sketch{}
	case test == safety.TestOwnBar:
		v := s.boardView(st, &prog.Rig.Circuits[at.Circuit])
		v.Bar = true
		v.Leads = append(v.Leads, draw.Lead{Letter: "A", At: v.This.ID + "/way/L"})
		for _, bar := range prog.Rig.Bars() {
			v.Leads = append(v.Leads, draw.Lead{Letter: "B", At: "board/bar/" + bar})
		}
		return s.boardSketch(v)
	case at.Choose == "neutral-bar": // the way is marked, the bar is what is asked
		v := s.boardView(st, &prog.Rig.Circuits[at.Circuit])
		v.Hide = true
		return s.boardSketch(v)
	case movesAtBoard(prog, at):
		v := s.boardView(st, &prog.Rig.Circuits[at.Circuit])
		v.Bar = true
		return s.boardSketch(v)
	case crossed != "" && at.Form == sequence.Read && s.o.Coaching == Full:
		if k := s.ringAhead(st, step); len(k.pics) > 0 {
			return k
		}
		return s.joinsSketch(crossed)
	case crossed != "":
		return s.joinsSketch(crossed)
	}
	return sketch{}
}

func (s *Screen) joinsSketch(test string) sketch {
	back := "N"
	if test == safety.TestCrossedLE {
		back = "E"
	}
	return sketch{"joins", []draw.Picture{draw.Joins(s.options(), back)}}
}

// boardView is the board of a led session as the ledger has it.
func (s *Screen) boardView(st *coach.State, this *rig.Circuit) draw.BoardView {
	prog := st.Program()
	v := draw.BoardView{Rig: prog.Rig, This: this, Out: map[string]bool{}}
	for _, it := range st.OpenItems() {
		if it.Class.CircuitEnds() && it.Circuit >= 0 {
			c := &prog.Rig.Circuits[it.Circuit]
			for _, core := range coresOf(it.ID) {
				v.Out[c.ID+"/"+core] = true
			}
		}
	}
	return v
}

// coresOf are the cores that a ledger item holds, by its name: those it names, else all.
func coresOf(item string) []string {
	name := item[strings.LastIndex(item, "/")+1:]
	var out []string
	for _, k := range []struct{ word, core string }{{"live", "L"}, {"line", "L"}, {"live", "N"}, {"neutral", "N"}, {"cpc", "E"}} {
		if strings.Contains(name, k.word) && !slices.Contains(out, k.core) {
			out = append(out, k.core)
		}
	}
	if len(out) == 0 {
		return []string{"L", "N", "E"}
	}
	return out
}

// boardSketch is the board, and for where there is no room only the rail that matters.
func (s *Screen) boardSketch(v draw.BoardView) sketch {
	o, bare := s.options(), s.options()
	bare.Bare = true
	k := sketch{"board", []draw.Picture{draw.Board(o, v), draw.Board(bare, v)}}
	if v.This != nil && !v.Hide {
		v.Alone = true
		k.pics = append(k.pics, draw.Board(o, v), draw.Board(bare, v))
	}
	return k
}

// movesAtBoard reports whether a step moves a circuit's conductors at the board.
func movesAtBoard(prog *sequence.Program, st *sequence.Step) bool {
	item := max(st.Opens, st.Closes)
	return st.Want.Board && item >= 0 && prog.Items[item].Class.CircuitEnds()
}

// crossedAhead is the crossed test that a step reads or, making the joins, prepares.
func crossedAhead(prog *sequence.Program, step int) string {
	st := &prog.Steps[step]
	link := st.Opens >= 0 && prog.Items[st.Opens].Class == safety.TestLink
	if !link && st.Form != sequence.Read {
		return ""
	}
	for i := step; i < len(prog.Steps) && i <= step+2; i++ {
		if prog.Steps[i].Circuit != st.Circuit || i > step && !link {
			return ""
		}
		switch t := testOf(prog, &prog.Steps[i]); t {
		case safety.TestCrossedLN, safety.TestCrossedLE:
			return t
		}
	}
	return ""
}

// ringAhead is the ring before it is read, with the band its readings should be in.
func (s *Screen) ringAhead(st *coach.State, step int) sketch {
	for _, a := range st.Ahead(step) {
		low, high, ok := band(a.Expected)
		if !ok {
			continue
		}
		c := &st.Program().Rig.Circuits[st.Program().Steps[step].Circuit]
		v := draw.RingView{Circuit: c}
		v.Low, v.High = judge.CrossedBand(st.Pack(), low.Value, high.Value)
		bare := s.options()
		bare.Bare = true
		return sketch{"ring", []draw.Picture{draw.Ring(s.options(), v), draw.Ring(bare, v)}}
	}
	return sketch{}
}

// ringOf draws the ring with its readings after a crossed row.
func (s *Screen) ringOf(p *page, st *coach.State, fb coach.Feedback) {
	if fb.Verdict == nil || fb.Verdict.Test != judge.RingCrossed || len(fb.Judged) == 0 || s.o.Coaching == None {
		return
	}
	prog := st.Program()
	i, _, ok := stepOf(prog, fb.Judged[0].Part)
	if !ok || prog.Steps[i].Circuit < 0 {
		return
	}
	v := draw.RingView{Circuit: &prog.Rig.Circuits[prog.Steps[i].Circuit], Readings: map[string]quantity.Reading{}, Low: fb.Verdict.InLow, High: fb.Verdict.InHigh}
	for _, m := range ownReadings(fb.Verdict) {
		v.Readings[m.Name] = m.Reading
	}
	s.add(p, sketch{"ring", []draw.Picture{draw.Ring(s.options(), v)}}, noLimit)
}

// cycleSketch is the half-cycle, or both, that the timed tests of a step start on.
func (s *Screen) cycleSketch(st *sequence.Step) sketch {
	var halves []draw.Half
	for _, h := range []draw.Half{{Degrees: 0, Text: "0°"}, {Degrees: 180, Text: "180°"}} {
		suffix := "-" + strings.TrimSuffix(h.Text, "°")
		if slices.ContainsFunc(st.Parts, func(p sequence.Part) bool { return strings.HasSuffix(p.ID, suffix) }) {
			halves = append(halves, h)
		}
	}
	if len(halves) == 0 {
		return sketch{}
	}
	return sketch{"cycle", []draw.Picture{draw.Cycle(s.options(), halves...)}}
}

// ledgerSketch is what is open, with how each thing comes back.
func (s *Screen) ledgerSketch(st *coach.State) sketch {
	var entries []draw.Entry
	items := st.OpenItems()
	for _, it := range items {
		owner, name := s.itemParts(st.Program(), it)
		e := draw.Entry{How: howOf(it.Class), Where: owner, What: name, Close: s.opt("draw.ledger.close." + it.Class.String())}
		if it.Class.CircuitEnds() && it.Circuit >= 0 {
			e.What += ": " + s.comesFrom(st.Program().Rig, &st.Program().Rig.Circuits[it.Circuit], it.ID)
		}
		if e.Where == "" {
			e.Where = st.Program().Rig.Board.Name
		}
		entries = append(entries, e)
	}
	if len(entries) == 0 {
		return sketch{}
	}
	k := sketch{"open", []draw.Picture{draw.Ledger(s.options(), entries)}}
	for i := range entries {
		entries[i].Close = ""
	}
	k.pics = append(k.pics, draw.Ledger(s.options(), entries))
	return k
}

// comesFrom says from which terminals and bars the conductors of an item came.
func (s *Screen) comesFrom(r *rig.Rig, c *rig.Circuit, item string) string {
	var out []string
	for _, core := range coresOf(item) {
		id := "draw.ledger.from." + core
		if core == "N" && c.RCD != nil {
			id += "-rcbo"
		}
		out = append(out, s.word(id, "number", c.Number, "bar", r.BarOf(c), "met", r.Earthing.Terminal))
	}
	return strings.Join(out, ", ")
}

func howOf(c safety.Class) draw.How {
	switch c {
	case safety.Cover, safety.IncomingAccess:
		return draw.TakenUp
	case safety.TestLink, safety.LongLead:
		return draw.Linked
	case safety.Removed, safety.Unplugged:
		return draw.Removed
	}
	return draw.Lifted
}

// ledgerAt reports whether what is open is drawn at a question: where it has to be closed,
// at the gates and at the end.
func ledgerAt(st *coach.State, q *coach.Question) bool {
	if q.Step < 0 || q.Step >= len(st.Program().Steps) {
		return false
	}
	step := &st.Program().Steps[q.Step]
	if step.Closes >= 0 && q.Own && howOf(st.Program().Items[step.Closes].Class) == draw.TakenUp {
		return true
	}
	return step.Want.Kind.IsGate() || step.Form == sequence.Finish
}

// promptRows is how many lines the question itself takes below its own, at most.
func (s *Screen) promptRows(choice bool, ask string, labels []string) int {
	rows := 1 + width(ask)/s.o.Width
	if !choice {
		return rows + 2
	}
	rows++ // the hint
	for _, l := range labels {
		rows += 1 + (width(l)+8)/s.o.Width
	}
	return rows + 1
}
