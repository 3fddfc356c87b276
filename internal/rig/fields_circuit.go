package rig

import (
	"fmt"
	"slices"

	"wanderlead/internal/quantity"
)

var circuitRecord = &record{name: "circuit", fields: []*field{
	id("id", func(c *Circuit) any { return &c.ID }),
	text("number", func(c *Circuit) any { return &c.Number }),
	prose(text("description", func(c *Circuit) any { return &c.Description })),
	labelled(word("shape", fixed(string(Ring), string(Radial), string(Lighting), string(Fixed)), func(c *Circuit) any { return (*string)(&c.Shape) })),
	word("section", sectionIDs, func(c *Circuit) any { return &c.Section }),
	{key: "lines", kind: texts, least: 1, required: true, words: fixed("L1", "L2", "L3"),
		at:   in(func(c *Circuit) any { return &c.Lines }),
		when: func(r *Rig, _ any) bool { return r.Supply.Phases == 3 }, why: "on a single-phase rig there is only L"},
	part("device", deviceRecord, func(c *Circuit) any { return &c.Device }),
	only(perhaps("rcd", rcdRecord, func(c *Circuit) any { return optionalOf[RCD]{&c.RCD} }),
		"only an RCBO (BS EN 61009-1) has one of its own", func(_ *Rig, c *Circuit) bool { return c.Device.Standard == rcboStandard }),
	part("cable", cableRecord, func(c *Circuit) any { return &c.Cable }),
	several("points", 1, pointRecord, func(c *Circuit) any { return listOf[Point]{&c.Points} }),
	only(measure("return-length", quantity.Metre, func(c *Circuit) any { return &c.ReturnM }),
		"only a ring comes back to the board", func(_ *Rig, c *Circuit) bool { return c.Shape == Ring }),
	only(several("switches", 1, switchRecord, func(c *Circuit) any { return listOf[Switch]{&c.Switches} }),
		"only a lighting circuit has switches", func(_ *Rig, c *Circuit) bool { return c.Shape == Lighting }),
	prose(lines("takeout", 0, func(c *Circuit) any { return &c.Takeout })),
	optionally(prose(text("electronics", func(c *Circuit) any { return &c.Electronics }))),
	truth("spd-connected", func(c *Circuit) any { return &c.SPD }),
	perhaps("padding", paddingRecord, func(c *Circuit) any { return optionalOf[Padding]{&c.Padding} }),
	optionally(prose(text("earths", func(c *Circuit) any { return &c.Earthed }))),
}, finish: func(r *Rig, p any) {
	if c := p.(*Circuit); r.Supply.Phases != 3 {
		c.Lines = []string{"L"}
	}
}}

func sectionIDs(r *Rig, _ any) []string {
	var ids []string
	for _, s := range r.Board.Sections {
		ids = append(ids, s.ID)
	}
	return ids
}

// rcboStandard is the product standard of RCBOs, which are overcurrent device and RCD in one.
const rcboStandard = "BS EN 61009-1"

// fuses are the overcurrent standards without a curve letter.
var fuses = []string{"BS 88-2", "BS 88-3", "BS 3036", "BS 1361", "BS 1362"}

var deviceRecord = &record{name: "device", inline: true, fields: []*field{
	word("standard", fixed(append([]string{"BS EN 60898", rcboStandard}, fuses...)...), func(d *Device) any { return &d.Standard }),
	only(word("curve", fixed("B", "C", "D"), func(d *Device) any { return &d.Curve }),
		"a fuse has no curve letter", func(_ *Rig, d *Device) bool { return !slices.Contains(fuses, d.Standard) }),
	measure("rating", quantity.Ampere, func(d *Device) any { return &d.RatingA }),
	measure("breaking-capacity", quantity.Kiloampere, func(d *Device) any { return &d.BreakingKA }),
}}

var cableRecord = &record{name: "cable", inline: true, fields: []*field{
	measure("line", quantity.SquareMillimetre, func(c *Cable) any { return &c.LineMM2 }),
	measure("cpc", quantity.SquareMillimetre, func(c *Cable) any { return &c.CPCMM2 }),
	labelled(word("wiring-type", fixed("A", "B", "C", "D", "E", "F", "G", "H", "O"), func(c *Cable) any { return &c.WiringType })),
	word("method", fixed("A", "B", "C", "D", "E", "F", "G", "100", "101", "102", "103"), func(c *Cable) any { return &c.Method }),
}}

var pointRecord = &record{name: "point", inline: true, fields: []*field{
	id("id", func(p *Point) any { return &p.ID }),
	prose(text("label", func(p *Point) any { return &p.Label })),
	labelled(word("kind", fixed(string(Socket), string(Fitting), string(Switchbox), string(Outlet)), func(p *Point) any { return (*string)(&p.Kind) })),
	only(truth("plug-in", func(p *Point) any { return &p.PlugIn }),
		"only a socket-outlet takes a plug-in lead", func(_ *Rig, p *Point) bool { return p.Kind == Socket }),
	{key: "from", kind: wordField, words: earlierPoints, at: in(func(p *Point) any { return &p.From })},
	measure("length", quantity.Metre, func(p *Point) any { return &p.LengthM }),
}}

// earlierPoints are the points of the same circuit that stand before p: a cable comes from a point already named.
func earlierPoints(r *Rig, p any) []string {
	for i := range r.Circuits {
		var ids []string
		for j := range r.Circuits[i].Points {
			if &r.Circuits[i].Points[j] == p.(*Point) {
				return ids
			}
			ids = append(ids, r.Circuits[i].Points[j].ID)
		}
	}
	return nil
}

var switchRecord = &record{name: "switch", inline: true, fields: []*field{
	id("id", func(s *Switch) any { return &s.ID }),
	prose(text("label", func(s *Switch) any { return &s.Label })),
	truth("two-way", func(s *Switch) any { return &s.TwoWay }),
}}

var paddingRecord = &record{name: "padding", inline: true, fields: []*field{
	measure("stands-for", quantity.Metre, func(p *Padding) any { return &p.StandsForM }),
	{key: "rated", kind: yesNo, required: true, at: in(func(p *Padding) any { return &p.Rated })},
}}

var faultRecord = &record{name: "fault", fields: []*field{
	id("id", func(f *Fault) any { return &f.ID }),
	{key: "circuit", kind: wordField, words: circuitIDs, at: in(func(f *Fault) any { return &f.Circuit })},
	word("kind", faultKinds, func(f *Fault) any { return &f.Kind }),
	prose(text("where", func(f *Fault) any { return &f.Where })),
	prose(text("plant", func(f *Fault) any { return &f.Plant })),
	prose(text("clear", func(f *Fault) any { return &f.Clear })),
	truth("never-energise", func(f *Fault) any { return &f.NeverEnergise }),
}}

func circuitIDs(r *Rig, _ any) []string {
	var ids []string
	for _, c := range r.Circuits {
		ids = append(ids, c.ID)
	}
	return ids
}

func faultKinds(*Rig, any) []string {
	kinds := make([]string, 46)
	for i := range kinds {
		kinds[i] = fmt.Sprintf("F%02d", i+1)
	}
	return kinds
}

var referenceRecord = &record{name: "reference", fields: []*field{
	text("instrument", func(f *Reference) any { return &f.Instrument }),
	text("date", func(f *Reference) any { return &f.Date }),
	several("readings", 1, refReadingRecord, func(f *Reference) any { return listOf[RefReading]{&f.Readings} }),
}}

var refReadingRecord = &record{name: "reading", inline: true, fields: []*field{
	text("at", func(r *RefReading) any { return &r.At }),
	{key: "values", kind: texts, least: Repeats, required: true, at: in(func(r *RefReading) any { return &r.Values })},
}}
