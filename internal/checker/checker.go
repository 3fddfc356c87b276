// Package checker reads the record of a session, line by line, and says where
// something was done without what it needs. It is for tests only.
//
// Its worth is that it knows nothing of the rules the session itself goes by: it
// imports neither the safety package nor the session, sees only what stands on a
// record (what was asked, what was answered, what was made of it), and its tables are
// written by hand from the sources named beside them. What it does not know (a kind
// of act, a test, an answer) it takes for dangerous.
package checker

import "encoding/binary"

// Line is one event of a record with what was given for it.
type Line struct {
	Type, At, Raw string
	Verdict, Rule string // of the first line given: "taken", "refused", or a reading's class
	Params        map[string]string
	Judged        []Judged
}

// Judged is the class a group of readings came to; At names its first reading.
type Judged struct{ At, Class string }

// Rig is what has to be known of the installation to know which tests it needs.
type Rig struct {
	Upstream       bool // isolated upstream of its main switch
	Shrouded       bool // shrouded test points at the origin
	Phases         int
	Bars, Bonds    []string
	SupplyCable    bool
	MeasuresOrigin bool // a declared origin does not do
	FromRecord     bool // the sequence starts from an accepted record
	Circuits       []Circuit
}

// Circuit is one circuit of a rig.
type Circuit struct {
	ID, Shape, Section string // shape: ring, radial, lighting, fixed
	Lines              int
	Points             []string // where readings are taken
	AllPoints          int      // where the indicator is tried, switches included
	Electronics        bool
	Switches           bool
}

// Violation is one thing that must not be.
type Violation struct{ Rule, Text string }

func (v Violation) String() string { return v.Rule + ": " + v.Text }

// supply is how far the rig is live, as the record tells it.
type supply byte

const (
	found    supply = iota // as found: taken for live, but nothing may be done with it
	off                    // switched off at the point of isolation
	incoming               // the incoming side only
	on
)

// Stages of a proving round.
const (
	noRound = iota
	indicatorProved
	everyPairDead
)

// Checker is what a record has come to. It is a value: Step returns another one.
type Checker struct {
	plan *plan
	skip string // a rule that is left out, in tests of the checker itself
	all  bool   // strict rules too

	supply                  supply
	seen                    bool // supply was seen since the rig was last energised
	lock, key, notice, main bool
	board                   bool   // the board is proved dead
	points                  string // the circuit whose points are proved dead
	round                   string // place of the proving round under way
	stage                   int
	locked                  bool // a lock was put on since it was switched off; it may have gone since
	stopping                bool // stop was said, and not yet what for
	harmed                  bool // somebody was hurt, and the supervisor has not taken over
	shaken                  bool // live on readings that no longer passed; isolation is due

	gate                        string // gate whose questions are being answered
	covers, loads, people, code bool
	earth, faults, reason       bool
	origin, record              bool
	hash, padlock, mainPadlock  string // numbers count while the lock they belong to is on

	open    *set // ledger items and their class
	known   *set // class of every item that was ever opened; not part of the key
	verdict *set // class of every reading that a gate may need
	failed  *set // readings that failed, and nobody has yet said what it was
	early   *set // insulation that was read before continuity of its circuit
	live    *set // circuits that are on
}

// New returns a checker for an empty record on a rig.
func New(r *Rig) Checker {
	p := r.plan()
	return Checker{plan: p, verdict: &set{fold: p.fold}}
}

// Without returns the checker less one of its rules.
func (c Checker) Without(rule string) Checker { c.skip = rule; return c }

// Strict returns the checker with the rules that go further than what always holds.
func (c Checker) Strict() Checker { c.all = true; return c }

// AppendKey appends what tells apart checkers that may judge the same line differently.
func (c Checker) AppendKey(b []byte) []byte {
	if c.shaken && c.energisedNow() {
		// Anything live is against the rules now, and isolation ends these.
		c.covers, c.loads, c.people, c.code = false, false, false, false
	}
	if !c.lock {
		c.padlock = ""
	}
	if !c.main {
		c.mainPadlock = ""
	}
	flags := uint32(0)
	for i, is := range [...]bool{c.seen, c.lock, c.key, c.notice, c.main, c.board, c.locked, c.stopping, c.harmed, c.shaken, c.covers, c.loads,
		c.people, c.code, c.earth, c.faults, c.reason, c.origin, c.record, c.hash != ""} {
		if is {
			flags |= 1 << i
		}
	}
	b = append(b, byte(c.supply), byte(c.stage))
	b = binary.LittleEndian.AppendUint32(b, flags)
	for _, text := range [...]string{c.padlock, c.mainPadlock, c.points, c.round, c.gate} {
		b = append(append(b, text...), 0)
	}
	for _, s := range [...]*set{c.open, c.verdict, c.failed, c.early, c.live} {
		b = s.appendKey(b)
	}
	return b
}

// fold is what of a verdict can still change a judgement. Whether it passes does, and
// whether it is in doubt; for the order of tests, whether the reading was taken at
// all. Beyond that, one that a gate needs and that nothing else can stand in for bars
// it alike when it was left out, did not pass or is not there.
func (p *plan) fold(k, class string) string {
	switch class {
	case "pass", "doubt":
		return class
	}
	if !notRead[class] {
		return "read"
	}
	if p.alone[k] {
		return ""
	}
	return "not read"
}

// notRead are the classes of readings that were never taken.
var notRead = map[string]bool{"limitation": true, "not-tested": true, "not-applicable": true}

// report collects violations of one line.
type report struct {
	at, skip string
	all      bool
	out      []Violation
}

// looks reports whether a rule is looked for.
func (r *report) looks(rule string) bool { return rule != r.skip && (r.all || !strict[rule]) }

func (r *report) need(ok bool, rule, text string) {
	if !ok && r.looks(rule) {
		r.out = append(r.out, Violation{rule, r.at + ": " + text})
	}
}
