package cohort

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"hash/crc32"
	"strconv"

	"wanderlead/internal/journal"
)

// A record is read twice as fast as by package journal when its form is not checked
// again: the chain and every checksum are held against the bytes, and a line is read by
// the order of its keys. Whatever is not plainly of that form is left to the journal.
// (The form itself is checked where evidence is checked, and so is the signature.)

// headers remembers the content of headers, which a whole group shares, by its bytes.
type headers map[string]*journal.Header

// holds reports whether a header's content is one that is remembered.
func (s headers) holds(h *journal.Header) bool {
	for _, known := range s {
		if len(known.Included) > 0 && len(h.Included) > 0 && &known.Included[0] == &h.Included[0] {
			return true
		}
	}
	return false
}

// cursor walks over one line.
type cursor struct {
	b   []byte
	bad bool
}

// lit steps over a text that has to stand here.
func (c *cursor) lit(s string) {
	if len(c.b) < len(s) || string(c.b[:len(s)]) != s {
		c.bad = true
		return
	}
	c.b = c.b[len(s):]
}

// opt steps over a text if it stands here.
func (c *cursor) opt(s string) bool {
	if len(c.b) < len(s) || string(c.b[:len(s)]) != s {
		return false
	}
	c.b = c.b[len(s):]
	return true
}

// str reads a string without escapes.
func (c *cursor) str() string {
	c.lit(`"`)
	n := bytes.IndexByte(c.b, '"')
	if c.bad || n < 0 || bytes.IndexByte(c.b[:n], '\\') >= 0 {
		c.bad = true
		return ""
	}
	s := string(c.b[:n])
	c.b = c.b[n+1:]
	return s
}

func (c *cursor) num() int {
	n := 0
	for n < len(c.b) && c.b[n] >= '0' && c.b[n] <= '9' {
		n++
	}
	v, err := strconv.Atoi(string(c.b[:n]))
	if err != nil {
		c.bad = true
		return 0
	}
	c.b = c.b[n:]
	return v
}

// texts reads {"…":"…",…}.
func (c *cursor) texts() map[string]string {
	c.lit("{")
	out := map[string]string{}
	for !c.bad {
		k := c.str()
		c.lit(":")
		out[k] = c.str()
		if !c.opt(",") {
			break
		}
	}
	c.lit("}")
	return out
}

const crcLen = len(`,"crc":"00000000"}` + "\n")

// fastRead reads a record; ok is false where it should be read by the journal.
func fastRead(data []byte, seen headers) (lines []journal.Line, ok bool) {
	prev := make([]byte, 64)
	for i := range prev {
		prev[i] = '0'
	}
	// Their places are taken by address, so that there have to be enough from the start.
	most := bytes.Count(data, []byte("\n"))
	lines = make([]journal.Line, 0, most)
	saids := make([]journal.Said, 0, most/2+1)
	gaves := make([]journal.Gave, 0, most/2+1)
	for len(data) > 0 {
		n := bytes.IndexByte(data, '\n') + 1
		if n <= crcLen {
			return nil, false
		}
		raw := data[:n]
		data = data[n:]
		body := raw[:n-crcLen]
		c := &cursor{b: raw[n-crcLen:]}
		c.lit(`,"crc":`)
		if sum := crc32.ChecksumIEEE(body); c.str() != hex8(sum) {
			return nil, false
		}
		c = &cursor{b: body}
		c.lit(`{"prev":`)
		if c.str() != string(prev) {
			return nil, false
		}
		sum := sha256.Sum256(raw)
		hex.Encode(prev, sum[:])
		l := journal.Line{Number: len(lines) + 1}
		c.lit(`,"line":`)
		switch l.Kind = c.str(); l.Kind {
		case journal.KindHeader:
			l.Header = c.header(raw, seen)
		case journal.KindSaid:
			saids = append(saids, c.said())
			l.Said = &saids[len(saids)-1]
			c.bad = c.bad || l.Said.Seq != len(saids) || cap(saids) > most/2+1
		case journal.KindGave:
			gaves = append(gaves, c.gave())
			l.Gave = &gaves[len(gaves)-1]
			c.bad = c.bad || l.Gave.Said != len(saids) || cap(gaves) > most/2+1
		case journal.KindClosed:
			l.Closed = c.closed()
			c.bad = c.bad || l.Closed.Lines != l.Number || len(data) > 0
		default:
			c.bad = true
		}
		if c.bad || len(c.b) > 0 || (l.Number == 1) != (l.Header != nil) {
			return nil, false
		}
		lines = append(lines, l)
	}
	return lines, len(lines) > 0
}

func hex8(v uint32) string {
	s := strconv.FormatUint(uint64(v), 16)
	for len(s) < 8 {
		s = "0" + s
	}
	return s
}

// header reads the first line: what is the same for the whole group is remembered by
// its bytes, what is the candidate's own is read.
func (c *cursor) header(raw []byte, seen headers) *journal.Header {
	start, end := bytes.Index(c.b, []byte(`,"scripted":`)), bytes.LastIndex(c.b, []byte(`,"fields":`))
	if start < 0 || end < start {
		c.bad = true
		return nil
	}
	shared := seen[string(c.b[start:end])]
	if shared == nil {
		lines, err := journal.Read(bytes.NewReader(raw))
		if err != nil || len(lines) != 1 || len(lines[0].Header.Hidden) > 0 {
			c.bad = true
			return nil
		}
		shared = lines[0].Header
		seen[string(c.b[start:end])] = shared
	}
	h := *shared
	own := &cursor{b: c.b[:start]}
	own.lit(`,"format":"` + journal.Format + `","version":`)
	h.Version = own.str()
	own.lit(`,"created":`)
	h.Created = own.str()
	own.lit(`,"session":`)
	h.Session = own.str()
	own.lit(`,"mode":`)
	h.Mode = own.str()
	c.bad = c.bad || own.bad || len(own.b) > 0
	c.b = c.b[end:]
	c.lit(`,"fields":`)
	h.Fields = c.texts()
	return &h
}

func (c *cursor) said() journal.Said {
	var s journal.Said
	c.lit(`,"seq":`)
	s.Seq = c.num()
	c.lit(`,"time":`)
	s.Time = c.str()
	c.lit(`,"type":`)
	s.Type = c.str()
	if c.opt(`,"at":`) {
		s.At = c.str()
	}
	if c.opt(`,"raw":`) {
		s.Raw = c.str()
	}
	if c.opt(`,"params":`) {
		s.Params = c.texts()
	}
	return s
}

func (c *cursor) gave() journal.Gave {
	var g journal.Gave
	c.lit(`,"said":`)
	g.Said = c.num()
	c.lit(`,"verdict":`)
	g.Verdict = c.str()
	if c.opt(`,"rule":`) {
		g.Rule = c.str()
	}
	if c.opt(`,"params":`) {
		g.Params = c.texts()
	}
	return g
}

func (c *cursor) closed() *journal.Closed {
	out := &journal.Closed{}
	c.lit(`,"time":`)
	out.Time = c.str()
	c.lit(`,"lines":`)
	out.Lines = c.num()
	c.lit(`,"how":`)
	out.How = c.str()
	return out
}
