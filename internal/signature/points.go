package signature

import (
	"bytes"
	"encoding/json"
)

// Points are readings by point, kept in the order of the circuit.
type Points struct {
	IDs    []string
	Values []Number
}

func (p *Points) add(id string, n Number) {
	p.IDs, p.Values = append(p.IDs, id), append(p.Values, n)
}

// At is the reading at a point.
func (p *Points) At(id string) (Number, bool) {
	for i := range p.IDs {
		if p.IDs[i] == id {
			return p.Values[i], true
		}
	}
	return Number{}, false
}

// MarshalJSON writes an object with the points in order.
func (p *Points) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, id := range p.IDs {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(id)
		if err != nil {
			return nil, err
		}
		value, err := p.Values[i].MarshalJSON()
		if err != nil {
			return nil, err
		}
		b.Write(append(append(key, ':'), value...))
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}
