package safety

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Each test, by hand: what kind of act it is, and where its leads go (BS 7671 Part 6 as
// taught: continuity, insulation and polarity with the installation dead; at the origin and
// on circuits with it energised).
func TestTestsByHand(t *testing.T) {
	for name, want := range map[string]string{
		"earthing": "dead-test board", "bonding": "dead-test board", "neutral-bars": "dead-test board", "ends": "dead-test board",
		"own-bar": "dead-test board", "insulation": "dead-test board", "supply-cable": "dead-test board",
		"crossed-line-neutral": "dead-test board points", "crossed-line-cpc": "dead-test board points", "continuity": "dead-test board points",
		"long-lead": "dead-test board points", "switching": "dead-test board points", "polarity": "dead-test board points",
		"supply": "live-incoming", "ze": "live-incoming", "electrode": "live-incoming", "pfc": "live-incoming",
		"zs": "live-test", "rcd": "live-test", "phase-sequence": "live-test", "rcd-button": "operate-live", "functional": "operate-live",
		"zs-calculated": "look", "inspection": "look", "instrument": "prepare",
	} {
		k, ok := TestKind(name)
		board, points := TestPlaces(name)
		got := k.String()
		if board {
			got += " board"
		}
		if points {
			got += " points"
		}
		if !ok || got != want {
			t.Errorf("%s is %q (%v), by hand %q", name, got, ok, want)
		}
		if on, ok := TestKindOn(name, true); name == "pfc" && on != LiveTest || name != "pfc" && on != k || !ok {
			t.Errorf("%s with shrouded points is %s", name, on)
		}
		if on, ok := TestKindOn(name, false); on != k || !ok {
			t.Errorf("%s without shrouded points is %s", name, on)
		}
		if NeedsEarth(name) != (name == "insulation") {
			t.Errorf("%s needs its earth: %v", name, NeedsEarth(name))
		}
		if (k == DeadTest) != slices.Contains(DeadTests(), name) {
			t.Errorf("%s among the dead tests: %v", name, slices.Contains(DeadTests(), name))
		}
		today := name == "long-lead" || name == "insulation"
		if b, p := TodayPlaces(name, true); today && (b || !p) || !today && (b != board || p != points) {
			t.Errorf("%s today, at outlets: board %v, points %v", name, b, p)
		}
		if b, p := TodayPlaces(name, false); b != board || p != points {
			t.Errorf("%s today, elsewhere: board %v, points %v", name, b, p)
		}
	}
	for _, none := range []string{"", "loop", "none"} {
		if k, ok := TestKind(none); ok || k != NoKind {
			t.Errorf("%q is a test of kind %s", none, k)
		}
		if b, p := TestPlaces(none); b || p {
			t.Errorf("%q puts leads somewhere", none)
		}
		if _, ok := TestKindOn(none, true); ok {
			t.Errorf("%q is a test", none)
		}
	}
	if n := len(DeadTests()); n != 13 {
		t.Errorf("%d dead tests", n)
	}
}

// Each class of ledger item, by hand: what opens and closes it, which gate tolerates it.
func TestLedgerByHand(t *testing.T) {
	for c, want := range map[Class]string{
		Cover: "cover take-off-cover fit-cover", Conductor: "conductor lift reconnect", CPC: "cpc lift reconnect", TestLink: "link link unlink",
		Removed: "removed take-out put-back", Unplugged: "unplugged prepare prepare", LongLead: "long-lead link unlink",
		EarthingConductor: "earthing-conductor lift reconnect", BondingConductor: "bonding-conductor lift reconnect",
		IncomingAccess: "incoming-access take-off-cover fit-cover", NoClass: "none none none",
	} {
		if got := fmt.Sprintf("%s %s %s", c, c.OpensBy(), c.ClosesBy()); got != want {
			t.Errorf("%q, by hand %q", got, want)
		}
		if back, ok := ParseClass(c.String()); c != NoClass && (!ok || back != c) {
			t.Errorf("%s is read back as %s, %v", c, back, ok)
		}
		for _, gate := range Kinds() {
			want := gate == EnergiseIncoming && (c == EarthingConductor || c == IncomingAccess)
			if Tolerated(gate, c) != want {
				t.Errorf("%s tolerates %s: %v", gate, c, !want)
			}
		}
		if c.CircuitEnds() != (c == Conductor || c == CPC) {
			t.Errorf("%s is conductor ends: %v", c, c.CircuitEnds())
		}
	}
	for _, none := range []string{"", "none", "wire", "unknown"} {
		if c, ok := ParseClass(none); ok || c != NoClass {
			t.Errorf("%q is a class", none)
		}
	}
	if numClasses.String() != "unknown" || Class(200).String() != "unknown" {
		t.Error("what is no class has a name")
	}
}

func needsText(needs []Need) string {
	var out []string
	for _, n := range needs {
		s := n.Test
		if n.Or != "" {
			s += "|" + n.Or
		}
		if n.Points {
			s += " at each point"
		}
		if len(n.Parts) > 0 {
			s += " " + strings.Join(n.Parts, ",")
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

// The dead tests of each shape of circuit and of boards, by hand (BS 7671 643.2, 643.3,
// 643.6; the neutral bars and switch positions are common practice, no source).
func TestNeedsByHand(t *testing.T) {
	const three = "L1-N,L2-N,L3-N,L1-E,L2-E,L3-E,N-E,L1-L2,L1-L3,L2-L3"
	for _, x := range []struct {
		c    Circuit
		want string
	}{
		{Circuit{Shape: RingShape, Lines: 1, Bars: 1}, "ends r1,rn,r2; crossed-line-neutral at each point; crossed-line-cpc at each point; insulation L-N,L-E,N-E; polarity"},
		{Circuit{Shape: RadialShape, Lines: 1, Bars: 2}, "continuity|long-lead at each point; own-bar; insulation L-N,L-E,N-E; polarity"},
		{Circuit{Shape: FixedShape, Lines: 3, Bars: 1}, "continuity|long-lead at each point; insulation " + three + "; polarity"},
		{Circuit{Shape: LightingShape, Lines: 1, Switches: 1, Bars: 0}, "continuity|long-lead at each point; switching; insulation L-N,L-E,N-E; polarity"},
		{Circuit{Shape: LightingShape, Lines: 1, Electronics: true}, "continuity|long-lead at each point; insulation LN-E; polarity"},
		{Circuit{Shape: RadialShape, Lines: 3, Switches: 2, Electronics: true, Bars: 3}, "continuity|long-lead at each point; own-bar; insulation LN-E; polarity"},
	} {
		if got := needsText(CircuitNeeds(x.c)); got != x.want {
			t.Errorf("%+v:\n got %s\nwant %s", x.c, got, x.want)
		}
	}
	for _, x := range []struct {
		b    Board
		want string
	}{
		{Board{}, "inspection; earthing"},
		{Board{Bars: []string{"N"}}, "inspection; earthing"},
		{Board{Bars: []string{"NA", "NB"}, Bonds: []string{"water"}}, "inspection; earthing; bonding water; neutral-bars"},
		{Board{Bonds: []string{"water", "steel"}, SupplyCable: true}, "inspection; earthing; bonding water,steel; supply-cable"},
	} {
		if got := needsText(BoardNeeds(x.b)); got != x.want {
			t.Errorf("%+v:\n got %s\nwant %s", x.b, got, x.want)
		}
	}
	if got := needsText(TodayNeeds(Circuit{})); got != "continuity|long-lead; insulation LN-E" {
		t.Error("today: ", got)
	}
}

// The order of tests, by hand: which stands before which, and of what both are.
func TestOrderByHand(t *testing.T) {
	const cont = "ends crossed-line-neutral crossed-line-cpc continuity long-lead"
	want := map[string]string{
		"inspection-first":             "inspection < earthing bonding neutral-bars supply-cable ends crossed-line-neutral crossed-line-cpc continuity long-lead own-bar switching insulation polarity, anywhere",
		"earth-before-insulation":      "earthing bonding < insulation, anywhere",
		"ends-before-cross":            "ends < crossed-line-neutral crossed-line-cpc, circuit",
		"line-neutral-before-line-cpc": "crossed-line-neutral < crossed-line-cpc, circuit",
		"continuity-before-insulation": cont + " < insulation, circuit",
		"continuity-before-live":       cont + " insulation polarity < zs zs-calculated rcd phase-sequence, circuit",
		"supply-before-loop":           "supply < ze electrode pfc, anywhere",
		"external-before-circuit-loop": "ze electrode < zs zs-calculated, anywhere",
		"loop-before-rcd":              "zs zs-calculated < rcd, circuit",
		"timed-before-button":          "rcd < rcd-button, rcd",
		"measured-before-functional":   "zs rcd < functional, anywhere",
	}
	for _, o := range TestOrder() {
		scope := map[Scope]string{SameCircuit: "circuit", SameRCD: "rcd", Anywhere: "anywhere"}[o.Scope]
		if got := strings.Join(o.Before, " ") + " < " + strings.Join(o.After, " ") + ", " + scope; got != want[o.ID] {
			t.Errorf("%s:\n got %s\nwant %s", o.ID, got, want[o.ID])
		}
		delete(want, o.ID)
		if !o.Speaks(o.Before[0], o.After[0]) || o.Speaks(o.After[0], o.Before[0]) || o.Speaks(o.Before[0], "none") || o.Speaks("none", o.After[0]) {
			t.Errorf("%s speaks of others than it names", o.ID)
		}
	}
	for id := range want {
		t.Errorf("no line %s", id)
	}
}

// The table can be cut by one line, and says which acts a line is about.
func TestTableOfRules(t *testing.T) {
	all := Interlock()
	for _, r := range all {
		less := all.Without(r.ID)
		if len(less) != len(all)-1 || slices.ContainsFunc(less, func(x Rule) bool { return x.ID == r.ID }) {
			t.Errorf("without %s: %d of %d lines", r.ID, len(less), len(all))
		}
		if r.Why == "" || r.Fact == "" || !slices.ContainsFunc(Kinds(), r.Applies) || r.Applies(Look) || r.Applies(Prepare) {
			t.Errorf("%s: no reason, no fact, or about other acts than it should", r.ID)
		}
	}
	if len(all.Without("none")) != len(all) {
		t.Error("a line that is not there was taken out")
	}
	for _, e := range []*PairsError{{Reason: "points", Wanted: 8, Counted: 7}, {Reason: "missing", Pairs: []string{"L-N", "N-E"}}} {
		if text := e.Error(); e.Wanted > 0 && text != "found 7 points tried, should be 8" || e.Wanted == 0 && text != "pairs missing: L-N, N-E" {
			t.Error(text)
		}
	}
}
