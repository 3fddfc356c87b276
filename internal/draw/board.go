package draw

import (
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// Lead is where one lead of an instrument is put: a letter, and a terminal as package
// wiring names it. At the board are shown "board/bar/NA", "board/met", a circuit's
// "ring-1/way/L", "ring-1/leg1/L" or "ring-1/end/N".
type Lead struct{ Letter, At string }

// BoardView is a board as it stands.
type BoardView struct {
	Rig   *rig.Rig
	This  *rig.Circuit      // whose way, and bar, is marked; nil for none
	Bar   bool              // its bar is marked as well
	Hide  bool              // which bar its neutral belongs on is what is asked: the neutral of This is not drawn
	Out   map[string]bool   // cores out of their terminals: "ring-1/L", "ring-1/N", "ring-1/E"
	Moved map[string]string // neutrals in another bar than their own: circuit id to the bar's label
	Off   map[string]bool   // what is switched off: circuit ids, RCD ids, "main-switch"
	Leads []Lead
	Alone bool // only the section of This, where there is no room for all
}

// Board draws the rails of a board with the ways they feed, the neutral bar of each, and
// the earth bar. A way's neutral is a dot on its bar, below the way.
func Board(o Options, v BoardView) Picture {
	b := board{o: o, v: v, p: Picture{Name: "board"}}
	b.pad = b.spread()
	b.head()
	sections := v.Rig.Board.Sections
	for i := range sections {
		if v.Alone && v.This != nil && v.This.Section != sections[i].ID {
			continue
		}
		b.section(&sections[i])
	}
	b.earth()
	o.legend(&b.p, 1, item{Dot, o.t("draw.board.in"), Usual}, item{Gap, o.t("draw.board.out"), Opened}, item{Cross, o.t("draw.board.off"), Opened}, item{Right, o.t("draw.board.this"), This})
	if len(v.Leads) > 0 && !o.Bare {
		o.note(&b.p, 1, b.p.H, o.t("draw.board.leads", "leads", strings.Join(b.letters(), " ")), Usual)
	}
	b.p.Words = b.words()
	return b.p
}

type board struct {
	o   Options
	v   BoardView
	p   Picture
	at  int // row of the spine's last branch
	pad int // columns of rail before each way
}

const spine = 1

func (b *board) head() {
	r := b.v.Rig
	x := b.p.label(0, 0, b.o.as(r.Board.Name), Usual) + 1
	b.p.stroke(x, 0, x+2, 0, Thin, Usual)
	if b.v.Off["main-switch"] {
		b.p.mark(x+1, 0, Cross, Opened)
	}
	b.p.label(x+4, 0, cut(b.o.as(r.Board.MainSwitch.Label), b.o.W-x-4), Usual)
}

// way is a circuit's place on a rail.
type way struct {
	c     *rig.Circuit
	text  string
	this  bool
	leads string // letters at its line terminal
	neu   string // letters at its neutral end
}

func (w *way) width() int {
	n := Cells(w.text) + 1
	if w.this {
		n += 2
	}
	return n + Cells(w.leads)
}

// section draws one rail: its RCD, its ways, and below them its neutral bar.
func (b *board) section(sec *rig.Section) {
	ways := b.ways(sec)
	head, bar := b.railHead(sec), b.o.t("draw.board.bar", "bar", sec.Bar)
	left := spine + 2
	beside := b.beside(sec)
	y := b.p.H
	if beside+b.pad+b.widest(ways) > b.o.W || 2*beside > b.o.W {
		b.branch(y)
		b.rcd(sec, left, y, head)
		beside = left + Cells(bar) + 3
		y++
	} else {
		b.branch(y)
		b.rcd(sec, left, y, head)
	}
	for i := 0; i < len(ways); {
		i = b.row(sec, ways, i, beside, y, bar)
		bar = ""
		y += 2
	}
	if len(ways) == 0 {
		b.bar(sec, left, beside, y+1, bar, beside)
	}
}

// spread is how far apart the ways stand: as far as every rail still fits on one row.
func (b *board) spread() int {
	pad := 3
	for i := range b.v.Rig.Board.Sections {
		sec := &b.v.Rig.Board.Sections[i]
		ways := b.ways(sec)
		room := b.o.W - b.beside(sec)
		for w := range ways {
			room -= ways[w].width()
		}
		if len(ways) > 0 {
			pad = min(pad, room/len(ways))
		}
	}
	return max(1, pad)
}

// beside is the column that the ways of a section begin at, right of its name and its bar's.
func (b *board) beside(sec *rig.Section) int {
	return spine + 2 + max(Cells(b.railHead(sec)), Cells(b.o.t("draw.board.bar", "bar", sec.Bar))+2) + 1
}

func (b *board) widest(ways []way) int {
	w := 0
	for i := range ways {
		w = max(w, ways[i].width())
	}
	return w
}

// branch runs the spine down to a row and a rail off it.
func (b *board) branch(y int) {
	b.p.stroke(spine, b.at, spine, y, Thin, Usual)
	b.p.stroke(spine, y, spine+1, y, Thin, Usual)
	b.at = y
}

func (b *board) rcd(sec *rig.Section, x, y int, head string) {
	b.p.label(x, y, cut(head, b.o.W-x), Usual)
	if sec.RCD != nil && b.v.Off[sec.RCD.ID] {
		b.p.mark(x-1, y, Cross, Opened)
	}
}

// row draws ways from i on, as many as fit, with their bar below; it returns the first
// that is left.
func (b *board) row(sec *rig.Section, ways []way, i, x, y int, bar string) int {
	first, from := i, x
	var dots []int
	for ; i < len(ways) && (i == first || x+b.pad+ways[i].width() <= b.o.W); i++ {
		w := &ways[i]
		b.p.stroke(x, y, x+b.pad-1, y, Thin, Usual)
		x += b.pad
		if b.v.Off[w.c.ID] {
			b.p.mark(x-1, y, Cross, Opened)
		}
		tone := Usual
		if w.this {
			tone = This
			b.p.mark(x, y, Right, This)
			x++
		}
		dots = append(dots, x+Cells(w.text)/2)
		x = b.p.label(x, y, w.text, tone)
		if w.this {
			b.p.mark(x, y, Left, This)
			x++
		}
		if b.v.Out[w.c.ID+"/L"] {
			b.p.mark(x, y, Gap, Opened)
		}
		x++
		x = b.p.label(x, y, w.leads, This)
	}
	end := b.bar(sec, spine+2, from, y+1, bar, max(x-1, from+2))
	for k := first; k < i; k++ {
		b.neutral(sec, &ways[k], dots[k-first], y+1, &end)
	}
	return i
}

// neutral is the dot of a way on its bar, or the gap where its neutral is out.
func (b *board) neutral(sec *rig.Section, w *way, x, y int, end *int) {
	if w.c.RCD != nil || b.v.Hide && w.this {
		return // its neutral is in its own RCBO, or what is asked
	}
	switch other := b.v.Moved[w.c.ID]; {
	case other != "" && other != sec.Bar, b.v.Out[w.c.ID+"/N"]:
		b.p.mark(x, y, Gap, Opened)
	default:
		b.p.mark(x, y, Dot, Usual)
	}
	if w.neu != "" {
		b.p.label(x+1, y, w.neu, This)
	}
}

// bar draws a neutral bar to a column and what sits in it that belongs elsewhere.
func (b *board) bar(sec *rig.Section, x, from, y int, text string, to int) int {
	mine := b.v.Bar && b.v.This != nil && b.v.This.Section == sec.ID && b.v.This.RCD == nil
	if text != "" {
		tone := Usual
		if mine {
			tone = This
			b.p.mark(x, y, Right, This)
		}
		at := b.p.label(x+1, y, text, tone)
		if mine {
			b.p.mark(at, y, Left, This)
		}
	}
	b.p.stroke(from, y, to, y, Heavy, Usual)
	var guests []string
	for id, bar := range b.v.Moved {
		if c, ok := b.v.Rig.Circuit(id); ok && bar == sec.Bar && c.Section != sec.ID {
			guests = append(guests, c.Number)
		}
	}
	slices.Sort(guests)
	for _, g := range guests {
		if text != "" && to+3+Cells(g) < b.o.W {
			b.p.stroke(to, y, to+2, y, Heavy, Usual)
			b.p.mark(to+1, y, Dot, Odd)
			to = b.p.label(to+2, y, g, Odd)
		}
	}
	if text != "" {
		if l := b.lettersAt("board/bar/" + sec.Bar); l != "" && to+1+Cells(l) <= b.o.W {
			to = b.p.label(to+1, y, l, This)
		}
	}
	return to
}

// earth draws the earth bar with the cpc of every circuit.
func (b *board) earth() {
	y := b.p.H
	b.branch(y)
	x := b.p.label(spine+2, y, cut(b.o.t("draw.board.earth", "terminal", b.v.Rig.Earthing.Terminal), b.o.W/2), Usual) + 1
	from, start := x, x
	x += 1
	for i := range b.v.Rig.Circuits {
		c := &b.v.Rig.Circuits[i]
		need := Cells(c.Number) + 2
		if x+need > b.o.W {
			b.p.stroke(from, y, x-1, y, Heavy, Usual)
			y, x, from = y+1, start+1, start
		}
		if b.v.Out[c.ID+"/E"] {
			b.p.mark(x, y, Gap, Opened)
		} else {
			b.p.mark(x, y, Dot, Usual)
		}
		tone := Usual
		if c == b.v.This {
			tone = This
		}
		x = b.p.label(x+1, y, c.Number, tone) + 1
	}
	if x > from {
		b.p.stroke(from, y, x-1, y, Heavy, Usual)
	}
	if l := b.lettersAt("board/met"); l != "" && x+Cells(l) <= b.o.W {
		b.p.label(x, y, l, This)
	}
}

func (b *board) ways(sec *rig.Section) []way {
	var out []way
	for i := range b.v.Rig.Circuits {
		c := &b.v.Rig.Circuits[i]
		if c.Section != sec.ID {
			continue
		}
		w := way{c: c, text: b.o.as(c.Number + " " + sequence.DeviceName(c.Device)), this: c == b.v.This}
		for _, l := range b.v.Leads {
			owner, rest, _ := strings.Cut(l.At, "/")
			switch core := rest[strings.LastIndex(rest, "/")+1:]; {
			case owner != c.ID:
			case core == "N":
				w.neu += letter(l)
			case strings.HasPrefix(core, "L"):
				w.leads += letter(l)
			}
		}
		out = append(out, w)
	}
	return out
}

func letter(l Lead) string { return "[" + l.Letter + "]" }

func (b *board) lettersAt(terminal string) string {
	s := ""
	for _, l := range b.v.Leads {
		cpc := strings.HasSuffix(l.At, "/E") && terminal == "board/met" && b.ownEnd(l.At)
		if l.At == terminal || cpc {
			s += letter(l)
		}
	}
	return s
}

// ownEnd reports whether a terminal is a circuit's end at the board.
func (b *board) ownEnd(at string) bool {
	parts := strings.Split(at, "/")
	return len(parts) == 3 && (parts[1] == "end" || parts[1] == "leg1" || parts[1] == "leg2")
}

func (b *board) letters() []string {
	var out []string
	for _, l := range b.v.Leads {
		if s := letter(l); !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func (b *board) railHead(sec *rig.Section) string {
	switch {
	case sec.RCD != nil:
		return b.o.t("draw.board.rail", "rcd", sec.RCD.ID, "rating", strconv.FormatFloat(sec.RCD.IdnMA, 'g', -1, 64))
	case b.v.Rig.Board.Arrangement == rig.RCBOBoard:
		return b.o.t("draw.board.rail-rcbo")
	}
	return b.o.t("draw.board.rail-none")
}

// words say the same, a rail a sentence.
func (b *board) words() []string {
	out := []string{b.v.Rig.Board.Name}
	if b.v.Off["main-switch"] {
		out = append(out, b.o.t("draw.board.words.switched-off", "what", b.v.Rig.Board.MainSwitch.Label))
	}
	for i := range b.v.Rig.Board.Sections {
		sec := &b.v.Rig.Board.Sections[i]
		var ways, away []string
		for _, w := range b.ways(sec) {
			ways = append(ways, w.text)
			for _, core := range []string{"L", "N", "E"} {
				if b.v.Out[w.c.ID+"/"+core] {
					away = append(away, b.o.t("draw.board.words.out", "number", w.c.Number, "core", b.o.t("draw.core."+core)))
				}
			}
			if bar := b.v.Moved[w.c.ID]; bar != "" && bar != sec.Bar {
				away = append(away, b.o.t("draw.board.words.moved", "number", w.c.Number, "bar", bar))
			}
			if b.v.Off[w.c.ID] {
				away = append(away, b.o.t("draw.board.words.off", "number", w.c.Number))
			}
		}
		if len(ways) > 0 {
			out = append(out, b.o.t(b.railWords(), "rail", b.railHead(sec), "ways", list(ways), "bar", sec.Bar))
		}
		if sec.RCD != nil && b.v.Off[sec.RCD.ID] {
			away = append(away, b.o.t("draw.board.words.switched-off", "what", sec.RCD.ID))
		}
		out = append(out, away...)
	}
	if c := b.v.This; c != nil {
		id := "draw.board.words.this"
		switch {
		case b.v.Hide:
			id = "draw.board.words.this-way"
		case c.RCD != nil:
			id = "draw.board.words.this-rcbo"
		}
		out = append(out, b.o.t(id, "number", c.Number, "bar", b.v.Rig.BarOf(c)))
	}
	for _, l := range b.v.Leads {
		out = append(out, b.o.t("draw.board.words.lead", "letter", l.Letter, "at", b.place(l.At)))
	}
	return out
}

// railWords is the sentence of a rail; which bar a neutral belongs on is in none while it
// is asked.
func (b *board) railWords() string {
	if b.v.Hide {
		return "draw.board.words.rail-ways"
	}
	return "draw.board.words.rail"
}

// place is a terminal at the board in words.
func (b *board) place(at string) string {
	parts := strings.Split(at, "/")
	last := parts[len(parts)-1]
	if c, ok := b.v.Rig.Circuit(parts[0]); ok {
		return b.o.t("draw.board.words.at-way", "number", c.Number, "core", b.o.t("draw.core."+last[:1]))
	}
	if at == "board/met" {
		return b.v.Rig.Earthing.Terminal
	}
	return b.o.t("draw.board.bar", "bar", last)
}
