package wiring

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"wanderlead/internal/content"
)

// Kind says what an element is, and so what can be done with it.
type Kind string

// The kinds of element.
const (
	Core    Kind = "core"    // a length of conductor, an electrode, a source's impedance
	Joint   Kind = "joint"   // a conductor's end (A) in a terminal (B); it can be lifted
	Leak    Kind = "leak"    // insulation, or what is left of it
	Switch  Kind = "switch"  // a contact, closed in position At of the switch Of; isolators and main switches close in 1
	Breaker Kind = "breaker" // the line contact of a circuit's protective device Of
	Pole    Kind = "pole"    // a pole of the residual current device Of; At is 0 when tripping leaves it closed
	Load    Kind = "load"    // a lamp or appliance, in or out
	Part    Kind = "part"    // electronics, neons, varistors: conducts once the voltage exceeds AboveV
	Source  Kind = "source"  // an ideal source of Volt at Degrees, A over B
)

// Element stands between two terminals.
type Element struct {
	Name    string
	Kind    Kind
	A, B    string
	Ohm     float64 // 0 joins the terminals; +Inf is open
	Of      string  // the device that operates it
	At      int
	AboveV  float64 // peak
	Volt    float64 // r.m.s.
	Degrees float64
}

// Plan is an installation as elements. Plans are equal when their Text is.
type Plan struct {
	elements map[string]Element
	err      error
	sorted   atomic.Pointer[order] // made when first asked for, dropped by a change
}

// order is what is asked of a plan again and again: its elements by name, its devices and its terminals, and the networks
// of the conditions it was last asked in.
type order struct {
	elements           []Element
	devices, terminals map[string]bool
	node               map[string]int // terminal -> node
	ends               [][2]int       // the nodes of each element's terminals

	lock sync.Mutex
	nets map[string]*Net
}

// keptNets is how many networks are kept: the set-ups of a board's standard tests are fewer.
const keptNets = 128

func (p *Plan) order() *order {
	if o := p.sorted.Load(); o != nil {
		return o
	}
	o := &order{elements: make([]Element, 0, len(p.elements)), devices: map[string]bool{}, terminals: map[string]bool{},
		node: map[string]int{}, nets: map[string]*Net{}}
	node := func(terminal string) int {
		i, ok := o.node[terminal]
		if !ok {
			i = len(o.node)
			o.node[terminal], o.terminals[terminal] = i, true
		}
		return i
	}
	for _, name := range p.names() {
		e := p.elements[name]
		o.elements = append(o.elements, e)
		o.ends = append(o.ends, [2]int{node(e.A), node(e.B)})
		if e.Of != "" {
			o.devices[e.Of] = true
		}
	}
	p.sorted.Store(o)
	return o
}

// NewPlan makes a plan of the elements.
func NewPlan(elements ...Element) *Plan {
	p := &Plan{elements: map[string]Element{}}
	for _, e := range elements {
		p.Put(e)
	}
	return p
}

// Clone is a copy that can be changed.
func (p *Plan) Clone() *Plan { return &Plan{elements: maps.Clone(p.elements), err: p.err} }

// Put adds an element, or replaces the one of that name.
func (p *Plan) Put(e Element) {
	switch {
	case e.Name == "" || e.A == "" || e.B == "":
		p.fail(fmt.Errorf("an element needs a name and two terminals, found %q between %q and %q", e.Name, e.A, e.B))
	case !(e.Ohm >= 0):
		p.fail(fmt.Errorf("%s: a resistance of %g Ω", e.Name, e.Ohm))
	case e.Kind == Joint && e.A != e.Name:
		p.fail(fmt.Errorf("the joint %s is not named as its conductor's end %s", e.Name, e.A))
	}
	p.elements[e.Name] = e
	p.sorted.Store(nil)
}

// Get returns the element of that name.
func (p *Plan) Get(name string) (Element, bool) {
	e, ok := p.elements[name]
	return e, ok
}

// Remove takes an element out.
func (p *Plan) Remove(name string) {
	if _, ok := p.elements[name]; !ok {
		p.fail(p.unknown("element", name, p.names()))
		return
	}
	delete(p.elements, name)
	p.sorted.Store(nil)
}

// Edit changes one element in place.
func (p *Plan) Edit(name string, change func(*Element)) {
	e, ok := p.elements[name]
	if !ok {
		p.fail(p.unknown("element", name, p.names()))
		return
	}
	delete(p.elements, name)
	change(&e)
	p.Put(e)
}

// AddOhm puts a resistance in series with an element, as a loose joint or a long lead does.
func (p *Plan) AddOhm(name string, ohm float64) { p.Edit(name, func(e *Element) { e.Ohm += ohm }) }

// Open opens an element, as a break does.
func (p *Plan) Open(name string) { p.Edit(name, func(e *Element) { e.Ohm = math.Inf(1) }) }

// Into moves a conductor's end to another terminal.
func (p *Plan) Into(joint, terminal string) { p.Edit(joint, func(e *Element) { e.B = terminal }) }

// Swap exchanges the terminals of two conductors' ends.
func (p *Plan) Swap(joint, other string) {
	a, b := p.elements[joint].B, p.elements[other].B
	p.Into(joint, b)
	p.Into(other, a)
}

// Ends lists the joints that sit in a terminal, in order of name.
func (p *Plan) Ends(terminal string) []string {
	return p.where(func(e Element) bool { return e.Kind == Joint && e.B == terminal })
}

// OfKind lists the elements of a kind by name, in order.
func (p *Plan) OfKind(k Kind) []string { return p.where(func(e Element) bool { return e.Kind == k }) }

// where lists elements by name, in order. It does not put the whole plan in order, which faults planted one after the
// other in many plans would have done for nothing.
func (p *Plan) where(is func(Element) bool) []string {
	var out []string
	for name, e := range p.elements {
		if is(e) {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// Differences lists the elements that another plan has otherwise or has not, in order of name. What only the other has
// is not listed.
func (p *Plan) Differences(other *Plan) []Element {
	var out []Element
	for name, e := range p.elements {
		if was, ok := other.elements[name]; !ok || was != e {
			out = append(out, e)
		}
	}
	slices.SortFunc(out, func(a, b Element) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// Devices lists what can be opened or switched, in order of name.
func (p *Plan) Devices() []string { return sortedKeys(p.order().devices) }

// Err is the first change that did not fit the plan.
func (p *Plan) Err() error { return p.err }

func (p *Plan) fail(err error) {
	if p.err == nil {
		p.err = err
	}
}

func (p *Plan) names() []string { return slices.Sorted(maps.Keys(p.elements)) }

// Elements lists all elements in order of name. The list is the plan's own: it is not to be changed.
func (p *Plan) Elements() []Element { return p.order().elements }

// Terminals lists every terminal, in order.
func (p *Plan) Terminals() []string { return slices.Sorted(maps.Keys(p.order().terminals)) }

// HasTerminal says that a terminal does not exist, with the nearest that does.
func (p *Plan) HasTerminal(name string) error {
	if p.order().terminals[name] {
		return nil
	}
	return p.unknown("terminal", name, p.Terminals())
}

// unknown says that a name does not exist, with the name nearest to it, else some of those of its owner.
func (p *Plan) unknown(what, name string, known []string) error {
	hint := "known here: " + some(name, known)
	if near := content.DidYouMean(name, known); !strings.HasPrefix(near, "known here") {
		hint = near + " " + hint
	}
	return fmt.Errorf("there is no %s %q\nhint: %s", what, name, hint)
}

func some(name string, known []string) string {
	owner, _, _ := strings.Cut(name, "/")
	var near []string
	for _, k := range known {
		if strings.HasPrefix(k, owner+"/") {
			near = append(near, k)
		}
	}
	if len(near) == 0 {
		near = known
	}
	text := strings.Join(near[:min(len(near), 8)], ", ")
	if len(near) > 8 {
		text += " …"
	}
	return text
}

// Text is the plan written out, a line an element in order of name; numbers in full, so that equal texts are equal plans.
func (p *Plan) Text() string {
	var b strings.Builder
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	for _, e := range p.Elements() {
		fmt.Fprintf(&b, "%s %s %s %s", e.Kind, e.Name, e.A, e.B)
		if e.Kind == Source {
			fmt.Fprintf(&b, " %sV %s°", number(e.Volt), number(e.Degrees))
		} else {
			fmt.Fprintf(&b, " %sΩ", number(e.Ohm))
		}
		if e.Of != "" {
			fmt.Fprintf(&b, " of %s at %d", e.Of, e.At)
		}
		if e.AboveV != 0 {
			fmt.Fprintf(&b, " above %sV", number(e.AboveV))
		}
		b.WriteByte('\n')
	}
	return b.String()
}
