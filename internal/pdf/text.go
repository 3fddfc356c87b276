package pdf

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// Missing stands for a character that the fonts lack.
const Missing = '□'

var face = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		return nil // then every character counts as missing, which a test would see
	}
	return f
})

// glyphs is what is known of single characters; sheets may be made side by side.
var glyphs sync.Map

func drawable(r rune) bool {
	if r < 0x7f {
		return r >= ' '
	}
	if known, ok := glyphs.Load(r); ok {
		return known.(bool)
	}
	var buf sfnt.Buffer
	f := face()
	ok := false
	if f != nil && r <= 0xffff {
		i, err := f.GlyphIndex(&buf, r)
		ok = err == nil && i != 0
	}
	glyphs.Store(r, ok)
	return ok
}

// Clean is a text as it is printed: composed, on one line, the ohm sign as the letter
// omega that Unicode prefers (Unicode Standard, chapter 22.2), control and formatting
// characters left out, and Missing for what the fonts lack.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r):
			return -1
		case !drawable(r):
			return Missing
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(s, string(Missing))))
}

// wrap breaks a text into lines no wider than that many millimetres in the font that
// is set, between words, and inside a word that is wider than a line. Nothing is left
// out. An empty text has no lines.
func (w *writer) wrap(text string, mm float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(Clean(text)) {
		joined := word
		if line != "" {
			joined = line + " " + word
		}
		if w.f.GetStringWidth(joined) <= mm {
			line = joined
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for word != "" && w.f.GetStringWidth(word) > mm {
			head, tail := w.cut(word, mm)
			lines = append(lines, head)
			word = tail
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// cut takes from a word what fits, at least one character; where there is a break that
// reads well (a slash, a hyphen, a dot) near the end, there.
func (w *writer) cut(word string, mm float64) (head, tail string) {
	end, good := 0, 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && w.f.GetStringWidth(word[:next]) > mm {
			break
		}
		end = next
		if strings.ContainsRune("/-.,;:_=", r) && next < len(word) {
			good = next
		}
	}
	if good > end/2 {
		end = good
	}
	return word[:end], word[end:]
}

// first is the first line of a text, with … when there is more. Only titles on the
// head of a page are shortened so; what a sheet says stands in its blocks.
func (w *writer) first(text string, mm float64) string {
	lines := w.wrap(text, mm)
	switch len(lines) {
	case 0:
		return ""
	case 1:
		return lines[0]
	}
	lines = w.wrap(text, mm-w.f.GetStringWidth("…"))
	return lines[0] + "…"
}
