package faults

import (
	"fmt"
	"math"
	"slices"

	"wanderlead/internal/rig"
	"wanderlead/internal/wiring"
)

// never is a trip current that no residual current reaches.
var never = math.Inf(1)

// site is where a fault is being planted.
type site struct {
	Planting
	*Built
	o    wiring.Options
	kind Kind
	// second is the other ring that F13 and F14 join this one to.
	second string
}

func (s *site) circuit() *rig.Circuit {
	c, _ := s.Rig.Circuit(s.Circuit)
	return c
}

// cores are the conductors meant by L, N or E: on a three-phase circuit L is the first line.
func (s *site) core(core string) string {
	if core == "L" {
		return wiring.Cores(s.circuit())[0]
	}
	return core
}

func (s *site) segment() string { return wiring.SegmentName(s.circuit(), s.From, s.To) }

// at is a terminal of the fault's point.
func (s *site) at(core string) string { return s.Circuit + "/" + s.Point + "/" + s.core(core) }

func (s *site) open(cores ...string) {
	for _, core := range cores {
		s.Plan.Open(s.segment() + "/" + s.core(core))
	}
}

// loose puts resistance into the joint at the outgoing end of the length, away from the board where it starts there.
func (s *site) loose(core string) {
	end := s.From
	if end == "" {
		end = s.To
	}
	s.Plan.AddOhm(s.segment()+"/"+s.core(core)+"@"+end, s.Ohm)
}

// spur adds a socket-outlet m metres off a point, numbered on from those there are, and returns its id.
func (s *site) spur(from string, m float64) string {
	c := s.circuit()
	id := fmt.Sprintf("s%d", len(c.Points)+1)
	for slices.ContainsFunc(c.Points, func(p rig.Point) bool { return p.ID == id }) {
		id += "x"
	}
	c.Points = append(c.Points, rig.Point{ID: id, Label: "spur off " + from, Kind: rig.Socket, PlugIn: true, From: from, LengthM: m})
	return id
}

// ringPoints are the ids of the points on the ring itself.
func ringPoints(c *rig.Circuit) []string {
	var ids []string
	for _, p := range c.Points {
		if p.From == "" {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

func enoughPoints(_ *rig.Rig, c *rig.Circuit) string {
	if n := len(ringPoints(c)); n < 4 {
		return fmt.Sprintf("it needs a ring of four points, found %d", n)
	}
	return ""
}

// bridge runs a cable across the ring, from a quarter to three quarters of it: s2 to s6 of eight.
func (s *site) bridge() {
	points := ringPoints(s.circuit())
	n := len(points)
	s.Plan.AddLength(s.Rig, s.circuit(), s.o, points[n/4-1], points[3*n/4-1], s.Metre)
}

// secondRing finds another ring to join this one to, and if there is none adds a twin with a way of its own.
func (s *site) secondRing() {
	c := s.circuit()
	for i := range s.Rig.Circuits {
		if o := &s.Rig.Circuits[i]; o.ID != c.ID && o.Shape == rig.Ring && len(ringPoints(o)) >= 4 && s.kind.ID == "F13" {
			s.second = o.ID
			return
		}
	}
	twin := *c
	twin.ID, twin.Number, twin.Description = c.ID+"-twin", c.Number+"x", "another ring"
	twin.Points = slices.Clone(c.Points)
	if twin.RCD = copied(c.RCD); twin.RCD != nil { // an RCBO of its own: the two do not open together
		twin.RCD.ID += "-twin"
	}
	s.Rig.Circuits = append(s.Rig.Circuits, twin)
	s.second = twin.ID
}

// freeEnds leaves the ends of the twin ring out of the board.
func (s *site) freeEnds() {
	c, _ := s.Rig.Circuit(s.second)
	for leg := 1; leg <= 2; leg++ {
		for _, core := range wiring.Cores(c) {
			s.Plan.Open(wiring.BoardEnd(c, leg, core))
		}
	}
}

// toOther joins the rings by a cable: at the middle point, and a second time at the last but one.
func (s *site) toOther(time int) {
	c := s.circuit()
	o, _ := s.Rig.Circuit(s.second)
	here, there := ringPoints(c), ringPoints(o)
	a, b := here[len(here)/2-1], there[len(there)/2-1]
	if time == 1 {
		a, b = here[len(here)-2], there[len(there)-2]
	}
	for _, core := range wiring.Cores(c) {
		mm2 := c.Cable.LineMM2
		if core == "E" {
			mm2 = c.Cable.CPCMM2
		}
		s.Plan.AddCore(s.o, c.ID+"/"+a+"-"+o.ID+"."+b+"/"+core, c.ID+"/"+a+"/"+core, o.ID+"/"+b+"/"+core, s.Metre, mm2)
	}
}

var sizes = []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120}

func cpcShrinks(_ *rig.Rig, c *rig.Circuit) string {
	if slices.Index(sizes, c.Cable.CPCMM2) < 1 {
		return "there is no smaller cpc"
	}
	return ""
}

func (s *site) smallerCPC() {
	c := s.circuit()
	c.Cable.CPCMM2 = sizes[slices.Index(sizes, c.Cable.CPCMM2)-1]
}

// noFlyLead parts a point from its cpc: at a fitting its metalwork, elsewhere the earth contact, whose conductors are
// left together in a connector.
func (s *site) noFlyLead() {
	plate := s.Circuit + "/" + s.Point + "/plate"
	if _, ok := s.Plan.Get(plate); ok {
		s.Plan.Open(plate)
		return
	}
	connector := s.Circuit + "/" + s.Point + "/connector"
	for _, end := range s.Plan.Ends(s.at("E")) {
		s.Plan.Into(end, connector)
	}
	s.Plan.Put(wiring.Element{Name: connector, Kind: wiring.Leak, A: s.at("E"), B: connector, Ohm: math.Inf(1)})
}

// reverse exchanges all conductors of two terminals at a point.
func (s *site) reverse(a, b string) {
	inA, inB := s.fixedEnds(a), s.fixedEnds(b)
	for _, end := range inA {
		s.Plan.Into(end, s.at(b))
	}
	for _, end := range inB {
		s.Plan.Into(end, s.at(a))
	}
}

// fixedEnds are the ends of the circuit's cables in a terminal of the point, without the accessory's own parts.
func (s *site) fixedEnds(core string) []string {
	own := []string{s.Circuit + "/" + s.Point + "/SN", s.Circuit + "/" + s.Point + "/SL", s.Circuit + "/" + s.Point + "/plate"}
	return slices.DeleteFunc(s.Plan.Ends(s.at(core)), func(end string) bool { return slices.Contains(own, end) })
}

// crossOne exchanges line and neutral of one cable at its far end; of a ring's last length, which ends in the board, at
// the point it comes from.
func (s *site) crossOne() {
	end := or(s.To, s.From)
	s.Plan.Swap(s.segment()+"/L@"+end, s.segment()+"/N@"+end)
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// join puts a resistance between two terminals of the point: insulation that is damp, pierced or gone.
func (s *site) join(a, b string, ohm float64) {
	s.Plan.Put(wiring.Element{Name: s.Circuit + "/" + s.Point + "/fault/" + a + "-" + b, Kind: wiring.Leak, A: s.at(a), B: s.at(b), Ohm: ohm})
}

// neutralEnds are the circuit's neutral ends at the board.
func (s *site) neutralEnds() []string {
	c := s.circuit()
	ends := []string{wiring.BoardEnd(c, 1, "N")}
	if c.Shape == rig.Ring {
		ends = append(ends, wiring.BoardEnd(c, 2, "N"))
	}
	return ends
}

// wrongHome is where the circuit's neutral could land by mistake: another section's bar, or another RCBO.
func wrongHome(r *rig.Rig, c *rig.Circuit) string {
	home := wiring.Home(r, c, "N")
	for _, bar := range r.Bars() {
		if to := "board/bar/" + bar; c.RCD == nil && to != home {
			return to
		}
	}
	for i := range r.Circuits {
		if o := &r.Circuits[i]; o.ID != c.ID && (o.RCD != nil || c.RCD != nil) {
			return wiring.Home(r, o, "N")
		}
	}
	return ""
}

func otherHome(r *rig.Rig, c *rig.Circuit) string {
	if wrongHome(r, c) == "" {
		return "the board has one place for a neutral"
	}
	return ""
}

func (s *site) wrongBar() {
	for _, end := range s.neutralEnds() {
		s.Plan.Into(end, wrongHome(s.Rig, s.circuit()))
	}
}

// lender is the circuit whose neutral or cpc is borrowed: one of another section if there is one. For joined neutrals it
// must be.
func lender(r *rig.Rig, c *rig.Circuit, mustDiffer bool) *rig.Circuit {
	var near *rig.Circuit
	for i := range r.Circuits {
		o := &r.Circuits[i]
		if o.ID == c.ID {
			continue
		}
		if o.Section != c.Section || o.RCD != nil {
			return o
		}
		if near == nil {
			near = o
		}
	}
	if mustDiffer {
		return nil
	}
	return near
}

func otherCircuit(r *rig.Rig, c *rig.Circuit) string {
	if lender(r, c, false) == nil {
		return "there is no other circuit"
	}
	return ""
}

func otherSection(r *rig.Rig, c *rig.Circuit) string {
	if lender(r, c, true) == nil {
		return "there is no circuit with another neutral"
	}
	return ""
}

// borrow leaves out a circuit's own neutral or cpc in its length and takes it from the first point of another circuit.
func (s *site) borrow(core string) {
	s.open(core)
	c := s.circuit()
	o := lender(s.Rig, c, false)
	to := s.To
	if to == "" {
		to = s.From
	}
	mm2 := c.Cable.LineMM2
	if core == "E" {
		mm2 = c.Cable.CPCMM2
	}
	first := o.Lengths()[0][1]
	s.Plan.AddCore(s.o, c.ID+"/borrowed/"+core, o.ID+"/"+first+"/"+core, c.ID+"/"+to+"/"+core, s.Metre, mm2)
}

// joinNeutrals connects the neutrals of two sections in a shared joint box.
func (s *site) joinNeutrals() {
	c := s.circuit()
	o := lender(s.Rig, c, true)
	s.Plan.AddCore(s.o, c.ID+"/joint-box/N", s.at("N"), o.ID+"/"+o.Lengths()[0][1]+"/N", 1, c.Cable.LineMM2)
}
