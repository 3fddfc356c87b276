package draw

// How says in which way something is open.
type How uint8

// The ways.
const (
	Lifted  How = iota // a conductor's end out of its terminal
	Linked             // a link or a lead put on
	TakenUp            // a cover off
	Removed            // a lamp, a load, a part taken out or unplugged
	Off                // a device switched off
)

// Entry is one thing that is open: where, what, and what closes it again.
type Entry struct {
	How   How
	Where string // the board, a circuit
	What  string
	Close string // how its return is checked; may be empty
}

// Ledger draws what is open, a thing a row: a small picture of how, then where and what,
// and below it what has to be done and seen.
func Ledger(o Options, entries []Entry) Picture {
	p := Picture{Name: "ledger"}
	where := 0
	for _, e := range entries {
		where = max(where, Cells(o.as(e.Where)))
	}
	where = min(where, o.W/3)
	for _, e := range entries {
		y := p.H
		p.small(e.How, 1, y)
		p.label(8, y, cut(o.as(e.Where), where), This)
		at := 8 + where + 2
		y = o.note(&p, at, y, o.as(e.What), Opened)
		if e.Close != "" {
			o.note(&p, at, y, o.as(e.Close), Usual)
		}
		line := o.t("draw.ledger.words."+[]string{"lifted", "linked", "cover", "removed", "off"}[e.How], "where", o.as(e.Where), "what", o.as(e.What))
		p.Words = append(p.Words, line)
		if e.Close != "" {
			p.Words = append(p.Words, o.as(e.Close))
		}
	}
	return p
}

// small is a picture of five columns of how something is open.
func (p *Picture) small(h How, x, y int) {
	switch h {
	case Lifted, Off:
		sign := Gap
		if h == Off {
			sign = Cross
		}
		p.stroke(x, y, x+1, y, Thin, Usual)
		p.mark(x+2, y, sign, Opened)
		p.stroke(x+3, y, x+4, y, Thin, Usual)
	case Linked:
		p.stroke(x, y, x+4, y, Heavy, Usual)
		p.mark(x, y, Dot, Opened)
		p.mark(x+4, y, Dot, Opened)
	case TakenUp:
		p.label(x, y, "[", Usual)
		p.mark(x+2, y, Up, Opened)
		p.label(x+4, y, "]", Usual)
	case Removed:
		p.label(x, y, "(", Usual)
		p.mark(x+2, y, Cross, Opened)
		p.label(x+4, y, ")", Usual)
	}
}
