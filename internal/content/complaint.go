package content

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Complaint makes a complaint at the value's place without adding it to the file's own. It is for what is found long
// after loading, when a file that is well formed turns out not to fit something else. Empty hints are left out.
func (v Value) Complaint(hint, format string, args ...any) *Error {
	e := &Error{Message: short(fmt.Sprintf(format, args...))}
	if hint != "" {
		e.Hints = []string{hint}
	}
	e.File, e.Line, e.Col = v.Pos()
	if v.r != nil && e.Line > 0 {
		e.Line = min(e.Line, len(v.r.report.lines))
		e.source = v.r.line(e.Line)
		e.Col = min(max(e.Col, 1), len([]rune(e.source))+1)
	}
	return e
}

// Source is the line of the file that holds the place, empty when the complaint is about the file as a whole.
func (e *Error) Source() string { return e.source }

// FileText is the whole text of the value's file, its lines joined by line feeds: what a hash of the file is made of.
func (v Value) FileText() string {
	if v.r == nil {
		return ""
	}
	return strings.Join(v.r.report.lines, "\n")
}

// SamePlace says whether two values stand at the same place of the same file.
func (v Value) SamePlace(w Value) bool {
	vf, vl, vc := v.Pos()
	wf, wl, wc := w.Pos()
	return vf == wf && vl == wl && vc == wc
}

// Compare orders complaints by file, line, column and message.
func Compare(a, b *Error) int {
	return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col),
		cmp.Compare(a.Message, b.Message))
}

// Sorted gives complaints about several files in one order, each only once.
func Sorted(es Errors) Errors {
	out := slices.Clone(es)
	slices.SortStableFunc(out, Compare)
	return slices.CompactFunc(out, func(a, b *Error) bool { return Compare(a, b) == 0 })
}
