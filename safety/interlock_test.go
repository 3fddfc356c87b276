package safety

import (
	"reflect"
	"slices"
	"strings"
	"testing"
)

// What each kind of act is, written by hand a second time: dead work exposes or touches,
// live work is live, a gate is a gate (HSG85; EAWR 1989 regulations 13 and 14).
var kindsByHand = map[Kind]string{
	Look: "", Prepare: "", OperateDead: "dead",
	TakeOffCover: "dead exposes", FitCover: "dead touches", InspectOpen: "dead touches", Lift: "dead touches", Reconnect: "dead touches",
	Link: "dead touches", Unlink: "dead touches", TakeOut: "dead touches", PutBack: "dead touches", DeadTest: "dead touches",
	EnergiseIncoming: "gate", EnergiseInstallation: "gate", LiveIncoming: "live", CircuitOn: "live", LiveTest: "live", OperateLive: "live",
}

func TestKindsByHand(t *testing.T) {
	ks := Kinds()
	if len(ks) != len(kindsByHand) {
		t.Errorf("%d kinds, %d by hand", len(ks), len(kindsByHand))
	}
	for _, k := range ks {
		var is []string
		for _, x := range []struct {
			word string
			is   bool
		}{{"dead", k.OnDead()}, {"exposes", k.Exposes()}, {"touches", k.Touches()}, {"gate", k.IsGate()}, {"live", k.Live()}} {
			if x.is {
				is = append(is, x.word)
			}
		}
		if got := strings.Join(is, " "); got != kindsByHand[k] {
			t.Errorf("%s is %q, by hand %q", k, got, kindsByHand[k])
		}
		if back, ok := ParseKind(k.String()); !ok || back != k {
			t.Errorf("%s is read back as %s, %v", k, back, ok)
		}
	}
	for _, none := range []string{"", "none", "unknown"} {
		if k, ok := ParseKind(none); ok || k != NoKind {
			t.Errorf("%q is read as %s", none, k)
		}
	}
	if Kind(200).String() != "unknown" || numKinds.String() != "unknown" || NoKind.String() != "none" {
		t.Error("what is no kind has a name")
	}
}

// held is an act of a kind with everything that it needs.
func held(k Kind) (Want, Facts, Record) {
	w := Want{Kind: k, Circuit: 0}
	f := Facts{Supply: Off, LockOn: true, KeyHeld: true, Notice: true}
	r := Record{TestsPassed: true, LedgerFits: true}
	switch kindsByHand[k] {
	case "dead touches":
		w.Board, w.Points, f.BoardDead, f.CircuitDead = true, CircuitPlace(0), true, CircuitPlace(0)
		w.EarthWhole = true
	case "gate":
		f.GateAt = k
		f.Covers, f.Loads, f.EarthKnown, f.People, f.Supervisor = true, true, true, true, true
		f.MainLocked = k == EnergiseIncoming
		f.FaultsCleared, f.OriginGiven, r.Upstream = k == EnergiseInstallation, k == EnergiseInstallation, k == EnergiseIncoming
	case "live":
		f = Facts{Supply: On, Covers: true, Loads: true, People: true, Supervisor: true}
		r.CircuitOn, r.CircuitPassed = true, true
		if k == LiveIncoming {
			f.Supply, f.MainLocked = Incoming, true
		}
	}
	return w, f, r
}

// An act lacks nothing when all is as it must be, and exactly what it should when one thing
// is otherwise. The table is by hand, from the sources named at the rules.
func TestInterlockByHand(t *testing.T) {
	inc, inst := []Kind{EnergiseIncoming}, []Kind{EnergiseInstallation}
	both := append(slices.Clone(inc), inst...)
	var dead, touch, live []Kind
	for _, k := range Kinds() {
		if strings.Contains(kindsByHand[k], "dead") {
			dead = append(dead, k)
		}
		if strings.Contains(kindsByHand[k], "touches") {
			touch = append(touch, k)
		}
		if kindsByHand[k] == "live" {
			live = append(live, k)
		}
	}
	circ := []Kind{CircuitOn, LiveTest, OperateLive}
	gone := func(f func(*Want, *Facts, *Record)) func(*Want, *Facts, *Record) { return f }
	for _, x := range []struct {
		what   string
		change func(w *Want, f *Facts, r *Record)
		lacks  map[string][]Kind // facts, in their order -> the kinds that lack them; no other kind lacks anything
	}{
		{"all is well", gone(func(*Want, *Facts, *Record) {}), nil},
		{"as found, not seen", func(_ *Want, f *Facts, _ *Record) { f.Supply = Found }, map[string][]Kind{
			"supply/seen isolator/off": dead, "isolate": both, "gate/incoming": {LiveIncoming}, "gate/installation": circ}},
		{"as found, seen", func(_ *Want, f *Facts, _ *Record) { f.Supply, f.Seen = Found, true }, map[string][]Kind{
			"isolator/off": dead, "isolate": both, "gate/incoming": {LiveIncoming}, "gate/installation": circ}},
		{"incoming live", func(_ *Want, f *Facts, _ *Record) { f.Supply, f.Seen = Incoming, true }, map[string][]Kind{
			"isolator/off": dead, "isolate": both, "gate/installation": circ}},
		{"on", func(_ *Want, f *Facts, _ *Record) { f.Supply, f.Seen = On, true }, map[string][]Kind{
			"isolator/off": dead, "isolate": both, "gate/incoming": {LiveIncoming}}},
		{"no lock", func(_ *Want, f *Facts, _ *Record) { f.LockOn = false }, map[string][]Kind{"lock/number": append(slices.Clone(dead), both...)}},
		{"no key", func(_ *Want, f *Facts, _ *Record) { f.KeyHeld = false }, map[string][]Kind{"lock/key": append(slices.Clone(dead), both...)}},
		{"no notice", func(_ *Want, f *Facts, _ *Record) { f.Notice = false }, map[string][]Kind{"notice/where": append(slices.Clone(dead), both...)}},
		{"board not dead", func(_ *Want, f *Facts, _ *Record) { f.BoardDead = false }, map[string][]Kind{"dead": touch}},
		{"points not dead", func(_ *Want, f *Facts, _ *Record) { f.CircuitDead = NoPlace }, map[string][]Kind{"dead": touch}},
		{"another circuit's points dead", func(_ *Want, f *Facts, _ *Record) { f.CircuitDead = CircuitPlace(1) }, map[string][]Kind{"dead": touch}},
		{"neither dead", func(_ *Want, f *Facts, _ *Record) { f.BoardDead, f.CircuitDead = false, NoPlace }, map[string][]Kind{"dead dead": touch}},
		{"neither dead, at the board", func(w *Want, f *Facts, _ *Record) { w.Points, f.BoardDead, f.CircuitDead = NoPlace, false, NoPlace }, map[string][]Kind{"dead": touch}},
		{"neither dead, at neither", func(w *Want, f *Facts, _ *Record) {
			w.Board, w.Points, f.BoardDead, f.CircuitDead = false, NoPlace, false, NoPlace
		}, nil},
		{"not earthed", func(_ *Want, _ *Facts, r *Record) { r.EarthingOff = true }, map[string][]Kind{"earthing/whole": {DeadTest}}},
		{"not earthed, and no matter", func(w *Want, _ *Facts, r *Record) { w.EarthWhole, r.EarthingOff = false, true }, nil},
		{"isolated at the main switch", func(_ *Want, _ *Facts, r *Record) { r.Upstream = false }, map[string][]Kind{"rig/upstream": inc}},
		{"a test lacks", func(_ *Want, _ *Facts, r *Record) { r.TestsPassed = false }, map[string][]Kind{"dead-tests doubts": both, "isolate": live}},
		{"a doubt is open", func(_ *Want, _ *Facts, r *Record) { r.TestsPassed, r.DoubtsOpen = false, true }, map[string][]Kind{"doubts": both, "isolate": live}},
		{"something is open", func(_ *Want, _ *Facts, r *Record) { r.LedgerFits = false }, map[string][]Kind{"ledger": both}},
		{"a fault that bars", func(_ *Want, _ *Facts, r *Record) { r.NeverEnergise = true }, map[string][]Kind{"rig/no-fault": inst}},
		{"nobody knows the origin", func(_ *Want, f *Facts, _ *Record) { f.OriginGiven = false }, map[string][]Kind{"origin": inst}},
		{"the origin was measured", func(_ *Want, f *Facts, r *Record) { f.OriginGiven, r.OriginPassed = false, true }, nil},
		{"covers", func(_ *Want, f *Facts, _ *Record) { f.Covers = false }, map[string][]Kind{"covers": append(slices.Clone(both), live...)}},
		{"loads", func(_ *Want, f *Facts, _ *Record) { f.Loads = false }, map[string][]Kind{"loads": append(slices.Clone(both), live...)}},
		{"people", func(_ *Want, f *Facts, _ *Record) { f.People = false }, map[string][]Kind{"people": append(slices.Clone(both), live...)}},
		{"supervisor", func(_ *Want, f *Facts, _ *Record) { f.Supervisor = false }, map[string][]Kind{"supervisor": append(slices.Clone(both), live...)}},
		{"main switch not locked", func(_ *Want, f *Facts, _ *Record) { f.MainLocked = false }, map[string][]Kind{"main-switch/lock": {EnergiseIncoming, LiveIncoming}}},
		{"earthing not said", func(_ *Want, f *Facts, _ *Record) { f.EarthKnown = false }, map[string][]Kind{"earthing": both}},
		{"faults not cleared", func(_ *Want, f *Facts, _ *Record) { f.FaultsCleared = false }, map[string][]Kind{"faults": inst}},
		{"answered at no gate", func(_ *Want, f *Facts, _ *Record) { f.GateAt = NoKind }, map[string][]Kind{
			"covers loads earthing people supervisor": inc, "covers loads earthing faults people supervisor": inst}},
		{"answered at the incoming gate", func(_ *Want, f *Facts, _ *Record) { f.GateAt = EnergiseIncoming }, map[string][]Kind{
			"covers loads earthing faults people supervisor": inst}},
		{"answered at the installation gate", func(_ *Want, f *Facts, _ *Record) { f.GateAt = EnergiseInstallation }, map[string][]Kind{
			"covers loads earthing people supervisor": inc}},
		{"its circuit is off", func(_ *Want, _ *Facts, r *Record) { r.CircuitOn = false }, map[string][]Kind{"circuit/on": {LiveTest, OperateLive}}},
		{"its circuit did not pass", func(_ *Want, _ *Facts, r *Record) { r.CircuitPassed = false }, map[string][]Kind{"circuit/tests": {CircuitOn}}},
		{"of no circuit", func(w *Want, _ *Facts, r *Record) { w.Circuit, r.CircuitOn, r.CircuitPassed = -1, false, false }, nil},
	} {
		for _, k := range Kinds() {
			w, f, r := held(k)
			x.change(&w, &f, &r)
			want := ""
			for facts, of := range x.lacks {
				if slices.Contains(of, k) {
					want = facts
				}
			}
			var got []string
			for _, fact := range Interlock().AllMissing(w, f, r) {
				got = append(got, string(fact))
			}
			if strings.Join(got, " ") != want {
				t.Errorf("%s, %s: lacks %q, by hand %q", x.what, k, got, want)
			}
			first, some := Interlock().Missing(w, f, r)
			if some != (want != "") || string(first) != strings.Split(want, " ")[0] {
				t.Errorf("%s, %s: %q is asked for first, by hand %q", x.what, k, first, want)
			}
		}
	}
}

// every is facts with everything true, so that what falls shows.
func every(s Supply) Facts {
	return Facts{Supply: s, Seen: true, LockOn: true, KeyHeld: true, Notice: true, MainLocked: true, BoardDead: true, CircuitDead: CircuitPlace(3),
		RoundAt: CircuitPlace(3), Round: PairsDead, Loads: true, Covers: true, People: true, Supervisor: true, GateAt: EnergiseIncoming,
		EarthKnown: true, FaultsCleared: true, OriginGiven: true, RecordGiven: true}
}

// What falls when something happens, by hand: lock, dead, covers, loads off, people told and
// supervisor present fall together; a gate, a switched supply and a voltage found end every
// "dead"; the supervisor leaving ends only their presence, someone joining only "told".
func TestFactsByHand(t *testing.T) {
	const (
		round  = "RoundAt Round"
		dead   = "BoardDead CircuitDead " + round
		gate   = "GateAt EarthKnown FaultsCleared"
		people = "Loads Covers People Supervisor"
		all    = "LockOn KeyHeld MainLocked " + people + " " + dead + " " + gate
	)
	cause := func(c Cause) func(Facts) Facts { return func(f Facts) Facts { return f.After(c) } }
	for _, x := range []struct {
		what  string
		from  Supply
		to    func(Facts) Facts
		fall  string // become false, or nothing
		after func(*Facts)
	}{
		{"pause", On, cause(Pause), all, nil},
		{"resume", On, cause(Resume), all, nil},
		{"left the bay", On, cause(LeftBay), all, nil},
		{"key handed over", On, cause(KeyHandedOver), all, nil},
		{"other hands", On, cause(OtherHands), all, nil},
		{"supervisor left", On, cause(SupervisorLeft), "Supervisor", nil},
		{"someone joined", On, cause(SomeoneJoined), "People", nil},
		{"voltage found", Off, cause(VoltageFound), all + " Notice Supply", nil},
		{"harm", On, cause(Harm), all + " Notice Supply", nil},
		{"lock gone", Off, Facts.LockGone, all + " Notice Supply", nil},
		{"switched off, was on", On, Facts.SwitchedOff, all + " Notice", func(f *Facts) { f.Supply = Off }},
		{"switched off, as found", Found, Facts.SwitchedOff, all + " Notice", func(f *Facts) { f.Supply = Off }},
		{"switched off, incoming", Incoming, Facts.SwitchedOff, strings.Replace(all, " MainLocked", "", 1) + " Notice", func(f *Facts) { f.Supply = Off }},
		{"switched off, was off", Off, Facts.SwitchedOff, strings.Replace(all, " MainLocked", "", 1) + " Notice", nil},
		{"gate begins", Off, func(f Facts) Facts { return f.BeginGate(EnergiseInstallation) }, people + " EarthKnown FaultsCleared", func(f *Facts) { f.GateAt = EnergiseInstallation }},
		{"incoming gate passed", Off, func(f Facts) Facts { return f.Energised(EnergiseIncoming) }, dead + " " + gate + " Seen LockOn KeyHeld Notice", func(f *Facts) { f.Supply = Incoming }},
		{"installation gate passed", Off, func(f Facts) Facts { return f.Energised(EnergiseInstallation) }, dead + " " + gate + " Seen LockOn KeyHeld Notice MainLocked", func(f *Facts) { f.Supply = On }},
		{"indicator proved", Off, func(f Facts) Facts { return f.ProveIndicator(BoardPlace) }, "", func(f *Facts) { f.RoundAt, f.Round = BoardPlace, IndicatorProved }},
		{"pairs, no indicator", Off, func(f Facts) Facts { f.Round = NoRound; return f.ShowPairs() }, "Round", nil},
		{"pairs", Off, func(f Facts) Facts { f.Round = IndicatorProved; return f.ShowPairs() }, "", nil},
		{"proved again", Off, func(f Facts) Facts { f.CircuitDead = NoPlace; return f.ProveAgain(true) }, round, nil},
		{"proved again, the board", Off, func(f Facts) Facts { f.BoardDead, f.RoundAt = false, BoardPlace; return f.ProveAgain(true) }, round, nil},
		{"not proved again", Off, func(f Facts) Facts { f.CircuitDead = NoPlace; return f.ProveAgain(false) }, round + " CircuitDead", nil},
		{"proved again, no pairs", Off, func(f Facts) Facts { f.CircuitDead, f.Round = NoPlace, IndicatorProved; return f.ProveAgain(true) }, round + " CircuitDead", nil},
		{"worked dead", Off, func(f Facts) Facts { return f.Worked(Lift) }, round + " " + people + " " + gate, nil},
		{"worked live", On, func(f Facts) Facts { return f.Worked(LiveTest) }, round, nil},
		{"left for another place", Off, func(f Facts) Facts { return f.Leave(BoardPlace) }, "CircuitDead", nil},
		{"left for the same", Off, func(f Facts) Facts { return f.Leave(CircuitPlace(3)) }, "", nil},
	} {
		want := every(x.from)
		for _, name := range strings.Fields(x.fall) {
			v := reflect.ValueOf(&want).Elem().FieldByName(name)
			v.SetZero()
		}
		if x.after != nil {
			x.after(&want)
		}
		if got := x.to(every(x.from)); got != want {
			t.Errorf("%s:\n got %+v\nwant %+v", x.what, got, want)
		}
	}
	if f := (Facts{}).After(VoltageFound); !f.Seen {
		t.Error("after voltage was found, it need not be seen before isolating")
	}
	if f := (Facts{}).LockGone(); !f.Seen {
		t.Error("after the lock was gone, supply need not be seen before isolating")
	}
	if f := (Facts{}).Leave(BoardPlace); f != (Facts{}) {
		t.Error("nothing proved, something left")
	}
}

func TestPlacesByHand(t *testing.T) {
	f := Facts{CircuitDead: CircuitPlace(2)}
	for p, want := range map[Place]bool{NoPlace: false, BoardPlace: false, CircuitPlace(0): false, CircuitPlace(2): true} {
		if f.Dead(p) != want {
			t.Errorf("place %d dead: %v", p, !want)
		}
	}
	if f := (Facts{BoardDead: true}); !f.Dead(BoardPlace) || f.Dead(NoPlace) || f.Dead(CircuitPlace(0)) {
		t.Error("only the board is dead")
	}
	for p, want := range map[Place]int{CircuitPlace(0): 0, CircuitPlace(7): 7} {
		if i, ok := p.Circuit(); !ok || i != want {
			t.Errorf("circuit of place %d: %d, %v", p, i, ok)
		}
	}
	for _, p := range []Place{NoPlace, BoardPlace} {
		if _, ok := p.Circuit(); ok {
			t.Errorf("place %d is a circuit's", p)
		}
	}
	for s, want := range map[Supply]string{Found: "as found", Off: "off", Incoming: "incoming", On: "on"} {
		if s.String() != want {
			t.Errorf("%q is not %q", s, want)
		}
	}
	for c := Pause; c < numCauses; c++ {
		if back, ok := ParseCause(c.String()); !ok || back != c {
			t.Errorf("%s is read back as %v, %v", c, back, ok)
		}
	}
	if c, ok := ParseCause("rain"); ok || c != 0 {
		t.Error("rain is a cause")
	}
}
