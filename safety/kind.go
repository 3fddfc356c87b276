// Package safety holds the rules that no sequence can talk its way round: the
// closed list of kinds of act, the facts each kind needs, the two energising
// gates, the reinstatement ledger, and the dead tests a circuit's shape demands.
//
// The package is pure and imports nothing else of this program, so that it can be
// read, and reviewed, on its own. Whether an act is live, puts hands on conductors
// or opens something is decided here by its [Kind]; never by the stage it stands
// in nor by its words.
//
// Sources: the Electricity at Work Regulations 1989, regulations 13, 14 and 16
// (no live work without all three conditions, precautions against
// re-energisation, competence or supervision); HSE guidance HSG85 and GS38
// (isolation, proving, indicators and probes); BS 7671 Part 6 (order of dead and
// live tests). Where a rule is stricter than its source it says so.
package safety

// Kind is what an act does to the installation and to the person doing it.
type Kind uint8

// The closed list of kinds. A sequence names them; it cannot add to them.
const (
	// NoKind is the zero value and fits no act.
	NoKind Kind = iota

	// Look: nothing is opened and nothing touched.
	Look
	// Prepare: instrument and leads away from the installation; appliances unplugged.
	Prepare
	// OperateDead: a switch or breaker of the dead installation is moved from outside.
	OperateDead

	// TakeOffCover exposes the inside of an enclosure.
	TakeOffCover
	// FitCover closes an enclosure again: hands are beside its conductors.
	FitCover
	// InspectOpen is looking closely, and pulling gently, inside an open enclosure.
	InspectOpen
	// Lift takes a conductor out of its terminal.
	Lift
	// Reconnect puts a conductor back and tightens it.
	Reconnect
	// Link joins conductors for a test.
	Link
	// Unlink takes such a join away.
	Unlink
	// TakeOut removes a lamp, an SPD link or electronics from its terminals.
	TakeOut
	// PutBack returns it.
	PutBack
	// DeadTest puts a continuity or insulation instrument on conductors.
	DeadTest

	// EnergiseIncoming is the incoming gate: supply up to the open, locked main switch.
	EnergiseIncoming
	// LiveIncoming is a live test at the incoming terminals, main switch locked off.
	LiveIncoming
	// EnergiseInstallation is the installation gate: the main switch goes on.
	EnergiseInstallation
	// CircuitOn closes one circuit's device.
	CircuitOn
	// LiveTest is a live test on an energised circuit, with nothing exposed.
	LiveTest
	// OperateLive works a switch, test button or load of the live installation.
	OperateLive

	numKinds
)

var kindNames = [numKinds]string{
	NoKind: "none", Look: "look", Prepare: "prepare", OperateDead: "operate-dead",
	TakeOffCover: "take-off-cover", FitCover: "fit-cover", InspectOpen: "inspect-open",
	Lift: "lift", Reconnect: "reconnect", Link: "link", Unlink: "unlink",
	TakeOut: "take-out", PutBack: "put-back", DeadTest: "dead-test",
	EnergiseIncoming: "energise-incoming", LiveIncoming: "live-incoming",
	EnergiseInstallation: "energise-installation", CircuitOn: "circuit-on",
	LiveTest: "live-test", OperateLive: "operate-live",
}

// String returns the kind's name as written in sequences.
func (k Kind) String() string {
	if k >= numKinds {
		return "unknown"
	}
	return kindNames[k]
}

// ParseKind returns the kind with that name.
func ParseKind(name string) (Kind, bool) {
	for k := Look; k < numKinds; k++ {
		if kindNames[k] == name {
			return k, true
		}
	}
	return NoKind, false
}

// Kinds lists every kind, in the order of the list above.
func Kinds() []Kind {
	ks := make([]Kind, 0, numKinds-1)
	for k := Look; k < numKinds; k++ {
		ks = append(ks, k)
	}
	return ks
}

type kindSet uint32

func kinds(ks ...Kind) kindSet {
	var s kindSet
	for _, k := range ks {
		s |= 1 << k
	}
	return s
}

func (s kindSet) has(k Kind) bool { return s&(1<<k) != 0 }

var (
	exposing = kinds(TakeOffCover)
	touching = kinds(FitCover, InspectOpen, Lift, Reconnect, Link, Unlink, TakeOut, PutBack, DeadTest)
	// switching a dead installation's breakers from outside still needs it to stay dead.
	onDead     = exposing | touching | kinds(OperateDead)
	liveOrigin = kinds(LiveIncoming)
	liveCirc   = kinds(LiveTest, OperateLive)
	live       = liveOrigin | liveCirc | kinds(CircuitOn)
	gates      = kinds(EnergiseIncoming, EnergiseInstallation)
)

// Touches reports whether hands or a dead-test instrument go on conductors.
func (k Kind) Touches() bool { return touching.has(k) }

// Exposes reports whether the act opens an enclosure.
func (k Kind) Exposes() bool { return exposing.has(k) }

// OnDead reports whether the act belongs to the isolated installation.
func (k Kind) OnDead() bool { return onDead.has(k) }

// Live reports whether the act is done with some part of the rig energised.
func (k Kind) Live() bool { return live.has(k) }

// IsGate reports whether the act is one of the two energising gates.
func (k Kind) IsGate() bool { return gates.has(k) }
