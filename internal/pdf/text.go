package pdf

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"

	harmless "wanderlead/internal/plain"
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
// omega that Unicode prefers (Unicode Standard, chapter 22.2), spaces for what acts on a
// terminal or turns the direction of writing ([plain.Line]), what has no shape left out,
// and Missing for what the fonts lack.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.Is(unicode.Cf, r):
			return -1
		case !drawable(r):
			return Missing
		}
		return r
	}, norm.NFC.String(harmless.Line(s)))
}

// wrap breaks a text into lines no wider than that many millimetres in the font that
// is set, between words, and inside a word that is wider than a line. Nothing is left
// out. An empty text has no lines.
func (w *writer) wrap(text string, mm float64) []string {
	var lines []string
	line, wide, space := "", 0.0, w.f.GetStringWidth(" ")
	for _, word := range strings.Fields(Clean(text)) {
		more := w.upTo(word, mm)
		if line != "" && wide+space+more <= mm {
			line, wide = line+" "+word, wide+space+more
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for more > mm {
			head, tail := w.cut(word, mm)
			lines = append(lines, head)
			word, more = tail, w.upTo(tail, mm)
		}
		line, wide = word, more
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// upTo is the width of a text, or something above mm as soon as it is wider: a name of a
// million letters is not to take a million squared. The fonts are set without kerning.
func (w *writer) upTo(text string, mm float64) float64 {
	wide := 0.0
	for i, r := range text {
		if wide += w.f.GetStringWidth(text[i : i+utf8.RuneLen(r)]); wide > mm {
			break
		}
	}
	return wide
}

// longerThanALine is how many bytes are more than a page's width in the smallest type.
const longerThanALine = 4096

// begin is the beginning of a text, at most so many bytes.
func begin(text string, bytes int) string {
	if len(text) > bytes {
		return strings.ToValidUTF8(text[:bytes], "")
	}
	return text
}

// cut takes from a word what fits, at least one character; where there is a break that
// reads well (a slash, a hyphen, a dot) near the end, there.
func (w *writer) cut(word string, mm float64) (head, tail string) {
	end, good, wide := 0, 0, 0.0
	for i, r := range word {
		next := i + utf8.RuneLen(r)
		wide += w.f.GetStringWidth(word[i:next])
		if end > 0 && wide > mm {
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
	lines := w.atMost(text, mm, 1)
	if len(lines) == 0 {
		return ""
	}
	return lines[0]
}

// atMost is a text in that many lines, with … when there is more.
func (w *writer) atMost(text string, mm float64, n int) []string {
	lines := w.wrap(begin(text, n*longerThanALine), mm)
	if len(lines) > n {
		lines = append(lines[:n-1], w.wrap(lines[n-1], mm-w.f.GetStringWidth("…"))[0]+"…")
	}
	return lines
}
