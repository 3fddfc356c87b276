package screen

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// The drawings are made of letters, digits, hyphens and bars of ASCII, so that they
// look the same on every terminal. In the plain form each is a sentence instead.

// stepDrawing draws what matters at a step: the board where a lead or a conductor
// goes to one of its ways and bars, the joins of a ring that is crossed.
func (s *Screen) stepDrawing(p *page, prog *sequence.Program, step int) {
	st := &prog.Steps[step]
	test := testOf(prog, st)
	switch {
	case test == safety.TestBars:
		s.board(p, prog.Rig, nil)
		p.text(Drawing, s.word("board.apart"))
	case st.Circuit < 0:
		return
	case test == safety.TestOwnBar:
		x := spotOf(prog, step)
		others, _ := x.value("other-bars")
		s.drawBoard(p, prog.Rig, x.c, func(id string) string {
			return s.word(strings.Replace(id, "this", "third", 1), "circuit", circuitName(x.c), "bar", prog.Rig.BarOf(x.c), "others", others)
		})
	case st.Choose == "neutral-bar":
		// The way is marked, the bar is what is asked.
		s.board(p, prog.Rig, nil)
	case movesAtBoard(prog, st):
		s.board(p, prog.Rig, &prog.Rig.Circuits[st.Circuit])
	}
	if crossed := crossedAhead(prog, step); crossed != "" {
		s.joins(p, crossed)
	}
}

// movesAtBoard reports whether a step moves a circuit's conductors at the board.
func movesAtBoard(prog *sequence.Program, st *sequence.Step) bool {
	item := max(st.Opens, st.Closes)
	return st.Want.Board && item >= 0 && prog.Items[item].Class == safety.Conductor
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

// board draws the board with this circuit's way and bar marked, nil for none.
func (s *Screen) board(p *page, r *rig.Rig, this *rig.Circuit) {
	s.drawBoard(p, r, this, func(id string) string {
		if this.RCD != nil && id != "" {
			id += "-rcbo"
		}
		return s.word(id, "circuit", circuitName(this), "number", this.Number, "bar", r.BarOf(this))
	})
}

// drawBoard draws the rails with their ways and neutral bars. legend says what the
// marks mean; it is given the id of a text.
func (s *Screen) drawBoard(p *page, r *rig.Rig, this *rig.Circuit, legend func(id string) string) {
	rails := s.rails(r, this)
	if s.o.Plain {
		p.row(Drawing, s.word("row.board"), strings.Join(append([]string{r.Board.Name}, s.railWords(r)...), ". "))
		if this != nil {
			p.text(Drawing, legend("board.this-words"))
		}
		return
	}
	if r.Board.Arrangement == rig.RCBOBoard {
		p.text(Drawing, s.word("board.rcbo", "board", r.Board.Name))
	}
	head := 0
	for _, x := range rails {
		head = max(head, width(x.head))
	}
	p.fixed(Drawing, "  "+r.Board.Name)
	for _, x := range rails {
		p.fixed(Drawing, s.railLines(x, head, p.w)...)
	}
	p.fixed(Drawing, "  "+r.Earthing.Terminal+" ---- cpc")
	if this != nil {
		p.text(Drawing, legend("board.this"))
	}
}

// rail is one section of the board as it is drawn.
type rail struct {
	head string
	ways []string
	bar  string
	mine bool // this circuit's neutral belongs on its bar
}

func (s *Screen) rails(r *rig.Rig, this *rig.Circuit) []rail {
	var out []rail
	for i := range r.Board.Sections {
		sec := &r.Board.Sections[i]
		x := rail{head: s.railHead(sec), bar: sec.Bar, mine: this != nil && this.Section == sec.ID}
		for j := range r.Circuits {
			c := &r.Circuits[j]
			if c.Section != sec.ID {
				continue
			}
			way := c.Number + " " + sequence.DeviceName(c.Device)
			if c == this {
				way = ">" + way + "<"
			}
			x.ways = append(x.ways, way)
		}
		out = append(out, x)
	}
	return out
}

func (s *Screen) railHead(sec *rig.Section) string {
	if sec.RCD == nil {
		return s.word("board.rail-none")
	}
	return s.word("board.rail", "rcd", sec.RCD.ID, "rating", fmt.Sprintf("%g", sec.RCD.IdnMA))
}

// railLines draws a rail: its RCD, its ways, its bar; long rails go on below.
func (s *Screen) railLines(x rail, head, w int) []string {
	bar := " --- N bar " + x.bar
	if x.mine {
		bar = " --- >N bar " + x.bar + "<"
	}
	lead := "  |- " + pad(x.head, head) + " - "
	ways := strings.Join(x.ways, "  ")
	if width(lead+ways+bar) <= w {
		return []string{lead + ways + bar}
	}
	var lines []string
	line := lead
	for i, way := range x.ways {
		if i > 0 {
			way = "  " + way
		}
		if width(line+way) > w && line != lead {
			lines = append(lines, line)
			line = "  |  " + strings.Repeat(" ", head+3) + strings.TrimLeft(way, " ")
			continue
		}
		line += way
	}
	if width(line+bar) > w {
		return append(lines, line, "  |  "+strings.Repeat(" ", head)+bar)
	}
	return append(lines, line+bar)
}

func pad(s string, w int) string { return s + strings.Repeat(" ", max(0, w-width(s))) }

func (s *Screen) railWords(r *rig.Rig) []string {
	var out []string
	for i := range r.Board.Sections {
		sec := &r.Board.Sections[i]
		var ways []string
		for j := range r.Circuits {
			if c := &r.Circuits[j]; c.Section == sec.ID {
				ways = append(ways, together(c.Number+" "+sequence.DeviceName(c.Device)))
			}
		}
		out = append(out, s.word("board.ways", "rail", s.railHead(sec), "ways", strings.Join(ways, ", "), "bar", sec.Bar))
	}
	return out
}

// joins draws how a ring is crossed: each line with the other conductor of the other
// leg. Joined within one leg the readings would rise to the middle and fall again.
func (s *Screen) joins(p *page, test string) {
	back, words := "N", "joins.line-neutral"
	if test == safety.TestCrossedLE {
		back, words = "E", "joins.line-cpc"
	}
	if s.o.Plain {
		p.row(Drawing, s.word("row.joins"), s.word(words))
		return
	}
	one, two := s.word("joins.leg", "n", "1"), s.word("joins.leg", "n", "2")
	a, b := s.word("joins.join", "letter", "A"), s.word("joins.join", "letter", "B")
	p.fixed(Drawing,
		fmt.Sprintf("  %s  L ---[%s]--- %s  %s", one, a, back, two),
		fmt.Sprintf("  %s  %s ---[%s]--- L  %s", one, back, b, two))
}

// ring draws a ring with its readings round it, out along the top and back along the
// bottom; spurs stand below. readings are by point id.
func (s *Screen) ring(p *page, c *rig.Circuit, readings map[string]string) {
	var on, spurs []string
	for _, pt := range c.Points {
		v, ok := readings[pt.ID]
		if !ok {
			v = "-"
		}
		if pt.From != "" {
			spurs = append(spurs, pt.ID+" "+v)
			continue
		}
		on = append(on, pt.ID+" "+v)
	}
	if s.o.Plain {
		p.row(Drawing, s.word("row.ring"), s.word("ring.words", "readings", strings.Join(on, ", ")))
	} else {
		p.fixed(Drawing, s.ringLines(on, p.w)...)
	}
	if len(spurs) > 0 {
		p.text(Drawing, s.word("ring.spurs", "readings", strings.Join(spurs, ", ")))
	}
}

func (s *Screen) ringLines(on []string, w int) []string {
	half := (len(on) + 1) / 2
	out, back := on[:half], slices.Clone(on[half:])
	slices.Reverse(back)
	cell := 0
	for _, x := range on {
		cell = max(cell, width(x))
	}
	board := s.word("ring.board")
	lead := "  " + board + " "
	room := width(lead) + half*(cell+4) + 3
	if room > w {
		// Too long for two rows of this width: one reading a line, in order.
		lines := []string{lead + "-->"}
		for _, x := range on {
			lines = append(lines, "    "+x)
		}
		return append(lines, lead+"<--")
	}
	row := func(xs []string, fill string) string {
		var b strings.Builder
		for i := range half {
			x := ""
			if i < len(xs) {
				x = xs[i]
			}
			b.WriteString("-- " + x + strings.Repeat(fill, cell-width(x)+1))
		}
		return b.String()
	}
	top := lead + row(out, " ") + "--."
	bottom := lead + row(back, " ") + "--'"
	gap := strings.Repeat(" ", width(top)-1) + "|"
	return []string{top, gap, bottom}
}

// gaugeCells is how many columns a reading against its limit is drawn in.
const gaugeCells = 24

// gauge draws a value against a limit: how far along to the limit it is.
func gauge(value, limit float64) string {
	if limit <= 0 || value < 0 {
		return ""
	}
	n := int(value / limit * gaugeCells)
	over := ""
	if n > gaugeCells {
		n, over = gaugeCells, ">"
	}
	return "[" + strings.Repeat("#", n) + strings.Repeat(".", gaugeCells-n) + "|" + over
}
