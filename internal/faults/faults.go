// Package faults plants faults in an installation. A fault changes elements of the rig's description or of its plan and
// nothing else: no reading is ever touched. What shows, and where, is left to the network.
//
// The kinds F01 to F46 are the trade's usual ones; F08b is F08 with a looser joint. Their default sizes are those for
// which the published signatures were worked out (testdata/published/fault_signatures.csv); those sizes are common
// practice without a source.
package faults

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// Planting is one fault at one place. Fields that its kind does not use are ignored; those left empty take the kind's
// usual place and size, see Settle.
type Planting struct {
	Kind     string // F01 … F46, F08b
	Circuit  string // empty for the board and the supply
	From, To string // the length of cable, by its points; "board" is the board
	Point    string
	Ohm      float64 // size of a loose joint, a leak, an electrode
	Metre    float64 // length of a spur or bridge
}

// Kind is what is known of a kind of fault.
type Kind struct {
	ID     string
	Title  string
	Shapes []rig.Shape // circuits it makes sense on; empty: the board or the supply
	// NeverEnergise: a circuit with this fault is not made live, whatever a reading says. The rows are the published list of
	// faults that must be found dead.
	NeverEnergise bool
	Ohm, Metre    float64

	onRig  func(*site)
	onPlan func(*site)
	fits   func(*rig.Rig, *rig.Circuit) string // why it does not make sense, or empty
}

// Built is an installation with its faults in it.
type Built struct {
	Rig  *rig.Rig
	Plan *wiring.Plan
}

// Build plants the faults, in order, and draws the result. The rig passed in is not changed.
func Build(r *rig.Rig, o wiring.Options, plantings ...Planting) (*Built, error) {
	return build(r, o, nil, plantings)
}

// Plant plants faults in an installation that was built without any, with the same options: what Build gives for its rig,
// but drawn anew only where a fault changes the description. The installation is not changed.
func (b *Built) Plant(o wiring.Options, plantings ...Planting) (*Built, error) {
	return build(b.Rig, o, b.Plan, plantings)
}

func build(r *rig.Rig, o wiring.Options, sound *wiring.Plan, plantings []Planting) (*Built, error) {
	b := &Built{Rig: clone(r)}
	sites := make([]*site, 0, len(plantings))
	for _, p := range plantings {
		settled, err := Settle(b.Rig, p)
		if err != nil {
			return nil, err
		}
		s := &site{Planting: settled, Built: b, o: o, kind: kinds[settled.Kind]}
		sites = append(sites, s)
		if s.kind.onRig != nil {
			s.kind.onRig(s)
			sound = nil
		}
	}
	if sound != nil {
		b.Plan = sound.Clone()
	} else {
		plan, err := wiring.Draw(b.Rig, o)
		if err != nil {
			return nil, err
		}
		b.Plan = plan
	}
	for _, s := range sites {
		if s.kind.onPlan != nil {
			s.kind.onPlan(s)
		}
	}
	return b, b.Plan.Err()
}

// Kinds lists all kinds in order.
func Kinds() []Kind {
	var out []Kind
	for _, id := range slices.Sorted(maps.Keys(kinds)) {
		out = append(out, kinds[id])
	}
	return out
}

// Lookup finds a fault by name for a circuit: a fault that the rig lists, by its id, else a kind. The circuit is the one
// asked about; a listed fault keeps its own, unless it goes by the name of its kind and that makes sense where it is
// asked about.
func Lookup(r *rig.Rig, circuit, name string) (Planting, error) {
	kind, isKind := kindNamed(name)
	for _, f := range r.Faults {
		if !strings.EqualFold(f.ID, name) {
			continue
		}
		if isKind && f.Circuit != "" && f.Circuit != circuit && Fits(r, circuit, kind.ID) == nil {
			break // listed elsewhere by the name of its kind, and it makes sense on the circuit asked about
		}
		return Listed(r, f), nil
	}
	if isKind {
		p := Planting{Kind: kind.ID}
		if len(kind.Shapes) > 0 {
			p.Circuit = circuit
		}
		return p, nil
	}
	return Planting{}, fmt.Errorf("there is no fault %q on %s\nhint: %s", name, r.ID, content.DidYouMean(name, Names(r)))
}

// Named is a fault as a person writes it, its place and size settled: an id of the rig's list or a kind, F06, after its
// circuit, ring-1/F06, or else on the first circuit that it makes sense on.
func Named(r *rig.Rig, name string) (Planting, error) {
	circuit, kind, ok := strings.Cut(name, "/")
	if !ok {
		circuit, kind = "", name
		for i := range r.Circuits {
			if Fits(r, r.Circuits[i].ID, kind) == nil {
				circuit = r.Circuits[i].ID
				break
			}
		}
	}
	p, err := Lookup(r, circuit, kind)
	if err != nil {
		return p, err
	}
	return Settle(r, p)
}

func kindNamed(name string) (Kind, bool) {
	for id, k := range kinds {
		if strings.EqualFold(id, name) {
			return k, true
		}
	}
	return Kind{}, false
}

// Names are the names by which faults are known on a rig: those of the kinds, and those the rig lists.
func Names(r *rig.Rig) []string {
	known := slices.Sorted(maps.Keys(kinds))
	for _, f := range r.Faults {
		if _, ok := kindNamed(f.ID); !ok {
			known = append(known, f.ID)
		}
	}
	return known
}

// Listed turns a fault of the rig's list into a planting, its place read from the words of where: "between vice and
// pillar drill", "at the door". What the words do not tell is left to the kind.
func Listed(r *rig.Rig, f rig.Fault) Planting {
	p := Planting{Kind: f.Kind, Circuit: f.Circuit}
	if rest, ok := strings.CutPrefix(strings.ToUpper(f.ID), f.Kind); ok && kinds[f.Kind+strings.ToLower(rest)].ID != "" {
		p.Kind = f.Kind + strings.ToLower(rest) // a variant is named by the id: f08b of kind F08
	}
	c, ok := r.Circuit(f.Circuit)
	if !ok {
		return p
	}
	where := strings.ToLower(f.Where)
	if a, b, found := strings.Cut(after(where, "between "), " and "); found {
		from, to := place(c, a), place(c, b)
		if from != "" && to != "" {
			p.From, p.To = from, to
		}
	} else if at := after(where, "at "); at != "" {
		p.Point = place(c, at)
	}
	return p
}

func after(text, word string) string {
	if i := strings.Index(text, word); i == 0 || i > 0 && text[i-1] == ' ' {
		return text[i+len(word):]
	}
	return ""
}

// place finds the point that some words name by its id or label; the longest label wins.
func place(c *rig.Circuit, words string) string {
	words = strings.TrimPrefix(strings.TrimSpace(words), "the ")
	best, length := "", 0
	if strings.HasPrefix(words, "board") {
		best, length = "board", len("board")
	}
	for _, p := range c.Points {
		for _, name := range []string{p.ID, strings.ToLower(p.Label)} {
			if strings.HasPrefix(words, name) && len(name) > length {
				best, length = p.ID, len(name)
			}
		}
	}
	return best
}

// Fits says why a kind of fault makes no sense on a circuit of the rig, or nil when it does.
func Fits(r *rig.Rig, circuit, kind string) error {
	k, ok := kinds[kind]
	if !ok {
		return fmt.Errorf("there is no fault of kind %q", kind)
	}
	if len(k.Shapes) == 0 {
		if k.fits != nil {
			if why := k.fits(r, nil); why != "" {
				return fmt.Errorf("%s makes no sense on %s: %s", kind, r.ID, why)
			}
		}
		return nil
	}
	c, ok := r.Circuit(circuit)
	if !ok {
		var ids []string
		for _, c := range r.Circuits {
			ids = append(ids, c.ID)
		}
		return fmt.Errorf("there is no circuit %q on %s\nhint: known here: %s", circuit, r.ID, strings.Join(ids, ", "))
	}
	if !slices.Contains(k.Shapes, c.Shape) {
		return fmt.Errorf("%s makes no sense on %s, a %s circuit\nhint: it belongs on %v", kind, circuit, c.Shape, k.Shapes)
	}
	if k.fits != nil {
		if why := k.fits(r, c); why != "" {
			return fmt.Errorf("%s makes no sense on %s: %s", kind, circuit, why)
		}
	}
	return nil
}

// Settle fills in the place and size that a planting leaves open, and refuses one that makes no sense.
func Settle(r *rig.Rig, p Planting) (Planting, error) {
	if err := Fits(r, p.Circuit, p.Kind); err != nil {
		return p, err
	}
	k := kinds[p.Kind]
	if p.Ohm == 0 {
		p.Ohm = k.Ohm
	}
	if p.Metre == 0 {
		p.Metre = k.Metre
	}
	c, ok := r.Circuit(p.Circuit)
	if !ok || len(k.Shapes) == 0 {
		return p, nil
	}
	from, to := usualLength(c)
	if p.To == "" && p.From == "" {
		if p.From, p.To = from, to; p.Kind == "F06" || p.Kind == "F33" { // at the board's end
			p.From, p.To = "", c.Lengths()[0][1]
		}
	}
	p.From, p.To = strings.TrimPrefix(p.From, "board"), strings.TrimPrefix(p.To, "board")
	if !slices.Contains(c.Lengths(), rig.Length{p.From, p.To}) {
		if !slices.Contains(c.Lengths(), rig.Length{p.To, p.From}) {
			return p, fmt.Errorf("%s has no length of cable between %q and %q", p.Circuit, p.From, p.To)
		}
		p.From, p.To = p.To, p.From
	}
	if p.Point == "" {
		p.Point = usualPoint(c, p.Kind, from, to)
	}
	if !slices.ContainsFunc(c.Points, func(q rig.Point) bool { return q.ID == p.Point }) {
		return p, fmt.Errorf("%s has no point %q", p.Circuit, p.Point)
	}
	return p, nil
}

// usualLength is the middle length of a ring, the last of any other circuit.
func usualLength(c *rig.Circuit) (from, to string) {
	all := c.Lengths()
	at := len(all) - 1
	if c.Shape == rig.Ring {
		on := 0
		for _, p := range c.Points {
			if p.From == "" {
				on++
			}
		}
		at = on / 2
	}
	return all[at][0], all[at][1]
}

func usualPoint(c *rig.Circuit, kind, from, to string) string {
	switch {
	case kind == "F15" || kind == "F16" || kind == "F17" || kind == "F18":
		return or(to, from)
	case kind == "F22" && c.Shape != rig.Ring:
		all := c.Lengths()
		return all[(len(all)-1)/2][1]
	case c.Shape == rig.Ring:
		return from
	}
	return to
}

// clone copies what faults change.
func clone(r *rig.Rig) *rig.Rig {
	n := *r
	n.Circuits = slices.Clone(r.Circuits)
	for i := range n.Circuits {
		c := &n.Circuits[i]
		c.Points, c.RCD = slices.Clone(c.Points), copied(c.RCD)
	}
	n.Board.Sections = slices.Clone(r.Board.Sections)
	for i := range n.Board.Sections {
		s := &n.Board.Sections[i]
		s.RCD = copied(s.RCD)
	}
	n.Earthing.Electrode = copied(r.Earthing.Electrode)
	return &n
}

func copied[T any](p *T) *T {
	if p == nil {
		return nil
	}
	c := *p
	return &c
}
