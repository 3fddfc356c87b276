package checker

import "strings"

// place is where hands or leads go.
type place struct{ board, points bool }

// What a dead test puts hands on, from where its leads go (BS 7671 Part 6 as taught;
// common practice, no source): the board's terminals, the circuit's points, or both.
var deadTests = map[string]place{
	"earthing":             {true, false}, // long lead, main earthing terminal to the lifted conductor
	"bonding":              {true, false}, // main earthing terminal to each clamp
	"supply-cable":         {true, false}, // cpc or armour to the outbuilding's earth
	"neutral-bars":         {true, false}, // bar to bar
	"ends":                 {true, false}, // ring, step 1: leg to leg
	"crossed-line-neutral": {true, true},  // ring, step 2: crossed at the board, read at sockets
	"crossed-line-cpc":     {true, true},  // ring, step 3
	"continuity":           {true, true},  // method 1: linked at the board, read at points
	"long-lead":            {true, true},  // method 2
	"switching":            {true, true},
	"polarity":             {true, true},
	"own-bar":              {true, false}, // line way to each bar; the far link is an act of its own
	"insulation":           {true, false},
}

// outletTests are the tests of today's check on top of an accepted record: at socket-outlets
// by plug-in lead, the covers on, and the main earthing terminal outside the board.
var outletTests = map[string]place{"long-lead": {false, true}, "insulation": {false, true}}

// Tests with the rig energised (BS 7671 Part 6: after the dead tests), at the origin
// or on a circuit; and tests that put hands on nothing.
var (
	originTests  = map[string]bool{"supply": true, "ze": true, "electrode": true, "pfc": true}
	circuitTests = map[string]bool{"zs": true, "rcd": true, "rcd-button": true, "functional": true, "phase-sequence": true}
	freeTests    = map[string]bool{"instrument": true, "inspection": true, "zs-calculated": true}
)

// act is what an act of a kind is, by the word it is recorded with.
type act byte

const (
	unheard act = iota
	free
	exposes // HSG85: only when off, locked, with notice
	hands   // HSG85: only when proved dead at the point of work
	atOrigin
	onCircuit
	switchesOn
	energises
)

var kinds = map[string]act{
	"": free, "look": free, "prepare": free,
	"take-off-cover": exposes,
	"lift":           hands, "reconnect": hands, "link": hands, "unlink": hands, "take-out": hands, "put-back": hands,
	"fit-cover": hands, "inspect-open": hands, "dead-test": hands,
	"live-incoming": atOrigin, "live-test": onCircuit, "operate-live": onCircuit,
	"circuit-on": switchesOn, "energise-incoming": energises, "energise-installation": energises,
}

// judgedTogether are tests whose readings only make sense side by side: one class for
// the whole row.
var judgedTogether = map[string]bool{"ends": true, "crossed-line-neutral": true, "crossed-line-cpc": true, "switching": true}

// name is the reading, or the row of readings, that a verdict is kept under.
func name(at string) string {
	parts := strings.Split(at, "/")
	for i, p := range parts {
		if judgedTogether[p] {
			return strings.Join(parts[:i+1], "/")
		}
	}
	return at
}

// testOf names the test that a reading belongs to, and its circuit if it has one.
func testOf(at string) (circuit, test string) {
	first, rest, _ := strings.Cut(at, "/")
	if _, dead := deadTests[first]; dead || originTests[first] || freeTests[first] {
		return "", first
	}
	test, _, _ = strings.Cut(rest, "/")
	return first, test
}

// counts reports whether a gate may need a reading.
func counts(at string) bool {
	_, test := testOf(at)
	_, dead := deadTests[test]
	return dead || originTests[test] || test == "inspection"
}

func deadReading(at string) bool {
	_, test := testOf(at)
	_, dead := deadTests[test]
	return dead
}

// plan is what a rig needs: lists of readings, each entry a list of alternatives.
type plan struct {
	Rig
	board, origin, everything [][]string
	circuits                  map[string][][]string
	circuit                   map[string]*Circuit
	alone                     map[string]bool // readings that both gates need, and no other can stand in for
}

// plan lists the readings that must have passed before supply returns: BS 7671
// 643.2.1 continuity of protective conductors, bonding included, and of ring final
// conductors; 643.3 insulation resistance; 643.6 polarity; in that order. Bar to bar
// and line way to bar, on boards with several neutral bars, are common practice, no
// source.
func (r *Rig) plan() *plan {
	p := &plan{Rig: *r, circuits: map[string][][]string{}, circuit: map[string]*Circuit{}, alone: map[string]bool{}}
	if !r.FromRecord {
		p.board = [][]string{{"earthing"}, {"inspection/*"}}
		for _, b := range r.Bonds {
			p.board = append(p.board, []string{"bonding/" + b})
		}
		for i := range r.Bars {
			for j := i + 1; j < len(r.Bars); j++ {
				p.board = append(p.board, []string{"neutral-bars/" + r.Bars[i] + "-" + r.Bars[j]})
			}
		}
		if r.SupplyCable {
			p.board = append(p.board, []string{"supply-cable"})
		}
	}
	p.everything = p.board
	for i := range p.Circuits {
		c := &p.Circuits[i]
		p.circuit[c.ID], p.circuits[c.ID] = c, c.needs(r)
		if !r.FromRecord {
			p.everything = append(p.everything, p.circuits[c.ID]...)
		}
	}
	// 643.6 polarity of the supply, and the external loop or, on TT, the electrode.
	for _, pair := range pairs(r.Phases) {
		p.origin = append(p.origin, []string{"supply/" + pair})
	}
	p.origin = append(p.origin, []string{"ze", "electrode"})
	for _, need := range p.everything {
		if len(need) == 1 && !strings.HasSuffix(need[0], "*") {
			p.alone[need[0]] = true
		}
	}
	return p
}

func (c *Circuit) needs(r *Rig) [][]string {
	var needs [][]string
	add := func(alternatives ...string) {
		for i := range alternatives {
			alternatives[i] = c.ID + "/" + alternatives[i]
		}
		needs = append(needs, alternatives)
	}
	switch {
	case r.FromRecord: // today's check: cpc at the outlet used, insulation of the section
		add("long-lead/*", "continuity/*")
		add("insulation/LN-E")
		return needs
	case c.Shape == "ring":
		add("ends")
		add("crossed-line-neutral")
		add("crossed-line-cpc")
	default:
		for _, p := range c.Points {
			if c.Lines == 3 {
				add("continuity/" + p + "-L1")
				add("continuity/" + p + "-L2")
				add("continuity/" + p + "-L3")
				continue
			}
			add("continuity/"+p, "long-lead/"+p)
		}
	}
	if c.Shape == "lighting" && c.Switches {
		add("switching")
	}
	if len(r.Bars) > 1 {
		for _, b := range r.Bars {
			add("own-bar/" + b)
		}
	}
	if c.Electronics { // line and neutral joined, to earth: 643.3.2
		add("insulation/LN-E")
	} else {
		for _, p := range pairs(c.Lines) {
			add("insulation/" + p)
		}
	}
	add("polarity")
	return needs
}

// continuityRead reports whether continuity of a circuit was read at all.
func (c Checker) continuityRead(circuit string) bool {
	for _, test := range []string{"/continuity/", "/long-lead/", "/ends", "/crossed-line-cpc"} {
		if _, some := c.verdict.any(func(k, class string) bool {
			return strings.HasPrefix(k, circuit+test) && !notRead[class]
		}); some {
			return true
		}
	}
	return false
}

// passed reports whether a class opens a gate.
func passed(class string) bool { return class == "pass" }

// met reports whether one of the alternatives passed.
func (c Checker) met(alternatives []string) bool {
	for _, a := range alternatives {
		prefix, wild := strings.CutSuffix(a, "*")
		if !wild {
			if passed(c.verdict.get(a)) {
				return true
			}
			continue
		}
		some, bad := false, false
		c.verdict.any(func(k, v string) bool {
			if strings.HasPrefix(k, prefix) {
				some, bad = true, bad || !passed(v)
			}
			return bad
		})
		if some && !bad {
			return true
		}
	}
	return false
}

// lacking is the first needed reading of a list that is not met.
func (c Checker) lacking(needs [][]string) string {
	for _, n := range needs {
		if !c.met(n) {
			return n[0]
		}
	}
	return ""
}

// shaky is the first reading that what is energised now relies on and that does not
// pass.
func (c Checker) shaky() string {
	if lack := c.lacking(c.plan.everything); lack != "" {
		return lack
	}
	if c.supply != on {
		return ""
	}
	for id := range c.plan.circuits {
		if c.live.has(id) {
			if lack := c.lacking(c.plan.circuits[id]); lack != "" {
				return lack
			}
		}
	}
	if !c.originKnown() {
		return "origin"
	}
	return ""
}

func (c Checker) originKnown() bool {
	return c.origin && !c.plan.MeasuresOrigin || c.lacking(c.plan.origin) == ""
}
