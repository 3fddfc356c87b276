// Package pdf lays out sheets of paper: a title, blocks of text and tables, and on the
// foot of every page what the sheet is not, and which page of how many it is.
//
// A Sheet is data; Render turns it into the bytes of a PDF file. The same sheet gives
// the same bytes on every machine: dates come from the sheet, fonts from the program,
// and nothing is drawn from chance. Text is never cut off: it is wrapped, a word longer
// than its line is broken, and a table that is too wide is set smaller.
//
// The fonts are the Go fonts (BSD licence), embedded as subsets; they have Ω, µ, Δ, ×,
// ½, ≤, ° and the Latin, Greek and Cyrillic letters. A character they lack is printed
// as □. The files are not tagged for screen readers; the text reports are.
//
// Lengths are millimetres, font sizes points. Only this package imports the PDF library.
package pdf

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Sheet is what goes on paper. The zero value is an empty upright page.
type Sheet struct {
	Title     string
	Language  string // BCP 47, for the reader program; may be empty
	Landscape bool
	Stamp     string // stands on the head of every page; may be empty
	Not       string // what the sheet is not: on the foot of every page
	Foot      string // what the pages belong to: on the foot of every page
	// Page names one page of how many; nil prints "1/3".
	Page func(page, of int) string
	// Date is the file's date; the zero time prints as EarliestDate.
	Date   time.Time
	Blocks []Block
}

// EarliestDate is the date of a file that belongs to no day.
var EarliestDate = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// Block is one of Heading, Para, Box, Items, List, Table, Drawings, NewPage.
type Block interface{ draw(*writer) }

// taller is a block whose beginning takes more room than a few lines.
type taller interface{ tall(*writer) float64 }

// Heading begins a part; it stays with what follows.
type Heading string

// Para is a paragraph.
type Para string

// Box is a paragraph with a frame round it, for what nobody may overlook.
type Box string

// Item is a label with a text beside it.
type Item struct{ Label, Text string }

// Items are laid out in two columns on a landscape page, one below the other on an
// upright one. An item without text is left out.
type Items []Item

// NewPage makes what follows begin a page.
type NewPage struct{}

// List is a list of lines, each with a dash before it.
type List []string

const (
	margin     = 10.0
	headRoom   = 14.0 // title and its rule
	footLeast  = 12.0 // room at the foot for two lines
	bodySize   = 9.0
	footSize   = 7.0
	mostFoot   = 3 // lines of either text on the foot
	headSize   = 11.0
	titleSize  = 13.0
	mmPerPoint = 25.4 / 72
	leading    = 1.25
	bold       = "B"
	plain      = ""
)

// Render gives the bytes of the PDF file. The error is that of the PDF library, which
// has nothing to fail on but memory.
func Render(s Sheet) ([]byte, error) {
	first, err := render(s, 0)
	if err != nil {
		return nil, err
	}
	w, err := render(s, first.f.PageNo())
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := w.f.Output(&b); err != nil {
		return nil, fmt.Errorf("the sheet %q could not be laid out: %w", s.Title, err)
	}
	return b.Bytes(), nil
}

// writer is one pass over a sheet. The first finds out how many pages there are.
type writer struct {
	f             *fpdf.Fpdf
	s             *Sheet
	pages         int
	width, height float64
	y             float64
	next          Block // what follows the block that is drawn
	footLines     []string
	footTall      float64
}

func render(s Sheet, pages int) (*writer, error) {
	orientation := "P"
	if s.Landscape {
		orientation = "L"
	}
	f := fpdf.New(orientation, "mm", "A4", "")
	date := s.Date
	if date.IsZero() {
		date = EarliestDate
	}
	f.SetCatalogSort(true)
	f.SetCreationDate(date.UTC())
	f.SetModificationDate(date.UTC())
	f.SetTitle(Clean(s.Title), true)
	f.SetSubject(Clean(s.Not), true)
	f.SetProducer("wanderlead", true)
	if s.Language != "" {
		f.SetLang(s.Language)
	}
	f.AddUTF8FontFromBytes("go", plain, goregular.TTF)
	f.AddUTF8FontFromBytes("go", bold, gobold.TTF)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	w := &writer{f: f, s: &s, pages: pages}
	w.width, w.height = f.GetPageSize()
	w.layFoot()
	w.newPage()
	for i, b := range s.Blocks {
		w.next = nil
		if i+1 < len(s.Blocks) {
			w.next = s.Blocks[i+1]
		}
		b.draw(w)
	}
	if err := f.Error(); err != nil {
		return nil, fmt.Errorf("the sheet %q could not be laid out: %w", s.Title, err)
	}
	return w, nil
}

// newPage begins a page: title and stamp on its head, the rest on its foot.
func (w *writer) newPage() {
	f := w.f
	f.AddPage()
	f.SetDrawColor(0, 0, 0)
	f.SetTextColor(0, 0, 0)
	f.SetLineWidth(0.3)
	room := w.right() - margin
	w.font(bold, bodySize)
	if stamp := w.first(w.s.Stamp, room*2/3); stamp != "" {
		wide := f.GetStringWidth(stamp) + 4
		f.Rect(w.right()-wide, margin-1, wide, 6, "D")
		f.Text(w.right()-wide+2, margin+3.3, stamp)
		room -= wide + 4
	}
	w.font(bold, titleSize)
	f.Text(margin, margin+4, w.first(w.s.Title, room))
	f.Line(margin, margin+6.5, w.right(), margin+6.5)
	w.foot()
	w.y = margin + headRoom - 4
}

// pageText names the page; wide enough for any before the number of pages is known.
func (w *writer) pageText(page, of int) string {
	if w.s.Page != nil {
		return Clean(w.s.Page(page, of))
	}
	return fmt.Sprintf("%d/%d", page, of)
}

// layFoot wraps what stands on the foot of every page and takes room for it.
func (w *writer) layFoot() {
	w.font(plain, footSize)
	room := w.right() - margin - w.f.GetStringWidth(w.pageText(999, 999)) - 6
	// A foot is on every page: what is said there of the sheet stays short, whatever a name holds.
	w.footLines = append(w.atMost(w.s.Not, room, mostFoot), w.atMost(w.s.Foot, room, mostFoot)...)
	w.footTall = max(footLeast, margin/2+4+float64(len(w.footLines))*lineHeight(footSize))
}

func (w *writer) foot() {
	f := w.f
	top := w.height - w.footTall
	f.Line(margin, top, w.right(), top)
	w.font(plain, footSize)
	page := w.pageText(f.PageNo(), w.pages)
	f.Text(w.right()-f.GetStringWidth(page), top+4, page)
	for i, line := range w.footLines {
		f.Text(margin, top+4+float64(i)*lineHeight(footSize), line)
	}
}

func (w *writer) right() float64  { return w.width - margin }
func (w *writer) bottom() float64 { return w.height - w.footTall - 2 }

func lineHeight(size float64) float64 { return size * mmPerPoint * leading }

func (w *writer) font(style string, size float64) { w.f.SetFont("go", style, size) }

// need begins a new page unless that many millimetres are left on this one.
func (w *writer) need(mm float64) {
	if w.y+mm > w.bottom() {
		w.newPage()
	}
}

// lines writes lines one below the other, over as many pages as they need. The font is
// set anew, because a new page sets its own.
func (w *writer) lines(x float64, lines []string, style string, size float64) {
	h := lineHeight(size)
	for _, line := range lines {
		w.need(h)
		w.font(style, size)
		w.f.Text(x, w.y+h*0.78, line)
		w.y += h
	}
}

func (NewPage) draw(w *writer) { w.newPage() }

func (h Heading) draw(w *writer) {
	w.font(bold, headSize)
	lines := w.wrap(string(h), w.right()-margin)
	after := 13.0 // a few lines, or the head of a table with a row
	if t, ok := w.next.(taller); ok {
		after = max(after, t.tall(w))
	}
	w.need(float64(len(lines))*lineHeight(headSize) + 3 + after)
	w.y += 2
	w.lines(margin, lines, bold, headSize)
	w.y++
}

func (p Para) draw(w *writer) {
	w.font(plain, bodySize)
	w.lines(margin, w.wrap(string(p), w.right()-margin), plain, bodySize)
	w.y++
}

func (b Box) draw(w *writer) {
	w.font(bold, bodySize)
	lines := w.wrap(string(b), w.right()-margin-6)
	h := lineHeight(bodySize)
	tall := float64(len(lines))*h + 3
	if tall < w.bottom()-margin-headRoom {
		w.need(tall)
		w.f.SetLineWidth(0.5)
		w.f.Rect(margin, w.y, w.right()-margin, tall, "D")
		w.f.SetLineWidth(0.3)
	}
	w.y += 1.5
	w.lines(margin+3, lines, bold, bodySize)
	w.y += 3
}

func (l List) draw(w *writer) {
	if l.beside(w) {
		return
	}
	for _, text := range l {
		w.font(plain, bodySize)
		lines := w.wrap(text, w.right()-margin-4)
		w.need(lineHeight(bodySize))
		w.font(plain, bodySize)
		w.f.Text(margin, w.y+lineHeight(bodySize)*0.78, "–")
		w.lines(margin+4, lines, plain, bodySize)
	}
	w.y++
}

// beside sets a list of short lines in two columns, read downwards, where a landscape
// page has room for them.
func (l List) beside(w *writer) bool {
	h, column := lineHeight(bodySize), (w.right()-margin)/2
	rows := (len(l) + 1) / 2
	if !w.s.Landscape || len(l) < 4 || float64(rows)*h > w.bottom()-margin-headRoom {
		return false
	}
	w.font(plain, bodySize)
	l = slices.Clone(l)
	for i := range l {
		l[i] = strings.Join(strings.Fields(Clean(l[i])), " ")
		if w.upTo(l[i], column-7) > column-7 {
			return false
		}
	}
	w.need(float64(rows) * h)
	w.font(plain, bodySize)
	for i, text := range l {
		x, y := margin+column*float64(i/rows), w.y+h*(float64(i%rows)+0.78)
		w.f.Text(x, y, "–")
		w.f.Text(x+4, y, text)
	}
	w.y += float64(rows)*h + 1
	return true
}

func (l Items) draw(w *writer) {
	columns := 1
	if w.s.Landscape {
		columns = 2
	}
	var shown []Item
	for _, it := range l {
		if it.Text != "" {
			shown = append(shown, it)
		}
	}
	label := 0.0
	w.font(bold, bodySize)
	for _, it := range shown {
		label = max(label, w.f.GetStringWidth(Clean(it.Label)))
	}
	label = min(label+3, 50)
	column := (w.right() - margin) / float64(columns)
	for len(shown) > 0 {
		n := min(columns, len(shown))
		w.itemRow(shown[:n], label, column)
		shown = shown[n:]
	}
	w.y++
}

// itemRow sets items side by side; those taller than half a page one below the other.
func (w *writer) itemRow(items []Item, label, column float64) {
	type set struct{ label, text []string }
	var sets []set
	most := 0
	for _, it := range items {
		w.font(bold, bodySize)
		s := set{label: w.wrap(it.Label, label-2)}
		w.font(plain, bodySize)
		s.text = w.wrap(it.Text, column-label-3)
		most = max(most, len(s.text), len(s.label))
		sets = append(sets, s)
	}
	tall := float64(most) * lineHeight(bodySize)
	if tall > (w.bottom()-margin)/2 {
		for _, s := range sets {
			w.lines(margin, s.label, bold, bodySize)
			w.lines(margin+4, s.text, plain, bodySize)
		}
		return
	}
	w.need(tall)
	top := w.y
	for i, s := range sets {
		x := margin + float64(i)*column
		w.y = top
		w.lines(x, s.label, bold, bodySize)
		w.y = top
		w.lines(x+label, s.text, plain, bodySize)
	}
	w.y = top + tall
}
