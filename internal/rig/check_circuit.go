package rig

import "slices"

func checkCircuit(r *Rig, c *Circuit, complain complainer) {
	checkSize(&c.Cable.LineMM2, complain)
	checkSize(&c.Cable.CPCMM2, complain)
	checkLines(r, c, complain)
	checkDevice(r, c, complain)
	checkPoints(c, complain)
	switch c.Shape {
	case Ring:
		checkRing(c, complain)
	case Lighting:
		checkLighting(c, complain)
	}
}

func checkLines(r *Rig, c *Circuit, complain complainer) {
	if r.Supply.Phases != 3 || len(c.Lines) == 0 {
		return
	}
	if n := len(c.Lines); n == 2 {
		complain(&c.Lines, "", "a circuit has one line conductor or all three, found 2")
	}
	if len(c.Lines) == 3 && c.Shape != Fixed {
		complain((*string)(&c.Shape), "", "a three-phase circuit feeds fixed equipment")
	}
}

// checkDevice: an RCBO is device and RCD in one, and a second RCD before it would race with it.
func checkDevice(r *Rig, c *Circuit, complain complainer) {
	d := &c.Device
	if d.Standard == rcboStandard && c.RCD == nil {
		complain(d, "add rcd: with its type and rated residual current", "an RCBO (BS EN 61009-1) needs its rcd described")
	}
	if c.RCD != nil && c.RCD.Standard != rcboStandard && d.Standard == rcboStandard {
		complain(&c.RCD.Standard, "", "the RCD of an RCBO is to BS EN 61009-1")
	}
	if s, ok := r.Section(c.Section); ok && s.RCD != nil && c.RCD != nil {
		complain(c.RCD, "connect it to a section without an RCD", "section %s already has an RCD: two in series would race", s.ID)
	}
	if r.Board.Arrangement == RCBOBoard && d.Standard != "" && d.Standard != rcboStandard {
		complain(&d.Standard, "call the board plain, or fit an RCBO", "on an RCBO board each way is an RCBO (BS EN 61009-1)")
	}
}

// pointKinds are the kinds of point that a circuit of a shape may have.
var pointKinds = map[Shape][]PointKind{
	Ring:     {Socket, Outlet},
	Radial:   {Socket, Outlet},
	Lighting: {Fitting, Switchbox},
	Fixed:    {Outlet, Switchbox},
}

func checkPoints(c *Circuit, complain complainer) {
	allowed := pointKinds[c.Shape]
	for i := range c.Points {
		p := &c.Points[i]
		if p.Kind != "" && allowed != nil && !slices.Contains(allowed, p.Kind) {
			complain((*string)(&p.Kind), "", "a %s circuit has no point of kind %s", c.Shape, p.Kind)
		}
	}
	want := map[Shape]PointKind{Ring: Socket, Radial: Socket, Lighting: Fitting, Fixed: Outlet}[c.Shape]
	if want != "" && len(c.Points) > 0 && !slices.ContainsFunc(c.Points, func(p Point) bool { return p.Kind == want }) {
		complain(&c.ID, "", "a %s circuit has at least one %s", c.Shape, want)
	}
}

// checkRing: a point that names another is a spur off it. Spurs come last, so that the order of the list is the order
// along the ring.
func checkRing(c *Circuit, complain complainer) {
	onRing, spur := 0, false
	for i := range c.Points {
		p := &c.Points[i]
		switch {
		case p.From != "":
			spur = true
		case spur:
			complain(&p.ID, "list the points of the ring in order first, then the spurs with from:", "point %s of the ring stands after a spur", p.ID)
		default:
			onRing++
		}
	}
	if onRing < 2 && len(c.Points) > 0 {
		complain(&c.ID, "a circuit with one point is a radial", "a ring has at least two points, found %d", onRing)
	}
}

// checkLighting: two-way switching is a pair of switches, which have four positions to try.
func checkLighting(c *Circuit, complain complainer) {
	twoWay := 0
	for _, s := range c.Switches {
		if s.TwoWay {
			twoWay++
		}
	}
	if twoWay != 0 && twoWay != 2 {
		complain(&c.ID, "mark both switches of the pair", "two-way switches come in pairs, found %d", twoWay)
	}
}
