package rig

import (
	"math"

	"wanderlead/internal/quantity"
)

// Drift is how one reference reading moved between two commissionings of the same rig.
type Drift struct {
	ReadingID
	Was, Now quantity.Reading // the middle of the repeats; not given when that commissioning lacks the reading

	// Comparable says that both are numbers; Change (now less was, in the reading's unit) and Percent (of was; 0 when was
	// is 0) mean something only then.
	Comparable      bool
	Change, Percent float64

	// BeyondScatter says that the change is more than the repeats of either time differ among themselves, or that one of
	// the two is a number and the other is not. What it means is for the trainer to judge: a drift has no published limit.
	BeyondScatter bool
}

// Drifts compares two commissionings of one rig, in the order in which readings are taken. Readings that neither has
// are left out.
func Drifts(was, now *Rig) []Drift {
	var out []Drift
	for _, id := range now.Readings() {
		before, hadBefore := was.ReferenceReading(id.ID)
		after, hasNow := now.ReferenceReading(id.ID)
		if !hadBefore && !hasNow {
			continue
		}
		d := Drift{ReadingID: id, Was: before, Now: after}
		d.Comparable = before.IsNumber() && after.IsNumber()
		switch {
		case d.Comparable:
			d.Change = after.Value - before.Value
			if before.Value != 0 {
				d.Percent = 100 * d.Change / before.Value
			}
			scatter := math.Max(was.spread(id), now.spread(id))
			d.BeyondScatter = math.Abs(d.Change) > scatter+1e-9
		case hadBefore && hasNow:
			d.BeyondScatter = before.Mark != after.Mark
		}
		out = append(out, d)
	}
	return out
}

// spread is the largest difference among the repeats of one reading, in its unit; over range and no trip are left out.
func (r *Rig) spread(id ReadingID) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, ref := range r.Reference.Readings {
		if ref.At != id.ID {
			continue
		}
		for _, raw := range ref.Values {
			if q, err := quantity.Parse(raw, id.Unit); err == nil && q.IsNumber() {
				low, high = math.Min(low, q.Value), math.Max(high, q.Value)
			}
		}
	}
	return math.Max(0, high-low)
}
