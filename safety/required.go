package safety

// Shape is the form of a circuit as far as its dead tests are concerned.
type Shape string

// The shapes a circuit may have.
const (
	RingShape     Shape = "ring"
	RadialShape   Shape = "radial"
	LightingShape Shape = "lighting"
	FixedShape    Shape = "fixed"
)

// Circuit is what decides which dead tests a circuit needs.
type Circuit struct {
	Shape       Shape
	Lines       int  // line conductors: 1 or 3
	Switches    int  // lighting switches
	Electronics bool // the rig says that electronics stay connected
	Bars        int  // neutral bars in the board
}

// Board is what decides which dead tests the board needs.
type Board struct {
	Bars  []string // neutral bar labels
	Bonds []string // bonding conductor ids
	// SupplyCable: the protective conductor or armour of the feeding cable has to be
	// kept apart from the outbuilding's own earth.
	SupplyCable bool
}

// Need is one dead test that must have passed before a gate opens, with the parts
// that must be there. An empty Parts means at least one reading; Points means one
// at every point that the test can reach.
type Need struct {
	Test   string
	Parts  []string
	Points bool
	// Or is another test that meets the same need (cpc continuity by either method).
	Or string
}

// Names of the dead tests that a need may call for. They are the names used for
// readings in sequences and records.
const (
	TestEarthing   = "earthing"             // continuity of the earthing conductor
	TestBonding    = "bonding"              // continuity of main bonding conductors
	TestBars       = "neutral-bars"         // bar to bar: open
	TestEnds       = "ends"                 // ring step 1
	TestCrossedLN  = "crossed-line-neutral" // ring step 2
	TestCrossedLE  = "crossed-line-cpc"     // ring step 3
	TestContinuity = "continuity"           // R1+R2, method 1
	TestLongLead   = "long-lead"            // R2, method 2
	TestOwnBar     = "own-bar"              // line way to its own neutral bar and to the others
	TestSwitching  = "switching"            // every position of the switches
	TestInsulation = "insulation"
	TestPolarity   = "polarity"
)

// CircuitNeeds returns the dead tests a circuit of that shape must pass, in the
// order of BS 7671 Part 6 (continuity, insulation, polarity).
//
// Proof of the neutral bar on boards with more than one is common practice, no
// source: no test of the printed list finds a neutral on the wrong bar.
func CircuitNeeds(c Circuit) []Need {
	var needs []Need
	if c.Shape == RingShape {
		needs = append(needs,
			Need{Test: TestEnds, Parts: []string{"r1", "rn", "r2"}},
			Need{Test: TestCrossedLN, Points: true},
			Need{Test: TestCrossedLE, Points: true})
	} else {
		needs = append(needs, Need{Test: TestContinuity, Points: true, Or: TestLongLead})
	}
	if c.Shape == LightingShape && c.Switches > 0 {
		needs = append(needs, Need{Test: TestSwitching})
	}
	if c.Bars > 1 {
		needs = append(needs, Need{Test: TestOwnBar})
	}
	return append(needs,
		Need{Test: TestInsulation, Parts: InsulationPairs(c)},
		Need{Test: TestPolarity})
}

// InsulationPairs returns the pairs of conductors between which insulation must be
// measured (BS 7671 643.3: live to live, live to earth; live conductors joined
// where electronics stay connected).
func InsulationPairs(c Circuit) []string {
	switch {
	case c.Electronics:
		return []string{"LN-E"}
	case c.Lines == 3:
		return DeadPairs(3)
	default:
		return DeadPairs(1)
	}
}

// BoardNeeds returns the dead tests the board itself must pass.
func BoardNeeds(b Board) []Need {
	needs := []Need{{Test: TestInspection}, {Test: TestEarthing}}
	if len(b.Bonds) > 0 {
		needs = append(needs, Need{Test: TestBonding, Parts: b.Bonds})
	}
	if len(b.Bars) > 1 {
		needs = append(needs, Need{Test: TestBars})
	}
	if b.SupplyCable {
		needs = append(needs, Need{Test: TestSupplyCable})
	}
	return needs
}

// TodayNeeds returns the dead tests of today's check that must pass, besides the
// accepted record, before one live test is done as a lesson: the cpc at the socket
// used, and the insulation of the circuit's section.
func TodayNeeds(c Circuit) []Need {
	return []Need{
		{Test: TestContinuity, Or: TestLongLead},
		{Test: TestInsulation, Parts: []string{JoinedPair}},
	}
}

// TodayPlaces reports where the leads of today's check go. The covers stay on, since the
// record says what is behind them: the cpc is read from the main earthing terminal, which
// is outside the board, to the sockets used, and insulation at a socket of the section
// with live conductors joined, so that the socket-outlets are all that has to be proved
// dead. At points that are no socket-outlets it is as [TestPlaces] says.
func TodayPlaces(test string, outlets bool) (board, points bool) {
	if outlets && (test == TestLongLead || test == TestInsulation) {
		return false, true
	}
	return TestPlaces(test)
}

// JoinedPair is the insulation reading from live conductors joined together to earth:
// all that can be asked of a section whose loads stay connected.
const JoinedPair = "LN-E"
