package pdf

import (
	"bytes"
	"compress/zlib"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"wanderlead/internal/draw"
	"wanderlead/internal/hostile"
	harmless "wanderlead/internal/plain"
)

// hostileName clears a screen, renames a window, turns the writing round, ends a string
// and a stream of a PDF file and asks its reader to run and to open something.
const hostileName = "X\x1b[2J\x1b]0;x\a\u202egnp\u2066\u009b31m\u2028) Tj ET endstream endobj /OpenAction << /S /JavaScript /JS (app.alert(1)) >> \\) /URI (file:///x)\x00\r\n\u200b\ufeffY"

func hostileSheet(name string) Sheet {
	p := draw.Picture{W: 40, H: 2, Labels: []draw.Label{{X: 0, Y: 0, Text: name}}}
	return Sheet{Title: name, Stamp: name, Not: name, Foot: name, Language: "en-GB", Page: func(int, int) string { return name },
		Blocks: []Block{Heading(name), Para(name), Box(name), Items{{name, name}}, List{name, name, name, name, name},
			Table{Columns: []Column{{Head: name}, {Head: "b", Grow: true}}, Rows: [][]Cell{Cells(name, name)}}, Drawings{{Title: name, Picture: p}}}}
}

var (
	streams = regexp.MustCompile(`(?s)stream\n(.*?)\nendstream`)
	shown   = regexp.MustCompile(`(?s)\(((?:\\.|[^\\()])*)\) ?Tj`)
	named   = regexp.MustCompile(`(?s)/(?:Title|Subject|Producer|Creator) \(((?:\\.|[^\\()])*)\)`)
	escape  = regexp.MustCompile(`(?s)\\(.)`)
)

// texts are the strings that a file shows on its pages and keeps in its description: PDF
// 32000-1:2008, 7.3.4.2 (literal strings) and 7.9.2.2 (text strings, UTF-16BE).
func texts(t *testing.T, data []byte) (out []string, operators string) {
	t.Helper()
	add := func(raw []byte) {
		raw = escape.ReplaceAllFunc(raw, func(m []byte) []byte {
			if m[1] == 'r' {
				return []byte{'\r'} // the library writes a carriage return by its letter
			}
			return m[1:]
		})
		raw = bytes.TrimPrefix(raw, []byte{0xfe, 0xff})
		if len(raw)%2 != 0 {
			t.Fatalf("%q is no UTF-16", raw)
		}
		units := make([]uint16, len(raw)/2)
		for i := range units {
			units[i] = uint16(raw[2*i])<<8 | uint16(raw[2*i+1])
		}
		out = append(out, string(utf16.Decode(units)))
	}
	for _, m := range streams.FindAllSubmatch(data, -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		if err != nil {
			continue // not compressed
		}
		page, err := io.ReadAll(r)
		if err != nil || !bytes.Contains(page, []byte(" Tf ")) && !bytes.Contains(page, []byte("Tj")) {
			continue // a font
		}
		for _, s := range shown.FindAllSubmatch(page, -1) {
			add(s[1])
		}
		operators += string(shown.ReplaceAll(page, nil))
	}
	for _, m := range named.FindAllSubmatch(data, -1) {
		add(m[1])
	}
	return out, operators
}

// Whatever a name holds, nothing in the file acts: not on a terminal that shows its text,
// not on the reader of the file.
func TestNamesActOnNothing(t *testing.T) {
	data := made(t, hostileSheet(hostileName))
	all, operators := texts(t, data)
	joined := strings.Join(all, "")
	if n := strings.Count(joined, "gnp"); n < 10 {
		t.Fatalf("the name stands %d times: this test sees nothing", n)
	}
	for _, s := range all {
		if bad := hostile.Acts(s); bad != "" {
			t.Errorf("%q: %s", s, bad)
		}
	}
	for _, word := range []string{"JavaScript", "OpenAction /", "/URI (", "/Launch", "endobj /"} {
		if strings.Contains(operators, word) || bytes.Contains(data, []byte(word)) {
			t.Errorf("%s outside a string", word)
		}
	}
	if strings.ContainsAny(operators, "\x1b\x00") {
		t.Error("a control character outside a string")
	}
}

// A name of a million letters makes a long file and no more: the foot and the stamp of a
// page keep to their lines, so that there is room for what the page is about.
func TestNamesOfAMillionLetters(t *testing.T) {
	for name, word := range map[string]string{"one word": "Ω", "words": "ab "} {
		long := strings.Repeat(word, 1<<20/len(word))
		s := Sheet{Title: long, Stamp: long, Not: long, Foot: long, Landscape: true, Blocks: []Block{Para(long)}}
		w, err := render(s, 1)
		if err != nil {
			t.Fatal(err)
		}
		// 1 MiB at some 150 letters a line and 45 lines a page is 155 pages.
		if n := w.f.PageNo(); n < 20 || n > 400 {
			t.Errorf("%s: %d pages", name, n)
		}
		if w.bottom() < w.height/2 {
			t.Errorf("%s: the foot begins at %v mm", name, w.bottom())
		}
	}
}

func FuzzClean(f *testing.F) {
	for _, s := range []string{"", hostileName, "Ω\u2126e\u0301", "\xff\xfe", "\u200f\u061c\U0001F600"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := Clean(s)
		if bad := hostile.Acts(got); bad != "" || strings.ContainsFunc(got, harmless.Active) {
			t.Errorf("%q: %q %s", s, got, bad)
		}
		if Clean(got) != got {
			t.Errorf("%q: cleaned again it is %q", got, Clean(got))
		}
	})
}
