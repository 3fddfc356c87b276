package mistakes

import (
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/rig"
	"wanderlead/safety"
)

// tests are those whose readings a clause can look at.
var tests = []string{safety.TestInstrument, safety.TestEarthing, safety.TestBonding, safety.TestBars, safety.TestEnds, safety.TestCrossedLN,
	safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead, safety.TestOwnBar, safety.TestSwitching, safety.TestInsulation,
	safety.TestPolarity, safety.TestSupply, safety.TestZe, safety.TestElectrode, safety.TestSupplyCable, safety.TestPFC, safety.TestZs,
	safety.TestZsCalculated, safety.TestRCD}

// moves are the names of ways in which a set-up differs.
var moves = []string{"leads", "rcd-test", "null", "not-lifted", "lifted", "moved", "link", "no-link", "load", "closed", "open"}

// words are what `of` can be, by look; a look that is not listed takes any.
var words = map[string][]string{
	"like":    {"r2", "r1-rn", "r1", "nearer", "other-part", "other-circuit"},
	"refused": {"live", "no-supply", "tripped", "contact-voltage"},
	"sum":     {"no-ze", "lowest", "no-spur", "r1", "half", "whole"},
	"said":    {"pass", "doubt", "fail"},
	"within":  {"", "even-if-expected"},
	"sound":   {"", "if-read"},
	"rig": {"spd", "no-spd", "rcd", "no-rcd", "rcbo", "delayed", "type-ac", "upstream-rcd", "electronics", "tt", "tn", "tn-board", "curve-c",
		"two-way", "two-rings", string(rig.Ring), string(rig.Radial), string(rig.Lighting), string(rig.Fixed)},
	"equal-number": tests,
}

// inRow are looks along the points of one test.
var inRow = []string{"hump", "slope"}

// check holds a clause against what its look can use: a word that no look knows would never be seen, and nobody told.
func (c *clause) check(m content.Map) {
	for i, t := range c.tests {
		if !slices.Contains(tests, t) {
			entry(m, "tests", i).Errorf(content.DidYouMean(t, tests), "%q is no test with readings", t)
		}
	}
	if slices.Contains(inRow, c.see) && len(c.tests) != 1 {
		m.KeyOf("see").Errorf("tests: [crossed-line-neutral]", "%s looks along the points of one test, found %d", c.see, len(c.tests))
	}
	if known := words[c.see]; known != nil && !slices.Contains(known, c.of) {
		at := m.KeyOf("see")
		if m.Has("of") {
			at = m.KeyOf("of")
		}
		at.Errorf("one of: "+strings.Trim(strings.Join(known, ", "), ", "), "%s cannot look at %q", c.see, c.of)
	}
	if m.Has("to") && c.to < c.from {
		m.KeyOf("from").Errorf("the lower one first", "from %g to %g", c.from, c.to)
	}
}

func checkMoves(m content.Map) {
	for i, x := range m.OptStrs("moves") {
		if !slices.Contains(moves, x) {
			entry(m, "moves", i).Errorf("one of: "+strings.Join(moves, ", "), "%q is no way in which a set-up differs", x)
		}
	}
}

// entry is one value of a list, for a complaint about it.
func entry(m content.Map, key string, i int) content.Value {
	if list := m.OptList(key); i < len(list) {
		return list[i]
	}
	return m.KeyOf(key)
}
