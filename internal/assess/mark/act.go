package mark

import (
	"slices"
	"strings"
)

// The critical acts, in our own words. They stand outside the marks: one of them stops
// candidate and clock, and only the assessor decides whether it counts. (Common
// practice, no source; that isolation is done without an omission is asked everywhere.)
const (
	ActBeforeProof      = "work-before-proof"     // work begun before isolation was proved
	ActNotLocked        = "not-locked"            // not locked with a lock and key of one's own
	ActUnprovedTool     = "indicator-not-proved"  // the indicator was not proved before
	ActNotProvedAgain   = "not-proved-again"      // nor after
	ActPairMissed       = "pair-missed"           // a pair of conductors or a point was left out
	ActWrongIndicator   = "wrong-indicator"       // a pen, a multimeter, a plug-in tester as proof
	ActLivePart         = "voltage-found"         // voltage where all was taken for dead
	ActEnergisedWrongly = "energised-wrongly"     // covers off, loads in, something left in, the wrong switch
	ActEarthing         = "earthing-unknown"      // energised, or about to be, with the earthing conductor off
	ActLockDefeated     = "lock-defeated"         // another lock than one's own
	ActUnfitLeads       = "unfit-leads"           // damaged leads or instrument used
	ActInvented         = "invented-reading"      // seen by the assessor only
	ActDeadTestLive     = "dead-test-live"        // a dead-test instrument on what is not dead
	ActLiveTooEarly     = "live-test-before-dead" // a live reading, or the supply asked for, before dead tests allowed it
	ActExposed          = "exposed-live-part"     // an exposed live part touched or approached
)

// Act names the critical act behind a stop, from the question and what was answered;
// empty when it is none of the list, as with an ordinary slip of the hand.
func Act(typ, at, raw string) string {
	if typ == "stop" {
		act, ok := strings.CutPrefix(at, "act/")
		if !ok {
			return "" // the candidate's own stop
		}
		return act
	}
	switch {
	case strings.HasPrefix(at, "instrument/"):
		return ActUnfitLeads
	case at == "safety/supply/seen", at == "safety/isolator/off":
		return ActBeforeProof
	case at == "safety/lock/number":
		return ActLockDefeated
	case at == "safety/lock/key", at == "safety/notice/where", at == "safety/main-switch/lock":
		return ActNotLocked
	case strings.HasSuffix(at, "/indicator"):
		if raw == "unproved" {
			return ActUnprovedTool
		}
		return ActWrongIndicator
	case strings.HasSuffix(at, "/pairs"):
		if foundVoltage(raw) {
			return ActLivePart
		}
		return ActPairMissed
	case strings.HasSuffix(at, "/prove-again"):
		return ActNotProvedAgain
	case strings.HasSuffix(at, "/earthing"):
		return ActEarthing
	case strings.HasSuffix(at, "/switch-on"), strings.HasSuffix(at, "/covers"), strings.HasSuffix(at, "/loads"):
		return ActEnergisedWrongly
	}
	return ""
}

// ActAtBench names the critical act behind a stop at the bench, from what was wanted and what lacked for it.
func ActAtBench(typ, at, raw, wanted string, lacked []string) string {
	lacks := func(any ...string) bool {
		return slices.ContainsFunc(any, func(f string) bool { return slices.Contains(lacked, f) })
	}
	energises := strings.HasPrefix(wanted, "energise") || wanted == "circuit-on"
	isolation := lacks("supply/seen", "isolate", "isolator/off", "lock/number", "lock/key", "notice/where", "dead")
	switch {
	case wanted == "lock":
		return ActNotLocked
	case wanted == "prove" || typ == "stop":
		return Act(typ, at, raw)
	case lacks("exposed"):
		return ActExposed
	case strings.HasPrefix(wanted, "live-") || wanted == "operate-live":
		return ActLiveTooEarly
	case wanted == "dead-test" && isolation && lacks("isolator/off", "isolate"):
		return ActDeadTestLive
	case isolation && lacks("supply/seen", "isolate", "isolator/off", "dead"):
		return ActBeforeProof
	case isolation:
		return ActNotLocked
	case energises && lacks("earthing", "earthing/whole"):
		return ActEarthing
	case energises:
		return ActEnergisedWrongly
	case lacks("gate/incoming", "gate/installation", "circuit/on", "dead-tests", "circuit/tests"):
		return ActLiveTooEarly
	}
	return ""
}

// foundVoltage reports whether a line of pairs names a voltage.
func foundVoltage(raw string) bool {
	fields := strings.FieldsFunc(raw, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	for i, f := range fields {
		if i > 0 && strings.HasPrefix(strings.ToLower(fields[i-1]), "point") {
			continue // how many points, not volts
		}
		n := atoi(strings.TrimSuffix(strings.ToUpper(f), "V"))
		if n >= 10 {
			return true
		}
	}
	return false
}

// Acts lists the critical acts.
var Acts = []string{ActBeforeProof, ActNotLocked, ActUnprovedTool, ActNotProvedAgain, ActPairMissed, ActWrongIndicator, ActLivePart,
	ActEnergisedWrongly, ActEarthing, ActLockDefeated, ActUnfitLeads, ActInvented, ActDeadTestLive, ActLiveTooEarly, ActExposed}
