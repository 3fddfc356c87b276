// Package sequence reads test sequences and unrolls them on a rig.
//
// A sequence is written once in YAML, in stages of steps. Unrolling it on a rig
// gives a [Program]: the flat list of steps with every circuit, point and pair of
// conductors filled in. The program says what to do and in which order; what must
// be true before each step follows from the kind of act it is, which the safety
// package decides.
package sequence

import (
	"wanderlead/internal/content"
	"wanderlead/safety"
)

// Form is the kind of question a step puts.
type Form uint8

// The forms of step.
const (
	Act     Form = iota + 1 // do something to the installation; opens or closes an item
	Ask                     // choose what is right: a bar, a voltage, a lead position
	Read                    // readings of a test
	Observe                 // a test whose result is seen, not measured
	Inspect                 // an item of the visual inspection
	Gate                    // one of the two energising gates
	Switch                  // one circuit's device on
	Isolate                 // isolate and prove the board dead now
	Declare                 // the supervisor declares the origin, with the source
	Accept                  // the supervisor accepts an earlier record
	Finish                  // hand the rig back
	Note                    // a name or number written down: who tests, with which instrument
)

var formNames = [...]string{"", "act", "ask", "read", "observe", "inspect", "gate", "switch", "safety", "declare", "accept", "finish", "note"}

// String returns the form's key in sequence files.
func (f Form) String() string { return formNames[f] }

// Origin says whether supply and external loop are measured in the session or
// declared by the supervisor.
type Origin string

// The two ways to know the origin.
const (
	Measured Origin = "measured"
	Declared Origin = "declared"
)

// Text is what a step says. Placeholders in braces stand for names of the rig.
type Text struct {
	Practise string // on a rig, with an instrument in hand
	Study    string // on simulated readings: never an instruction about a real board
	Why      string
	Leads    string // where the leads go
	Caution  string // besides those that belong to the kind
}

// Option is one answer of a choice.
type Option struct {
	Say     string // the word typed in scripts and records
	Text    string
	Because string // what would come of it, when it is wrong
	// Retest is true of an answer that shows a fault: the circuit is isolated and its
	// dead tests are done again.
	Retest bool
}

// Part is one reading or observation of a step.
type Part struct {
	ID    string // last part of the question's id: "r1", "s4", "L-E"
	Label string
	// Right is what a rig that is as described would give, for inspection items
	// that are typed (device letter and rating, RCD type). Empty otherwise.
	Right string
	Point int    // index of the circuit's point the part is read at, or -1
	Line  string // line conductor it is read on, where the circuit has three
}

// Step is one step of a program.
type Step struct {
	ID      string // "ring-1/ends"
	Form    Form
	Want    safety.Want
	Stage   int
	Block   int // steps of one block are redone together
	Circuit int // -1: the board
	RCD     int // index into Program.RCDs, -1: none
	Test    int // index into Program.Tests, -1: no test
	Opens   int // index into Program.Items, -1: nothing
	Closes  int
	Parts   []Part
	Choose  string // where the options of an Ask come from
	Right   Option
	Wrong   []Option
	Text    *Text
	At      content.Value   // where the step was written
	Via     []content.Value // the includes that led to it, outermost first
}

// Item is something a program opens and must close again.
type Item struct {
	ID      string // "ring-1/ring-ends"
	Class   safety.Class
	Circuit int
	OpenBy  int // step that opens it first
	CloseBy int // step that closes it, -1 when none does
}

// Test is one test of one circuit, or of the board.
type Test struct {
	Name    string
	Circuit int // -1: the board
	RCD     int
}

// Need is one required dead test with what meets it.
type Need struct {
	safety.Need
	Circuit int
	Tests   []int // indexes of tests that may meet it; empty when the sequence has none
}

// Stage is a titled part of a program.
type Stage struct {
	ID, Title string
	Live      bool
}
