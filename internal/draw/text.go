package draw

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// cells counts columns the same way on every machine, whatever its locale says about
// ambiguous widths.
var cells = runewidth.Condition{StrictEmojiNeutral: true}

// Cells is how many columns a text takes.
func Cells(s string) int { return cells.StringWidth(s) }

// Run is a piece of a row in one tone.
type Run struct {
	Text string
	Tone Tone
}

// Row is one line of a drawing.
type Row []Run

// String is the row without its tones.
func (r Row) String() string {
	var b strings.Builder
	for _, run := range r {
		b.WriteString(run.Text)
	}
	return b.String()
}

// pen is what a stroke leaves in a cell: the sides it runs to.
type pen uint8

const (
	north pen = 1 << iota
	east
	south
	west
)

// boxes are the joined strokes by the sides they run to. All are in the set that the
// oldest terminals in use can show (WGL4).
var boxes = [16]rune{
	' ', '│', '─', '└', '│', '│', '┌', '├',
	'─', '┘', '─', '┴', '┐', '┤', '┬', '┼',
}

// heavyBoxes are the same for a bar, which only ever runs along a row.
var heavyBoxes = [16]rune{
	' ', '║', '═', '╚', '║', '║', '╔', '╠',
	'═', '╝', '═', '╩', '╗', '╣', '╦', '╬',
}

var (
	signs      = [NSigns]rune{Dot: '●', Over: '▲', Under: '▼', Right: '►', Left: '◄', Gap: '/', Up: '▲', Joint: '○', Cross: '×'}
	asciiSigns = [NSigns]rune{Dot: '*', Over: '^', Under: 'v', Right: '>', Left: '<', Gap: '/', Up: '^', Joint: 'o', Cross: 'x'}
)

type cell struct {
	text  string // "" behind a wide character
	tone  Tone
	pen   pen
	heavy bool
	solid bool // not only guided through
	fill  bool
}

// Rows draws a picture with characters, no row wider than the picture. With ascii set it
// uses nothing else, labels included; what a label grows by then is cut off.
func Rows(p Picture, ascii bool) []Row {
	grid := make([][]cell, p.H)
	for y := range grid {
		grid[y] = make([]cell, p.W)
		for x := range grid[y] {
			grid[y][x].text = " "
		}
	}
	for _, f := range p.Fills {
		shade(grid, f, ascii)
	}
	for _, s := range p.Strokes {
		trace(grid, s)
	}
	for y := range grid {
		for x := range grid[y] {
			grid[y][x].ink(ascii)
		}
	}
	for _, c := range p.Curves {
		plot(grid, c, ascii)
	}
	for _, m := range p.Marks {
		sign := signs[m.Sign]
		if ascii {
			sign = asciiSigns[m.Sign]
		}
		put(grid, m.X, m.Y, string(sign), m.Tone)
	}
	for _, l := range p.Labels {
		text := l.Text
		if ascii {
			text = ASCII(text)
		}
		x := l.X
		for _, r := range text {
			put(grid, x, l.Y, string(r), l.Tone)
			if w := cells.RuneWidth(r); w == 2 {
				put(grid, x+1, l.Y, "", l.Tone)
			}
			x += cells.RuneWidth(r)
		}
	}
	return rows(grid)
}

func put(grid [][]cell, x, y int, s string, t Tone) {
	if y < 0 || y >= len(grid) || x < 0 || x >= len(grid[y]) {
		return
	}
	grid[y][x].text, grid[y][x].tone = s, t
}

func shade(grid [][]cell, f Fill, ascii bool) {
	s := "░"
	if ascii {
		s = ":"
	}
	for y := f.Y; y < f.Y+f.H; y++ {
		for x := f.X; x < f.X+f.W; x++ {
			put(grid, x, y, s, f.Tone)
			grid[y][x].fill = true
		}
	}
}

// trace lays a stroke over the cells it runs through.
func trace(grid [][]cell, s Stroke) {
	x1, x2, y1, y2 := min(s.X1, s.X2), max(s.X1, s.X2), min(s.Y1, s.Y2), max(s.Y1, s.Y2)
	for y := y1; y <= y2; y++ {
		for x := x1; x <= x2; x++ {
			c := &grid[y][x]
			if s.Weight == Guide && c.fill {
				continue
			}
			if s.X1 == s.X2 && s.Y1 == s.Y2 {
				c.pen |= east | west // a stroke of one cell lies along its row
			}
			for _, side := range []struct {
				on  bool
				pen pen
			}{{x > x1, west}, {x < x2, east}, {y > y1, north}, {y < y2, south}} {
				if side.on {
					c.pen |= side.pen
				}
			}
			c.heavy = c.heavy || s.Weight == Heavy
			c.solid = c.solid || s.Weight != Guide
			if s.Tone != Usual {
				c.tone = s.Tone
			}
		}
	}
}

// ink turns what strokes left in a cell into its character.
func (c *cell) ink(ascii bool) {
	switch across, down := c.pen&(east|west) != 0, c.pen&(north|south) != 0; {
	case c.pen == 0:
	case !c.solid && ascii:
		c.text = "."
	case !c.solid:
		c.text = "·"
	case ascii && across && down:
		c.text = "+"
	case ascii && across && c.heavy:
		c.text = "="
	case ascii && across:
		c.text = "-"
	case ascii:
		c.text = "|"
	case c.heavy:
		c.text = string(heavyBoxes[c.pen])
	default:
		c.text = string(boxes[c.pen])
	}
}

// plot sets one sign in each column that a curve passes.
func plot(grid [][]cell, c Curve, ascii bool) {
	s := map[Weight]string{Thin: "∙", Heavy: "●", Guide: "·"}[c.Weight]
	if ascii {
		s = map[Weight]string{Thin: ".", Heavy: "#", Guide: "."}[c.Weight]
	}
	for _, p := range c.Points {
		put(grid, int(p.X), int(p.Y), s, c.Tone)
	}
}

// rows gathers cells of one tone into runs and drops blanks at the end.
func rows(grid [][]cell) []Row {
	out := make([]Row, len(grid))
	for y := range grid {
		end := len(grid[y])
		for end > 0 && grid[y][end-1].text == " " {
			end--
		}
		for _, c := range grid[y][:end] {
			tone := c.tone
			if n := len(out[y]); n > 0 && (out[y][n-1].Tone == tone || c.text == " ") {
				out[y][n-1].Text += c.text
				continue
			}
			if c.text == " " {
				tone = Usual
			}
			out[y] = append(out[y], Run{c.text, tone})
		}
	}
	return out
}

// plainASCII are the characters of our texts that a terminal without Unicode is not
// given, and what stands for them.
var plainASCII = strings.NewReplacer("mΩ", "mohm", "kΩ", "kohm", "MΩ", "Mohm", "Ω", "ohm", "Ω", "ohm", "µ", "u", "μ", "u", "Δ", "delta ",
	"²", "2", "³", "3", "×", "x", "·", "-", "–", "-", "—", "-", "−", "-", "…", "...", "½", "1/2", "°", " deg", "≤", "<=", "≥", ">=", "±", "+/-",
	"÷", "/", "≈", "about ", "‘", "'", "’", "'", "“", "\"", "”", "\"", "„", "\"", "\u00a0", " ", "\u202f", " ", "→", "->", "√", "sqrt ",
	"ą", "a", "Ą", "A", "ć", "c", "Ć", "C", "ę", "e", "Ę", "E", "ł", "l", "Ł", "L", "ń", "n", "Ń", "N", "ó", "o", "Ó", "O", "ś", "s", "Ś", "S", "ź", "z", "Ź", "Z", "ż", "z", "Ż", "Z",
	"ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "ß", "ss", "§", "sec. ", "ŵ", "w", "ŷ", "y", "ê", "e", "â", "a", "ô", "o", "é", "e", "£", "GBP ", "•", "*")

// ASCII is a text in the characters that every terminal has; what has no usual stand-in
// becomes a question mark.
func ASCII(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 {
			s = plainASCII.Replace(s)
			break
		}
	}
	return strings.Map(func(r rune) rune {
		if r >= 0x80 {
			return '?'
		}
		return r
	}, s)
}
