package mark

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
)

// overrideLine is one line of the file of overrides: chained to the line before, the
// first to the record itself, so that it belongs to that record only.
type overrideLine struct {
	Prev string `json:"prev"`
	Override
}

func hashOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// lastOf is what the next line chains to.
func lastOf(old, record []byte) string {
	trimmed := bytes.TrimSuffix(old, []byte("\n"))
	if len(trimmed) == 0 {
		return hashOf(record)
	}
	return hashOf(trimmed[bytes.LastIndexByte(trimmed, '\n')+1:])
}

// OverrideLine is the line to add to a file of overrides.
func OverrideLine(o Override, old, record []byte) ([]byte, error) {
	b, err := json.Marshal(overrideLine{lastOf(old, record), o})
	return append(b, '\n'), err
}

// ReadOverrides reads a file of overrides and checks that each line follows the one
// before and that the file belongs to the record.
func ReadOverrides(data, record []byte) ([]Override, error) {
	if len(data) > 0 && data[len(data)-1] != '\n' {
		return nil, fmt.Errorf("the last line is not whole")
	}
	var out []Override
	var read []byte
	for n, raw := range bytes.SplitAfter(data, []byte("\n")) {
		if len(raw) == 0 {
			continue
		}
		var l overrideLine
		d := json.NewDecoder(bytes.NewReader(raw))
		d.DisallowUnknownFields()
		if err := d.Decode(&l); err != nil {
			return nil, fmt.Errorf("line %d does not parse: %w", n+1, err)
		}
		if l.Prev != lastOf(read, record) {
			return nil, fmt.Errorf("line %d does not follow what stands before it", n+1)
		}
		again, err := json.Marshal(l)
		if err != nil || !bytes.Equal(append(again, '\n'), raw) {
			return nil, fmt.Errorf("line %d is not as it was written", n+1)
		}
		out = append(out, l.Override)
		read = append(read, raw...)
	}
	return out, nil
}
