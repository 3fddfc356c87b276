package study

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"

	"wanderlead/internal/rig"
)

// Made is a rig that a seed makes of another: the same board and shapes of circuit, other lengths, other numbers of
// sockets, another supply. It has no commissioned readings; what to expect follows from its lengths.
func Made(base *rig.Rig, seed uint64) *rig.Rig {
	r := *base
	part := func(words ...any) float64 { // in [0, 1)
		h := fnv.New64a()
		fmt.Fprint(h, append([]any{seed, "\x00"}, words...)...)
		return float64(h.Sum64()>>11) / (1 << 53)
	}
	r.ID = "made-" + fmt.Sprint(seed)
	r.Title = base.Title + ", as seed " + fmt.Sprint(seed) + " makes it"
	r.Reference, r.Faults = rig.Reference{}, nil
	tidy := func(m float64) float64 { return math.Max(1, math.Round(float64(2*m))/2) }
	r.Circuits = slices.Clone(base.Circuits)
	for i := range r.Circuits {
		c := &r.Circuits[i]
		stretch := 0.5 + float64(1.1*part(c.ID, "length"))
		c.Points = slices.Clone(c.Points)
		if c.Shape == rig.Ring {
			c.Points = fewer(c.Points, int(float64(part(c.ID, "points")*float64(len(c.Points)-3))))
		}
		for j := range c.Points {
			c.Points[j].LengthM = tidy(float64(c.Points[j].LengthM * stretch * (0.7 + float64(0.6*part(c.ID, c.Points[j].ID)))))
		}
		if c.ReturnM > 0 {
			c.ReturnM = tidy(float64(c.ReturnM * stretch))
		}
	}
	if r.Supply.Earthing != rig.TT {
		k := 0.5 + float64(0.8*part("supply"))
		ohm := func(x float64) float64 { return math.Round(float64(100*x*k)) / 100 }
		r.Supply.LineOhm, r.Supply.NeutralOhm, r.Supply.EarthOhm = ohm(r.Supply.LineOhm), ohm(r.Supply.NeutralOhm), ohm(r.Supply.EarthOhm)
		// Declared with room for the instrument: 5 % and 5 digits.
		r.Supply.Declared.ZeOhm = math.Ceil(float64(105*(r.Supply.LineOhm+r.Supply.EarthOhm))+5) / 100
		if loop := r.Supply.LineOhm + min(r.Supply.NeutralOhm, r.Supply.EarthOhm); loop > 0 && r.Supply.Declared.PFCKA > 0 {
			r.Supply.Declared.PFCKA = math.Ceil(r.Supply.VoltageV/loop/100) / 10
		}
	}
	return &r
}

// fewer leaves out up to n sockets of a ring from which no spur hangs, the last first; four stay.
func fewer(points []rig.Point, n int) []rig.Point {
	for i := len(points) - 1; i > 0 && n > 0 && len(points) > 4; i-- {
		p := points[i]
		if p.From != "" || slices.ContainsFunc(points, func(x rig.Point) bool { return x.From == p.ID }) {
			continue
		}
		points = slices.Delete(points, i, i+1)
		n--
	}
	return points
}

// Only is the rig with nothing on its board but some of its circuits: the others are out and made off. The error names a
// circuit that it does not have.
func Only(base *rig.Rig, circuits ...string) (*rig.Rig, error) {
	r := *base
	r.Circuits = nil
	for _, c := range base.Circuits {
		if slices.Contains(circuits, c.ID) {
			r.Circuits = append(r.Circuits, c)
		}
	}
	for _, id := range circuits {
		if _, ok := base.Circuit(id); !ok {
			var known []string
			for _, c := range base.Circuits {
				known = append(known, c.ID)
			}
			return nil, fmt.Errorf("there is no circuit %q on %s\nhint: known here: %s", id, base.ID, strings.Join(known, ", "))
		}
	}
	r.Board.Sections = nil
	for _, s := range base.Board.Sections {
		if slices.ContainsFunc(r.Circuits, func(c rig.Circuit) bool { return c.Section == s.ID }) {
			r.Board.Sections = append(r.Board.Sections, s)
		}
	}
	if len(r.Board.Sections) == 1 && r.Board.Arrangement == rig.SplitLoad {
		r.Board.Sections = base.Board.Sections
	}
	r.Faults = slices.DeleteFunc(slices.Clone(base.Faults), func(f rig.Fault) bool {
		_, ok := r.Circuit(f.Circuit)
		return f.Circuit != "" && !ok
	})
	ids := map[string]bool{}
	for _, x := range r.Readings() {
		ids[x.ID] = true
	}
	r.Reference.Readings = slices.DeleteFunc(slices.Clone(base.Reference.Readings), func(x rig.RefReading) bool { return !ids[x.At] })
	return &r, nil
}
