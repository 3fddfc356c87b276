package report

import (
	"bytes"
	"encoding/json"
	"fmt"

	"wanderlead/internal/plain"
)

// JSON is the schedule in the form of the command line's contract: one object, two
// spaces of indent, a line feed at the end. Characters that act on a terminal or turn
// the direction of writing are written as \u and four hex digits; names and remarks are typed text.
// The error is that of a value that JSON cannot hold, which no reading is.
func (s Schedule) JSON() ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(s); err != nil {
		return nil, fmt.Errorf("schedule as JSON: %w", err)
	}
	return plain.JSON(buf.Bytes()), nil
}
