package prompt

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// TestTokens: sequences as ECMA-48, the xterm control sequence list and the
// Linux console write them.
func TestTokens(t *testing.T) {
	for _, c := range []struct {
		in   string
		want token
		n    int // bytes, when not all of in
	}{
		{"a", token{character, "a"}, 0},
		{"é", token{character, "é"}, 0},
		{"漢", token{character, "漢"}, 0},
		{"😀", token{character, "😀"}, 0},
		{"\u00a0", token{character, " "}, 0}, // no-break space
		{"\xff", token{character, "\uFFFD"}, 0},
		{"\xc3(", token{character, "\uFFFD"}, 1},
		{"\u202e", token{}, 0}, // turns the text round
		{"\u200b", token{}, 0}, // shows nothing
		{"\u009b", token{}, 0}, // eight-bit control
		{"\r", token{enter, ""}, 0},
		{"\n", token{enter, ""}, 0},
		{"\x08", token{backspace, ""}, 0},
		{"\x7f", token{backspace, ""}, 0},
		{"\x03", token{interrupt, ""}, 0},
		{"\x04", token{endOfInput, ""}, 0},
		{"\x00", token{}, 0},
		{"\x1a", token{}, 0},
		{"\x1b[A", token{movement, seqUp}, 0},
		{"\x1bOB", token{movement, seqDown}, 0},
		{"\x1b[1~", token{movement, seqHome}, 0},
		{"\x1b[8~", token{movement, seqEnd}, 0},
		{"\x1b[3~", token{movement, seqDelete}, 0},
		{"\x1b[1;5D", token{}, 0},
		{"\x1b[15~", token{}, 0},
		{"\x1b[[A", token{}, 0}, // F1, Linux console
		{"\x1bOP", token{}, 0},
		{"\x1bO5P", token{}, 0},
		{"\x1bOw", token{character, "7"}, 0},
		{"\x1bOM", token{enter, ""}, 0},
		{"\x1b[24;80R", token{report, "\x1b[24;80R"}, 0},
		{"\x1b[24R", token{}, 0},
		{"\x1b[;80R", token{}, 0},
		{"\x1b[12345;1R", token{}, 0},
		{"\x1b[200~", token{pasteStart, ""}, 0},
		{"\x1b[201~", token{pasteEnd, ""}, 0},
		{"\x1b[M !!", token{}, 0}, // mouse
		{"\x1b[<0;1;1M", token{}, 0},
		{"\x1b[I", token{}, 0}, // focus
		{"\x1b[?1;2c", token{}, 0},
		{"\x1b]11;rgb:0/0/0\x07", token{}, 0},
		{"\x1b]11;rgb:0/0/0\x1b\\", token{}, 0},
		{"\x1bP1+r\x1b\\", token{}, 0},
		{"\x1b]x\ry", token{}, 3}, // broken off: the Enter counts
		{"\x1bx", token{}, 0},
		{"\x1b\x7f", token{}, 0},
		{"\x1bé", token{}, 0},
		{"\x1b\x1b[A", token{}, 1},
		{"\x1b\x03", token{}, 1},
		{"\x1b[1\r", token{}, 3},
		{"\x1b[1é", token{}, 3},
	} {
		if c.n == 0 {
			c.n = len(c.in)
		}
		got, n := nextToken([]byte(c.in), false)
		if got != c.want || n != c.n {
			t.Errorf("%q: got %+v, %d bytes; want %+v, %d", c.in, got, n, c.want, c.n)
		}
		// A sequence cut anywhere waits for its rest, and is dropped without it.
		if c.n < len(c.in) || c.in == "\x1b\x7f" {
			continue
		}
		for cut := 1; cut < len(c.in); cut++ {
			if _, n := nextToken([]byte(c.in[:cut]), false); n != 0 {
				t.Errorf("%q cut after %d bytes does not wait", c.in, cut)
			}
			if _, n := nextToken([]byte(c.in[:cut]), true); n == 0 {
				t.Errorf("%q cut after %d bytes is stuck", c.in, cut)
			}
		}
	}
}

// FuzzTokens: every input is used up, and what comes out is one printable rune,
// a known key, or a report.
func FuzzTokens(f *testing.F) {
	for _, s := range []string{"0.35\r", "\x1b[200~0.35\x1b[201~", "\x1b[1;5D\x1b]11;x\x07", "\x1bOp漢\xff", "\x1b[24;80R"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		for len(b) > 0 {
			tok, n := nextToken(b, true)
			if n <= 0 || n > len(b) {
				t.Fatalf("%q: %d bytes", b, n)
			}
			if early, m := nextToken(b, false); m != 0 && (early != tok || m != n) {
				t.Fatalf("%q: %+v, %d bytes, but %+v, %d when nothing more comes", b, early, m, tok, n)
			}
			checkToken(t, tok)
			b = b[n:]
		}
	})
}

func checkToken(t *testing.T, tok token) {
	t.Helper()
	switch tok.kind {
	case character:
		r, n := utf8.DecodeRuneInString(tok.text)
		if n != len(tok.text) || !unicode.IsPrint(r) && r != utf8.RuneError {
			t.Fatalf("character %q", tok.text)
		}
	case movement:
		if !strings.Contains("\t"+seqUp+seqDown+seqLeft+seqRight+seqHome+seqEnd+seqDelete, tok.text) || tok.text == "" {
			t.Fatalf("movement %q", tok.text)
		}
	case report:
		if !strings.HasPrefix(tok.text, "\x1b[") || !strings.HasSuffix(tok.text, "R") || len(tok.text) < 6 || len(tok.text) > 12 {
			t.Fatalf("report %q", tok.text)
		}
	default:
		if tok.text != "" {
			t.Fatalf("%+v", tok)
		}
	}
}

func TestPlainText(t *testing.T) {
	for in, want := range map[string]string{
		"0.35":                       "0.35",
		"1\x1b[1;5D2":                "12",
		"\x1b[200~0.35\x1b[201~":     "0.35",
		"0.30\t0.31":                 "0.30 0.31",
		"0.3\x00\x075":               "0.35",
		"\x1b[1mbold\x1b[0m":         "bold",
		"0.3\xff5":                   "0.3\uFFFD5",
		"12 µΩ":                      "12 µΩ",
		"abc\x1b]0;title\x07def\x1b": "abcdef",
	} {
		if got := plainText([]byte(in)); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}
