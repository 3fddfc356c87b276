package checker

import (
	"os/exec"
	"strings"
	"testing"
)

// bay is a small rig: one radial circuit with two sockets, one neutral bar.
var bay = &Rig{Upstream: true, Phases: 1, Bars: []string{"N"}, Circuits: []Circuit{
	{ID: "c", Shape: "radial", Section: "s", Lines: 1, Points: []string{"s1", "s2"}, AllPoints: 2}}}

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

func isolation() []Line {
	return []Line{taken("safety/supply/seen", "lit"), taken("safety/isolator/off", "isolator"),
		taken("safety/lock/number", "44"), taken("safety/lock/key", "on-me"), taken("safety/notice/where", "at-isolator")}
}

func proof(place, pairs string) []Line {
	return []Line{taken("safety/"+place+"/indicator", "two-pole"), taken("safety/"+place+"/pairs", pairs), taken("safety/"+place+"/prove-again", "works")}
}

const deadPairs = "L-N 0, L-E 0, N-E 0"

func boardTestsDone() []Line {
	return []Line{
		read("inspection/x", "inspection", "pass", "kind", "inspect-open", "board", "true"),
		read("earthing", "earthing", "pass"),
		taken("earth/lift", "lifted", "kind", "lift", "board", "true", "item", "earthing", "class", "earthing-conductor", "opened", "true"),
	}
}

func circuitTestsDone() []Line {
	return []Line{
		read("c/continuity/s1", "continuity", "pass", "circuit", "c"), read("c/continuity/s2", "continuity", "pass", "circuit", "c"),
		read("c/insulation/L-N", "insulation", "pass", "circuit", "c"), read("c/insulation/L-E", "insulation", "pass", "circuit", "c"),
		read("c/insulation/N-E", "insulation", "pass", "circuit", "c"), read("c/polarity", "polarity", "pass", "circuit", "c"),
	}
}

func gate(name string) []Line {
	ls := []Line{taken("safety/"+name+"/covers", "all-on"), taken("safety/"+name+"/loads", "all-off")}
	if name == "incoming" {
		ls = append(ls, taken("safety/main-switch/lock", "55"))
	}
	ls = append(ls, taken("safety/"+name+"/earthing", "x"))
	if name == "installation" {
		ls = append(ls, taken("safety/"+name+"/faults", "cleared"))
	}
	return append(ls, taken("safety/"+name+"/people", "the bay"), taken("safety/"+name+"/code", "hash"), taken("safety/"+name+"/switch-on", "on"))
}

// good is a whole record in which everything is as it should be.
func good() []Line {
	var ls []Line
	add := func(more ...Line) { ls = append(ls, more...) }
	add(taken("supervisor/code", "hash"))
	add(isolation()...)
	add(taken("cover/off", "off", "kind", "take-off-cover", "board", "true", "item", "cover", "class", "cover", "opened", "true"))
	add(proof("board", deadPairs)...)
	add(boardTestsDone()...)
	add(proof("c", deadPairs+", points 2")...)
	add(circuitTestsDone()...)
	add(taken("cover/on", "on", "kind", "fit-cover", "board", "true", "item", "cover", "class", "cover", "closed", "true"))
	add(gate("incoming")...)
	add(read("supply/L-N", "supply", "pass"), read("ze", "ze", "pass"))
	add(isolation()...)
	add(proof("board", deadPairs)...)
	add(taken("earth/back", "back", "kind", "reconnect", "board", "true", "item", "earthing", "class", "earthing-conductor", "closed", "true"))
	add(gate("installation")...)
	add(taken("c/circuit/on", "on", "kind", "circuit-on", "circuit", "c"))
	end := read("c/zs/s2", "zs", "pass", "circuit", "c")
	end.Params["ended"] = "complete"
	add(end)
	return ls
}

// run returns the rules that a record breaks, in order, once each.
func run(c Checker, ls []Line) []string {
	var rules []string
	for _, l := range ls {
		var bad []Violation
		c, bad = c.Step(l)
		for _, v := range bad {
			if !strings.Contains(strings.Join(rules, " ")+" ", v.Rule+" ") {
				rules = append(rules, v.Rule)
			}
		}
	}
	return rules
}

func TestGoodRecord(t *testing.T) {
	if bad := run(New(bay), good()); len(bad) > 0 {
		t.Errorf("a good record breaks %v", bad)
	}
}

// without takes out the lines at an id.
func without(ls []Line, at string) []Line {
	var out []Line
	for _, l := range ls {
		if l.At != at {
			out = append(out, l)
		}
	}
	return out
}

// after puts lines behind the last one at an id.
func after(ls []Line, at string, more ...Line) []Line {
	for i := len(ls) - 1; i >= 0; i-- {
		if ls[i].At == at {
			return append(append(append([]Line{}, ls[:i+1]...), more...), ls[i+1:]...)
		}
	}
	panic("no line at " + at)
}

// Each rule of the checker has a record that breaks it, and that is let through by
// the checker without it.
func TestEachRule(t *testing.T) {
	atMain := *bay
	atMain.Upstream = false
	swap := func(ls []Line, at string, f func(*Line)) []Line {
		out := append([]Line{}, ls...)
		for i := range out {
			if out[i].At == at {
				f(&out[i])
			}
		}
		return out
	}
	g := good
	tests := map[string]struct {
		rig *Rig
		ls  []Line
	}{
		"isolated":       {bay, without(g(), "safety/notice/where")},
		"dead":           {bay, swap(g(), "safety/c/pairs", func(l *Line) { l.Raw = "L-N 0, L-E 0, points 2" })},
		"gate-from-off":  {bay, after(g(), "c/circuit/on", gate("installation")...)},
		"gate-questions": {bay, without(g(), "safety/installation/faults")},
		"gate-tests":     {bay, without(g(), "c/insulation/N-E")},
		"gate-ledger":    {bay, without(g(), "cover/on")},
		"gate-upstream":  {&atMain, g()},
		"gate-origin":    {bay, without(g(), "ze")},
		"main-locked":    {bay, without(g(), "safety/main-switch/lock")},
		"live-origin":    {bay, after(g(), "c/circuit/on", read("supply/L-E", "supply", "pass"))},
		"earth-lifted":   {bay, without(g(), "earth/lift")},
		"live-circuit":   {bay, without(g(), "c/circuit/on")},
		"live-standing":  {bay, after(g(), "c/circuit/on", Line{Type: "pause", Verdict: "taken"})},
		"live-tests": {bay, after(g(), "c/circuit/on", Line{Type: "correct", At: "c/continuity/s1", Verdict: "fail",
			Judged: []Judged{{"c/continuity/s1", "fail"}}})},
		"circuit-tests": {bay, after(g(), "safety/installation/switch-on", Line{Type: "correct", At: "c/continuity/s1", Verdict: "doubt",
			Judged: []Judged{{"c/continuity/s1", "doubt"}}})},
		"bare-repeat": {bay, after(g(), "c/continuity/s2", read("c/continuity/s2", "continuity", "fail", "circuit", "c"),
			read("c/continuity/s2", "continuity", "pass", "circuit", "c"))},
		"not-applicable": {bay, after(g(), "c/polarity", func() Line {
			l := taken("c/continuity/s2", "n/a", "test", "continuity", "circuit", "c")
			l.Verdict = "not-applicable"
			return l
		}())},
		"code":     {bay, swap(g(), "safety/installation/code", func(l *Line) { l.Raw = "other" })},
		"end-open": {bay, without(g(), "earth/back")},
	}
	for _, rule := range Rules {
		c, ok := tests[rule]
		if !ok {
			t.Errorf("rule %s has no record that breaks it", rule)
			continue
		}
		broken := run(New(c.rig), c.ls)
		if !strings.Contains(" "+strings.Join(broken, " ")+" ", " "+rule+" ") {
			t.Errorf("%s: the record breaks %v", rule, broken)
		}
		if left := run(New(c.rig).Without(rule), c.ls); strings.Contains(" "+strings.Join(left, " ")+" ", " "+rule+" ") {
			t.Errorf("%s is still reported when it is left out", rule)
		}
	}
	if len(tests) != len(Rules) {
		t.Errorf("%d records for %d rules", len(tests), len(Rules))
	}
}

// Dropping any line of the good record, but for those that only add, is noticed.
func TestDroppedLinesAreNoticed(t *testing.T) {
	free := map[string]bool{
		"c/zs/s2":   true, // the last reading; nothing relies on it
		"cover/off": true, // then nothing was opened, as far as the record tells
	}
	ls := good()
	noticed := 0
	for i := range ls {
		cut := append(append([]Line{}, ls[:i]...), ls[i+1:]...)
		if bad := run(New(bay), cut); len(bad) > 0 {
			noticed++
		} else if !free[ls[i].At] {
			t.Errorf("dropping line %d, %s, is not noticed", i+1, ls[i].At)
		}
	}
	t.Logf("%d of %d dropped lines noticed", noticed, len(ls))
}

func TestDeadProven(t *testing.T) {
	for raw, want := range map[string]bool{
		"L-N 0, L-E 0, N-E 0": true, "L-N 0, L-E nothing, N-E 0": true, "L-N 0, L-E 0": false, "L-N 0, L-E 0, N-E 230": false,
		"L-N 0, L-N 0, L-E 0, N-E 0": false, "yes": false, "": false,
	} {
		if deadProven(raw, 1, 1) != want {
			t.Errorf("%q: %v", raw, !want)
		}
	}
}

func FuzzStep(f *testing.F) {
	f.Add("answer", "safety/board/pairs", deadPairs, "taken", "")
	f.Add("answer", "c/continuity/s1", "0.1", "fail", "continuity")
	f.Fuzz(func(t *testing.T, typ, at, raw, verdict, test string) {
		c, _ := New(bay).Step(Line{Type: typ, At: at, Raw: raw, Verdict: verdict, Params: map[string]string{"test": test}, Judged: []Judged{{at, verdict}}})
		_ = c.Key()
	})
}

// The checker is for tests, and knows nothing of the rules it checks.
func TestIndependence(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", ".").Output()
	if err != nil {
		t.Skip("no go command: ", err)
	}
	for _, p := range strings.Fields(string(out)) {
		if p == "wanderlead/safety" || p == "wanderlead/internal/coach" {
			t.Errorf("the checker depends on %s", p)
		}
	}
	out, err = exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "wanderlead/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(out), "\n") {
		who, imports, _ := strings.Cut(line, " ")
		if strings.Contains(" "+imports+" ", " wanderlead/internal/checker ") {
			t.Errorf("%s uses the checker outside a test", who)
		}
	}
}
