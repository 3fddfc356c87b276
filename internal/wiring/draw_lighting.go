package wiring

import (
	"slices"

	"wanderlead/internal/rig"
)

// lighting draws the switches of a lighting circuit looped in at the fittings: a feed from a fitting's line terminal to
// the switch, and the switched line from there to the lampholders.
//
// The switch boxes are the circuit's points of kind switch, in the order of its switches. A switch works the fitting its
// box hangs on and those after it up to the next box; two two-way switches work theirs together.
func (d *drawing) lighting(c *rig.Circuit) {
	var fittings, boxes []*rig.Point
	for i := range c.Points {
		p := c.Points[i]
		switch {
		case p.Kind == rig.Fitting:
			fittings = append(fittings, &p)
			continue
		case p.From == "" && len(fittings) > 0:
			p.From = fittings[len(fittings)-1].ID
		}
		boxes = append(boxes, &p)
	}
	if len(fittings) == 0 {
		return
	}
	for _, box := range boxes {
		if box.From == "" {
			box.From = fittings[0].ID
		}
		d.dropEarth(c, box)
	}
	var pair []hung
	for i, s := range c.Switches {
		h := hung{id: s.ID, fitting: fittings[0].ID}
		if i < len(boxes) {
			h.box, h.fitting, h.m = boxes[i].ID, boxes[i].From, boxes[i].LengthM
		}
		if s.TwoWay {
			pair = append(pair, h)
			continue
		}
		d.oneWay(c, h)
	}
	if len(pair) == 2 {
		d.twoWay(c, pair[0], pair[1])
	}
	d.switchedLines(c, fittings, boxes)
}

// hung is a switch, its box, the fitting its cable comes from and that cable's length.
type hung struct {
	id, box, fitting string
	m                float64
}

// dropEarth is the cpc of a switch's cable, with the plate's fly lead.
func (d *drawing) dropEarth(c *rig.Circuit, box *rig.Point) {
	name, at := SegmentName(c, box.From, box.ID), c.ID+"/"+box.ID+"/"
	d.core(name+"/E", name+"/E@"+box.From, name+"/E@"+box.ID, float64(box.LengthM*d.sizeOhm(c, "E")))
	d.end(name+"/E@"+box.From, c.ID+"/"+box.From+"/E")
	d.end(name+"/E@"+box.ID, at+"E")
	d.end(at+"plate", at+"E")
}

// run draws one core of m metres between two terminals, an end at each.
func (d *drawing) run(c *rig.Circuit, name, from, fromTerminal, to, toTerminal string, m float64) {
	d.core(name, name+"@"+from, name+"@"+to, float64(m*d.sizeOhm(c, "L")))
	d.end(name+"@"+from, fromTerminal)
	d.end(name+"@"+to, toTerminal)
}

func (d *drawing) feed(c *rig.Circuit, h hung) {
	d.run(c, c.ID+"/"+h.id+"/feed", h.fitting, c.ID+"/"+h.fitting+"/L", h.id, c.ID+"/"+h.id+"/COM", h.m)
}

func (d *drawing) giveBack(c *rig.Circuit, h hung, terminal string) {
	d.run(c, c.ID+"/"+h.id+"/return", h.id, c.ID+"/"+h.id+"/"+terminal, h.fitting, c.ID+"/"+h.fitting+"/SL", h.m)
}

func (d *drawing) oneWay(c *rig.Circuit, h hung) {
	at := c.ID + "/" + h.id
	d.feed(c, h)
	d.contact(Switch, at+"/contact", at+"/COM", at+"/L1", at, 1)
	d.giveBack(c, h, "L1")
}

// twoWay joins two switches by strappers between their L1 and L2: line at the common of one, lamp at that of the other.
// Equal positions close.
func (d *drawing) twoWay(c *rig.Circuit, a, b hung) {
	d.feed(c, a)
	d.giveBack(c, b, "COM")
	between := a.m + d.route(c, a.fitting, b.fitting) + b.m
	for _, l := range []string{"L1", "L2"} {
		d.run(c, c.ID+"/strapper-"+l[1:], a.id, c.ID+"/"+a.id+"/"+l, b.id, c.ID+"/"+b.id+"/"+l, between)
	}
	for _, h := range []hung{a, b} {
		at := c.ID + "/" + h.id
		d.contact(Switch, at+"/contact-1", at+"/COM", at+"/L1", at, 0)
		d.contact(Switch, at+"/contact-2", at+"/COM", at+"/L2", at, 1)
	}
}

// route is the length of cable between two fittings.
func (d *drawing) route(c *rig.Circuit, a, b string) float64 {
	up := func(id string) (path []string, m []float64) {
		for id != "" {
			i := slices.IndexFunc(c.Points, func(p rig.Point) bool { return p.ID == id })
			p := &c.Points[i]
			path, m = append(path, id), append(m, p.LengthM)
			if id = p.From; id == "" {
				for j := i - 1; j >= 0 && id == ""; j-- {
					if c.Points[j].Kind == rig.Fitting {
						id = c.Points[j].ID
					}
				}
			}
		}
		return path, m
	}
	pa, ma := up(a)
	pb, mb := up(b)
	sum := 0.0
	for i, id := range pa {
		if !slices.Contains(pb, id) {
			sum += ma[i]
		}
	}
	for i, id := range pb {
		if !slices.Contains(pa, id) {
			sum += mb[i]
		}
	}
	return sum
}

// switchedLines carries the switched line on from the fitting that has it to the others of its group. Without switches
// each lampholder hangs on the line itself.
func (d *drawing) switchedLines(c *rig.Circuit, fittings, boxes []*rig.Point) {
	if len(c.Switches) == 0 {
		for _, f := range fittings {
			d.end(c.ID+"/"+f.ID+"/SL", c.ID+"/"+f.ID+"/L")
		}
		return
	}
	group := func(i int) int { // which switch works fitting i: both of a pair count as the first of them
		for ; i >= 0; i-- {
			for k, b := range boxes {
				if b.From == fittings[i].ID && k < len(c.Switches) {
					return d.pairOf(c, k)
				}
			}
		}
		return d.pairOf(c, 0)
	}
	last := map[int]string{}
	for i, f := range fittings {
		g := group(i)
		if before, ok := last[g]; ok {
			d.run(c, c.ID+"/"+before+"-"+f.ID+"/SL", before, c.ID+"/"+before+"/SL", f.ID, c.ID+"/"+f.ID+"/SL", d.route(c, before, f.ID))
		}
		last[g] = f.ID
	}
}

func (d *drawing) pairOf(c *rig.Circuit, k int) int {
	if !c.Switches[k].TwoWay {
		return k
	}
	return slices.IndexFunc(c.Switches, func(s rig.Switch) bool { return s.TwoWay })
}
