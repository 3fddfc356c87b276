package rig

// Length is one length of cable, by the points at its ends; "" is the board.
type Length [2]string

// Lengths lists a circuit's lengths of cable in the order of its points, on a ring the one back to the board last. The
// drops of light switches are left out: they are no part of the run.
func (c *Circuit) Lengths() []Length {
	var out []Length
	before := ""
	for _, p := range c.Points {
		if c.Shape == Lighting && p.Kind == Switchbox {
			continue
		}
		from := p.From
		if from == "" {
			from = before
		}
		out = append(out, Length{from, p.ID})
		if p.From == "" || c.Shape != Ring { // a spur does not carry a ring on
			before = p.ID
		}
	}
	if c.Shape == Ring {
		out = append(out, Length{before, ""})
	}
	return out
}
