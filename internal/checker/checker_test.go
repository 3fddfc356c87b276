package checker

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// bay is a small rig: one radial circuit with two sockets, one neutral bar.
func bay() *Rig {
	return &Rig{Upstream: true, Phases: 1, Bars: []string{"N"}, Circuits: []Circuit{
		{ID: "c", Shape: "radial", Section: "s", Lines: 1, Points: []string{"s1", "s2"}, AllPoints: 2}}}
}

// lesson is the same rig at the start of a lesson that begins live.
func lesson() *Rig { r := bay(); r.FromRecord = true; return r }

// taken makes a line that was taken; kv are its params.
func taken(at, raw string, kv ...string) Line {
	l := Line{Type: "answer", At: at, Raw: raw, Verdict: "taken", Params: map[string]string{}}
	for i := 0; i+1 < len(kv); i += 2 {
		l.Params[kv[i]] = kv[i+1]
	}
	return l
}

// read makes a line of one reading with its class.
func read(at, test, class string, kv ...string) Line {
	l := taken(at, "0.1", append([]string{"test", test, "kind", "dead-test"}, kv...)...)
	l.Verdict, l.Judged = class, []Judged{{at, class}}
	return l
}

func ofC(test, part, class string) Line {
	return read("c/"+test+part, test, class, "circuit", "c")
}

func live(at, test, class, kind string) Line {
	return read(at, test, class, "kind", kind)
}

func correct(at, class string) Line {
	return Line{Type: "correct", At: at, Raw: "9", Verdict: class, Judged: []Judged{{at, class}}, Params: map[string]string{}}
}

func move(kind, at, item, class, how string, kv ...string) Line {
	return taken(at, "done", append([]string{"kind", kind, "item", item, "class", class, how, "true"}, kv...)...)
}

func isolation() []Line {
	return []Line{taken("safety/supply/seen", "lit"), taken("safety/isolator/off", "isolator"),
		taken("safety/lock/number", "44"), taken("safety/lock/key", "on-me"), taken("safety/notice/where", "at-isolator")}
}

func proof(place, pairs string) []Line {
	return []Line{taken("safety/"+place+"/indicator", "two-pole"), taken("safety/"+place+"/pairs", pairs), taken("safety/"+place+"/prove-again", "works")}
}

const deadPairs = "L-N 0, L-E 0, N-E 0"

func gate(name, earthing string) []Line {
	ls := []Line{taken("safety/"+name+"/covers", "all-on"), taken("safety/"+name+"/loads", "all-off")}
	if name == "incoming" {
		ls = append(ls, taken("safety/main-switch/lock", "55"))
	}
	ls = append(ls, taken("safety/"+name+"/earthing", earthing))
	if name == "installation" {
		ls = append(ls, taken("safety/"+name+"/faults", "cleared"))
	}
	return append(ls, taken("safety/"+name+"/people", "the bay"), taken("safety/"+name+"/code", "hash"), taken("safety/"+name+"/switch-on", "on"))
}

func joined(parts ...[]Line) []Line { return slices.Concat(parts...) }

var (
	liftEarth = move("lift", "earth/lift", "earthing", "earthing-conductor", "opened", "board", "true")
	earthBack = move("reconnect", "earth/back", "earthing", "earthing-conductor", "closed", "board", "true")
	coverOff  = move("take-off-cover", "cover/off", "cover", "cover", "opened", "board", "true")
	coverOn   = move("fit-cover", "cover/on", "cover", "cover", "closed", "board", "true")
	circuitOn = taken("c/circuit/on", "on", "kind", "circuit-on", "circuit", "c")
	ze        = live("ze", "ze", "pass", "live-incoming")
)

// good is a whole record in which everything is as it should be.
func good() []Line {
	return joined(
		[]Line{taken("supervisor/code", "hash")}, isolation(), []Line{coverOff}, proof("board", deadPairs),
		[]Line{read("inspection/x", "inspection", "pass", "kind", "inspect-open", "board", "true"), read("earthing", "earthing", "pass")},
		proof("c", deadPairs+", points 2"),
		[]Line{ofC("continuity", "/s1", "pass"), ofC("continuity", "/s2", "pass"), ofC("insulation", "/L-N", "pass"),
			ofC("insulation", "/L-E", "pass"), ofC("insulation", "/N-E", "pass"), ofC("polarity", "", "pass"), liftEarth, coverOn},
		gate("incoming", "lifted"),
		[]Line{live("supply/L-N", "supply", "pass", "live-incoming"), live("supply/L-E", "supply", "pass", "live-incoming"),
			live("supply/N-E", "supply", "pass", "live-incoming"), ze},
		isolation(), proof("board", deadPairs), []Line{earthBack},
		gate("installation", "in-terminal"),
		[]Line{circuitOn, zs(), taken("hand-back", "told", "kind", "look", "ended", "complete")})
}

func zs() Line { l := ofC("zs", "/s2", "pass"); l.Params["kind"] = "live-test"; return l }

// upTo is the good record as far as the nth line at an id, which is left out.
func upTo(at string, nth int) []Line {
	ls := good()
	for i, l := range ls {
		if l.At == at {
			if nth--; nth == 0 {
				return ls[:i]
			}
		}
	}
	panic("no line at " + at)
}

// without takes out the lines at an id.
func without(ls []Line, at string) []Line {
	return slices.DeleteFunc(slices.Clone(ls), func(l Line) bool { return l.At == at })
}

// run returns the rules that a record breaks, in order, once each.
func run(c Checker, ls []Line) []string {
	var rules []string
	for _, l := range ls {
		var bad []Violation
		c, bad = c.Step(l)
		for _, v := range bad {
			if !slices.Contains(rules, v.Rule) {
				rules = append(rules, v.Rule)
			}
		}
	}
	return rules
}

func TestGoodRecord(t *testing.T) {
	if bad := run(New(bay()).Strict(), good()); len(bad) > 0 {
		t.Errorf("a good record breaks %v", bad)
	}
}

// today is today's check of the lesson's circuit, as corrected entries.
func today() []Line {
	return []Line{correct("c/long-lead/s1", "pass"), correct("c/insulation/LN-E", "pass"), taken("origin", "sheet 3")}
}

func lessonLive(more ...Line) []Line {
	return joined([]Line{taken("supervisor/code", "hash"), taken("record/code", "hash"), taken("safety/supply/seen", "lit"),
		taken("safety/isolator/off", "isolator")}, today(), gate("installation", "in-terminal"), more)
}

// badRecord is a record that breaks one rule, and that rule only.
type badRecord struct {
	rig *Rig
	ls  []Line
}

func badRecords() map[string]badRecord {
	atMain, two, none := bay(), lesson(), bay()
	atMain.Upstream, none.Circuits = false, nil
	two.Circuits = append(two.Circuits, Circuit{ID: "d", Shape: "radial", Section: "s", Lines: 1, Points: []string{"s1"}, AllPoints: 1})
	is := func(at string, nth int, more ...Line) badRecord { return badRecord{bay(), joined(upTo(at, nth), more)} }
	less := func(at, end string, nth int) badRecord {
		return badRecord{bay(), append(without(upTo(end, nth), at), taken(end, "on"))}
	}
	done := []Line{circuitOn, zs()}
	notApplicable := ofC("own-bar", "/N", "not-applicable")
	return map[string]badRecord{
		"seen":            {bay(), []Line{taken("safety/isolator/off", "isolator")}},
		"isolated":        {bay(), joined(without(upTo("cover/off", 1), "safety/notice/where"), []Line{coverOff})},
		"dead-board":      is("safety/board/indicator", 1, read("earthing", "earthing", "pass")),
		"dead-points":     is("safety/c/indicator", 1, ofC("continuity", "/s1", "pass")),
		"round":           is("safety/c/pairs", 1, taken("safety/c/pairs", "L-N 0, L-E 0, points 2")),
		"content":         is("safety/lock/key", 1, taken("safety/lock/key", "yes")),
		"code":            is("safety/incoming/code", 1, taken("safety/incoming/code", "other")),
		"stop-answered":   is("earthing", 1, Line{Type: "stop", Verdict: "taken"}, read("earthing", "earthing", "pass")),
		"harm-supervisor": is("earthing", 1, Line{Type: "stop", Verdict: "taken"}, taken("stop/what", "harm"), taken("safety/isolator/off", "isolator")),
		"gate-from-off":   {lesson(), joined([]Line{taken("supervisor/code", "hash"), taken("record/code", "hash")}, today(), gate("installation", "in-terminal"))},
		"gate-locked":     is("safety/installation/covers", 1, joined([]Line{{Type: "pause"}}, gate("installation", "in-terminal"))...),
		"gate-questions":  less("safety/installation/faults", "safety/installation/switch-on", 1),
		"gate-earthing":   is("safety/incoming/earthing", 1, taken("safety/incoming/earthing", "in-terminal")),
		"gate-tests":      less("c/insulation/N-E", "safety/incoming/switch-on", 1),
		"gate-doubts":     {bay(), joined(upTo("c/polarity", 1), []Line{ofC("own-bar", "/N", "doubt")}, good()[len(upTo("c/polarity", 1)):])},
		"gate-circuits":   {none, joined(without(upTo("safety/c/indicator", 1), ""), []Line{coverOn, liftEarth}, gate("incoming", "lifted"))},
		"gate-record":     {lesson(), joined(without(lessonLive(), "record/code"))},
		"gate-ledger":     less("cover/on", "safety/incoming/switch-on", 1),
		"gate-upstream":   {atMain, joined(upTo("safety/incoming/switch-on", 1), []Line{taken("safety/incoming/switch-on", "on")})},
		"gate-origin":     less("supply/N-E", "safety/installation/switch-on", 1),
		"main-locked":     less("safety/main-switch/lock", "safety/incoming/switch-on", 1),
		"own-lock":        is("safety/main-switch/lock", 1, taken("safety/main-switch/lock", "44")),
		"live-origin":     is("hand-back", 1, live("supply/L-E", "supply", "pass", "live-incoming")),
		"earth-lifted":    {bay(), joined(without(upTo("safety/incoming/covers", 1), "earth/lift"), gate("incoming", "in-terminal"), []Line{ze})},
		"earth-back":      is("ze", 1, live("pfc/L-N", "pfc", "pass", "live-incoming")),
		"live-circuit":    is("c/circuit/on", 1, zs()),
		"live-standing":   is("c/zs/s2", 1, Line{Type: "stop", Verdict: "taken"}, taken("stop/what", "supervisor-left"), zs()),
		"live-tests":      is("c/zs/s2", 1, correct("c/continuity/s1", "fail"), zs()),
		"circuit-tests":   {two, lessonLive(taken("d/circuit/on", "on", "kind", "circuit-on", "circuit", "d"))},
		"shaken":          is("c/zs/s2", 1, correct("c/continuity/s1", "fail"), correct("c/continuity/s1", "pass"), zs()),
		"bare-repeat":     is("c/insulation/L-N", 1, ofC("continuity", "/s2", "fail"), ofC("continuity", "/s2", "pass")),
		"not-applicable":  is("c/polarity", 1, notApplicable),
		"order":           {bay(), joined(upTo("c/continuity/s1", 1), ofCs("insulation", "/L-N", "/L-E", "/N-E"), ofCs("continuity", "/s1", "/s2"), good()[len(upTo("c/polarity", 1)):])},
		"insulation-cpc":  is("c/insulation/L-N", 1, move("lift", "c/cpc", "c/cpc-ends", "conductor", "opened", "board", "true", "circuit", "c"), ofC("insulation", "/L-E", "pass")),
		"insulation-earth": is("c/insulation/L-N", 1, move("lift", "earth/lift", "earthing", "earthing-conductor", "opened", "board", "true", "circuit", "c"),
			ofC("insulation", "/L-E", "pass")),
		"known-act":       is("earthing", 1, taken("weld", "done", "kind", "weld", "board", "true")),
		"opened-twice":    is("earthing", 1, coverOff),
		"closed-unopened": is("earthing", 1, earthBack),
		"end-open":        {lesson(), lessonLive(append(done, taken("x", "told", "kind", "look", "item", "lamp", "class", "removed", "opened", "true", "ended", "complete"))...)},
	}
}

func ofCs(test string, parts ...string) []Line {
	var ls []Line
	for _, p := range parts {
		ls = append(ls, ofC(test, p, "pass"))
	}
	return ls
}

// Each rule of the checker has a record that breaks it and no other, and that is let
// through by the checker without it.
func TestEachRule(t *testing.T) {
	records := badRecords()
	for _, rule := range Rules {
		x, ok := records[rule.Name]
		if !ok {
			t.Errorf("rule %s has no record that breaks it", rule.Name)
			continue
		}
		c := New(x.rig)
		if rule.Strict {
			if broken := run(c, x.ls); len(broken) > 0 {
				t.Errorf("%s goes further, yet without it the record breaks %v", rule.Name, broken)
			}
			c = c.Strict()
		} else if rule.Says == "" || rule.Source == "" {
			t.Errorf("%s has no words or no source", rule.Name)
		}
		if broken := run(c, x.ls); fmt.Sprint(broken) != "["+rule.Name+"]" {
			t.Errorf("%s: the record breaks %v", rule.Name, broken)
		}
		if left := run(c.Without(rule.Name), x.ls); len(left) > 0 {
			t.Errorf("%s is left out, and the record breaks %v", rule.Name, left)
		}
	}
	if len(records) != len(Rules) {
		t.Errorf("%d records for %d rules", len(records), len(Rules))
	}
}

// What clears a fail, and what does not.
func TestFails(t *testing.T) {
	fail, again := ofC("continuity", "/s2", "fail"), ofC("continuity", "/s2", "pass")
	decide := func(raw string) Line { return taken("c/continuity/s2/decide", raw) }
	rest := good()[len(upTo("c/insulation/L-N", 1)):]
	for name, x := range map[string]struct {
		more []Line
		want string
	}{
		"a bare repeat":             {[]Line{fail, again}, "[bare-repeat]"},
		"a correction":              {[]Line{fail, correct("c/continuity/s2", "pass")}, "[]"},
		"a lead put right":          {[]Line{fail, decide("lead"), again}, "[]"},
		"a lead, and no repeat":     {[]Line{fail, decide("lead")}, "[gate-tests live-tests circuit-tests]"},
		"no cause":                  {[]Line{fail, decide("hope"), again}, "[bare-repeat]"},
		"repeat is no cause":        {[]Line{fail, decide("repeat"), again}, "[bare-repeat]"},
		"repair of another RCD":     {[]Line{ofC("rcd", "/ramp", "fail"), taken("x/rcd/one-0/decide", "repair"), ofC("rcd", "/ramp", "pass")}, "[live-circuit live-tests live-standing bare-repeat]"},
		"repair, that test only":    {[]Line{fail, decide("repair"), again}, "[gate-tests live-tests circuit-tests]"},
		"repair, all of it again":   {joined([]Line{fail, decide("repair")}, ofCs("continuity", "/s1", "/s2")), "[]"},
		"limitation instead":        {[]Line{fail, decide("lead"), {Type: "answer", At: "c/continuity/s2", Verdict: "limitation", Params: map[string]string{"test": "continuity", "circuit": "c"}}}, "[gate-tests live-tests circuit-tests]"},
		"a check that did not pass": {[]Line{fail, correct("instrument/low-ohm-open", "set-up"), again}, "[]"},
		"a check that still does":   {[]Line{fail, correct("instrument/low-ohm-open", "pass"), again}, "[bare-repeat]"},
		"of the other function":     {[]Line{fail, correct("instrument/insulation-open", "set-up"), again}, "[bare-repeat]"},
		"of a lead of its own":      {[]Line{fail, correct("c/instrument/long-lead/long-lead", "fail"), again}, "[]"},
		"set-up, not yet repeated":  {[]Line{ofC("continuity", "/s2", "set-up")}, "[gate-tests live-tests circuit-tests]"},
	} {
		if got := fmt.Sprint(run(New(bay()), joined(upTo("c/insulation/L-N", 1), x.more, rest))); got != x.want {
			t.Errorf("%s breaks %v, want %s", name, got, x.want)
		}
	}
}

// A doubt passes a gate only with a reason and the code, after it was asked for.
func TestDoubts(t *testing.T) {
	ls := upTo("safety/incoming/covers", 1)
	for i := range ls {
		if ls[i].At == "c/continuity/s2" {
			ls[i] = ofC("continuity", "/s2", "doubt")
		}
	}
	g := gate("incoming", "lifted")
	with := func(reason string) []Line {
		return slices.Insert(slices.Clone(g), len(g)-2, taken("safety/incoming/doubts", reason))
	}
	for name, x := range map[string]struct {
		gate []Line
		want string
	}{
		"never asked":         {g, "[gate-tests gate-doubts]"},
		"accepted":            {with("joint seen by me"), "[]"},
		"accepted with a yes": {with("yes"), "[content]"},
		"to be read again":    {with("repeat"), "[gate-tests]"},
		"before the code":     {slices.Insert(slices.Clone(g), len(g)-1, taken("safety/incoming/doubts", "joint seen")), "[gate-tests gate-doubts]"},
	} {
		if got := fmt.Sprint(run(New(bay()), joined(ls, x.gate))); got != x.want {
			t.Errorf("%s breaks %v, want %s", name, got, x.want)
		}
	}
}

func TestShown(t *testing.T) {
	for raw, want := range map[string][2]bool{
		"L-N 0, L-E 0, N-E 0": {true, false}, "l-n 0 V; L-E nothing, N-E 0": {true, false}, "L-N 0, L-E 0": {false, false},
		"L-N 0, L-E 0, N-E 230": {false, true}, "L-N 0, L-E 0, N-E lamp 2": {false, true}, "L-N 0, L-N 0, L-E 0, N-E 0": {false, false},
		"L-N 0, L-E 0, N-E 0, points 2": {false, false}, "L-N 0, L-E 0, N-E 0, points x": {false, false}, "L1-N 0, L-E 0, N-E 0": {false, false},
		"L-N 0, L-E 0, N-E 0, points lamp 2": {false, true}, "L-N 0, L-E 0, N-E 0, points 1 lamp": {false, true}, // counts whatever it is said of
		"L-N 0, L-E 0, N-E 0, points 231 V": {false, true}, "L-N 0, L-E 0, N-E 0, points 231V": {false, true}, "L-N 0, L-E 0, N-E 0, points lamp": {false, true},
		"L-N 0, L-E 0, N-E 0, points 3 0": {false, false}, "L-N 0, L-E 0, N-E 0, points 3 9": {false, true},
		"yes": {false, false}, "": {false, false}, "L-N, L-E 0, N-E 0": {false, false}, "L-N 0.5, L-E 0, N-E 0": {false, true},
	} {
		if dead, voltage := shown(raw, 1, 1); dead != want[0] || voltage != want[1] {
			t.Errorf("%q: dead %v, voltage %v", raw, dead, voltage)
		}
	}
	ten := strings.Join(pairs(3), " 0, ") + " 0, points 3"
	if dead, _ := shown(ten, 3, 3); !dead {
		t.Errorf("%q is not taken for dead", ten)
	}
}

// Step changes nothing but what it returns, and takes whatever it is given.
func FuzzStep(f *testing.F) {
	f.Add("answer", "safety/board/pairs", deadPairs, "taken", "", "")
	f.Add("answer", "c/continuity/s1", "0.1", "fail", "continuity", "dead-test")
	f.Add("stop", "stop/what", "harm", "taken", "", "")
	f.Add("answer", "safety/incoming/covers", "board-off", "refused", "", "")
	f.Fuzz(func(t *testing.T, typ, at, raw, verdict, test, kind string) {
		l := Line{Type: typ, At: at, Raw: raw, Verdict: verdict, Judged: []Judged{{at, verdict}},
			Params: map[string]string{"test": test, "kind": kind, "circuit": raw, "item": at, "opened": test, "reopened": raw}}
		for _, c := range []Checker{New(bay()), halfWay} {
			key := func(c Checker) string { return string(c.AppendKey(nil)) }
			before := key(c)
			next, _ := c.Step(l)
			after, _ := next.Step(l)
			if again, _ := c.Step(l); key(c) != before || key(again) != key(next) {
				t.Errorf("a step changed what it started from, or depends on more than that: %q", key(after))
			}
		}
	})
}

var halfWay = func() Checker {
	c := New(bay())
	for _, l := range upTo("c/circuit/on", 1) {
		c, _ = c.Step(l)
	}
	return c
}()
