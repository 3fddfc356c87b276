package faultfind

import (
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"wanderlead/internal/faults"
	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// None and the innocent causes: what makes a reading look wrong with nothing wrong in the installation.
const (
	None      = "none"
	LoadIn    = "load-in"    // a lamp or appliance left in
	SwitchOff = "switch-off" // a point's own switch is off, or the probe makes no contact there
	Leads     = "leads"      // leads not nulled; not a form of its own, see Cause.OffsetOhm
)

// Cause is one hypothesis about a circuit, at one place and of one size.
type Cause struct {
	Kind     string // none, an innocent cause, or F01 … F46
	Circuit  string // empty for the board and the supply
	From, To string // the length of cable, "" for the board; both empty where it is at a point or has no place
	Point    string
	Pair     string  // the conductors it is in or between: "L", "L-N" …
	Size     float64 // in Unit; 0 where it has none
	Unit     string  // "Ω", "m" or empty

	very bool // F08b, which is F08 of another size
}

// form is a hypothesis without its size: by what its elements differ from the sound installation's.
type form struct {
	Cause
	sizes    []float64 // the sizes worked out beforehand, rising; nil where it has none
	changes  []change
	rig      *rig.Rig // its own description where it differs
	off      string   // the point whose switch is off
	prior    float64  // logarithm
	innocent bool

	edits [][]edit // by stand
	known []answer // by size, as far as level
	level level
}

// level is how much of what measures show is worked out: dead measures, the live ones too, those of a search too.
type level int

const (
	unknown level = iota
	dead
	usual
	wide
)

// change is an element as a fault leaves it: ohm = ohm0 + slope × size.
type change struct {
	element     int32 // −1: added
	is          wiring.Element
	a, b        int32
	ohm0, slope float64
}

// edit is a change as it stands in one condition, between kept numbers.
type edit struct {
	loose       int32 // place in stand.loose, −1: added
	a, b        int32
	ohm0, slope float64
	open        bool

	// Of a device that the fault brings with it, in a live network: 1 + its number, and which contact it is.
	device int
	pole   bool
	at     int
}

// sized says between which values the size of a kind is looked for. At these values the network is solved; in between, a
// reading is the bilinear function of the size through three of them, which for one changed resistance it exactly is.
type sized struct {
	sizes []float64
	unit  string
	usual float64 // the size met most often (common practice, no source)
}

var (
	looseOhm   = sized{[]float64{0.05, 0.5, 5, 40}, "Ω", 0.7}
	leakOhm    = sized{[]float64{50e3, 300e3, 1e6, 3e6, 15e6}, "Ω", 500e3}
	piercedOhm = sized{[]float64{1, 1e3, 4e3, 15e3, 45e3}, "Ω", 5e3}
	spurM      = sized{[]float64{1, 8, 35}, "m", 8}
	bridgeM    = sized{[]float64{1, 6, 25}, "m", 5}
	earthOhm   = sized{[]float64{0.1, 1, 20}, "Ω", 0.6}
	rodOhm     = sized{[]float64{60, 300, 1660}, "Ω", 480}
	brokenOhm  = sized{[]float64{1700, 9000, 40e3}, "Ω", 9000}
	lampOhm    = sized{[]float64{8, 30, 99}, "Ω", 30}
)

// sizesOf lists the kinds that have a size. F09 and F10 run a cable of unknown length, F11, F12 and F14 one across.
var sizesOf = map[string]sized{
	"F05": looseOhm, "F06": looseOhm, "F07": looseOhm, "F08": looseOhm, "F09": spurM, "F10": spurM, "F11": bridgeM, "F12": bridgeM,
	"F14": bridgeM, "F23": leakOhm, "F24": piercedOhm, "F35": earthOhm, "F37": brokenOhm, "F38": rodOhm, LoadIn: lampOhm,
}

// planting is the cause as package faults plants it.
func (c Cause) planting() faults.Planting {
	p := faults.Planting{Kind: c.Kind, Circuit: c.Circuit, From: c.From, To: c.To, Point: c.Point}
	if c.From == "" && c.To != "" {
		p.From = "board"
	} else if c.To == "" && c.From != "" {
		p.To = "board"
	}
	switch c.Unit {
	case "Ω":
		p.Ohm = c.Size
	case "m":
		p.Metre = c.Size
	}
	return p
}

// built is a sound installation, drawn, with the cause in it.
func (c Cause) built(sound *faults.Built, o wiring.Options) (*faults.Built, error) {
	r := sound.Rig
	switch {
	case c.Kind == None || c.Kind == SwitchOff:
		return sound.Plant(o)
	case c.Kind == LoadIn:
		b, err := sound.Plant(o)
		if err == nil {
			at := c.Circuit + "/" + firstPoint(r, c.Circuit) + "/"
			b.Plan.Put(wiring.Element{Name: at + "left-in", Kind: wiring.Leak, A: at + lineOf(r, c.Circuit), B: at + "N", Ohm: c.Size})
			err = b.Plan.Err()
		}
		return b, err
	case (c.Kind == "F23" || c.Kind == "F24") && c.Pair != "L-E":
		b, err := sound.Plant(o)
		if err == nil {
			x, y, _ := strings.Cut(c.Pair, "-")
			if x == "L" {
				x = lineOf(r, c.Circuit)
			}
			at := c.Circuit + "/" + c.Point + "/"
			b.Plan.Put(wiring.Element{Name: at + "fault/" + c.Pair, Kind: wiring.Leak, A: at + x, B: at + y, Ohm: c.Size})
			err = b.Plan.Err()
		}
		return b, err
	}
	return sound.Plant(o, c.planting())
}

func lineOf(r *rig.Rig, circuit string) string {
	c, _ := r.Circuit(circuit)
	return wiring.Cores(c)[0]
}

func firstPoint(r *rig.Rig, circuit string) string {
	c, _ := r.Circuit(circuit)
	for _, p := range c.Points {
		if p.Kind != rig.Switchbox {
			return p.ID
		}
	}
	return ""
}

// drawn is an installation with a cause in it, at the least and, where that says more, at the greatest of its sizes.
type drawn struct {
	low, high     *faults.Built
	changed, most []wiring.Element // what differs in them from the sound one
	err           error
}

// partlySized are kinds of which some of what they change does not grow with the size.
var partlySized = map[string]bool{"F10": true, "F14": true, "F37": true, "F38": true}

// draw draws the installation with a cause in it; nothing where it changes nothing.
func draw(sound *faults.Built, cause Cause, o wiring.Options) (d drawn) {
	if cause.Kind == None || cause.Kind == SwitchOff {
		return d
	}
	sizes := sizesOf[cause.Kind].sizes
	if len(sizes) > 0 {
		cause.Size = sizes[0]
	}
	if d.low, d.err = cause.built(sound, o); d.err == nil && partlySized[cause.Kind] {
		cause.Size = sizes[len(sizes)-1]
		d.high, d.err = cause.built(sound, o)
	}
	if d.err != nil {
		d.err = fmt.Errorf("%s: %w", cause.Kind, d.err)
		return d
	}
	if d.low != nil {
		d.changed = d.low.Plan.Differences(sound.Plan)
	}
	if d.high != nil {
		d.most = d.high.Plan.Differences(sound.Plan)
	}
	return d
}

// drawAll draws all causes, side by side: they have nothing in common but the description, which nobody changes.
func drawAll(sound *faults.Built, causes []Cause, o wiring.Options) []drawn {
	out := make([]drawn, len(causes))
	sideBySide(len(causes), func(_ *work, i int) { out[i] = draw(sound, causes[i], o) })
	return out
}

// sideBySide does n things on all processors, each processor with a sheet of its own to work on.
func sideBySide(n int, do func(w *work, i int)) {
	var next atomic.Int64
	var done sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		done.Add(1)
		go func() {
			defer done.Done()
			var w work
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(&w, i)
			}
		}()
	}
	done.Wait()
}

// newForm compares an installation with the cause in it with the sound one.
func newForm(f *field, sound *rig.Rig, cause Cause, d drawn) *form {
	m := &form{Cause: cause, sizes: sizesOf[cause.Kind].sizes, innocent: cause.Kind == None || cause.Kind == LoadIn || cause.Kind == SwitchOff}
	if cause.Kind == SwitchOff {
		m.off = cause.Circuit + "/" + cause.Point + "/"
	}
	if d.low == nil {
		return m
	}
	m.changes = f.differences(d.changed)
	if !sameDevices(sound, d.low.Rig) {
		m.rig = d.low.Rig
	}
	if len(m.sizes) == 0 {
		return m
	}
	low, high := m.sizes[0], m.sizes[len(m.sizes)-1]
	var other []change
	if d.high != nil {
		other = f.differences(d.most)
	}
	for i := range m.changes {
		c := &m.changes[i]
		switch {
		case strings.Contains(c.is.Name, "/leak/") || math.IsInf(c.is.Ohm, 1) || c.is.Ohm == 0:
			// insulation of a cable falls with its length, but is far above every range
		case other != nil:
			c.slope = (other[i].is.Ohm - c.is.Ohm) / (high - low)
			c.ohm0 = c.is.Ohm - float64(c.slope*low)
			if math.Abs(c.ohm0) < 1e-9*math.Abs(c.is.Ohm) {
				c.ohm0 = 0
			}
		case c.element >= 0:
			c.ohm0 = f.elements[c.element].Ohm
			c.slope = (c.is.Ohm - c.ohm0) / low
		default:
			c.ohm0, c.slope = 0, c.is.Ohm/low
		}
	}
	return m
}

// differences numbers what is changed or added in an installation against the sound one.
func (f *field) differences(elements []wiring.Element) []change {
	var out []change
	for _, e := range elements {
		c := change{element: -1, is: e, a: f.at(e.A), b: f.at(e.B), ohm0: e.Ohm}
		if i, known := f.index[e.Name]; known {
			c.element = i
			f.touch(i)
		}
		out = append(out, c)
	}
	return out
}

// sameDevices says whether two descriptions have devices that behave alike.
func sameDevices(a, b *rig.Rig) bool {
	return slices.EqualFunc(a.Circuits, b.Circuits, func(x, y rig.Circuit) bool {
		return x.ID == y.ID && x.Device == y.Device && same(x.RCD, y.RCD)
	}) && slices.EqualFunc(a.Board.Sections, b.Board.Sections, func(x, y rig.Section) bool { return same(x.RCD, y.RCD) })
}

func same[T comparable](x, y *T) bool { return x == y || x != nil && y != nil && *x == *y }

// stood prepares the form's changes for a condition.
func (m *form) stood(f *field, s *stand, number func(device string) int) []edit {
	var out []edit
	for i := range m.changes {
		c := &m.changes[i]
		if c.is.AboveV > 0 {
			continue
		}
		e := edit{loose: -1, a: s.number[c.a] - 1, b: s.number[c.b] - 1, ohm0: c.ohm0, slope: c.slope}
		if c.element >= 0 {
			e.loose = f.place[c.element] - 1
		}
		if s.live && c.element < 0 && special(&c.is) {
			e.device, e.pole, e.at = 1+number(c.is.Of), c.is.Kind == wiring.Pole, c.is.At
		}
		e.open = !closed(&s.cond, &c.is) || math.IsInf(c.is.Ohm, 1) || c.is.Kind == wiring.Source
		out = append(out, e)
	}
	return out
}
