package prompt

import (
	"bytes"
	"unicode"
	"unicode/utf8"
)

// tokenKind is what a run of terminal input means.
type tokenKind int

const (
	dropped   tokenKind = iota // nothing that a question needs
	character                  // token.text is one printable rune
	enter
	backspace
	interrupt  // Ctrl-C
	endOfInput // Ctrl-D
	movement   // token.text is the sequence of an arrow, Home, End, Delete or Tab
	report     // token.text is a cursor position report
	pasteStart
	pasteEnd
)

// token is one key, one report, or one thing to drop.
type token struct {
	kind tokenKind
	text string
}

const (
	seqUp     = "\x1b[A"
	seqDown   = "\x1b[B"
	seqRight  = "\x1b[C"
	seqLeft   = "\x1b[D"
	seqEnd    = "\x1b[F"
	seqHome   = "\x1b[H"
	seqDelete = "\x1b[3~"
)

// nextToken takes the first token off b and says how many bytes it is. Zero
// means that more bytes are needed; with final (nothing more is coming soon)
// it never is, and what is incomplete is dropped.
//
// A terminal sends keys as ECMA-48 control sequences. Whatever is not known
// here is taken off whole, so that no tail of it is typed into a reading.
func nextToken(b []byte, final bool) (token, int) {
	if len(b) == 0 {
		return token{}, 0
	}
	if b[0] == 0x1b {
		return escapeToken(b, final)
	}
	if b[0] < 0x20 || b[0] == 0x7f {
		return controlToken(b[0]), 1
	}
	if !utf8.FullRune(b) && !final {
		return token{}, 0
	}
	r, n := utf8.DecodeRune(b)
	return runeToken(r), n
}

// runeToken drops what shows nothing or turns text round. A bad byte stays
// visible as U+FFFD: dropping it could turn noise on the line into a different
// reading.
func runeToken(r rune) token {
	switch {
	case unicode.IsSpace(r) && r >= 0xa0:
		return token{kind: character, text: " "}
	case unicode.IsPrint(r):
		return token{kind: character, text: string(r)}
	}
	return token{}
}

func controlToken(c byte) token {
	switch c {
	case '\r', '\n':
		return token{kind: enter}
	case 0x08, 0x7f:
		return token{kind: backspace}
	case 0x03:
		return token{kind: interrupt}
	case 0x04:
		return token{kind: endOfInput}
	case '\t':
		return token{kind: movement, text: "\t"}
	case 0x01: // Ctrl-A
		return token{kind: movement, text: seqHome}
	case 0x05: // Ctrl-E
		return token{kind: movement, text: seqEnd}
	}
	return token{}
}

// escapeToken takes a sequence that begins with ESC.
func escapeToken(b []byte, final bool) (token, int) {
	if len(b) == 1 {
		return incomplete(b, final)
	}
	switch c := b[1]; {
	case c == '[':
		return controlSequence(b, final)
	case c == 'O':
		return keypadSequence(b, final)
	case c == ']' || c == 'P' || c == 'X' || c == '^' || c == '_':
		return stringSequence(b, final)
	case c == 0x1b || c == 0x03 || c == 0x04:
		return token{}, 1 // an interrupt is never lost behind an Esc
	case c < 0x80:
		return token{}, 2 // Alt and a key
	}
	if !utf8.FullRune(b[1:]) && !final {
		return token{}, 0
	}
	_, n := utf8.DecodeRune(b[1:])
	return token{}, 1 + n
}

// controlSequence takes ESC [ parameters intermediates final.
func controlSequence(b []byte, final bool) (token, int) {
	i := 2
	for i < len(b) && b[i] >= 0x20 && b[i] <= 0x3f {
		i++
	}
	if i == len(b) {
		return incomplete(b, final)
	}
	if b[i] < 0x40 || b[i] > 0x7e { // broken off by something else
		return token{}, i
	}
	params, last, n := string(b[2:i]), b[i], i+1
	if params == "" && (last == '[' || last == 'M') {
		// F1 to F5 of the Linux console: one byte more. A mouse click: three.
		extra := map[byte]int{'[': 1, 'M': 3}[last]
		if len(b) < n+extra {
			return incomplete(b, final)
		}
		return token{}, n + extra
	}
	return sequenceToken(params, last), n
}

func sequenceToken(params string, last byte) token {
	switch last {
	case 'A', 'B', 'C', 'D', 'F', 'H':
		if params == "" {
			return token{kind: movement, text: "\x1b[" + string(last)}
		}
	case 'R':
		if isReport(params) {
			return token{kind: report, text: "\x1b[" + params + "R"}
		}
	case '~':
		switch params {
		case "1", "7":
			return token{kind: movement, text: seqHome}
		case "4", "8":
			return token{kind: movement, text: seqEnd}
		case "3":
			return token{kind: movement, text: seqDelete}
		case "200":
			return token{kind: pasteStart}
		case "201":
			return token{kind: pasteEnd}
		}
	}
	return token{}
}

// isReport: row;column, at most four digits each.
func isReport(params string) bool {
	row, column, ok := bytes.Cut([]byte(params), []byte(";"))
	return ok && isShortNumber(row) && isShortNumber(column)
}

func isShortNumber(b []byte) bool {
	for _, c := range b {
		if c < '0' || c > '9' {
			return false
		}
	}
	return len(b) >= 1 && len(b) <= 4
}

// keypad maps the application mode of the number pad, where readings are typed.
var keypad = map[byte]string{
	'p': "0", 'q': "1", 'r': "2", 's': "3", 't': "4", 'u': "5", 'v': "6", 'w': "7",
	'x': "8", 'y': "9", 'n': ".", 'l': ",", 'm': "-", 'k': "+", 'j': "*", 'o': "/",
}

// keypadSequence takes ESC O and a letter, with a modifier digit between them
// on some terminals.
func keypadSequence(b []byte, final bool) (token, int) {
	i := 2
	for i < len(b) && b[i] >= '0' && b[i] <= '9' {
		i++
	}
	if i == len(b) {
		return incomplete(b, final)
	}
	if b[i] < 0x40 || b[i] > 0x7e {
		return token{}, i
	}
	if i > 2 {
		return token{}, i + 1
	}
	switch c := b[i]; c {
	case 'A', 'B', 'C', 'D', 'F', 'H':
		return token{kind: movement, text: "\x1b[" + string(c)}, 3
	case 'M':
		return token{kind: enter}, 3
	default:
		if text, ok := keypad[c]; ok {
			return token{kind: character, text: text}, 3
		}
	}
	return token{}, 3
}

// stringSequence takes an answer of the terminal that runs up to BEL or ESC \.
// Any other control character breaks it off, so that a stray Alt+] cannot
// swallow an Enter.
func stringSequence(b []byte, final bool) (token, int) {
	for i := 2; i < len(b); i++ {
		switch c := b[i]; {
		case c == 0x07:
			return token{}, i + 1
		case c == 0x1b:
			if i+1 < len(b) && b[i+1] == '\\' {
				return token{}, i + 2
			}
			if i+1 < len(b) || final {
				return token{}, i
			}
			return token{}, 0
		case c < 0x20:
			return token{}, i
		}
	}
	return incomplete(b, final)
}

func incomplete(b []byte, final bool) (token, int) {
	if final {
		return token{}, len(b)
	}
	return token{}, 0
}

// plainText is what remains of a line when everything that is not a printable
// character is taken out: a terminal in line mode puts arrow keys and pastes
// into the line as they come.
func plainText(line []byte) string {
	var out bytes.Buffer
	for len(line) > 0 {
		t, n := nextToken(line, true)
		switch {
		case t.kind == character:
			out.WriteString(t.text)
		case t.kind == movement && t.text == "\t":
			out.WriteByte(' ')
		}
		line = line[n:]
	}
	return out.String()
}
