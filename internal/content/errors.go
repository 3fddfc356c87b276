package content

import (
	"errors"
	"fmt"
	"sort"
	"strings"
)

// maxErrors bounds the report: beyond it a file is not a slip but another kind of file.
const maxErrors = 100

// Error is one complaint about a file. Line and Col count from 1, Col in characters; Line 0 means the file as a whole.
type Error struct {
	File      string
	Line, Col int
	Message   string
	Hints     []string
	source    string // the line of the file that holds the place, without its line end
}

// Error prints file:line:col: message, then the source line with a caret below the place, then a line per hint.
func (e *Error) Error() string {
	var b strings.Builder
	b.WriteString(e.File)
	if e.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", e.Line, e.Col)
	}
	b.WriteString(": " + e.Message)
	if e.Line > 0 {
		text, caret := snippet(e.source, e.Col)
		b.WriteString("\n  " + text + "\n  " + caret)
	}
	for _, hint := range e.Hints {
		b.WriteString("\nhint: " + hint)
	}
	return b.String()
}

// Errors is every complaint about one file, in the order of their places.
type Errors []*Error

// Error prints all of them, one below the other.
func (es Errors) Error() string {
	texts := make([]string, len(es))
	for i, e := range es {
		texts[i] = e.Error()
	}
	return strings.Join(texts, "\n")
}

// Together is what several files have to complain of, as one error; nil for nothing.
func Together(files ...*Reader) error {
	var all Errors
	for _, r := range files {
		var es Errors
		if err := r.Err(); errors.As(err, &es) {
			all = append(all, es...)
		} else if err != nil {
			return err
		}
	}
	if len(all) == 0 {
		return nil
	}
	return all
}

// report collects errors of one file.
type report struct {
	file  string
	lines []string
	list  Errors
	seen  map[string]bool
	more  int // complaints beyond maxErrors
}

func (r *report) add(line, col int, message string, hints ...string) {
	if len(r.list) >= maxErrors { // before anything is counted: a file can have a fault at every character of one long line
		r.more++
		return
	}
	message = short(message)
	if line > len(r.lines) { // the YAML library puts a value that is missing at the end of the file past it
		line = len(r.lines)
	}
	if line > 0 {
		col = min(max(col, 1), len([]rune(r.lines[line-1]))+1)
	}
	place := fmt.Sprintf("%d:%d:%s", line, col, message)
	if r.seen[place] {
		return
	}
	if r.seen == nil {
		r.seen = map[string]bool{}
	}
	r.seen[place] = true
	e := &Error{File: r.file, Line: line, Col: col, Message: message}
	for _, hint := range hints {
		if hint != "" {
			e.Hints = append(e.Hints, hint)
		}
	}
	if line > 0 {
		e.source = r.lines[line-1]
	}
	r.list = append(r.list, e)
}

// maxMessage is the longest message, in bytes; what a value of a file takes of it is cut.
const maxMessage = 600

func short(message string) string {
	if len(message) <= maxMessage {
		return message
	}
	return strings.ToValidUTF8(message[:maxMessage], "") + " …"
}

// err gives the collected errors in the order of their places, or nil.
func (r *report) err() error {
	if len(r.list) == 0 {
		return nil
	}
	out := append(Errors(nil), r.list...)
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].Line != out[j].Line {
			return out[i].Line < out[j].Line
		}
		return out[i].Col < out[j].Col
	})
	if r.more > 0 {
		out = append(out, &Error{File: r.file, Message: fmt.Sprintf("and %d more errors not shown", r.more)})
	}
	return out
}
