package rig

import (
	"fmt"
	"strconv"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/quantity"
)

// The YAML form of a rig is described once, as records of fields. Loader, writer, the describe questions and the
// schema test walk the same records, so none of them can forget a field that another knows.

// kind is what a field holds.
type kind int

const (
	textField  kind = iota // one line of text: *string
	idField                // a short name used in ids: *string
	wordField              // one of a closed list: *string
	wholeField             // one of a few whole numbers: *int
	amount                 // a quantity with its unit: *float64
	plainField             // a number without a unit: *float64
	yesNo                  // *bool
	texts                  // lines of text: *[]string
	group                  // a record that is always there: pointer to it
	maybe                  // a record that may be left out: optional
	many                   // a list of records: list
)

// record is a struct of the model in its YAML form.
type record struct {
	name   string // names it in messages and wording
	fields []*field
	inline bool                // written on one line
	finish func(r *Rig, p any) // fills in what follows from the rest
}

// field is one key of a record. at finds its storage in the record.
type field struct {
	key      string
	kind     kind
	unit     quantity.Unit
	required bool
	zero     bool // an amount that may be 0
	least    int  // the fewest items of a list
	words    func(r *Rig, p any) []string
	labelled bool                     // its words are the model's own and have wording; else they are names from the rig or the trade's marks
	prose    bool                     // what people read; names and marks are not translated
	when     func(r *Rig, p any) bool // nil: always
	why      string                   // said when the key is given although when does not hold
	rec      *record
	at       func(p any) any
}

func (f *field) applies(r *Rig, p any) bool { return f.when == nil || f.when(r, p) }

// list is a slice of records. Its items keep their addresses once Resize was called.
type list interface {
	Resize(n int)
	Len() int
	Item(i int) any
}

// optional is a record that may be left out.
type optional interface {
	Get() any // nil when left out
	Make() any
}

type listOf[T any] struct{ p *[]T }

func (l listOf[T]) Resize(n int) {
	if *l.p = nil; n > 0 {
		*l.p = make([]T, n)
	}
}
func (l listOf[T]) Len() int       { return len(*l.p) }
func (l listOf[T]) Item(i int) any { return &(*l.p)[i] }

type optionalOf[T any] struct{ p **T }

func (o optionalOf[T]) Get() any {
	if *o.p == nil {
		return nil
	}
	return *o.p
}
func (o optionalOf[T]) Make() any { *o.p = new(T); return *o.p }

// optionalReference makes the struct Reference act as a record that may be left out.
type optionalReference struct{ p *Reference }

func (o optionalReference) Get() any {
	if o.p.Instrument == "" && o.p.Date == "" && len(o.p.Readings) == 0 {
		return nil
	}
	return o.p
}
func (o optionalReference) Make() any { return o.p }

// in turns a typed accessor into the one a field holds.
func in[T any](f func(*T) any) func(any) any {
	return func(p any) any { return f(p.(*T)) }
}

// maxItems bounds the circuits, points and so on of a rig: beyond it a count is a slip of the finger. Reference readings
// are bounded by what the rig can have.
const maxItems = 100

func (f *field) most() int {
	if f.rec == refReadingRecord {
		return maxItems * maxItems
	}
	return maxItems
}

// fixed is a closed list of words.
func fixed(words ...string) func(*Rig, any) []string {
	return func(*Rig, any) []string { return words }
}

// maxText is the longest text of a rig, in characters: it has to fit a screen.
const maxText = 300

// setText stores one typed value in a field, or says what is wrong with it and what would be right.
func (f *field) setText(r *Rig, p any, text string) (problem, hint string) {
	switch f.kind {
	case textField:
		if problem, hint = checkText(text); problem == "" {
			*f.at(p).(*string) = text
		}
	case idField:
		if !wellFormedID(text) {
			return fmt.Sprintf("%q is not an id", text), "use lower-case letters, digits and hyphens, such as ring-1"
		}
		*f.at(p).(*string) = text
	case wordField:
		if problem, hint = checkWord(text, f.words(r, p)); problem == "" {
			*f.at(p).(*string) = text
		}
	case wholeField:
		n, err := strconv.Atoi(text)
		if err != nil || strconv.Itoa(n) != text {
			return fmt.Sprintf("%q is not a whole number", text), "write it in digits"
		}
		if problem, hint = checkWord(text, f.words(r, p)); problem == "" {
			*f.at(p).(*int) = n
		}
	case amount, plainField:
		return f.setNumber(p, text)
	case yesNo:
		if text != "yes" && text != "no" {
			return fmt.Sprintf("%q is neither yes nor no", text), ""
		}
		*f.at(p).(*bool) = text == "yes"
	}
	return problem, hint
}

// setNumber stores an amount. It refuses what the canonical form could not hold exactly.
func (f *field) setNumber(p any, text string) (problem, hint string) {
	unit := f.unit
	if f.kind == plainField {
		unit = quantity.Metre // any unit will do: the text is checked to hold none
		if strings.TrimLeft(text, "0123456789.") != "" {
			return fmt.Sprintf("%q is not a number", text), "write digits only"
		}
	}
	if strings.HasPrefix(text, "-") {
		return fmt.Sprintf("%q is below 0", text), "give it without the minus"
	}
	q, err := quantity.Parse(text, unit)
	switch e := err.(type) {
	case nil:
	case *quantity.Error:
		return e.Msg, e.Hint
	default:
		return err.Error(), ""
	}
	if !q.IsNumber() {
		return fmt.Sprintf("%q is not a number", text), "give the plain value"
	}
	if q.Value == 0 && !f.zero {
		return fmt.Sprintf("%q: 0 makes no sense here", text), ""
	}
	if back, err := quantity.Parse(f.formatNumber(q.Value), unit); err != nil || back.Value != q.Value {
		return fmt.Sprintf("%q is too large or too fine for a value in %s", text, unit), ""
	}
	*f.at(p).(*float64) = q.Value
	return "", ""
}

func (f *field) formatNumber(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if f.kind == amount {
		s += " " + f.unit.String()
	}
	return s
}

// text is the field's value as setText takes it.
func (f *field) text(p any) string {
	switch v := f.at(p).(type) {
	case *string:
		return *v
	case *int:
		return strconv.Itoa(*v)
	case *float64:
		return f.formatNumber(*v)
	case *bool:
		if *v {
			return "yes"
		}
		return "no"
	}
	return ""
}

// given says whether a field holds anything worth writing.
func (f *field) given(p any) bool {
	switch v := f.at(p).(type) {
	case *string:
		return *v != ""
	case *int:
		return *v != 0
	case *float64:
		return *v != 0 || f.required
	case *bool:
		return *v || f.required
	case *[]string:
		return len(*v) > 0
	case list:
		return v.Len() > 0
	case optional:
		return v.Get() != nil
	}
	return true
}

func checkText(text string) (problem, hint string) {
	switch {
	case strings.TrimSpace(text) == "":
		return "this text is empty", ""
	case text == "-":
		return "- alone says nothing", "describe it in a few words"
	case !content.Clean(text):
		return fmt.Sprintf("%q must be one line without tabs or characters that cannot be seen", text), ""
	case strings.TrimSpace(text) != text:
		return fmt.Sprintf("%q starts or ends with a space", text), ""
	case len([]rune(text)) > maxText:
		return fmt.Sprintf("this text has %d characters, the most is %d", len([]rune(text)), maxText), "shorten it"
	}
	return "", ""
}

func checkWord(text string, words []string) (problem, hint string) {
	for _, w := range words {
		if w == text {
			return "", ""
		}
	}
	if len(words) == 0 {
		return fmt.Sprintf("%q is not known here", text), "there is nothing yet to choose from"
	}
	return fmt.Sprintf("%q is not known here", text), content.DidYouMean(text, words)
}

// wellFormedID accepts the short names used in reading ids and on the command line.
func wellFormedID(s string) bool {
	if s == "" || len(s) > 40 || s[0] == '-' || s[len(s)-1] == '-' {
		return false
	}
	return strings.TrimLeft(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}
