package content

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

const (
	// MaxSize is the largest file read, in bytes. The largest file a trainer wrote by hand is far below it.
	MaxSize = 1 << 20
	// MaxDepth is how deep maps and lists may nest.
	MaxDepth = 40
	// MaxMarks is how many signs may stand in a file that part one value from the next: line ends, commas, colons, brackets
	// and dashes. Each can make two values of some 150 bytes, so that a file of MaxSize takes less than 64 MiB to read.
	MaxMarks = 150_000
)

// Reader holds one parsed file and collects every complaint about it.
type Reader struct {
	report report
	root   *yaml.Node
	bad    map[*yaml.Node]bool // nodes already complained about: reading them says nothing more
	at     int                 // the line that runes is of
	runes  []rune
	tongue *Tongue // what texts for people are translated by; nil: not at all
}

// NewReader parses data, named name in messages. It never fails: what is wrong is told by Err, and values read from a
// broken file are empty.
func NewReader(name string, data []byte) *Reader {
	r := &Reader{report: report{file: name}, bad: map[*yaml.Node]bool{}}
	if len(data) > MaxSize {
		r.report.add(0, 0, fmt.Sprintf("the file has %d bytes, the most read is %d", len(data), MaxSize))
		return r
	}
	r.report.lines = splitLines(data)
	if r.report.checkText(data); len(r.report.list) > 0 {
		return r
	}
	if n := marks(data); n > MaxMarks {
		r.report.add(0, 0, fmt.Sprintf("the file has %d line ends, commas, colons, brackets and dashes, the most read is %d", n, MaxMarks),
			"split it in two")
		return r
	}
	r.parse(data)
	if r.root != nil {
		r.check(r.root, 1)
	}
	return r
}

// marks counts the signs that MaxMarks is about.
func marks(data []byte) int {
	n := 0
	for i, c := range data {
		switch c {
		case '\n', ',', ':', '[', '{', '?':
			n++
		case '-':
			if i+1 == len(data) || data[i+1] == ' ' || data[i+1] == '\n' {
				n++
			}
		}
	}
	return n
}

// Root is the outermost value of the file.
func (r *Reader) Root() Value { return Value{r, r.root} }

// Err is nil, or Errors with everything found so far, in the order of their places.
func (r *Reader) Err() error { return r.report.err() }

// Errorf adds a complaint about the file as a whole.
func (r *Reader) Errorf(hint, format string, args ...any) {
	r.report.add(0, 0, fmt.Sprintf(format, args...), hint)
}

func (r *Reader) parse(data []byte) {
	dec := yaml.NewDecoder(bytes.NewReader(data))
	doc, err := decode(dec)
	switch {
	case errors.Is(err, io.EOF):
		r.report.add(0, 0, "the file is empty")
		return
	case err != nil:
		r.syntaxError(data, err)
		return
	}
	second, err := decode(dec)
	switch {
	case errors.Is(err, io.EOF):
	case err != nil:
		r.syntaxError(data, err)
		return
	default:
		r.report.add(second.Line, second.Column, "a second document starts here", "keep one document a file: remove the --- line or split the file")
	}
	if doc.Kind == yaml.DocumentNode && len(doc.Content) == 1 {
		r.root = doc.Content[0]
	}
}

// decode reads one document. The YAML library signals some of its own faults by panics; an author gets an error.
func decode(dec *yaml.Decoder) (doc *yaml.Node, err error) {
	defer func() {
		if p := recover(); p != nil {
			doc, err = nil, fmt.Errorf("yaml: %v", p)
		}
	}()
	doc = &yaml.Node{}
	err = dec.Decode(doc)
	return doc, err
}

var yamlPrefix = regexp.MustCompile(`^yaml: (line (\d+): )?`)

// syntaxError reports a fault of YAML itself.
func (r *Reader) syntaxError(data []byte, err error) {
	low := r.locate(data, err)
	source := r.line(low)
	col := 1 + len([]rune(source)) - len([]rune(strings.TrimLeft(source, " \t")))
	message := yamlPrefix.ReplaceAllString(err.Error(), "")
	message, at, hint := explainSyntax(message, source)
	if at > 0 {
		col = at
	}
	r.report.add(low, col, message, hint)
}

// locateSize is the largest file, in bytes, for which the place of a fault is searched by parsing beginnings of it.
const locateSize = 64 << 10

// locate finds the line of a fault of YAML. The library's line is often that of the enclosing thing, so the place is
// found as the shortest beginning of the file that fails in the same way; in a large file the library's line must do.
func (r *Reader) locate(data []byte, err error) int {
	if len(data) > locateSize {
		line := 1
		if m := yamlPrefix.FindStringSubmatch(err.Error()); m != nil && m[2] != "" {
			line, _ = strconv.Atoi(m[2])
		}
		return max(1, min(line, len(r.report.lines)))
	}
	lines := bytes.SplitAfter(data, []byte("\n"))
	low, high := 1, len(lines)
	for low < high {
		mid := (low + high) / 2
		if failsAlike(bytes.Join(lines[:mid], nil), err) {
			high = mid
		} else {
			low = mid + 1
		}
	}
	if unfinished(err.Error()) {
		low = startOfUnfinished(lines, low)
	}
	return low
}

func unfinished(message string) bool {
	return strings.Contains(message, "unexpected end of stream") || strings.Contains(message, "expected ',' or")
}

// startOfUnfinished gives the line after the longest beginning that is whole: there the quote or bracket that never
// ends was opened. Each look parses the file again, so a large file gets few.
func startOfUnfinished(lines [][]byte, line int) int {
	looks := (1 << 20) / (1 + len(bytes.Join(lines[:line], nil)))
	for n := line - 1; n > 0 && n > line-1-min(looks, 200); n-- {
		if !failsAlike(bytes.Join(lines[:n], nil), nil) {
			return n + 1
		}
	}
	return line
}

// failsAlike says whether data fails with the same message as want; with want nil, whether it fails at all.
func failsAlike(data []byte, want error) bool {
	dec := yaml.NewDecoder(bytes.NewReader(data))
	for {
		_, err := decode(dec)
		switch {
		case errors.Is(err, io.EOF):
			return false
		case err != nil:
			return want == nil || err.Error() == want.Error()
		}
	}
}

func (r *Reader) line(n int) string {
	if n < 1 || n > len(r.report.lines) {
		return ""
	}
	return r.report.lines[n-1]
}

// overRange finds a reading such as >299 written without quotes where YAML sees a folded block.
var overRange = regexp.MustCompile(`(?:^|[\s:\[{,-])([>|]\s*[0-9][0-9.,]*[^\s,\]}#]*)`)

// explainSyntax turns the YAML library's message into one that a trainer can act on. col is 0 when it has no better
// place than the start of the line.
func explainSyntax(message, source string) (text string, col int, hint string) {
	if m := overRange.FindStringSubmatchIndex(source); m != nil &&
		(strings.Contains(message, "comment or line break") || strings.Contains(message, "cannot start any token")) {
		word := strings.TrimRight(source[m[2]:m[3]], ",")
		return fmt.Sprintf("%s is read as the start of a %s", word, blockName(word)),
			len([]rune(source[:m[2]])) + 1, fmt.Sprintf("quote it: %q", word)
	}
	indent := source[:len(source)-len(strings.TrimLeft(source, " \t"))]
	switch {
	case strings.Contains(indent, "\t"):
		return "a tab is used to indent", len([]rune(indent[:strings.Index(indent, "\t")])) + 1, "indent with spaces"
	case strings.Contains(message, "mapping values are not allowed"):
		return "a second \": \" on one line, or a line indented too far", 0,
			"put quotes round a text that holds \": \", or line the key up with its neighbours"
	case strings.Contains(message, "did not find expected key"), strings.Contains(message, "expected '-' indicator"):
		return "this line fits neither the lines above nor a new key or item", 0, "check its indentation and the quotes and brackets before it"
	case strings.Contains(message, "cannot start any token"):
		return "a text starts with a character that YAML keeps for itself (such as @ ` % or a tab)", 0, "put the text in quotes"
	case strings.Contains(message, "expected node content"):
		return "a value is missing on this line: two commas, a comma first, or a bracket left open", 0, "give a value, or take the comma out"
	case unfinished(message):
		return "a quote or bracket that starts here does not end", 0, "add the closing \" ' ] or }"
	case strings.Contains(message, "could not find expected ':'"):
		return "a key without its \":\"", 0, "write it as key: value"
	case strings.Contains(message, "unknown anchor"):
		return "aliases (*name) are not used in these files", 0, "write the value out, or put it in quotes"
	case strings.Contains(message, "comment or line break"):
		return "text after the start of a block (| or >)", 0, "put the text in quotes"
	}
	return "this is not YAML: " + message, 0, "check indentation, quotes and brackets"
}

func blockName(text string) string {
	if strings.HasPrefix(text, "|") {
		return "literal block (|)"
	}
	return "folded block (>)"
}
