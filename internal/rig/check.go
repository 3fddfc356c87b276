package rig

import (
	"fmt"
	"slices"
	"time"

	"wanderlead/internal/content"
	"wanderlead/safety"
)

// complainer takes a complaint about the thing that at points to in the rig.
type complainer func(at any, hint, format string, args ...any)

// check complains about everything in a rig that its fields alone do not show: names given twice, parts that do not fit
// each other, shapes that lack what they need.
func check(r *Rig, complain complainer) {
	checkIDs(r, complain)
	checkSupply(r, complain)
	checkBoard(r, complain)
	checkEarthing(r, complain)
	for i := range r.Circuits {
		checkCircuit(r, &r.Circuits[i], complain)
	}
	checkFaults(r, complain)
	checkReadings(r, complain)
	if d := r.Reference.Date; d != "" {
		if _, err := time.Parse(time.DateOnly, d); err != nil {
			complain(&r.Reference.Date, "write it as 2026-03-02", "%q is not a date", d)
		}
	}
}

// reserved are words that begin ids of the board, the supply and the safety questions.
var reserved = []string{"safety", "board", "supply", "origin", "rig"}

// ids collects names that must differ within one list.
type ids map[string]bool

func (seen ids) add(complain complainer, at *string, what string) {
	switch {
	case *at == "":
		return
	case seen[*at]:
		complain(at, "give one of them another id", "the %s id %q is given twice", what, *at)
	}
	seen[*at] = true
}

// checkIDs: circuits and RCDs share one list, because both stand first in the ids of their readings.
func checkIDs(r *Rig, complain complainer) {
	owners := ids{}
	owner := func(at *string, what string) {
		if _, isTest := safety.TestKind(*at); isTest || slices.Contains(reserved, *at) {
			complain(at, "add what it is, such as a number", "%q cannot be an id: readings use the word otherwise", *at)
		}
		owners.add(complain, at, what)
	}
	for i := range r.Circuits {
		owner(&r.Circuits[i].ID, "circuit")
	}
	for _, d := range r.rcds() {
		owner(&d.ID, "RCD")
	}
	sections, bars, bonds, numbers, faults := ids{}, ids{}, ids{}, ids{}, ids{}
	for i := range r.Board.Sections {
		sections.add(complain, &r.Board.Sections[i].ID, "section")
		bars.add(complain, &r.Board.Sections[i].Bar, "neutral bar")
	}
	for i := range r.Earthing.Bonds {
		bonds.add(complain, &r.Earthing.Bonds[i].ID, "bond")
	}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		numbers.add(complain, &c.Number, "circuit number")
		places := ids{}
		for j := range c.Points {
			places.add(complain, &c.Points[j].ID, "point")
		}
		for j := range c.Switches {
			places.add(complain, &c.Switches[j].ID, "switch")
		}
	}
	for i := range r.Faults {
		faults.add(complain, &r.Faults[i].ID, "fault")
	}
}

// rcds lists every RCD of the rig, the upstream one included.
func (r *Rig) rcds() []*RCD {
	var all []*RCD
	if r.Supply.UpstreamRCD != nil {
		all = append(all, r.Supply.UpstreamRCD)
	}
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

// checkSupply: an RCD upstream of the rig trips first unless it is delayed and at least three times as insensitive as
// those under test (discrimination of RCDs in series, BS 7671 536.4.1.4 from memory; the factor of three is common
// practice, no source).
func checkSupply(r *Rig, complain complainer) {
	up := r.Supply.UpstreamRCD
	if up == nil {
		return
	}
	for _, d := range r.rcds() {
		if d != up && d.IdnMA > 0 && (up.Delay != "S" || up.IdnMA < 3*d.IdnMA) {
			complain(up, "fit a delayed (S) type of at least three times the rated residual current",
				"the upstream RCD %s would trip before %s", up.ID, d.ID)
			return
		}
	}
}

func checkBoard(r *Rig, complain complainer) {
	b := &r.Board
	at := (*string)(&b.Arrangement)
	withRCD := 0
	for _, s := range b.Sections {
		if s.RCD != nil {
			withRCD++
		}
	}
	switch b.Arrangement {
	case SplitLoad:
		if withRCD < 2 {
			complain(at, "give each section its RCD, or call the board plain", "a split-load board has two or more sections with an RCD, found %d", withRCD)
		}
	case Plain, RCBOBoard, ThreePhase:
		if len(b.Sections) > 1 {
			complain(at, "", "a %s board has one section with one neutral bar, found %d", b.Arrangement, len(b.Sections))
		}
	}
	if r.Supply.Phases == 1 && b.Arrangement == ThreePhase {
		complain(at, "", "a three-phase board needs a three-phase supply")
	}
	for i := range b.Sections {
		if d := b.Sections[i].RCD; d != nil && d.Standard == rcboStandard {
			complain(&d.Standard, "", "the RCD of a section is an RCCB (BS EN 61008-1)")
		}
	}
}

func checkEarthing(r *Rig, complain complainer) {
	e := &r.Earthing
	if r.Supply.Earthing == TT && e.Electrode == nil {
		complain(e, "", "a TT installation needs an electrode")
	}
	for i := range e.Bonds {
		checkSize(&e.Bonds[i].MM2, complain)
	}
	checkSize(&e.ConductorMM2, complain)
}

// sizes are the conductor sizes whose resistance per metre is known (IEC 60228 Table 1, copper class 1 and 2), in mm².
var sizes = []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120}

func checkSize(at *float64, complain complainer) {
	if *at != 0 && !slices.Contains(sizes, *at) {
		complain(at, fmt.Sprintf("known sizes, in mm²: %v", sizes), "%g mm² is not a known conductor size", *at)
	}
}

// neverEnergised are the kinds of fault that make live parts or dead shorts of what a hand may touch: line and
// protective conductor exchanged, line and neutral crossed, line to neutral and line to earth shorts.
var neverEnergised = []string{"F17", "F18", "F25", "F27"}

func checkFaults(r *Rig, complain complainer) {
	for i := range r.Faults {
		if f := &r.Faults[i]; slices.Contains(neverEnergised, f.Kind) && !f.NeverEnergise {
			complain(f, "add never-energise: true", "a fault of kind %s is never energised", f.Kind)
		}
	}
}

// didYouMeanShort is content.DidYouMean without a list that would fill the screen.
func didYouMeanShort(word string, known []string) string {
	if len(known) > 12 {
		if hint := content.DidYouMean(word, known); len(hint) < 80 {
			return hint
		}
		return fmt.Sprintf("known here: %s … %s (%d in all)", known[0], known[len(known)-1], len(known))
	}
	return content.DidYouMean(word, known)
}
