package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"slices"
	"strconv"
	"unicode/utf8"
)

// Lengths in bytes that no line may exceed, its line feed included. They bound
// the memory a hostile file can ask for; the writer keeps to the same bounds,
// so that it never writes a line that the reader would refuse. The header is
// larger because it holds whole files.
const (
	MaxHeaderLine = 16 << 20
	MaxLine       = 256 << 10
)

// hash is the SHA-256 of a whole line; the zero value stands before line 1.
type hash [sha256.Size]byte

func (h hash) String() string { return hex.EncodeToString(h[:]) }

// Where the fixed start of a line ends: {"prev":"<64 digits>","line":"
const (
	prevKey  = `{"prev":"`
	lineKey  = `","line":"`
	crcKey   = `,"crc":"`
	prevEnd  = len(prevKey) + 2*sha256.Size
	kindFrom = prevEnd + len(lineKey)
)

// encoder builds one line in canonical form. The order of calls is the order
// of the keys.
type encoder struct{ buf []byte }

func begin(prev hash, kind string) *encoder {
	e := &encoder{buf: make([]byte, 0, 512)}
	e.buf = append(e.buf, prevKey...)
	e.buf = hex.AppendEncode(e.buf, prev[:])
	e.buf = append(e.buf, lineKey...)
	e.buf = append(e.buf, kind...)
	e.buf = append(e.buf, '"')
	return e
}

func (e *encoder) key(k string) {
	e.buf = append(e.buf, ',', '"')
	e.buf = append(e.buf, k...)
	e.buf = append(e.buf, '"', ':')
}

func (e *encoder) str(k, v string) {
	e.key(k)
	e.buf = appendString(e.buf, v)
}

func (e *encoder) optStr(k, v string) {
	if v != "" {
		e.str(k, v)
	}
}

func (e *encoder) num(k string, v int64) {
	e.key(k)
	e.buf = strconv.AppendInt(e.buf, v, 10)
}

func (e *encoder) flag(k string, v bool) {
	e.key(k)
	e.buf = strconv.AppendBool(e.buf, v)
}

func (e *encoder) optMap(k string, m map[string]string) {
	if len(m) > 0 {
		e.key(k)
		e.buf = appendMap(e.buf, m)
	}
}

func (e *encoder) content(k string, c Content) {
	e.key(k)
	e.buf = appendContent(e.buf, c)
}

// finish adds the checksum of what stands so far and the line feed.
func (e *encoder) finish() []byte {
	sum := crc32.ChecksumIEEE(e.buf)
	e.buf = append(e.buf, crcKey...)
	e.buf = fmt.Appendf(e.buf, "%08x", sum)
	return append(e.buf, '"', '}', '\n')
}

func appendMap(b []byte, m map[string]string) []byte {
	b = append(b, '{')
	for i, k := range slices.Sorted(maps.Keys(m)) {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendString(b, k)
		b = append(b, ':')
		b = appendString(b, m[k])
	}
	return append(b, '}')
}

func appendContent(b []byte, c Content) []byte {
	b = append(b, `{"name":`...)
	b = appendString(b, c.Name)
	b = append(b, `,"text":`...)
	b = appendString(b, c.Text)
	return append(b, '}')
}

// appendString writes s as a JSON string, escaping exactly what the package
// comment lists.
func appendString(b []byte, s string) []byte {
	b = append(b, '"')
	from := 0
	for i, r := range s {
		if !mustEscape(r) {
			continue
		}
		b = append(b, s[from:i]...)
		from = i + utf8.RuneLen(r)
		switch r {
		case '"', '\\':
			b = append(b, '\\', byte(r))
		case '\n':
			b = append(b, '\\', 'n')
		case '\t':
			b = append(b, '\\', 't')
		default:
			b = fmt.Appendf(b, `\u%04x`, r)
		}
	}
	b = append(b, s[from:]...)
	return append(b, '"')
}

// mustEscape reports whether r is written as an escape: what JSON demands, and
// what would act on a terminal or turn the direction of writing.
func mustEscape(r rune) bool {
	switch {
	case r < 0x20, r == '"', r == '\\', r >= 0x7f && r <= 0x9f:
		return true
	case r < 0x061c:
		return false
	}
	return r == 0x061c || r == 0x200e || r == 0x200f || r >= 0x2028 && r <= 0x202e ||
		r >= 0x2066 && r <= 0x2069 || r == 0xfeff
}

func encodeHeader(prev hash, h *Header) []byte {
	e := begin(prev, KindHeader)
	e.str("format", Format)
	e.str("version", h.Version)
	e.str("created", h.Created)
	e.str("session", h.Session)
	e.optStr("mode", h.Mode)
	if h.Seed != nil {
		e.num("seed", *h.Seed)
	}
	e.flag("scripted", h.Scripted)
	e.str("edition", h.Edition)
	e.content("sequence", h.Sequence)
	e.content("rig", h.Rig)
	e.content("pack", h.Pack)
	if len(h.Included) > 0 {
		e.key("included")
		e.buf = appendList(e.buf, h.Included, appendContent)
	}
	if len(h.Hidden) > 0 {
		e.key("hidden")
		e.buf = appendList(e.buf, h.Hidden, appendString)
	}
	e.optMap("fields", h.Fields)
	return e.finish()
}

func encodeSaid(prev hash, s *Said) []byte {
	e := begin(prev, KindSaid)
	e.num("seq", int64(s.Seq))
	e.str("time", s.Time)
	e.str("type", s.Type)
	e.optStr("at", s.At)
	e.str("raw", s.Raw)
	e.optStr("shown", s.Shown)
	e.optMap("params", s.Params)
	return e.finish()
}

func encodeGave(prev hash, g *Gave) []byte {
	e := begin(prev, KindGave)
	e.num("said", int64(g.Said))
	e.optStr("at", g.At)
	e.str("verdict", g.Verdict)
	e.optStr("rule", g.Rule)
	e.optStr("limit", g.Limit)
	e.optStr("edition", g.Edition)
	e.optMap("params", g.Params)
	if len(g.Feedback) > 0 {
		e.key("feedback")
		e.buf = appendList(e.buf, g.Feedback, appendFeedback)
	}
	return e.finish()
}

func encodeClosed(prev hash, c *Closed) []byte {
	e := begin(prev, KindClosed)
	e.str("time", c.Time)
	e.num("lines", int64(c.Lines))
	e.str("how", c.How)
	return e.finish()
}

func appendFeedback(b []byte, f Feedback) []byte {
	b = append(b, `{"id":`...)
	b = appendString(b, f.ID)
	if len(f.Params) > 0 {
		b = append(b, `,"params":`...)
		b = appendMap(b, f.Params)
	}
	return append(b, '}')
}

func appendList[T any](b []byte, list []T, one func([]byte, T) []byte) []byte {
	b = append(b, '[')
	for i, v := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = one(b, v)
	}
	return append(b, ']')
}

// encode writes a line that was read or built, as it must stand after prev.
func encode(prev hash, l Line) []byte {
	switch l.Kind {
	case KindHeader:
		return encodeHeader(prev, l.Header)
	case KindSaid:
		return encodeSaid(prev, l.Said)
	case KindGave:
		return encodeGave(prev, l.Gave)
	default:
		return encodeClosed(prev, l.Closed)
	}
}

// decode reads one whole line, its line feed included. It returns the hash
// that the line names as its predecessor's. A line is accepted only if writing
// it again gives the same bytes, which settles at once duplicate, unknown and
// misplaced keys, foreign number forms and escapes, and invalid UTF-8.
func decode(data []byte) (l Line, prev hash, reason Reason, detail string) {
	kind, ok := fixedStart(data, &prev)
	err := errNoStart
	if ok {
		l.Kind = kind
		err = l.unmarshal(data)
	}
	if err != nil && !json.Valid(data) {
		return l, prev, NotJSON, "it is not a JSON object"
	}
	if err != nil {
		return l, prev, NotCanonical, plainJSONError(err)
	}
	again := encode(prev, l)
	if bytes.Equal(again, data) {
		return l, prev, "", ""
	}
	// The checksum is recomputed by encode: if only its digits differ, the
	// line is in canonical form and its bytes have changed.
	body := len(again) - len(crcKey) - len("01234567\"}\n")
	if len(again) == len(data) && bytes.Equal(again[:body], data[:body]) && isChecksum(data[body:]) {
		return l, prev, WrongChecksum, "its checksum does not fit its text: a byte has changed"
	}
	at := 0
	for at < len(again) && at < len(data) && again[at] == data[at] {
		at++
	}
	return l, prev, NotCanonical, fmt.Sprintf("it is not in canonical form from byte %d on", at+1)
}

var errNoStart = errors.New("it does not begin with prev and line")

// fixedStart checks the start that all lines share and returns the sort of line.
func fixedStart(data []byte, prev *hash) (kind string, ok bool) {
	if len(data) < kindFrom || string(data[:len(prevKey)]) != prevKey || string(data[prevEnd:kindFrom]) != lineKey {
		return "", false
	}
	if _, err := hex.Decode(prev[:], data[len(prevKey):prevEnd]); err != nil {
		return "", false
	}
	for _, k := range []string{KindSaid, KindGave, KindHeader, KindClosed} {
		if bytes.HasPrefix(data[kindFrom:], []byte(k+`"`)) {
			return k, true
		}
	}
	return "", false
}

func (l *Line) unmarshal(data []byte) error {
	switch l.Kind {
	case KindHeader:
		var named struct {
			Format string `json:"format"`
			*Header
		}
		l.Header = new(Header)
		named.Header = l.Header
		if err := json.Unmarshal(data, &named); err != nil {
			return err
		}
		if named.Format != Format {
			return formatError(named.Format)
		}
		return nil
	case KindSaid:
		l.Said = new(Said)
		return json.Unmarshal(data, l.Said)
	case KindGave:
		l.Gave = new(Gave)
		return json.Unmarshal(data, l.Gave)
	default:
		l.Closed = new(Closed)
		return json.Unmarshal(data, l.Closed)
	}
}

// formatError is a header of another, perhaps later, format.
type formatError string

func (f formatError) Error() string {
	return fmt.Sprintf("its format is %s, this program reads %s", shorten(string(f)), Format)
}

// plainJSONError keeps names of Go types out of what a trainer reads.
func plainJSONError(err error) string {
	switch t := err.(type) {
	case *json.UnmarshalTypeError:
		return fmt.Sprintf("%s cannot be a %s", shorten(t.Field), t.Value)
	case formatError:
		return t.Error()
	}
	if err == errNoStart {
		return err.Error()
	}
	return "a value has the wrong form"
}

// isChecksum reports whether tail is the end of a line with well-formed digits.
func isChecksum(tail []byte) bool {
	if string(tail[:len(crcKey)]) != crcKey || string(tail[len(crcKey)+8:]) != "\"}\n" {
		return false
	}
	for _, c := range tail[len(crcKey) : len(crcKey)+8] {
		if !('0' <= c && c <= '9' || 'a' <= c && c <= 'f') {
			return false
		}
	}
	return true
}
