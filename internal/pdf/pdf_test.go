package pdf

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wanderlead/internal/draw"
)

// text gives what pdftotext (Poppler) reads from a file: an outside reader of the format.
func text(t testing.TB, data []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("WANDERLEAD_PDFTOTEXT") != "" {
			t.Fatal("WANDERLEAD_PDFTOTEXT is set and there is no pdftotext")
		}
		t.Skip("no pdftotext here (package poppler-utils): the PDF is not read back")
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftotext: %v\n%s", err, out)
	}
	return string(out)
}

func made(t testing.TB, s Sheet) []byte {
	t.Helper()
	data, err := Render(s)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

const symbols = "0.40 Ω >299 MΩ 30 mA µA ΔT 2.5 mm² ½ × ≤ ≥ ± ° – √3 é Ж"

func everything() Sheet {
	rows := make([][]Cell, 60)
	for i := range rows {
		rows[i] = Cells(fmt.Sprintf("c%d", i+1), fmt.Sprintf("description number %d", i+1), fmt.Sprintf(">%d", 1000+i), "n/a")
		rows[i][3].Strong = i%2 == 0
	}
	return Sheet{Title: "A sheet", Language: "en-GB", Landscape: true, Stamp: "SCRIPTED", Not: "No certificate.", Foot: "edition x",
		Page: func(page, of int) string { return fmt.Sprintf("page %d of %d", page, of) },
		Blocks: []Block{Heading("First"), Para(symbols), Box("Mind this."), Items{{"label", "its text"}, {"empty", ""}, {"other", "another text"}},
			List{"one", "two"}, Table{Columns: []Column{{Head: "circuit"}, {Head: "what", Grow: true}, {Head: "L-E MΩ"}, {Head: "state"}}, Rows: rows},
			Drawings{{Title: "Round the ring", Picture: sketch()}}}}
}

// sketch has something of everything that a picture can hold.
func sketch() draw.Picture {
	p := draw.Picture{Name: "sketch", W: 30, H: int(draw.NSigns) + 3, Fills: []draw.Fill{{X: 10, Y: 0, W: 4, H: 2}}, Labels: []draw.Label{{X: 2, Y: 0, Text: "s1 0.31 Ω", Tone: draw.Odd}, {X: 20, Y: 1, Text: "WWW"}},
		Strokes: []draw.Stroke{{X1: 0, Y1: 0, X2: 0, Y2: 4}, {X1: 0, Y1: 2, X2: 20, Y2: 2, Weight: draw.Heavy}, {X1: 3, Y1: 3, X2: 3, Y2: 3, Weight: draw.Guide}},
		Curves:  []draw.Curve{{Points: []draw.Point{{X: 1, Y: 1}, {X: 2.5, Y: 2}, {X: 4, Y: 1.5}}, Weight: draw.Guide}}}
	for s := range draw.NSigns {
		p.Marks = append(p.Marks, draw.Mark{X: 5, Y: 3 + int(s), Sign: s})
	}
	return p
}

// A picture as wide as three pages and one as tall are set smaller until they fit; beside
// each other stand as many as there is room for.
func TestPicturesFit(t *testing.T) {
	w, err := render(Sheet{}, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []draw.Picture{{W: 400, H: 3}, {W: 20, H: 400}, {W: 10, H: 2}} {
		at := w.place(&Drawing{Title: "t", Picture: p, Size: 12})
		if at.wide() > w.right()-margin+1e-6 || at.tall() > w.bottom()-margin-headRoom+1e-6 {
			t.Errorf("%d by %d cells take %v by %v mm", p.W, p.H, at.wide(), at.tall())
		}
	}
	small := Drawing{Picture: draw.Picture{W: 10, H: 2}}
	if row, _ := (Drawings{small, small, small, small}).row(w); len(row) != 3 {
		t.Errorf("%d side by side, not 3", len(row))
	}
	pages := strings.Split(text(t, made(t, Sheet{Blocks: []Block{Para("before"), Drawings{{Picture: draw.Picture{W: 40, H: 60}}, {Picture: draw.Picture{W: 70, H: 60}}, {Picture: draw.Picture{W: 70, H: 60}}}}})), "\f")
	if len(pages)-1 != 3 {
		t.Errorf("%d pages, not 3", len(pages)-1)
	}
}

func TestSameSheetSameBytes(t *testing.T) {
	want := made(t, everything())
	for range 3 {
		if got := made(t, everything()); !bytes.Equal(got, want) {
			t.Fatalf("%d and %d bytes, and they differ", len(got), len(want))
		}
	}
	other := everything()
	other.Foot = "edition y"
	if bytes.Equal(made(t, other), want) {
		t.Fatal("another sheet has the same bytes")
	}
}

func TestReadBack(t *testing.T) {
	got := text(t, made(t, everything()))
	for _, want := range append(strings.Fields(symbols), "Mind this.", "label", "its text", "another text", "A sheet", "Round the ring", "0.31") {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
	for i := range 60 {
		if !strings.Contains(got, fmt.Sprintf(">%d", 1000+i)) {
			t.Errorf("row %d is not on the sheet", i+1)
		}
	}
	pages := strings.Split(strings.TrimSuffix(got, "\f"), "\f")
	if len(pages) < 3 {
		t.Fatalf("%d pages", len(pages))
	}
	for i, p := range pages {
		for _, want := range []string{"SCRIPTED", "No certificate.", "edition x", fmt.Sprintf("page %d of %d", i+1, len(pages))} {
			if !strings.Contains(p, want) {
				t.Errorf("page %d lacks %q", i+1, want)
			}
		}
		if strings.Contains(p, "description number") != strings.Contains(p, "L-E") {
			t.Errorf("page %d has rows without their head, or a head without rows", i+1)
		}
	}
}

// Whatever words a table and a paragraph hold, all of their letters are printed, and
// none outside the page.
func TestNothingIsCutOff(t *testing.T) {
	text(t, made(t, Sheet{}))
	rapid.Check(t, func(rt *rapid.T) {
		word := rapid.StringMatching(`[a-zA-Z0-9Ω>./-]{1,60}`)
		n := rapid.IntRange(1, 24).Draw(rt, "columns")
		table := Table{}
		for range n {
			table.Columns = append(table.Columns, Column{Head: "h", Grow: rapid.Bool().Draw(rt, "grow")})
		}
		count := map[rune]int{}
		row := make([]Cell, n)
		for i := range row {
			row[i].Text = strings.Join(rapid.SliceOfN(word, 0, 4).Draw(rt, "cell"), " ")
			for _, r := range row[i].Text {
				count[r]++
			}
		}
		table.Rows = [][]Cell{row}
		w, err := render(Sheet{Landscape: rapid.Bool().Draw(rt, "landscape")}, 1)
		if err != nil {
			rt.Fatal(err)
		}
		widths, size := table.fit(w)
		if total := sum(widths); total > w.right()-margin+1e-6 {
			rt.Fatalf("the table is %v mm wide", total)
		}
		lines, _ := table.wrapRow(w, row, widths, size)
		w.font(plain, size)
		for i := range lines {
			for _, line := range lines[i] {
				if len([]rune(line)) > 1 && w.f.GetStringWidth(line) > widths[i]-2*cellPad+1e-6 {
					rt.Fatalf("%q is wider than its column", line)
				}
				for _, r := range line {
					count[r]--
				}
			}
		}
		for r, left := range count {
			if r != ' ' && left != 0 {
				rt.Fatalf("%d of %q are missing", left, r)
			}
		}
	})
}

// A row taller than a page goes on, whole, on the next ones.
func TestRowTallerThanAPage(t *testing.T) {
	var words []string
	for i := range 900 {
		words = append(words, fmt.Sprintf("w%dw", i))
	}
	s := Sheet{Blocks: []Block{Table{Columns: []Column{{Head: "a", Min: 150}, {Head: "long", Grow: true}}, Rows: [][]Cell{Cells("x", strings.Join(words, " "))}},
		Box(strings.Join(words, " ")), Items{{"l", strings.Join(words, " ")}}}}
	got := text(t, made(t, s))
	for _, want := range words {
		if strings.Count(got, want) != 3 {
			t.Fatalf("%q stands %d times, not 3", want, strings.Count(got, want))
		}
	}
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"0.4 \u2126":          "0.4 Ω",
		"e\u0301":             "é",
		"a\x1b[31mb\u202ec":   "a [31mb c",
		"line\nfeed\ttab":     "line feed tab",
		"漢":                   "□",
		"\xff":                "\ufffd",
		"\U0001F600":          "□",
		"zero\u200bwidth":     "zerowidth",
		"Ω µ Δ × ½ ≤ ° – … ²": "Ω µ Δ × ½ ≤ ° – … ²",
	} {
		if got := Clean(in); got != want {
			t.Errorf("Clean(%q) = %q, want %q", in, got, want)
		}
	}
}
