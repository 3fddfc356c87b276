//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"bytes"
	"fmt"
	"os"

	"golang.org/x/term"
)

// queryWriter is the terminal's output. It counts the cursor queries in what
// survey writes, so that the reader knows which reports are wanted.
type queryWriter struct {
	file    *os.File
	queries []query
	column  int  // where the input of the question begins, 1-based
	atEnd   bool // the cursor was sent to the bottom right corner
}

// query is one question to the terminal: where is the cursor.
type query struct {
	rows, columns, column int
	size                  bool // asked with the cursor in the far corner
}

func (w *queryWriter) Fd() uintptr { return w.file.Fd() }

func (w *queryWriter) Write(p []byte) (int, error) {
	if bytes.Contains(p, []byte("\x1b[999;999f")) {
		w.atEnd = true
	}
	for range bytes.Count(p, []byte(reportQuery)) {
		columns, rows := terminalSize(w.file)
		w.queries = append(w.queries, query{rows: rows, columns: columns, column: w.column, size: w.atEnd})
		w.atEnd = false
	}
	return w.file.Write(p)
}

func (w *queryWriter) pending() int { return len(w.queries) }

func (w *queryWriter) take() query {
	q := w.queries[0]
	w.queries = w.queries[1:]
	return q
}

func (w *queryWriter) reset() { w.queries, w.atEnd = nil, false }

// madeUp is what the terminal would most likely have answered.
func (q query) madeUp() []byte {
	column := q.column
	if q.size {
		column = q.columns
	}
	return fmt.Appendf(nil, "\x1b[%d;%dR", q.rows, max(1, column))
}

// terminalSize falls back to 80 by 24 where the system does not know.
func terminalSize(f *os.File) (columns, rows int) {
	columns, rows, err := term.GetSize(int(f.Fd()))
	if err != nil || columns <= 0 || rows <= 0 {
		return 80, 24
	}
	return columns, rows
}
