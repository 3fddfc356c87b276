package sequence

import (
	"fmt"
	"strings"

	"wanderlead/internal/rig"
)

// expectedParts are inspection items whose answer is typed and compared with the
// rig's description, so that letter and rating are read and not assumed.
func expectedParts(r *rig.Rig, rcds []RCD, what string) []Part {
	var parts []Part
	if what == "rcd-types" {
		for _, d := range rcds {
			parts = append(parts, Part{ID: d.ID, Label: d.ID, Right: d.Type, Point: -1})
		}
		return parts
	}
	for _, c := range r.Circuits {
		parts = append(parts, Part{ID: c.ID, Label: "way " + c.Number, Right: DeviceName(c.Device), Point: -1})
	}
	return parts
}

// DeviceName is the device as it is read off its face: letter and rating, or
// standard and rating for a fuse.
func DeviceName(d rig.Device) string {
	if d.Curve != "" {
		return fmt.Sprintf("%s%g", d.Curve, d.RatingA)
	}
	return fmt.Sprintf("%s-%g", strings.ReplaceAll(d.Standard, " ", ""), d.RatingA)
}

func rcdsOf(r *rig.Rig) []RCD {
	var out []RCD
	add := func(d *rig.RCD, circuits []int) {
		if d == nil || len(circuits) == 0 {
			return
		}
		x := RCD{RCD: d, Circuits: circuits, At: -1}
		for _, i := range circuits {
			if len(pluggable(&r.Circuits[i])) > 0 {
				x.At = i
				break
			}
		}
		out = append(out, x)
	}
	for si := range r.Board.Sections {
		s := &r.Board.Sections[si]
		var cs []int
		for i := range r.Circuits {
			if r.Circuits[i].Section == s.ID && r.Circuits[i].RCD == nil {
				cs = append(cs, i)
			}
		}
		add(s.RCD, cs)
	}
	for i := range r.Circuits {
		add(r.Circuits[i].RCD, []int{i})
	}
	return out
}
