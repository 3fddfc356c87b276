package safety

// Fact names one thing that must be true before an act, and that a person can be
// asked about or that follows from the record.
type Fact string

// The facts a person establishes, in the order in which they are asked for.
const (
	FactSeen    Fact = "supply/seen"  // supply seen at a lamp before isolating
	FactOff     Fact = "isolator/off" // point of isolation switched off
	FactLock    Fact = "lock/number"  // own padlock on, by its number
	FactKey     Fact = "lock/key"     // key on the person
	FactNotice  Fact = "notice/where" // notice at the point of isolation
	FactDead    Fact = "dead"         // the place is proved dead
	FactIsolate Fact = "isolate"      // live back to dead: starts with FactSeen

	FactMainLock   Fact = "main-switch/lock" // main switch off, padlocked, by number
	FactLoads      Fact = "loads"            // breakers and loads off
	FactCovers     Fact = "covers"           // covers on
	FactEarth      Fact = "earthing"         // where the earthing conductor is
	FactFaults     Fact = "faults"           // planted faults cleared
	FactPeople     Fact = "people"           // people clear and told
	FactDoubts     Fact = "doubts"           // open doubts put to the supervisor
	FactSupervisor Fact = "supervisor"       // named supervisor present, own code
	FactOrigin     Fact = "origin"           // origin measured, or declared with the source

	// Facts that only the record can supply; no answer makes them true.
	FactIncoming     Fact = "gate/incoming"
	FactInstallation Fact = "gate/installation"
	FactCircuitOn    Fact = "circuit/on"
	FactTests        Fact = "dead-tests"     // every dead test in scope passed
	FactLedger       Fact = "ledger"         // nothing open that the gate does not tolerate
	FactUpstream     Fact = "rig/upstream"   // rig isolated upstream of its main switch
	FactNoFault      Fact = "rig/no-fault"   // no never-energise fault is planted
	FactCircuitTests Fact = "circuit/tests"  // the circuit's dead tests passed
	FactEarthWhole   Fact = "earthing/whole" // earthing conductor and the circuit's cpc are in place
)

// Want is an act that somebody is about to do.
type Want struct {
	Kind    Kind
	Board   bool  // hands or instrument at the board's conductors
	Points  Place // circuit whose points are worked on, or NoPlace
	Circuit int   // index of the circuit, -1 for none
	// EarthWhole: the act means something only with the circuit's cpc and the earthing
	// conductor in place.
	EarthWhole bool
}

// Record is what the interlock must know from readings and ledger. The caller
// works it out from the record; no answer sets it directly.
type Record struct {
	Upstream      bool // the rig is isolated upstream of its main switch
	TestsPassed   bool // every dead test in scope passed or was accepted
	DoubtsOpen    bool // some of them only with a doubt that nobody has accepted yet
	LedgerFits    bool // nothing open but what the wanted gate tolerates
	EarthingOff   bool // the earthing conductor, or the wanted circuit's cpc, is in the ledger
	OriginPassed  bool // supply polarity and voltage and Ze measured and passed or accepted
	NeverEnergise bool // a planted fault of the never-energise kind
	CircuitOn     bool // the wanted circuit is on
	CircuitPassed bool // its dead tests passed or were accepted
}

// Rule is one line of the interlock.
type Rule struct {
	ID    string
	Why   string
	Fact  Fact
	kinds kindSet
	holds func(*Want, *Facts, *Record) bool
}

// Rules is the interlock: a table, so that each line can be taken out in a test
// and shown to be missed.
type Rules []Rule

// Interlock returns the full table.
//
// Order matters: the first rule that does not hold decides what is asked next.
func Interlock() Rules {
	all := onDead
	return Rules{
		// --- dead work -----------------------------------------------------
		{"seen", "supply is seen before isolating, or 'dead' may only mean 'was off somewhere else'",
			FactSeen, all, func(_ *Want, f *Facts, _ *Record) bool { return f.Supply == Off || f.Seen }},
		{"off", "no work on or near live conductors (EAWR 1989 regulation 14)",
			FactOff, all, func(_ *Want, f *Facts, _ *Record) bool { return f.Supply == Off }},
		{"lock", "precautions against re-energising (EAWR 1989 regulation 13)",
			FactLock, all, func(_ *Want, f *Facts, _ *Record) bool { return f.LockOn }},
		{"key", "a lock protects only while its one key is on the person it protects",
			FactKey, all, func(_ *Want, f *Facts, _ *Record) bool { return f.KeyHeld }},
		{"notice", "a notice at the point of isolation (HSG85)",
			FactNotice, all, func(_ *Want, f *Facts, _ *Record) bool { return f.Notice }},
		{"dead-board", "proved dead at the point of work before hands go near (HSG85, GS38)",
			FactDead, touching, func(w *Want, f *Facts, _ *Record) bool { return !w.Board || f.BoardDead }},
		{"dead-points", "each further place of work is proved dead too",
			FactDead, touching, func(w *Want, f *Facts, _ *Record) bool {
				return w.Points == NoPlace || f.Dead(w.Points)
			}},

		{"earth-whole", "insulation to earth is read with cpc and earthing in place, or it is measured to nothing (BS 7671 643.3, from memory)",
			FactEarthWhole, kinds(DeadTest), func(w *Want, _ *Facts, r *Record) bool { return !w.EarthWhole || !r.EarthingOff }},

		// --- the two gates ---------------------------------------------------
		{"upstream", "a rig isolated at its main switch has no incoming gate: its terminals were never dead",
			FactUpstream, kinds(EnergiseIncoming), func(_ *Want, _ *Facts, r *Record) bool { return r.Upstream }},
		{"from-off", "a gate is passed from isolation, never from a live state",
			FactIsolate, kinds(EnergiseIncoming), func(_ *Want, f *Facts, _ *Record) bool { return f.Supply == Off }},
		{"from-off-installation", "the installation gate follows isolation or the incoming tests' isolation",
			FactIsolate, kinds(EnergiseInstallation), func(_ *Want, f *Facts, _ *Record) bool { return f.Supply == Off }},
		{"gate-lock", "what perished at a gate is looked at again: own padlock still on until supply is let back",
			FactLock, gates, func(_ *Want, f *Facts, _ *Record) bool { return f.LockOn }},
		{"gate-key", "and its key on the person", FactKey, gates, func(_ *Want, f *Facts, _ *Record) bool { return f.KeyHeld }},
		{"gate-notice", "and the notice up", FactNotice, gates, func(_ *Want, f *Facts, _ *Record) bool { return f.Notice }},
		{"tests", "every dead test in scope passed before anything is energised (BS 7671 643.1)",
			FactTests, gates, func(_ *Want, _ *Facts, r *Record) bool { return r.TestsPassed || r.DoubtsOpen }},
		{"ledger", "what was opened is closed before supply returns",
			FactLedger, gates, func(_ *Want, _ *Facts, r *Record) bool { return r.LedgerFits }},
		{"no-fault", "a planted never-energise fault bars the installation gate whatever was typed",
			FactNoFault, kinds(EnergiseInstallation), func(_ *Want, _ *Facts, r *Record) bool { return !r.NeverEnergise }},
		{"origin", "supply voltage, polarity and Ze known before the installation goes on",
			FactOrigin, kinds(EnergiseInstallation), func(_ *Want, f *Facts, r *Record) bool {
				return r.OriginPassed || f.OriginGiven
			}},
		{"gate-covers", "covers on before energising", FactCovers, gates, gateHolds(func(f *Facts) bool { return f.Covers })},
		{"gate-loads", "breakers and loads off before energising", FactLoads, gates, gateHolds(func(f *Facts) bool { return f.Loads })},
		{"gate-main", "main switch off and locked while only the incoming side is live",
			FactMainLock, kinds(EnergiseIncoming), func(_ *Want, f *Facts, _ *Record) bool { return f.MainLocked }},
		{"gate-earth", "where the earthing conductor is now is said aloud at each gate",
			FactEarth, gates, gateHolds(func(f *Facts) bool { return f.EarthKnown })},
		{"gate-faults", "the supervisor confirms at each installation gate that planted faults are cleared",
			FactFaults, kinds(EnergiseInstallation), gateHolds(func(f *Facts) bool { return f.FaultsCleared })},
		{"gate-people", "people clear and told", FactPeople, gates, gateHolds(func(f *Facts) bool { return f.People })},
		{"gate-doubts", "an open doubt opens no gate until the supervisor accepts it with a reason",
			FactDoubts, gates, func(_ *Want, _ *Facts, r *Record) bool { return r.TestsPassed }},
		{"gate-supervisor", "a named supervisor present, own code given (EAWR 1989 regulation 16)",
			FactSupervisor, gates, gateHolds(func(f *Facts) bool { return f.Supervisor })},

		// --- live work -------------------------------------------------------
		{"incoming", "a test at the origin needs the incoming gate",
			FactIncoming, liveOrigin, func(_ *Want, f *Facts, _ *Record) bool { return f.Supply == Incoming }},
		{"installation", "a test on a circuit needs the installation gate",
			FactInstallation, liveCirc | kinds(CircuitOn), func(_ *Want, f *Facts, _ *Record) bool { return f.Supply == On }},
		{"still-passed", "a reading that no longer passes sends the work back to isolation",
			FactIsolate, live, func(_ *Want, _ *Facts, r *Record) bool { return r.TestsPassed }},
		{"circuit-passed", "a circuit goes on only if its own dead tests passed",
			FactCircuitTests, kinds(CircuitOn), func(w *Want, _ *Facts, r *Record) bool {
				return w.Circuit < 0 || r.CircuitPassed
			}},
		{"circuit-on", "a live test needs its circuit on",
			FactCircuitOn, liveCirc, func(w *Want, _ *Facts, r *Record) bool {
				return w.Circuit < 0 || r.CircuitOn
			}},
		{"live-main", "main switch stays off and locked while the incoming side is tested",
			FactMainLock, liveOrigin, func(_ *Want, f *Facts, _ *Record) bool { return f.MainLocked }},
		{"live-covers", "covers on", FactCovers, live, func(_ *Want, f *Facts, _ *Record) bool { return f.Covers }},
		{"live-loads", "loads off", FactLoads, live, func(_ *Want, f *Facts, _ *Record) bool { return f.Loads }},
		{"live-people", "people clear and told", FactPeople, live, func(_ *Want, f *Facts, _ *Record) bool { return f.People }},
		{"live-supervisor", "supervisor present", FactSupervisor, live, func(_ *Want, f *Facts, _ *Record) bool { return f.Supervisor }},
	}
}

// gateHolds counts an answer only when it was given to this gate's questions.
func gateHolds(ok func(*Facts) bool) func(*Want, *Facts, *Record) bool {
	return func(w *Want, f *Facts, _ *Record) bool { return f.GateAt == w.Kind && ok(f) }
}

// Missing returns the first fact that the wanted act lacks, and false when it may
// be done.
func (rs Rules) Missing(w Want, f Facts, r Record) (Fact, bool) {
	for i := range rs {
		if rs[i].kinds.has(w.Kind) && !rs[i].holds(&w, &f, &r) {
			return rs[i].Fact, true
		}
	}
	return "", false
}

// AllMissing returns every fact the wanted act lacks, in order.
func (rs Rules) AllMissing(w Want, f Facts, r Record) []Fact {
	var missing []Fact
	for i := range rs {
		if rs[i].kinds.has(w.Kind) && !rs[i].holds(&w, &f, &r) {
			missing = append(missing, rs[i].Fact)
		}
	}
	return missing
}

// Without returns the table less one line, for the tests that show that each line
// is needed.
func (rs Rules) Without(id string) Rules {
	out := make(Rules, 0, len(rs))
	for _, r := range rs {
		if r.ID != id {
			out = append(out, r)
		}
	}
	return out
}

// Applies reports whether the rule has a say about acts of that kind.
func (r Rule) Applies(k Kind) bool { return r.kinds.has(k) }
