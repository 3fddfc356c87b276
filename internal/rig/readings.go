package rig

import (
	"fmt"
	"sort"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// Repeats is how often each reference reading is taken: three readings show what the instrument itself scatters.
const Repeats = 3

// ReadingID names one reading that can be taken on a rig. Its text is [circuit or RCD/]test[/part], with the tests'
// names of package safety: "ring-1/ends/r1", "ring-1/zs/s4", "rcd-a/rcd/one-0", "bonding/water", "ze".
type ReadingID struct {
	ID    string
	Owner string // circuit or RCD id; empty for the board and the supply
	Test  string
	Part  string
	Label string // the part in words: the point's label, what is bonded
	Unit  quantity.Unit
}

// Readings lists every reading that the trainer's commissioning of this rig can hold, in the order in which they are
// taken: dead tests first, then the origin, then circuit by circuit.
func (r *Rig) Readings() []ReadingID {
	l := &readingList{rig: r}
	l.boardDead()
	for i := range r.Circuits {
		l.circuitDead(&r.Circuits[i])
	}
	l.origin()
	loop := r.Supply.Transformer == nil || r.Supply.Transformer.NeutralEarthed
	for i := range r.Circuits {
		c := &r.Circuits[i]
		for _, p := range c.Points {
			if loop && p.PlugIn && len(c.Lines) == 1 {
				l.add(c.ID, safety.TestZs, p.ID, p.Label, quantity.Ohm)
			}
		}
	}
	if loop {
		l.rcds()
	}
	return l.ids
}

type readingList struct {
	rig *Rig
	ids []ReadingID
}

func (l *readingList) add(owner, test, part, label string, unit quantity.Unit) {
	var parts []string
	for _, p := range []string{owner, test, part} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	l.ids = append(l.ids, ReadingID{ID: strings.Join(parts, "/"), Owner: owner, Test: test, Part: part, Label: label, Unit: unit})
}

func (l *readingList) boardDead() {
	l.add("", safety.TestEarthing, "", "", quantity.Ohm)
	for _, b := range l.rig.Earthing.Bonds {
		l.add("", safety.TestBonding, b.ID, b.To, quantity.Ohm)
	}
	bars := l.rig.Bars()
	for i := range bars {
		for j := i + 1; j < len(bars); j++ {
			l.add("", safety.TestBars, bars[i]+"-"+bars[j], "", quantity.Ohm)
		}
	}
	if l.rig.Earthing.SupplyCable != "" {
		l.add("", safety.TestSupplyCable, "", "", quantity.Ohm)
	}
}

func (l *readingList) circuitDead(c *Circuit) {
	points := func(test string) {
		for _, p := range c.Points {
			if p.Kind != Switchbox {
				l.add(c.ID, test, p.ID, p.Label, quantity.Ohm)
			}
		}
	}
	if c.Shape == Ring {
		for _, part := range []string{"r1", "rn", "r2"} {
			l.add(c.ID, safety.TestEnds, part, "", quantity.Ohm)
		}
		points(safety.TestCrossedLN)
		points(safety.TestCrossedLE)
	} else if len(c.Lines) < 2 {
		points(safety.TestContinuity)
	} else {
		for _, p := range c.Points {
			for _, line := range c.Lines {
				if p.Kind != Switchbox {
					l.add(c.ID, safety.TestContinuity, p.ID+"-"+line, p.Label+" "+line, quantity.Ohm)
				}
			}
		}
	}
	if bars := l.rig.Bars(); len(bars) > 1 {
		for _, bar := range bars {
			l.add(c.ID, safety.TestOwnBar, bar, "", quantity.Ohm)
		}
	}
	pairs := safety.InsulationPairs(safety.Circuit{Shape: safety.Shape(c.Shape), Lines: len(c.Lines), Electronics: c.Electronics != ""})
	for _, pair := range pairs {
		l.add(c.ID, safety.TestInsulation, pair, "", quantity.Megohm)
	}
}

// origin adds what is read at the incoming terminals, where the rig lets them be reached.
func (l *readingList) origin() {
	if i := l.rig.Isolation; i.At != Upstream || i.Incoming == NoTestPoints {
		return
	}
	for _, pair := range safety.DeadPairs(l.rig.Supply.Phases) {
		l.add("", safety.TestSupply, pair, "", quantity.Volt)
	}
	if t := l.rig.Supply.Transformer; t != nil && !t.NeutralEarthed {
		return
	}
	l.add("", safety.TestZe, "", "", quantity.Ohm)
	if l.rig.Supply.Earthing == TT {
		l.add("", safety.TestElectrode, "", "", quantity.Ohm)
	}
	pairs := []string{"L-N", "L-E"}
	if l.rig.Supply.Phases == 3 {
		pairs = []string{"L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E"}
	}
	for _, pair := range pairs {
		l.add("", safety.TestPFC, pair, "", quantity.Kiloampere)
	}
}

// rcds adds the timed tests of each RCD that can be tested at a socket-outlet. The ramp reads a current.
func (l *readingList) rcds() {
	seen := map[string]bool{}
	for i := range l.rig.Circuits {
		c := &l.rig.Circuits[i]
		d := l.rig.RCDOf(c)
		if d == nil || seen[d.ID] || !pluggable(c) {
			continue
		}
		seen[d.ID] = true
		for _, part := range []string{"half-0", "half-180", "one-0", "one-180", "five-0", "five-180"} {
			l.add(d.ID, safety.TestRCD, part, "", quantity.Millisecond)
		}
		l.add(d.ID, safety.TestRCD, "ramp", "", quantity.Milliampere)
	}
}

func pluggable(c *Circuit) bool {
	for _, p := range c.Points {
		if p.PlugIn {
			return true
		}
	}
	return false
}

// ReferenceReading gives the commissioned reading of that id: of its three repeats the middle one. ok is false when
// the rig has none.
func (r *Rig) ReferenceReading(id string) (middle quantity.Reading, ok bool) {
	var unit quantity.Unit
	for _, known := range r.Readings() {
		if known.ID == id {
			unit = known.Unit
		}
	}
	for _, ref := range r.Reference.Readings {
		if ref.At == id && unit != quantity.None {
			return middleOf(ref.Values, unit)
		}
	}
	return quantity.Reading{}, false
}

// middleOf is the middle of some readings; over range lies above every number, no trip above that.
func middleOf(values []string, unit quantity.Unit) (quantity.Reading, bool) {
	var all []quantity.Reading
	for _, raw := range values {
		q, err := quantity.Parse(raw, unit)
		if err != nil {
			return quantity.Reading{}, false
		}
		all = append(all, q)
	}
	if len(all) == 0 {
		return quantity.Reading{}, false
	}
	rank := map[quantity.Mark]int{quantity.OverRange: 1, quantity.NoTrip: 2}
	sort.SliceStable(all, func(i, j int) bool {
		if a, b := rank[all[i].Mark], rank[all[j].Mark]; a != b {
			return a < b
		}
		return all[i].Value < all[j].Value
	})
	return all[len(all)/2], true
}

// sortReadings puts the reference readings into the order in which they are taken.
func sortReadings(r *Rig) {
	order := map[string]int{}
	for i, id := range r.Readings() {
		order[id.ID] = i
	}
	sort.SliceStable(r.Reference.Readings, func(i, j int) bool {
		return order[r.Reference.Readings[i].At] < order[r.Reference.Readings[j].At]
	})
}

// checkReadings checks that each reference reading belongs to this rig and reads as it should.
func checkReadings(r *Rig, complain complainer) {
	known, ids := map[string]ReadingID{}, []string{}
	for _, id := range r.Readings() {
		known[id.ID] = id
		ids = append(ids, id.ID)
	}
	seen := map[string]bool{}
	for i := range r.Reference.Readings {
		ref := &r.Reference.Readings[i]
		id, ok := known[ref.At]
		switch {
		case ref.At == "":
			continue
		case !ok:
			complain(&ref.At, nearestReading(ref.At, ids), "this rig has no reading %s", ref.At)
			continue
		case seen[ref.At]:
			complain(&ref.At, "keep one", "the reading %s is given twice", ref.At)
		case len(ref.Values) > Repeats:
			complain(&ref.Values, "", "a reference reading has %d repeats, found %d", Repeats, len(ref.Values))
		}
		seen[ref.At] = true
		for _, raw := range ref.Values {
			if _, err := quantity.Parse(raw, id.Unit); err != nil {
				complain(&ref.Values, hintOf(err), "%s: %s", ref.At, err)
			}
		}
	}
}

func hintOf(err error) string {
	if e, ok := err.(*quantity.Error); ok {
		return e.Hint
	}
	return ""
}

func nearestReading(at string, ids []string) string {
	owner, _, _ := strings.Cut(at, "/")
	var same []string
	for _, id := range ids {
		if strings.HasPrefix(id, owner+"/") {
			same = append(same, id)
		}
	}
	if len(same) == 0 {
		return fmt.Sprintf("a reading id is [circuit or RCD/]test[/part], such as %s", ids[0])
	}
	return didYouMeanShort(at, same)
}
