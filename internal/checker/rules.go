package checker

// Rule is one thing the checker holds a record to. Strict ones go further than what
// always holds of a session; they are looked for only when asked for.
type Rule struct {
	Name, Says, Source string
	Strict             bool
}

// strict names the rules looked for only when asked for.
var strict = map[string]bool{}

func init() {
	for _, r := range Rules {
		strict[r.Name] = r.Strict
	}
}

// Sources, in short.
const (
	hsg85  = "HSG85 as taught: switch off, lock, keep the key, notice, prove the indicator, prove dead, prove it again"
	eawr   = "EAWR 1989 regulations 13, 14 and 16"
	part6  = "BS 7671 Part 6: dead tests pass before the supply is connected"
	twice  = "common practice, no source: incoming side first, installation when the earth is proved back"
	ledger = "common practice, no source: what was opened is closed"
	record = "this project: what a record must show"
)

// Rules is everything the checker looks for.
var Rules = []Rule{
	{"seen", "supply was seen before it was switched off, so that what goes dark is what was meant", hsg85, false},
	{"isolated", "covers come off, proof is taken and hands go in only with supply off, locked, key held, notice up", hsg85, false},
	{"dead-board", "hands or a dead-test instrument at the board only when it is proved dead", eawr, false},
	{"dead-points", "hands or a dead-test instrument at a circuit's points only when they are proved dead", eawr, false},
	{"round", "a proof is the indicator proved, every pair at every point dead, the indicator proved again", hsg85, false},
	{"content", "what is said at a question of safety is what it asks for, never a bare yes", record, false},
	{"code", "the supervisor's code is set once and is the same every time", record, false},
	{"stop-answered", "after stop nothing goes on before it was said what for", record, false},
	{"harm-supervisor", "after somebody was hurt, or nearly, the supervisor lets work go on before anything does", "common practice, no source", false},
	{"gate-from-off", "supply returns to a rig that was switched off at the point of isolation", twice, false},
	{"gate-locked", "it was locked, with the key held and the notice up, until then", hsg85, true},
	{"gate-questions", "covers, loads, earthing, faults, people and the supervisor were asked since the gate began", eawr, false},
	{"gate-earthing", "where the earthing conductor is said to be is where it is", twice, false},
	{"gate-tests", "every dead test that the rig needs has passed, or its doubt was accepted with a reason and the code", part6, false},
	{"gate-doubts", "no doubt is left that the supervisor did not accept with a reason", part6, false},
	{"gate-circuits", "a board without circuits has nothing that was tested", part6, false},
	{"gate-record", "a lesson that starts live starts from a record accepted with the code", record, false},
	{"gate-ledger", "nothing is open but, at the incoming gate, earthing conductor and access", ledger, false},
	{"gate-upstream", "no incoming gate on a rig whose incoming terminals were never dead", twice, false},
	{"gate-origin", "the installation is energised on a known supply and external earth", part6, false},
	{"main-locked", "only the incoming side is live while the main switch is locked off", twice, false},
	{"own-lock", "the main switch has a padlock of its own: one lock is not in two places", hsg85, true},
	{"live-origin", "readings at the origin are taken with the incoming side live and nothing else", twice, false},
	{"earth-lifted", "the external loop is read on the lifted earthing conductor", part6, false},
	{"earth-back", "prospective fault current is read with the earthing conductor back", part6, false},
	{"live-circuit", "a circuit is read live when the installation and the circuit are on", twice, false},
	{"live-standing", "covers, loads, people and supervisor are as they were said to be", eawr, false},
	{"live-tests", "what the gate relied on still passes", part6, false},
	{"circuit-tests", "a circuit goes on when its own tests have passed", part6, false},
	{"shaken", "when what a gate relied on was corrected and did not pass, isolation comes before anything live", part6, true},
	{"bare-repeat", "a reading that failed is not simply taken again", part6, false},
	{"not-applicable", "no required test is called not applicable", record, false},
	{"order", "insulation counts when continuity of the circuit was read before it", part6, true},
	{"insulation-cpc", "insulation is read with the circuit's own cpc in", part6, false},
	{"insulation-earth", "insulation is read with the earthing conductor in", part6, true},
	{"known-act", "no act and no test that the checker has not heard of", record, false},
	{"opened-twice", "what is open is not opened", ledger, false},
	{"closed-unopened", "what is not open is not closed", ledger, false},
	{"end-open", "a session ends complete with nothing open", ledger, false},
}
