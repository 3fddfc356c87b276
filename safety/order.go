package safety

import "slices"

// Order is one line of the order of tests: each of Before stands before each of
// After. The order is partial: what no line speaks of may stand where the sequence
// puts it, so polarity may be looked at together with continuity, and the neutral
// bars whenever the board is dead.
type Order struct {
	ID            string
	Before, After []string
	Scope         Scope
	Why           string
	Source        string
}

// Scope says of which tests a line of the order speaks.
type Scope uint8

const (
	// SameCircuit: both tests are of one circuit.
	SameCircuit Scope = iota
	// SameRCD: both are of one residual current device.
	SameRCD
	// Anywhere: whichever circuit, or the board, they belong to.
	Anywhere
)

// TestOrder returns the order of tests.
//
// BS 7671 643.1 has the tests carried out in the order of its regulations before
// the installation is energised: continuity (643.2), insulation resistance (643.3),
// polarity (643.6); then, energised, loop impedance (643.7), additional protection
// by RCDs (643.8), phase sequence (643.9), functional tests (643.10). The numbers
// are from memory. Each line says why in its own words, because each test makes the
// next one meaningful and safe.
func TestOrder() []Order {
	dead := DeadTests()
	return []Order{
		{"inspection-first", []string{TestInspection}, dead, Anywhere,
			"damage is found by looking, and nobody tests through a damaged part",
			"BS 7671 642.1, from memory"},
		{"earth-before-insulation", []string{TestEarthing, TestBonding}, []string{TestInsulation}, Anywhere,
			"insulation to earth is measured against an earth that is known to be whole",
			"BS 7671 643.1, from memory"},
		{"ends-before-cross", []string{TestEnds}, []string{TestCrossedLN, TestCrossedLE}, SameCircuit,
			"what the crossed readings should be follows from the end to end readings, and an open leg shows there",
			"common practice, no source"},
		{"line-neutral-before-line-cpc", []string{TestCrossedLN}, []string{TestCrossedLE}, SameCircuit,
			"line and neutral are alike, so the flat row comes first; the row to the cpc is read against it",
			"common practice, no source"},
		{"continuity-before-insulation",
			[]string{TestEnds, TestCrossedLN, TestCrossedLE, TestContinuity, TestLongLead}, []string{TestInsulation}, SameCircuit,
			"an insulation test on a broken conductor misses everything behind the break",
			"BS 7671 643.1, from memory"},
		{"continuity-before-live",
			[]string{TestEnds, TestCrossedLN, TestCrossedLE, TestContinuity, TestLongLead, TestInsulation, TestPolarity},
			[]string{TestZs, TestZsCalculated, TestRCD, TestPhases}, SameCircuit,
			"a loop or RCD test on a broken cpc puts mains voltage on every piece of earthed metal",
			"BS 7671 643.1, from memory"},
		{"supply-before-loop", []string{TestSupply}, []string{TestZe, TestElectrode, TestPFC}, Anywhere,
			"a reversed supply makes every later reading at the origin wrong",
			"common practice, no source"},
		{"external-before-circuit-loop", []string{TestZe, TestElectrode}, []string{TestZs, TestZsCalculated}, Anywhere,
			"the loop of a circuit is judged with the external loop",
			"BS 7671 643.7, from memory"},
		{"loop-before-rcd", []string{TestZs, TestZsCalculated}, []string{TestRCD}, SameCircuit,
			"an RCD test drives its current into the earth path, which has to be known first",
			"BS 7671 643.7 and 643.8, from memory"},
		{"timed-before-button", []string{TestRCD}, []string{TestRCDButton}, SameRCD,
			"the button works the mechanism; a first slow trip after months would be hidden by it",
			"common practice, no source"},
		{"measured-before-functional", []string{TestZs, TestRCD}, []string{TestFunctional}, Anywhere,
			"switches and loads are worked on circuits whose protection is known to act",
			"BS 7671 643.10, from memory"},
	}
}

// DeadTests lists the tests that put an instrument on the conductors of the dead
// installation.
func DeadTests() []string {
	return []string{TestEarthing, TestBonding, TestBars, TestSupplyCable, TestEnds, TestCrossedLN, TestCrossedLE,
		TestContinuity, TestLongLead, TestOwnBar, TestSwitching, TestInsulation, TestPolarity}
}

// Speaks reports whether the line is about the two tests in this order.
func (o Order) Speaks(before, after string) bool {
	return slices.Contains(o.Before, before) && slices.Contains(o.After, after)
}
