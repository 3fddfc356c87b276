package safety

// Supply is how far the rig is energised, as far as the record can tell.
type Supply uint8

const (
	// Found: as found. Everything is taken to be live.
	Found Supply = iota
	// Off: switched off at the point of isolation.
	Off
	// Incoming: live up to the main switch, which is off and locked.
	Incoming
	// On: the main switch is on.
	On
)

// String names the supply state.
func (s Supply) String() string { return [...]string{"as found", "off", "incoming", "on"}[s&3] }

// Stage is how far a proving round has come.
type Stage uint8

const (
	// NoRound: no round begun at the place, or it was voided.
	NoRound Stage = iota
	// IndicatorProved: the voltage indicator was proved on its source.
	IndicatorProved
	// PairsDead: every pair at every point of the place showed no voltage.
	PairsDead
)

// Place is an enclosure, or all the points of one circuit that a round covers
// together: BoardPlace, or a circuit's place from CircuitPlace.
type Place int16

const (
	// NoPlace: hands go nowhere near conductors.
	NoPlace Place = 0
	// BoardPlace is the board's enclosure.
	BoardPlace Place = 1
)

// CircuitPlace is the place made of the points of the circuit with that index.
func CircuitPlace(circuit int) Place { return Place(circuit) + 2 }

// Circuit returns the index of the circuit a place belongs to, and whether it is one's.
func (p Place) Circuit() (int, bool) { return int(p) - 2, p >= 2 }

// Facts is what the interlock holds to be true now. It is a plain comparable
// value: copying it is a snapshot.
type Facts struct {
	Supply Supply

	Seen       bool // supply was seen at a lamp or plug-in indicator, nothing opened
	LockOn     bool // own padlock on the point of isolation; perishable
	KeyHeld    bool // its key on the person; perishable
	Notice     bool // notice at the point of isolation
	MainLocked bool // main switch off and locked, for the incoming gate; perishable

	BoardDead   bool
	CircuitDead Place // the one circuit whose points are proved dead, or NoPlace
	RoundAt     Place // place of the proving round under way
	Round       Stage

	// Asked afresh at each gate, and again after anything that makes them perish.
	Loads      bool // breakers and loads off
	Covers     bool // covers on, but for what the gate tolerates
	People     bool // people clear and told
	Supervisor bool // named supervisor present, own code given

	// GateAt is the gate whose questions are being asked now, and the answers
	// that belong to that gate alone.
	GateAt        Kind
	EarthKnown    bool // where the earthing conductor is was stated, and fits the gate
	FaultsCleared bool // supervisor says planted faults are cleared
	OriginGiven   bool // origin measured and passed, or declared with its source; outlives the gate
	RecordGiven   bool // earlier record accepted by the supervisor by name; outlives the gate
}

// AppendTo appends the facts as bytes, every field in a place of its own: equal facts,
// equal bytes, and the other way round.
func (f Facts) AppendTo(b []byte) []byte {
	var flags uint32
	for i, is := range [...]bool{f.Seen, f.LockOn, f.KeyHeld, f.Notice, f.MainLocked, f.BoardDead, f.Loads, f.Covers,
		f.People, f.Supervisor, f.EarthKnown, f.FaultsCleared, f.OriginGiven, f.RecordGiven} {
		if is {
			flags |= 1 << i
		}
	}
	return append(b, byte(f.Supply), byte(f.Round), byte(f.GateAt), byte(f.CircuitDead), byte(f.CircuitDead>>8),
		byte(f.RoundAt), byte(f.RoundAt>>8), byte(flags), byte(flags>>8))
}

// Dead reports whether the place is proved dead now.
func (f Facts) Dead(p Place) bool {
	if p == BoardPlace {
		return f.BoardDead
	}
	return p != NoPlace && f.CircuitDead == p
}

// Cause is something that happened to the people or the rig.
type Cause uint8

// What makes facts perish.
const (
	Pause         Cause = iota // the work was interrupted
	Resume                     // the work is taken up again from the record
	LeftBay                    // the person left the bay
	KeyHandedOver              // the key left the person
	OtherHands                 // someone else worked on the rig
	SupervisorLeft
	SomeoneJoined
	VoltageFound // a place taken to be dead showed voltage
	Harm         // someone is hurt, or nearly was
	numCauses
)

var causeNames = [numCauses]string{"pause", "resume", "left-bay", "key-handed-over", "other-hands",
	"supervisor-left", "someone-joined", "voltage-found", "harm"}

// String names the cause as it stands in records.
func (c Cause) String() string { return causeNames[c] }

// ParseCause returns the cause with that name.
func ParseCause(s string) (Cause, bool) {
	for i, n := range causeNames {
		if n == s {
			return Cause(i), true
		}
	}
	return 0, false
}

// After returns the facts left once cause has happened.
func (f Facts) After(c Cause) Facts {
	switch c {
	case SupervisorLeft:
		f.Supervisor = false
	case SomeoneJoined:
		f.People = false
	case VoltageFound, Harm:
		// The supply is never assumed to be off: isolation is next. It need not be
		// seen first, for that would delay it.
		f = f.perish()
		f.Supply = Found
		f.Seen = true
		f.Notice = false
	default:
		f = f.perish()
	}
	return f
}

// perish drops every perishable fact at once.
func (f Facts) perish() Facts {
	f.LockOn, f.KeyHeld, f.MainLocked = false, false, false
	f.Loads, f.Covers, f.People, f.Supervisor = false, false, false, false
	return f.endDead().endGate()
}

// endDead ends every "dead": a gate was passed, the lock came off, voltage was found.
func (f Facts) endDead() Facts {
	f.BoardDead, f.CircuitDead = false, NoPlace
	return f.voidRound()
}

func (f Facts) voidRound() Facts {
	f.RoundAt, f.Round = NoPlace, NoRound
	return f
}

func (f Facts) endGate() Facts {
	f.GateAt, f.EarthKnown, f.FaultsCleared = NoKind, false, false
	return f
}

// BeginGate starts the questions of a gate: people, loads, covers and supervisor
// are asked afresh, whatever was true before.
func (f Facts) BeginGate(g Kind) Facts {
	f.Loads, f.Covers, f.People, f.Supervisor = false, false, false, false
	f = f.endGate()
	f.GateAt = g
	return f
}

// SwitchedOff is the facts after the point of isolation was switched off.
func (f Facts) SwitchedOff() Facts {
	if f.Supply == On || f.Supply == Found {
		f.MainLocked = false
	}
	f.Supply = Off
	f.LockOn, f.KeyHeld, f.Notice = false, false, false
	// What was answered for the supply that was on is asked afresh at the next gate.
	f.Loads, f.Covers, f.People, f.Supervisor = false, false, false, false
	return f.endDead().endGate()
}

// LockGone is the facts after the padlock was found off.
func (f Facts) LockGone() Facts {
	f = f.perish()
	f.Supply, f.Seen, f.Notice = Found, true, false
	return f
}

// Energised is the facts after a gate was passed.
func (f Facts) Energised(gate Kind) Facts {
	f = f.endDead().endGate()
	f.Seen, f.LockOn, f.KeyHeld, f.Notice = false, false, false, false
	if gate == EnergiseInstallation {
		f.Supply, f.MainLocked = On, false
	} else {
		f.Supply = Incoming
	}
	return f
}

// ProveIndicator begins a round at a place: the indicator was proved on its source.
func (f Facts) ProveIndicator(p Place) Facts {
	f.RoundAt, f.Round = p, IndicatorProved
	return f
}

// ShowPairs records that every pair at every point of the round's place showed nothing.
func (f Facts) ShowPairs() Facts {
	if f.Round == IndicatorProved {
		f.Round = PairsDead
	}
	return f
}

// ProveAgain ends the round: ok proves the place dead, a failed re-prove voids
// everything the round found.
func (f Facts) ProveAgain(ok bool) Facts {
	if ok && f.Round == PairsDead {
		if f.RoundAt == BoardPlace {
			f.BoardDead = true
		} else {
			f.CircuitDead = f.RoundAt
		}
	}
	return f.voidRound()
}

// Worked is the facts after an act of that kind was done. A proving round that it
// interrupted counts for nothing; and after work on the dead installation the answers
// given to a gate no longer say how things are.
func (f Facts) Worked(k Kind) Facts {
	f = f.voidRound()
	if k.OnDead() {
		f = f.BeginGate(NoKind)
	}
	return f
}

// Leave lapses the proof of a circuit's points when work moves to another place
// than that circuit. The board's proof stands.
func (f Facts) Leave(to Place) Facts {
	if f.CircuitDead != NoPlace && f.CircuitDead != to {
		f.CircuitDead = NoPlace
	}
	return f
}
