package content

import (
	"math"
	"strconv"

	"gopkg.in/yaml.v3"
)

// Plain gives a value as the data a JSON Schema validator or encoder works on: map[string]any, []any, string, float64,
// bool, nil. Numbers keep the meaning YAML gives them; dates stay text, as editors see them. It complains about nothing.
func (v Value) Plain() any {
	if v.n == nil {
		return nil
	}
	return decoded(v.n, 0)
}

func decoded(n *yaml.Node, depth int) any {
	if depth > MaxDepth {
		return nil
	}
	switch n.Kind {
	case yaml.SequenceNode:
		list := make([]any, len(n.Content))
		for i, item := range n.Content {
			list[i] = decoded(item, depth+1)
		}
		return list
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			m[n.Content[i].Value] = decoded(n.Content[i+1], depth+1)
		}
		return m
	case yaml.ScalarNode:
		return plainScalar(n)
	}
	return nil
}

func plainScalar(n *yaml.Node) any {
	switch n.Tag {
	case "!!null":
		return nil
	case "!!bool":
		return n.Value == "true" || n.Value == "True" || n.Value == "TRUE"
	case "!!int":
		if i, err := strconv.ParseInt(n.Value, 0, 64); err == nil {
			return float64(i)
		}
	case "!!float":
		if f, err := strconv.ParseFloat(n.Value, 64); err == nil && !math.IsInf(f, 0) && !math.IsNaN(f) {
			return f
		}
	}
	return n.Value
}
