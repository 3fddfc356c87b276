package checker

import "strings"

// What a dead test puts hands on, from where its leads go (BS 7671 Part 6 as taught;
// common practice, no source): the board's terminals, the circuit's points, or both.
var deadTests = map[string]struct{ board, points bool }{
	"earthing": {true, false}, "bonding": {true, false}, "neutral-bars": {true, false}, "supply-cable": {true, false},
	"ends": {true, false}, "own-bar": {true, false}, "insulation": {true, false},
	"crossed-line-neutral": {true, true}, "crossed-line-cpc": {true, true}, "continuity": {true, true},
	"long-lead": {true, true}, "switching": {true, true}, "polarity": {true, true},
}

// Tests with the rig energised (BS 7671 Part 6: after the dead tests), at the origin
// or on a circuit.
var (
	originTests  = map[string]bool{"supply": true, "ze": true, "electrode": true, "pfc": true}
	circuitTests = map[string]bool{"zs": true, "rcd": true, "rcd-button": true, "functional": true, "phase-sequence": true}
)

// Acts that put hands on conductors, by the word they are recorded with (HSG85: proved
// dead at the point of work before any of them).
var handActs = map[string]bool{"lift": true, "reconnect": true, "link": true, "unlink": true, "take-out": true, "put-back": true,
	"fit-cover": true, "inspect-open": true, "dead-test": true}

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

// required lists the readings that must have passed before supply returns, by the
// shape of each circuit: continuity of protective conductors (643.2.1), ring final
// conductors in three steps, insulation between live conductors and to earth (643.3),
// polarity (643.6). The line way to each neutral bar, on boards with several, is
// common practice, no source. Each entry is a list of alternatives.
func (r *Rig) required() [][]string {
	if r.FromRecord {
		return nil
	}
	needs := [][]string{{"earthing"}, {"inspection/*"}}
	for _, b := range r.Bonds {
		needs = append(needs, []string{"bonding/" + b})
	}
	for i := range r.Bars {
		for j := i + 1; j < len(r.Bars); j++ {
			needs = append(needs, []string{"neutral-bars/" + r.Bars[i] + "-" + r.Bars[j]})
		}
	}
	if r.SupplyCable {
		needs = append(needs, []string{"supply-cable"})
	}
	for i := range r.Circuits {
		needs = append(needs, r.Circuits[i].required(r)...)
	}
	return needs
}

func (c *Circuit) required(r *Rig) [][]string {
	at := func(s string) string { return c.ID + "/" + s }
	if r.FromRecord {
		return [][]string{{at("long-lead/*"), at("continuity/*")}, {at("insulation/LN-E")}}
	}
	var needs [][]string
	if c.Shape == "ring" {
		needs = append(needs, []string{at("ends")}, []string{at("crossed-line-neutral")}, []string{at("crossed-line-cpc")})
	} else {
		for _, p := range c.Points {
			if c.Lines == 3 {
				for _, l := range []string{"L1", "L2", "L3"} {
					needs = append(needs, []string{at("continuity/" + p + "-" + l)})
				}
				continue
			}
			needs = append(needs, []string{at("continuity/" + p), at("long-lead/" + p)})
		}
	}
	if c.Shape == "lighting" && c.Switches {
		needs = append(needs, []string{at("switching")})
	}
	if len(r.Bars) > 1 {
		for _, b := range r.Bars {
			needs = append(needs, []string{at("own-bar/" + b)})
		}
	}
	pairs := []string{"L-N", "L-E", "N-E"}
	if c.Lines == 3 {
		pairs = []string{"L1-L2", "L1-L3", "L2-L3", "L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E", "N-E"}
	}
	if c.Electronics {
		pairs = []string{"LN-E"}
	}
	for _, p := range pairs {
		needs = append(needs, []string{at("insulation/" + p)})
	}
	return append(needs, []string{at("polarity")})
}

// met reports whether one of the alternatives passed, or was accepted.
func (c Checker) met(alternatives []string, doubtsToo bool) bool {
	ok := func(class string) bool {
		return class == "pass" || class == "accepted" || class == "not-applicable" || doubtsToo && class == "doubt"
	}
	for _, a := range alternatives {
		prefix, wild := strings.CutSuffix(a, "*")
		if !wild {
			if ok(c.verdict.get(a)) {
				return true
			}
			continue
		}
		_, some := c.verdict.any(func(k, v string) bool { return strings.HasPrefix(k, prefix) })
		_, bad := c.verdict.any(func(k, v string) bool { return strings.HasPrefix(k, prefix) && !ok(v) })
		if some && !bad {
			return true
		}
	}
	return false
}

// lacking is the first required reading of a list that is not met.
func (c Checker) lacking(needs [][]string, doubtsToo bool) string {
	for _, n := range needs {
		if !c.met(n, doubtsToo) {
			return n[0]
		}
	}
	return ""
}

// deadProven reports whether every pair of a place was shown to be dead: an own reading
// of the line, stricter than need be. Each pair by name, then 0 or nothing; the number
// of points where there are several.
func deadProven(raw string, phases, points int) bool {
	want := map[string]bool{}
	lines := []string{"L"}
	if phases == 3 {
		lines = []string{"L1", "L2", "L3"}
	}
	for i, a := range lines {
		want[a+"-N"], want[a+"-E"] = true, true
		for _, b := range lines[i+1:] {
			want[a+"-"+b] = true
		}
	}
	want["N-E"] = true
	said := 1
	for _, piece := range strings.Split(raw, ",") {
		f := strings.Fields(piece)
		switch {
		case len(f) == 2 && f[0] == "points":
			said = 0
			for _, d := range f[1] {
				said = said*10 + int(d-'0')
			}
		case len(f) == 2 && want[f[0]] && (f[1] == "0" || f[1] == "nothing"):
			delete(want, f[0])
		default:
			return false
		}
	}
	return len(want) == 0 && said == points
}
