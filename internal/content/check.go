package content

import (
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

// check walks the tree once and complains about everything that no content file may hold, whatever its schema.
func (r *Reader) check(n *yaml.Node, depth int) {
	if depth > MaxDepth {
		r.fault(n, fmt.Sprintf("nested more than %d deep", MaxDepth), "")
		return
	}
	r.checkMarks(n)
	switch n.Kind {
	case yaml.ScalarNode:
		r.checkScalar(n)
	case yaml.SequenceNode:
		for _, item := range n.Content {
			r.check(item, depth+1)
		}
	case yaml.MappingNode:
		r.checkMap(n, depth)
	}
}

func (r *Reader) fault(n *yaml.Node, message, hint string) {
	if r.bad[n] {
		return
	}
	r.bad[n] = true
	r.report.add(n.Line, n.Column, message, hint)
}

// checkMarks refuses anchors, aliases and tags. A bare "!" leaves no trace in the node, so the text is looked at too.
func (r *Reader) checkMarks(n *yaml.Node) {
	switch {
	case n.Kind == yaml.AliasNode:
		r.fault(n, fmt.Sprintf("aliases (*%s) are not used in these files", n.Value), "write the value out, or put it in quotes")
	case n.Anchor != "":
		r.fault(n, fmt.Sprintf("anchors (&%s) are not used in these files", n.Anchor), "remove it, or put the text in quotes")
	case n.Style&yaml.TaggedStyle != 0, n.Style == 0 && n.Kind == yaml.ScalarNode && r.startsWith(n, '!'):
		r.fault(n, "tags (!name) are not used in these files", "remove it, or put the text in quotes")
	}
}

func (r *Reader) startsWith(n *yaml.Node, c rune) bool {
	if r.at != n.Line { // kept for the next value of the same line: many may stand on a long one
		r.at, r.runes = n.Line, []rune(r.line(n.Line))
	}
	return n.Column >= 1 && n.Column <= len(r.runes) && r.runes[n.Column-1] == c
}

func (r *Reader) checkScalar(n *yaml.Node) {
	if n.Tag == "!!null" {
		r.fault(n, "no value is given (empty, ~ and null are the same)", "give a value, or leave the key out")
		return
	}
	if strings.ContainsFunc(n.Value, func(c rune) bool { return c != '\n' && c != '\t' && hidden(c) }) {
		r.fault(n, fmt.Sprintf("%q holds a character that cannot be seen or changes how the text is shown", n.Value), "remove the escape")
	}
}

func (r *Reader) checkMap(n *yaml.Node, depth int) {
	first := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		r.check(value, depth+1)
		if key.Kind != yaml.ScalarNode && key.Kind != yaml.AliasNode {
			r.fault(key, "a key must be a plain word", "")
			continue
		}
		if key.Tag == "!!merge" {
			r.fault(key, "merge keys (<<) are not used in these files", "write the keys out")
			continue
		}
		r.checkMarks(key)
		if key.Tag == "!!null" || key.Value == "" {
			r.fault(key, "a key is missing before the \":\"", "write it as key: value")
		}
		r.checkScalar(key)
		if before := first[key.Value]; before != nil {
			r.fault(key, fmt.Sprintf("the key %q is given twice", key.Value), fmt.Sprintf("the first is on line %d; keep one", before.Line))
			continue
		}
		first[key.Value] = key
	}
}
