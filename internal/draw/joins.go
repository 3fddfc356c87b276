package draw

// Joins draws how a ring is crossed for its second and third step: each live conductor
// with the other conductor of the other leg. back is that conductor, "N" or "E".
func Joins(o Options, back string) Picture {
	p := Picture{Name: "joins"}
	one, two := o.t("draw.joins.leg", "n", "1"), o.t("draw.joins.leg", "n", "2")
	for y, j := range []struct{ letter, left, right string }{{"A", "L", back}, {"B", back, "L"}} {
		x := p.label(2, y, one, Usual) + 2
		x = p.label(x, y, j.left, This) + 1
		p.stroke(x, y, x+2, y, Thin, Usual)
		p.mark(x+3, y, Dot, This)
		x = p.label(x+5, y, o.t("draw.joins.join", "letter", j.letter), This)
		p.mark(x+1, y, Dot, This)
		p.stroke(x+2, y, x+4, y, Thin, Usual)
		x = p.label(x+6, y, j.right, This) + 2
		p.label(x, y, two, Usual)
	}
	id := "draw.joins.words.line-neutral"
	if back == "E" {
		id = "draw.joins.words.line-cpc"
	}
	p.Words = []string{o.t(id)}
	return p
}
