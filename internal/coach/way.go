package coach

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
)

// wayM is the length of cable in metres from the board out to a point of a radial
// circuit, along the points it passes. Padding stands for its own length, wherever
// on the circuit the point is.
func (pl *plan) wayM(c *rig.Circuit, point int) float64 {
	at := map[string]int{}
	for i, p := range c.Points {
		at[p.ID] = i
	}
	total := 0.0
	for i, steps := point, 0; i >= 0 && i < len(c.Points) && steps <= len(c.Points); steps++ {
		p := c.Points[i]
		total += p.LengthM
		switch {
		case p.From != "":
			j, ok := at[p.From]
			if !ok {
				return 0
			}
			i = j
		default:
			i--
		}
	}
	if c.Padding != nil {
		total += c.Padding.StandsForM
	}
	return total
}

// ringWay is how far along a ring a point lies, a spur at its socket, and the length
// of the whole ring, in metres.
func (pl *plan) ringWay(c *rig.Circuit, point int) (at, total float64) {
	for point >= 0 && c.Points[point].From != "" {
		from := c.Points[point].From
		point = slices.IndexFunc(c.Points, func(p rig.Point) bool { return p.ID == from })
	}
	for i, p := range c.Points {
		if p.From != "" {
			continue
		}
		total += p.LengthM
		if i == point {
			at = total
		}
	}
	return at, total + c.ReturnM
}

// spurM is the length in metres of the spur that a point of a ring hangs on.
func (pl *plan) spurM(c *rig.Circuit, point int) float64 {
	total := 0.0
	for i, steps := point, 0; i >= 0 && c.Points[i].From != "" && steps <= len(c.Points); steps++ {
		total += c.Points[i].LengthM
		i = slices.IndexFunc(c.Points, func(p rig.Point) bool { return p.ID == c.Points[i].From })
	}
	return total
}

// perMetre is the resistance in Ω of a metre out on one conductor and back on
// another (IEC 60228 values of the edition pack, mΩ/m at 20 °C).
func (pl *plan) perMetre(out, back float64) float64 { return pl.milli(out)/1000 + pl.milli(back)/1000 }

func (pl *plan) milli(mm2 float64) float64 {
	if pl.pack == nil {
		return 0
	}
	e, _ := pl.pack.Copper(mm2)
	return e.Value
}

// references finds the rig's commissioned readings for the parts of a program: the
// middle one of the repeats, as numbers in the part's unit.
func (pl *plan) references(pack *edition.Pack) {
	pl.pack = pack
	pl.ref, pl.refRaw = map[int]float64{}, map[int]string{}
	for _, r := range pl.r.Reference.Readings {
		p, ok := pl.byID[r.At]
		if !ok {
			continue
		}
		if len(r.Values) == 0 {
			continue
		}
		raws := slices.Clone(r.Values)
		slices.SortFunc(raws, func(a, b string) int { return cmp.Compare(number(a), number(b)) })
		middle := raws[len(raws)/2]
		pl.refRaw[p] = middle
		if v := number(middle); !math.IsInf(v, 0) {
			pl.ref[p] = v
		}
	}
}

// number reads a commissioned value; what is no number (over range, no trip) sorts last.
func number(raw string) float64 {
	v, err := strconv.ParseFloat(strings.TrimSpace(raw), 64)
	if err != nil {
		return math.Inf(1)
	}
	return v
}
