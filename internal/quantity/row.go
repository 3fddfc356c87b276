package quantity

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"
)

// MaxRow is the most readings one row holds.
const MaxRow = 60

// SplitRow splits a typed row of readings, "0.20 0.21 >299 0.22 Ω, no trip",
// into one raw text each: at spaces, at semicolons, and at commas followed by a
// space or standing between two numbers with a decimal point of their own. A
// unit, a lone ">" and "no trip" stay with their number. A comma that could be
// a decimal comma ("0,20") stays in its text, for Parse to refuse by name.
func SplitRow(line string) ([]string, error) {
	if len(line) > MaxRow*MaxText {
		return nil, &Error{fmt.Sprintf("row of %d bytes", len(line)), "a row holds the readings of one circuit"}
	}
	if !utf8.ValidString(line) {
		return nil, &Error{"the row is not text", "type the readings with spaces between: 0.20 0.21 0.20"}
	}
	var row []string
	glue := false // the next word belongs to the one before
	for _, w := range words(line) {
		last := len(row) - 1
		switch {
		case glue, last >= 0 && belongs(row[last], w):
			row[last] += " " + w
		default:
			row = append(row, w)
		}
		glue = w == ">"
	}
	switch {
	case len(row) == 0:
		return nil, &Error{"empty row", "type the readings with spaces between: 0.20 0.21 0.20"}
	case len(row) > MaxRow:
		return nil, &Error{fmt.Sprintf("%d readings in one row", len(row)), fmt.Sprintf("at most %d", MaxRow)}
	}
	return row, nil
}

// ParseRow splits a row and parses each reading. The errors come back with the
// place in the row: "reading 3: …".
func ParseRow(line string, def Unit) ([]Reading, error) {
	raw, err := SplitRow(line)
	if err != nil {
		return nil, err
	}
	out := make([]Reading, 0, len(raw))
	for i, text := range raw {
		r, err := Parse(text, def)
		if err != nil {
			return nil, inRow(i, err)
		}
		out = append(out, r)
	}
	return out, nil
}

// SplitList splits the comma-separated list of a command line, "0.20,0.21,>299".
// A list of whole numbers in which a 0 is followed by two digits ("0,20,0,21")
// is taken for decimal commas and refused.
func SplitList(text string) ([]string, error) {
	parts := strings.Split(text, ",")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
		if i > 0 && twoDigits.MatchString(parts[i]) && parts[i-1] == "0" {
			return nil, &Error{fmt.Sprintf("decimal commas in %q", text), "use a point for decimals and a comma between readings: 0.20,0.21"}
		}
	}
	if len(parts) > MaxRow {
		return nil, &Error{fmt.Sprintf("%d readings in one list", len(parts)), fmt.Sprintf("at most %d", MaxRow)}
	}
	return parts, nil
}

func inRow(i int, err error) error {
	if e, ok := err.(*Error); ok {
		return &Error{fmt.Sprintf("reading %d: %s", i+1, e.Msg), e.Hint}
	}
	return fmt.Errorf("reading %d: %w", i+1, err)
}

var (
	twoDigits = regexp.MustCompile(`^[0-9]{2,3}$`)
	pointed   = regexp.MustCompile(`^>?[0-9]*\.[0-9]+$|^>[0-9]+$`)
)

// words cuts a row at white space, semicolons and commas that separate.
func words(line string) []string {
	var out []string
	for _, field := range strings.FieldsFunc(line, func(r rune) bool {
		return r == ' ' || r == '\t' || r == ';' || r == '\u00a0' || r == '\n' || r == '\r'
	}) {
		field = strings.TrimSuffix(field, ",")
		parts := strings.Split(field, ",")
		separate := len(parts) > 1
		for _, p := range parts {
			separate = separate && pointed.MatchString(p)
		}
		if !separate {
			parts = []string{field}
		}
		for _, p := range parts {
			if p != "" {
				out = append(out, p)
			}
		}
	}
	return out
}

// belongs reports whether word is the unit of the reading before it, or the
// second half of "no trip".
func belongs(before, word string) bool {
	if strings.EqualFold(before, "no") && strings.EqualFold(word, "trip") {
		return true
	}
	if _, err := ParseUnit(word); err != nil {
		return false
	}
	number, unit := splitNumber(strings.TrimLeft(before, "> "))
	return unit == "" && number != ""
}
