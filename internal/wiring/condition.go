package wiring

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wanderlead/internal/network"
)

// Condition is how an installation stands at a moment: what is open, lifted, moved, linked, plugged in. The zero value is
// everything as drawn: all switches and breakers closed, lighting switches in position 0, loads out.
type Condition struct {
	Open     map[string]bool   // isolator, main-switch, circuit ids for their breakers, ids of RCDs
	Position map[string]int    // lighting switches by name, "lighting-1/door": 0 or 1
	Lifted   map[string]bool   // conductor ends out of their terminals
	Moved    map[string]string // conductor ends put into another terminal
	Links    []Link            // leads, links and connectors between terminals or lifted ends
	In       map[string]bool   // loads that are in
	Out      map[string]bool   // parts taken out: electronics, surge protective devices
}

// Link joins two terminals; 0 Ω is an ideal link.
type Link struct {
	A, B string
	Ohm  float64
}

// Clone is a copy that can be changed.
func (c Condition) Clone() Condition {
	c.Open, c.Position, c.Lifted = cloned(c.Open), cloned(c.Position), cloned(c.Lifted)
	c.Moved, c.In, c.Out = cloned(c.Moved), cloned(c.In), cloned(c.Out)
	c.Links = append([]Link(nil), c.Links...)
	return c
}

func cloned[V any](m map[string]V) map[string]V {
	out := map[string]V{}
	for k, v := range m {
		out[k] = v
	}
	return out
}

// Set is a set of names for the fields of a Condition.
func Set(names ...string) map[string]bool {
	m := map[string]bool{}
	for _, n := range names {
		m[n] = true
	}
	return m
}

// Check says which name of the condition the plan does not know.
func (p *Plan) Check(c Condition) error {
	devices, terminals := p.order().devices, p.order().terminals
	check := func(what, name string, known map[string]bool) error {
		if known[name] {
			return nil
		}
		return p.unknown(what, name, sortedKeys(known))
	}
	for _, name := range sortedKeys(c.Open) {
		if err := check("device", name, devices); err != nil {
			return err
		}
	}
	for _, name := range sortedKeys(c.Position) {
		if err := check("switch", name, devices); err != nil {
			return err
		}
	}
	for _, set := range []map[string]bool{c.Lifted, c.In, c.Out} {
		for _, name := range sortedKeys(set) {
			if _, ok := p.elements[name]; !ok {
				return p.unknown("element", name, p.names())
			}
		}
	}
	for _, name := range sortedKeys(c.Lifted) {
		if p.elements[name].Kind != Joint {
			return fmt.Errorf("%s is a %s, which cannot be lifted\nhint: name the end of a conductor", name, p.elements[name].Kind)
		}
	}
	for _, name := range sortedKeys(c.In) {
		if p.elements[name].Kind != Load {
			return fmt.Errorf("%s is a %s, which cannot be put in\nhint: name a load: %s", name, p.elements[name].Kind, some(name, p.OfKind(Load)))
		}
	}
	for _, name := range sortedKeys(c.Out) {
		if p.elements[name].Kind != Part {
			return fmt.Errorf("%s is a %s, which cannot be taken out\nhint: name a part: %s", name, p.elements[name].Kind, some(name, p.OfKind(Part)))
		}
	}
	for _, end := range sortedKeys(c.Moved) {
		if e, ok := p.elements[end]; !ok || e.Kind != Joint {
			return p.unknown("conductor end", end, p.names())
		}
		if err := check("terminal", c.Moved[end], terminals); err != nil {
			return err
		}
	}
	for _, l := range c.Links {
		for _, name := range []string{l.A, l.B} {
			if err := check("terminal", name, terminals); err != nil {
				return err
			}
		}
	}
	return nil
}

// standing is an element as it stands in the condition: its far terminal and its resistance, +Inf when it is open.
func (c *Condition) standing(e Element) Element {
	switch e.Kind {
	case Joint:
		if to, ok := c.Moved[e.Name]; ok {
			e.B, e.Ohm = to, 0
		}
		if c.Lifted[e.Name] {
			e.Ohm = math.Inf(1)
		}
	case Switch:
		position := 1
		if at, ok := c.Position[e.Of]; ok || !(e.Of == Isolator || e.Of == MainSwitch) {
			position = at
		}
		if c.Open[e.Of] || position != e.At {
			e.Ohm = math.Inf(1)
		}
	case Breaker:
		if c.Open[e.Of] {
			e.Ohm = math.Inf(1)
		}
	case Pole:
		if c.Open[e.Of] && e.At == 1 {
			e.Ohm = math.Inf(1)
		}
	case Load:
		if !c.In[e.Name] {
			e.Ohm = math.Inf(1)
		}
	case Part:
		if c.Out[e.Name] {
			e.Ohm = math.Inf(1)
		}
	}
	return e
}

// Net is a plan in a condition as an instrument sees it that drives little voltage: sources at rest, parts that need a
// voltage not conducting.
type Net struct {
	plan  *Plan
	nodes map[string]int
	net   *network.Network
}

// Net builds the network of the plan in the condition.
func (p *Plan) Net(c Condition) (*Net, error) { return p.net(c, nil, false) }

// net is the network of the plan in the condition, from among those kept if it is there; conducting names parts that
// conduct, and live says that what drives and switches currents is left out for the phasor solution.
func (p *Plan) net(c Condition, conducting map[string]bool, live bool) (*Net, error) {
	if p.err != nil {
		return nil, p.err
	}
	o, key := p.order(), c.key(conducting, live)
	o.lock.Lock()
	kept := o.nets[key]
	o.lock.Unlock()
	if kept != nil {
		return kept, nil
	}
	if err := p.Check(c); err != nil {
		return nil, err
	}
	n, err := p.build(c, conducting, live)
	if err != nil {
		return nil, err
	}
	o.lock.Lock()
	defer o.lock.Unlock()
	if len(o.nets) >= keptNets {
		clear(o.nets)
	}
	o.nets[key] = n
	return n, nil
}

func (p *Plan) build(c Condition, conducting map[string]bool, live bool) (*Net, error) {
	o, b := p.order(), &network.Builder{}
	for range o.node {
		b.Node()
	}
	for i, e := range o.elements {
		at := o.ends[i]
		if e = c.standing(e); len(c.Moved) > 0 && e.Kind == Joint {
			at[1] = o.node[e.B]
		}
		switch {
		case live && apart(e):
		case e.Kind == Source:
			b.Join(at[0], at[1])
		case e.AboveV > 0 && !conducting[e.Name]:
		default:
			b.Resistor(at[0], at[1], e.Ohm)
		}
	}
	for _, l := range c.Links {
		b.Resistor(o.node[l.A], o.node[l.B], l.Ohm)
	}
	net, err := b.Build()
	if err != nil {
		return nil, err
	}
	return &Net{plan: p, nodes: o.node, net: net}, nil
}

// key writes the condition out, unknown names included, so that equal keys are equal networks.
func (c *Condition) key(conducting map[string]bool, live bool) string {
	var b strings.Builder
	set := func(head string, m map[string]bool) {
		b.WriteString(head)
		for _, k := range sortedKeys(m) {
			b.WriteString(k)
			b.WriteByte(map[bool]byte{true: 0, false: '-'}[m[k]])
		}
	}
	set("\x01", c.Open)
	set("\x02", c.Lifted)
	set("\x03", c.In)
	set("\x04", c.Out)
	set("\x05", conducting)
	for _, k := range sortedKeys(c.Position) {
		b.WriteString("\x06" + k + "\x00" + strconv.Itoa(c.Position[k]))
	}
	for _, k := range sortedKeys(c.Moved) {
		b.WriteString("\x07" + k + "\x00" + c.Moved[k])
	}
	for _, l := range c.Links {
		b.WriteString("\x08" + l.A + "\x00" + l.B + "\x00" + strconv.FormatFloat(l.Ohm, 'g', -1, 64))
	}
	if live {
		b.WriteByte(9)
	}
	return b.String()
}

// Ohm is the resistance between two terminals: 0 when joined, +Inf when open. The error names a terminal that does not
// exist.
func (n *Net) Ohm(a, b string) (float64, error) {
	x, okA := n.nodes[a]
	y, okB := n.nodes[b]
	for name, ok := range map[string]bool{a: okA, b: okB} {
		if !ok {
			return 0, n.plan.unknown("terminal", name, n.plan.Terminals())
		}
	}
	return n.net.Resistance(x, y), nil
}

// Nodes is the number of nodes before merging.
func (n *Net) Nodes() int { return len(n.nodes) }
