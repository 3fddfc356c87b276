package wiring

import (
	"fmt"
	"math"

	"wanderlead/internal/rig"
)

// Options are what a rig file does not say about the material.
type Options struct {
	// Copper is the resistance per metre of a copper conductor at 20 °C, in ohms, by its size in mm² (IEC 60228). ok is
	// false for a size it does not know.
	Copper func(mm2 float64) (ohmPerM float64, ok bool)
	// InsulationOhmM is the insulation resistance of one metre of cable between two cores, in ohm-metres.
	InsulationOhmM float64
	// ContactOhm is the resistance of each contact of a breaker or RCD.
	ContactOhm float64
	// ExtraneousOhm is the resistance to the general mass of earth of each bonded part, SourceEarthOhm that of the source's
	// own electrode; together they make the path round an open earthing conductor. +Inf: none.
	ExtraneousOhm, SourceEarthOhm float64
}

// Perfect is an installation without flaw in its material: no leak, no path but the drawn ones.
func Perfect(copper func(float64) (float64, bool)) Options {
	inf := math.Inf(1)
	return Options{Copper: copper, InsulationOhmM: inf, ContactOhm: 1e-6, ExtraneousOhm: inf, SourceEarthOhm: inf}
}

// Usual is a sound installation: a leak of 100 GΩ·m between cores, 1 mΩ a contact, 20 Ω from each bonded part to earth,
// 5 Ω at the source (all four common practice, no source).
func Usual(copper func(float64) (float64, bool)) Options {
	return Options{Copper: copper, InsulationOhmM: 100e9, ContactOhm: 0.001, ExtraneousOhm: 20, SourceEarthOhm: 5}
}

// Draw draws the rig as it should be. The error names a conductor size whose resistance is not known.
func Draw(r *rig.Rig, o Options) (*Plan, error) {
	d := &drawing{Plan: NewPlan(), rig: r, o: o}
	d.supply()
	d.board()
	d.earthing()
	for i := range r.Circuits {
		d.circuit(&r.Circuits[i])
	}
	return d.Plan, d.Err()
}

type drawing struct {
	*Plan
	rig *rig.Rig
	o   Options
}

// lines are the names of the line conductors of the supply.
func (d *drawing) lines() []string {
	if d.rig.Supply.Phases == 3 {
		return []string{"L1", "L2", "L3"}
	}
	return []string{"L"}
}

func (d *drawing) core(name, a, b string, ohm float64) {
	d.Put(Element{Name: name, Kind: Core, A: a, B: b, Ohm: ohm})
}

// end is a conductor's end in a terminal; the joint is perfect.
func (d *drawing) end(name, terminal string) {
	d.Put(Element{Name: name, Kind: Joint, A: name, B: terminal})
}

func (d *drawing) contact(kind Kind, name, a, b, of string, at int) {
	e := Element{Name: name, Kind: kind, A: a, B: b, Of: of, At: at}
	if kind != Switch {
		e.Ohm = d.o.ContactOhm
	}
	d.Put(e)
}

// ohmPerM is the resistance of a metre of copper.
func (d *drawing) ohmPerM(mm2 float64) float64 {
	ohm, ok := d.o.Copper(mm2)
	if !ok {
		d.fail(fmt.Errorf("the resistance of %g mm² copper is not in the table", mm2))
	}
	return ohm
}

// supply draws source, supplier's cable and isolator. On TN-C-S neutral and earth are one conductor (PEN) up to the
// origin: what both impedances share lies in it.
func (d *drawing) supply() {
	s := &d.rig.Supply
	for i, l := range d.lines() {
		d.Put(Element{Name: "source/" + l, Kind: Source, A: "source/" + l, B: "source/star", Volt: s.VoltageV, Degrees: float64(-120 * i)})
		d.core("supply/"+l, "source/"+l, "origin/"+l, s.LineOhm)
	}
	floating := s.Transformer != nil && !s.Transformer.NeutralEarthed
	switch {
	case floating:
		d.core("supply/N", "source/star", "origin/N", s.NeutralOhm)
	case s.Earthing == rig.TNCS:
		pen := min(s.NeutralOhm, s.EarthOhm)
		d.core("supply/PEN", "source/star", "origin/PEN", pen)
		d.core("supply/N", "origin/PEN", "origin/N", s.NeutralOhm-pen)
		d.core("supply/E", "origin/PEN", "origin/E", s.EarthOhm-pen)
	case s.Earthing == rig.TT:
		d.core("supply/N", "source/star", "origin/N", s.NeutralOhm)
		d.core("supply/E", "source/star", "earth", s.EarthOhm)
		if e := d.rig.Earthing.Electrode; e != nil {
			d.core("electrode", "electrode/head", "earth", e.Ohm)
			d.end("electrode/clamp", "electrode/head")
			d.core("electrode/lead", "electrode/clamp", "origin/E", 0)
		}
		if d.rig.Earthing.SupplyCable != "" { // kept apart here; its far end is earthed where the cable comes from
			d.core("supply-cable", "supply-cable/armour", "supply-cable/far-earth", 0)
		}
	default:
		d.core("supply/N", "source/star", "origin/N", s.NeutralOhm)
		d.core("supply/E", "source/star", "origin/E", s.EarthOhm)
	}
	if s.Earthing != rig.TT && !floating && !math.IsInf(d.o.SourceEarthOhm, 1) {
		d.core("source/electrode", "source/star", "earth", d.o.SourceEarthOhm)
	}
	for _, l := range append(d.lines(), "N") {
		feed := "origin/" + l
		if up := s.UpstreamRCD; up != nil {
			d.contact(Pole, up.ID+"/"+l, feed, "feed/"+l, up.ID, 1)
			feed = "feed/" + l
		}
		d.contact(Switch, "supply-isolator/"+l, feed, "board/incoming/"+l, Isolator, 1)
	}
}

// Isolator and MainSwitch are the switches of the supply and of the board in a Condition. On a rig isolated at its main
// switch the isolator stands for the supplier's own means of switching.
const (
	Isolator   = "isolator"
	MainSwitch = "main-switch"
)

func (d *drawing) board() {
	b := &d.rig.Board
	for _, l := range d.lines() {
		d.contact(Switch, "main-switch/"+l, "board/incoming/"+l, "board/main/"+l, MainSwitch, 1)
	}
	if b.MainSwitch.Poles == len(d.lines()) {
		d.core("main-switch/N", "board/incoming/N", "board/main/N", 0)
	} else {
		d.contact(Switch, "main-switch/N", "board/incoming/N", "board/main/N", MainSwitch, 1)
	}
	for _, s := range b.Sections {
		for _, l := range append(d.lines(), "N") {
			to := "board/" + s.ID + "/" + l
			if l == "N" {
				to = "board/bar/" + s.Bar
			}
			if s.RCD != nil {
				d.contact(Pole, s.RCD.ID+"/"+l, "board/main/"+l, to, s.RCD.ID, 1)
			} else {
				d.core("board/"+s.ID+"/busbar/"+l, "board/main/"+l, to, 0)
			}
		}
	}
	if b.SPD != nil {
		for _, l := range append(d.lines(), "N") {
			d.end("spd/"+l, "board/main/"+l)
			d.varistor("spd/"+l+"-E", "spd/"+l, "spd/E")
		}
		d.end("spd/E", "board/met")
	}
}

// varistor is a surge protective device: at 500 V d.c. about 0.3 MΩ has been seen in service, at 250 V nothing (trade
// journal articles on surge protective devices and insulation tests).
func (d *drawing) varistor(name, a, b string) {
	d.Put(Element{Name: name, Kind: Part, A: a, B: b, Ohm: 300e3, AboveV: 400})
}

func (d *drawing) earthing() {
	e := &d.rig.Earthing
	d.core("earthing-conductor", "origin/earthing-conductor", "board/earthing-conductor", float64(e.ConductorM*d.ohmPerM(e.ConductorMM2)))
	d.end("origin/earthing-conductor", "origin/E")
	d.end("board/earthing-conductor", "board/met")
	for _, b := range e.Bonds {
		name := "bond/" + b.ID
		d.core(name, name+"@met", name+"@clamp", float64(b.LengthM*d.ohmPerM(b.MM2)))
		d.end(name+"@met", "board/met")
		d.end(name+"@clamp", name+"/part")
		if !math.IsInf(d.o.ExtraneousOhm, 1) {
			d.core(name+"/ground", name+"/part", "earth", d.o.ExtraneousOhm)
		}
	}
}
