package safety

// Class is what sort of thing was opened. The class decides which acts open and
// close it, and which gate may be passed while it is still open.
type Class uint8

// The closed list of classes of ledger item.
const (
	NoClass           Class = iota
	Cover                   // a cover of the board or of a point
	Conductor               // line and neutral ends out of their terminals
	CPC                     // cpc ends out of the earth bar
	TestLink                // a link made for a test
	Removed                 // lamps, electronics, SPD links, taken out at their terminals
	Unplugged               // appliances unplugged
	LongLead                // the long lead clipped to the main earthing terminal
	EarthingConductor       // the earthing conductor, off the main earthing terminal
	BondingConductor        // one end of a main bonding conductor
	IncomingAccess          // the access to the incoming terminals
	numClasses
)

var classes = [numClasses]struct {
	name        string
	opens, shut Kind
}{
	NoClass:           {"none", NoKind, NoKind},
	Cover:             {"cover", TakeOffCover, FitCover},
	Conductor:         {"conductor", Lift, Reconnect},
	CPC:               {"cpc", Lift, Reconnect},
	TestLink:          {"link", Link, Unlink},
	Removed:           {"removed", TakeOut, PutBack},
	Unplugged:         {"unplugged", Prepare, Prepare},
	LongLead:          {"long-lead", Link, Unlink},
	EarthingConductor: {"earthing-conductor", Lift, Reconnect},
	BondingConductor:  {"bonding-conductor", Lift, Reconnect},
	IncomingAccess:    {"incoming-access", TakeOffCover, FitCover},
}

// String returns the class's name as written in sequences.
func (c Class) String() string {
	if c >= numClasses {
		return "unknown"
	}
	return classes[c].name
}

// ParseClass returns the class with that name.
func ParseClass(name string) (Class, bool) {
	for c := Cover; c < numClasses; c++ {
		if classes[c].name == name {
			return c, true
		}
	}
	return NoClass, false
}

// CircuitEnds reports whether an item of this class is conductor ends of a circuit.
func (c Class) CircuitEnds() bool { return c == Conductor || c == CPC }

// OpensBy returns the kind of act that opens an item of this class.
func (c Class) OpensBy() Kind { return classes[c].opens }

// ClosesBy returns the kind of act that closes it again.
func (c Class) ClosesBy() Kind { return classes[c].shut }

// Tolerated reports whether an item of this class may be open while the gate is
// passed. Only what the external loop and fault current tests themselves need is
// tolerated, only at the incoming gate, and only when opened while all was dead.
func Tolerated(gate Kind, c Class) bool {
	return gate == EnergiseIncoming && (c == EarthingConductor || c == IncomingAccess)
}
