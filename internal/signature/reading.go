package signature

import (
	"fmt"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/rig"
)

// Reading takes one of the rig's standard readings (rig.Readings) on an installation that is built, set up as that test
// is set up.
func Reading(b *faults.Built, id rig.ReadingID, attempt int, o Options) (meter.Shown, error) {
	u, err := SetUpOf(b, id)
	if err != nil {
		return meter.Shown{}, err
	}
	return u.Read(b, o, attempt)
}

func (t *tests) noReading(id rig.ReadingID) error {
	return fmt.Errorf("the reading %s is not known on %s", id.ID, t.Rig.ID)
}

// insulated reads between conductors of the circuit.
func (t *tests) insulated(x, y string) (meter.Shown, error) {
	u, err := t.insulationOf(x, y)
	if err != nil {
		return meter.Shown{}, err
	}
	return u.Read(t.Built, t.o, t.attempt)
}

func rcdsOf(r *rig.Rig) []*rig.RCD {
	var all []*rig.RCD
	for i := range r.Board.Sections {
		if d := r.Board.Sections[i].RCD; d != nil {
			all = append(all, d)
		}
	}
	for i := range r.Circuits {
		if d := r.Circuits[i].RCD; d != nil {
			all = append(all, d)
		}
	}
	return all
}
