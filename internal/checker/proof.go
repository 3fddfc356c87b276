package checker

import (
	"strconv"
	"strings"
	"unicode"
)

// pairs are the pairs tried at a point: three with one line, ten with three (HSG85 as
// taught in national assessments).
func pairs(lines int) []string {
	if lines == 3 {
		return []string{"L1-L2", "L1-L3", "L2-L3", "L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E", "N-E"}
	}
	return []string{"L-N", "L-E", "N-E"}
}

// shown reads what an indicator showed, as typed: whether it is a whole proof that a
// place with so many points is dead, and whether any pair showed something. Only 0
// and nothing are dead.
func shown(raw string, lines, points int) (dead, voltage bool) {
	missing := map[string]bool{}
	for _, p := range pairs(lines) {
		missing[strings.ToLower(p)] = true
	}
	known := map[string]bool{}
	for p := range missing {
		known[p] = true
	}
	odd, said := false, 1
	for _, piece := range strings.FieldsFunc(raw, func(r rune) bool { return r == ',' || r == ';' }) {
		f := strings.Fields(strings.ToLower(piece))
		switch {
		case len(f) == 2 && (f[0] == "points" || f[0] == "point"):
			n, err := strconv.Atoi(f[1])
			odd, said = odd || err != nil, n
			voltage = voltage || err != nil && something(f[1:])
		case len(f) >= 2 && known[f[0]] && nothing(f[1:]):
			odd = odd || !missing[f[0]]
			delete(missing, f[0])
		case len(f) >= 2 && known[f[0]]:
			odd, voltage = true, voltage || something(f[1:])
		default:
			odd = true
			counted := len(f) > 2 && (f[0] == "points" || f[0] == "point") && f[2] != "v"
			for i := 1; i < len(f); i++ { // whatever it is said of, what was shown counts; a count of points does not
				voltage = voltage || something(f[i:]) && (i > 1 || !counted || f[1] == "lamp")
			}
		}
	}
	return !odd && len(missing) == 0 && said == points, voltage
}

func nothing(words []string) bool {
	switch strings.Join(words, " ") {
	case "0", "0 v", "0v", "nothing":
		return true
	}
	return false
}

// something: volts other than none, or a lamp.
func something(words []string) bool {
	if words[0] == "lamp" {
		return true
	}
	v, err := strconv.ParseFloat(strings.TrimSuffix(words[0], "v"), 64)
	return err == nil && v != 0
}

// answers are the words that say what a question of safety asks for.
var answers = map[string][]string{
	"supply/seen": {"lit"}, "lock/key": {"on-me"}, "notice/where": {"at-isolator"},
	"indicator": {"two-pole"}, "prove-again": {"works"}, "switch-on": {"on"},
	"covers": {"all-on", "all-but-access"}, "loads": {"all-off"}, "earthing": {"lifted", "in-terminal"}, "faults": {"cleared"},
}

// typed are the questions of safety answered in words of one's own.
var typed = map[string]bool{"people": true, "doubts": true, "code": true}

// meant reports whether an answer says what its question asks for.
func (c Checker) meant(what, part, raw string) bool {
	switch what + "/" + part {
	case "isolator/off":
		return raw == "isolator" || raw == "main-switch" && !c.plan.Upstream
	case "lock/number", "main-switch/lock":
		return strings.ContainsFunc(raw, unicode.IsDigit)
	}
	for _, key := range []string{what + "/" + part, part} {
		for _, a := range answers[key] {
			if raw == a {
				return part != "covers" || a == "all-on" || what != "installation" && c.open.has("incoming-access")
			}
		}
		if answers[key] != nil {
			return false
		}
	}
	if typed[part] {
		return !bare(raw)
	}
	return part == "pairs" // read by itself
}

// bare is an answer that carries nothing.
func bare(raw string) bool {
	switch strings.ToLower(strings.TrimSpace(raw)) {
	case "", "y", "yes", "ok", "okay", "n", "no", "not-yet":
		return true
	}
	return !strings.ContainsFunc(raw, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) })
}

// safety takes the answer to a question about isolation, proof, people or a gate.
func (c Checker) safety(what, part string, l Line, r *report) Checker {
	r.need(c.meant(what, part, l.Raw), "content", "answered "+l.Raw)
	switch what + "/" + part {
	case "supply/seen":
		c.seen = true
	case "isolator/off":
		r.need(c.seen, "seen", "switched off before supply was seen")
		if c.supply == on || c.supply == found {
			c.main = false
		}
		c.supply, c.lock, c.locked, c.key, c.notice, c.live, c.shaken = off, false, false, false, false, nil, false
		return c.noProof().asked()
	case "lock/number":
		r.need(!c.main || l.Raw != c.mainPadlock, "own-lock", "the padlock of the main switch")
		c.lock, c.locked = true, true
		if r.looks("own-lock") {
			c.padlock = l.Raw
		}
	case "lock/key":
		c.key = c.lock
	case "notice/where":
		c.notice = true
	case "main-switch/lock":
		r.need(!c.lock || l.Raw != c.padlock, "own-lock", "the padlock of the point of isolation")
		c.main = true
		if r.looks("own-lock") {
			c.mainPadlock = l.Raw
		}
		return c.begins("incoming")
	default:
		return c.proofOrGate(what, part, l, r)
	}
	return c
}

// proofOrGate takes the three answers that make a proof, the questions of a gate, and
// its last word.
func (c Checker) proofOrGate(what, part string, l Line, r *report) Checker {
	switch part {
	case "indicator":
		c.isolated(r)
		c.round, c.stage = what, indicatorProved
		return c
	case "pairs":
		c.isolated(r)
		lines, points := c.placeOf(what)
		dead, voltage := shown(l.Raw, lines, points)
		if voltage {
			r.need(false, "round", "something was shown, and it was taken for dead: "+l.Raw)
			return c.unknown()
		}
		whole := c.round == what && c.stage == indicatorProved && dead
		r.need(whole, "round", "not every pair was shown dead with a proved indicator: "+l.Raw)
		if whole {
			c.stage = everyPairDead
		}
		return c
	case "prove-again":
		c.isolated(r)
		whole := c.round == what && c.stage == everyPairDead && l.Raw == "works"
		r.need(whole, "round", "the indicator was not proved again after every pair")
		if whole && what == "board" {
			c.board = true
		} else if whole {
			c.points = what
		}
		c.round, c.stage = "", noRound
		return c
	case "switch-on":
		return c.energised(what, r)
	}
	return c.begins(what).answered(part, l, r)
}

func (c Checker) placeOf(what string) (lines, points int) {
	if x := c.plan.circuit[what]; x != nil {
		return x.Lines, x.AllPoints
	}
	return c.plan.Phases, 1
}

func (c Checker) isolated(r *report) {
	r.need(c.supply == off && c.lock && c.key && c.notice, "isolated", "not off, locked, key held and notice up")
}
