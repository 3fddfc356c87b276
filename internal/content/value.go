package content

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Kind is the shape of a value.
type Kind int

// The kinds of value. Missing stands for a value that is not there or was already refused.
const (
	Missing Kind = iota
	Scalar
	ListKind
	MapKind
)

// String is the kind in an author's words.
func (k Kind) String() string {
	return [...]string{"nothing", "a single value", "a list", "a map"}[k]
}

// Value is one value of a file with its place. The zero Value is missing: reading it gives empty results and no further
// complaint.
type Value struct {
	r *Reader
	n *yaml.Node
}

// Kind is the shape of the value.
func (v Value) Kind() Kind {
	if v.n == nil || v.r.bad[v.n] {
		return Missing
	}
	switch v.n.Kind {
	case yaml.ScalarNode:
		return Scalar
	case yaml.SequenceNode:
		return ListKind
	case yaml.MappingNode:
		return MapKind
	}
	return Missing
}

// Pos is where the value starts: the file's name, the line and the column, both from 1, the column in characters.
func (v Value) Pos() (file string, line, col int) {
	if v.r == nil {
		return "", 0, 0
	}
	if v.n == nil {
		return v.r.report.file, 0, 0
	}
	return v.r.report.file, v.n.Line, v.n.Column
}

// Errorf adds a complaint at the value's place; an empty hint prints none.
func (v Value) Errorf(hint, format string, args ...any) {
	if v.r == nil {
		return
	}
	_, line, col := v.Pos()
	v.r.report.add(line, col, fmt.Sprintf(format, args...), hint)
}

// expect complains unless the value has the wanted kind.
func (v Value) expect(want Kind) bool {
	kind := v.Kind()
	if kind == want {
		return true
	}
	if kind != Missing {
		v.r.fault(v.n, fmt.Sprintf("expected %s, found %s", want, kind), "")
	}
	return false
}

// Str is the value as text. A number or a truth value without quotes is refused, because YAML would change it
// (010 would become 8); dates are taken as written.
func (v Value) Str() string {
	if !v.expect(Scalar) {
		return ""
	}
	switch v.n.Tag {
	case "!!str", "!!timestamp", "!!merge":
		return v.n.Value
	}
	v.r.fault(v.n, fmt.Sprintf("expected text, found %s: %s", tagName(v.n.Tag), v.n.Value), fmt.Sprintf("quote it: %q", v.n.Value))
	return ""
}

func tagName(tag string) string {
	switch tag {
	case "!!int", "!!float":
		return "a number"
	case "!!bool":
		return "a truth value"
	}
	return "another kind of value"
}

// Name is the value as a text that can stand in one line: not empty, no line breaks, tabs or spaces at its ends.
func (v Value) Name() string {
	s := v.Str()
	if v.Kind() != Scalar {
		return ""
	}
	switch {
	case strings.TrimSpace(s) == "":
		v.r.fault(v.n, "this text is empty", "")
	case !Clean(s):
		v.r.fault(v.n, fmt.Sprintf("%q must be a single line without tabs", s), "")
	case strings.TrimSpace(s) != s:
		v.r.fault(v.n, fmt.Sprintf("%q starts or ends with a space", s), "")
	default:
		return s
	}
	return ""
}

// Raw is the text of a plain or quoted scalar as written, never a decoded number: 0.30 stays 0.30, 010 stays 010.
// Block styles are refused by name: a reading such as >299 without quotes would arrive as one.
func (v Value) Raw() string {
	if !v.expect(Scalar) {
		return ""
	}
	switch {
	case v.n.Style&yaml.FoldedStyle != 0:
		v.r.fault(v.n, "a folded block (>) cannot hold a single value", v.quoteHint())
		return ""
	case v.n.Style&yaml.LiteralStyle != 0:
		v.r.fault(v.n, "a literal block (|) cannot hold a single value", v.quoteHint())
		return ""
	}
	return v.n.Value
}

// quoteHint shows how a block start that looks like a reading is to be written.
func (v Value) quoteHint() string {
	runes := []rune(v.r.line(v.n.Line))
	if at := v.n.Column - 1; at >= 0 && at+1 < len(runes) && runes[at+1] >= '0' && runes[at+1] <= '9' {
		return fmt.Sprintf("quote it: %q", strings.TrimSpace(string(runes[at:])))
	}
	return "write the value in quotes on the line of its key"
}

var wholeNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)$`)

// Int is the value as a whole number written in plain decimal digits.
func (v Value) Int() int {
	raw := v.plain("a whole number")
	if raw == "" {
		return 0
	}
	n, err := strconv.Atoi(raw)
	if err != nil || !wholeNumber.MatchString(raw) {
		v.r.fault(v.n, fmt.Sprintf("expected a whole number, found %s", raw), "")
		return 0
	}
	return n
}

var decimal = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

// Decimal is the value as a plain decimal number such as 0.35: no exponent, no infinity, no digits grouped.
func (v Value) Decimal() float64 {
	raw := v.plain("a number")
	if raw == "" {
		return 0
	}
	f, err := strconv.ParseFloat(raw, 64)
	if err != nil || !decimal.MatchString(raw) {
		hint := "write it as 12 or 0.35"
		if strings.Contains(raw, ",") {
			hint = "write the decimal point as a full stop: " + strings.ReplaceAll(raw, ",", ".")
		}
		v.r.fault(v.n, fmt.Sprintf("expected a number, found %s", raw), hint)
		return 0
	}
	return f
}

// Bool is the value as true or false, written so.
func (v Value) Bool() bool {
	raw := v.plain("true or false")
	if raw == "" {
		return false
	}
	if raw != "true" && raw != "false" {
		v.r.fault(v.n, fmt.Sprintf("expected true or false, found %s", raw), "")
	}
	return raw == "true"
}

// plain is the text of a scalar without quotes, or "" after a complaint.
func (v Value) plain(want string) string {
	if !v.expect(Scalar) {
		return ""
	}
	if v.n.Style != 0 {
		v.r.fault(v.n, fmt.Sprintf("expected %s, found the text %q", want, v.n.Value), "write it without quotes")
		return ""
	}
	return v.n.Value
}

// OneOf is the value as one word of a closed list.
func (v Value) OneOf(words ...string) string {
	s := v.Str()
	if v.Kind() != Scalar {
		return ""
	}
	for _, w := range words {
		if s == w {
			return s
		}
	}
	v.r.fault(v.n, fmt.Sprintf("%q is not known here", s), DidYouMean(s, words))
	return ""
}

// List is the items of a list.
func (v Value) List() []Value {
	if !v.expect(ListKind) {
		return nil
	}
	items := make([]Value, len(v.n.Content))
	for i, n := range v.n.Content {
		items[i] = Value{v.r, n}
	}
	return items
}

// Strs is a list of texts.
func (v Value) Strs() []string {
	var out []string
	for _, item := range v.List() {
		out = append(out, item.Str())
	}
	return out
}

// Field is the value under key, without declaring keys: for looking at a discriminator before declaring the rest.
func (v Value) Field(key string) Value {
	if v.Kind() != MapKind {
		return Value{v.r, nil}
	}
	_, value := lookup(v.n, key)
	return Value{v.r, value}
}
