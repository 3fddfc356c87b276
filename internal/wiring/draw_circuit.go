package wiring

import (
	"math"

	"wanderlead/internal/rig"
)

// What is plugged in or connected at points when it is in, in ohms: a 1.8 kW appliance, 3 kW of fixed equipment, a 60 W
// lamp, all hot; the electronics of a connected controller (common practice, no source).
const (
	applianceOhm   = 30
	equipmentOhm   = 17.6
	lampOhm        = 882
	electronicsOhm = 100e3
)

// Cores are the conductors of a circuit's cable, lines first.
func Cores(c *rig.Circuit) []string {
	if len(c.Lines) == 3 {
		return []string{"L1", "L2", "L3", "N", "E"}
	}
	return []string{"L", "N", "E"}
}

func (d *drawing) circuit(c *rig.Circuit) {
	d.way(c)
	before := ""
	for i := range c.Points {
		p := &c.Points[i]
		from := p.From
		if from == "" {
			from = before
		}
		if c.Shape == rig.Lighting && p.Kind == rig.Switchbox {
			continue // its cable carries other cores
		}
		d.length(c, from, p.ID, p.LengthM)
		d.point(c, p)
		if p.From == "" || c.Shape != rig.Ring {
			before = p.ID
		}
	}
	if c.Shape == rig.Ring {
		d.length(c, before, "", c.ReturnM)
	}
	if c.Shape == rig.Lighting {
		d.lighting(c)
	}
	d.leftIn(c)
}

// Home is the terminal in which a core of the circuit belongs at the board.
func Home(r *rig.Rig, c *rig.Circuit, core string) string {
	switch {
	case core == "E":
		return "board/met"
	case core == "N" && c.RCD == nil:
		return "board/bar/" + r.BarOf(c)
	}
	return c.ID + "/way/" + core
}

// way draws a circuit's place in the board: its breaker, and its RCBO's residual part if it has one, which opens the
// line alone.
func (d *drawing) way(c *rig.Circuit) {
	for i, l := range Cores(c)[:len(Cores(c))-2] {
		phase := "L"
		if d.rig.Supply.Phases == 3 {
			phase = c.Lines[i]
		}
		to := c.ID + "/way/" + l
		if c.RCD != nil {
			d.contact(Pole, c.RCD.ID+"/"+l, c.ID+"/rcbo/"+l, to, c.RCD.ID, 1)
			to = c.ID + "/rcbo/" + l
		}
		d.contact(Breaker, c.ID+"/breaker/"+l, "board/"+c.Section+"/"+phase, to, c.ID, 1)
	}
	if c.RCD != nil {
		d.contact(Pole, c.RCD.ID+"/N", "board/bar/"+d.rig.BarOf(c), c.ID+"/way/N", c.RCD.ID, 0)
	}
}

// sizeOhm is the resistance of a metre of one core.
func (d *drawing) sizeOhm(c *rig.Circuit, core string) float64 {
	if core == "E" {
		return d.ohmPerM(c.Cable.CPCMM2)
	}
	return d.ohmPerM(c.Cable.LineMM2)
}

// SegmentName names the cable between two points; "" stands for the board.
func SegmentName(c *rig.Circuit, from, to string) string {
	if from == "" {
		from = "board"
	}
	if to == "" {
		to = "board"
	}
	return c.ID + "/" + from + "-" + to
}

// BoardEnd is the name of a core's end at the board: of the cable to the first point, or of a ring's second leg.
func BoardEnd(c *rig.Circuit, leg int, core string) string {
	switch {
	case c.Shape != rig.Ring:
		return c.ID + "/end/" + core
	case leg == 2:
		return c.ID + "/leg2/" + core
	}
	return c.ID + "/leg1/" + core
}

// length draws one length of the circuit's cable with its ends and its insulation. Padding lies in the first.
func (d *drawing) length(c *rig.Circuit, from, to string, m float64) {
	name, ohmM := SegmentName(c, from, to), m
	if from == "" && c.Padding != nil {
		ohmM += c.Padding.StandsForM
	}
	ends := map[string]string{}
	for _, core := range Cores(c) {
		a, b := name+"/"+core+"@"+from, name+"/"+core+"@"+to
		if from == "" {
			a = BoardEnd(c, 1, core)
		}
		if to == "" {
			b = BoardEnd(c, 2, core)
		}
		d.core(name+"/"+core, a, b, float64(ohmM*d.sizeOhm(c, core)))
		d.endAt(c, a, from, core)
		d.endAt(c, b, to, core)
		ends[core] = b
	}
	d.insulation(c, name, ends, m)
}

func (d *drawing) endAt(c *rig.Circuit, end, place, core string) {
	if place == "" {
		d.end(end, Home(d.rig, c, core))
	} else {
		d.end(end, c.ID+"/"+place+"/"+core)
	}
}

// insulation puts a length's leaks between its cores, all at its far end: what the copper in between adds is a part in
// 10^9 of it.
func (d *drawing) insulation(c *rig.Circuit, name string, ends map[string]string, m float64) {
	if m <= 0 || math.IsInf(d.o.InsulationOhmM, 1) {
		return
	}
	cores := Cores(c)
	for i, a := range cores {
		for _, b := range cores[i+1:] {
			d.Put(Element{Name: name + "/leak/" + a + "-" + b, Kind: Leak, A: ends[a], B: ends[b], Ohm: d.o.InsulationOhmM / m})
		}
	}
}

// point draws what stands at a point.
func (d *drawing) point(c *rig.Circuit, p *rig.Point) {
	at := c.ID + "/" + p.ID + "/"
	switch p.Kind {
	case rig.Fitting:
		d.end(at+"SN", at+"N")
		d.end(at+"plate", at+"E")
		d.Put(Element{Name: at + "lamp", Kind: Load, A: at + "SL", B: at + "SN", Ohm: lampOhm})
	case rig.Socket:
		d.Put(Element{Name: at + "load", Kind: Load, A: at + "L", B: at + "N", Ohm: applianceOhm})
	case rig.Outlet:
		for _, l := range Cores(c)[:len(Cores(c))-2] {
			name := at + "load"
			if l != "L" {
				name += "-" + l
			}
			d.Put(Element{Name: name, Kind: Load, A: at + l, B: at + "N", Ohm: equipmentOhm})
		}
	}
}

// leftIn draws what cannot be taken out before the insulation test, at the first point.
func (d *drawing) leftIn(c *rig.Circuit) {
	first, line := "", Cores(c)[0]
	for _, p := range c.Points {
		if p.Kind != rig.Switchbox {
			first = c.ID + "/" + p.ID + "/"
			break
		}
	}
	if first == "" {
		return
	}
	if c.Electronics != "" {
		d.Put(Element{Name: first + "electronics", Kind: Part, A: first + line, B: first + "N", Ohm: electronicsOhm})
	}
	if c.SPD {
		d.varistor(first+"spd/L-E", first+line, first+"E")
		d.varistor(first+"spd/N-E", first+"N", first+"E")
	}
}

// AddLength draws one more length of the circuit's cable in a plan, between two of its points, ends and insulation
// included.
func (p *Plan) AddLength(r *rig.Rig, c *rig.Circuit, o Options, from, to string, m float64) {
	d := &drawing{Plan: p, rig: r, o: o}
	d.length(c, from, to, m)
}

// AddCore draws one more core of the circuit's line size between two terminals, which may lie on different circuits.
func (p *Plan) AddCore(o Options, name, from, to string, m, mm2 float64) {
	d := &drawing{Plan: p, o: o}
	d.core(name, name+"@from", name+"@to", float64(m*d.ohmPerM(mm2)))
	d.end(name+"@from", from)
	d.end(name+"@to", to)
}
