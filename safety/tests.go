package safety

// Names of readings and observations besides the dead tests of required.go.
const (
	TestInspection   = "inspection"
	TestSupply       = "supply"        // voltage and polarity at the origin
	TestZe           = "ze"            // external earth fault loop impedance
	TestElectrode    = "electrode"     // earth electrode, TT
	TestSupplyCable  = "supply-cable"  // outbuilding: feeding cable's cpc or armour to its own earth
	TestPFC          = "pfc"           // prospective fault current
	TestZs           = "zs"            // earth fault loop impedance of a circuit
	TestZsCalculated = "zs-calculated" // Ze + (R1+R2), nothing exposed
	TestRCD          = "rcd"           // residual current device, timed tests and ramp
	TestRCDButton    = "rcd-button"    // its test button, after the timed tests
	TestPhases       = "phase-sequence"
	TestFunctional   = "functional"
	TestInstrument   = "instrument" // the instrument's own check, leads at the tips
)

// TestKind returns the kind of act a test is, and whether the name is one of the
// closed list. The kind belongs to the test: no sequence can call a loop test a
// look.
func TestKind(test string) (Kind, bool) {
	switch test {
	case TestEarthing, TestBonding, TestBars, TestEnds, TestCrossedLN, TestCrossedLE,
		TestContinuity, TestLongLead, TestOwnBar, TestSwitching, TestInsulation,
		TestPolarity, TestSupplyCable:
		return DeadTest, true
	case TestSupply, TestZe, TestElectrode, TestPFC:
		return LiveIncoming, true
	case TestZs, TestRCD, TestPhases:
		return LiveTest, true
	case TestRCDButton, TestFunctional:
		return OperateLive, true
	case TestZsCalculated:
		return Look, true
	case TestInstrument:
		return Prepare, true
	case TestInspection:
		return Look, true
	}
	return NoKind, false
}

// TestKindOn is TestKind for a rig: where the origin has shrouded test points,
// prospective fault current is taken there with the installation on, its earthing
// complete and nothing exposed, instead of at a second incoming gate.
func TestKindOn(test string, shrouded bool) (Kind, bool) {
	if test == TestPFC && shrouded {
		return LiveTest, true
	}
	return TestKind(test)
}

// TestPlaces reports where the instrument goes: at the board's conductors, at the
// points of the circuit, or both. A plug-in lead in a socket-outlet is at the point.
func TestPlaces(test string) (board, points bool) {
	switch test {
	case TestEarthing, TestBonding, TestBars, TestEnds, TestOwnBar, TestInsulation, TestSupplyCable:
		return true, false
	case TestCrossedLN, TestCrossedLE, TestContinuity, TestLongLead, TestSwitching, TestPolarity:
		return true, true
	}
	return false, false
}

// NeedsEarth reports whether a test means something only with the circuit's cpc and the
// earthing conductor in place: what is measured to earth would else be measured to nothing.
func NeedsEarth(test string) bool { return test == TestInsulation }
