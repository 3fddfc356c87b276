package safety

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// DeadPairs lists every pair of conductors to be tried with the voltage indicator
// at a point: three for single phase, ten for three phase and neutral (HSG85; any
// order that covers the set will do).
func DeadPairs(phases int) []string {
	if phases == 3 {
		return []string{"L1-N", "L2-N", "L3-N", "L1-E", "L2-E", "L3-E", "N-E", "L1-L2", "L1-L3", "L2-L3"}
	}
	return []string{"L-N", "L-E", "N-E"}
}

// Shown is what the indicator showed across one pair.
type Shown struct {
	Pair string
	Dead bool
	Raw  string
}

// PairsError says why a line of pairs cannot be taken as a proof.
type PairsError struct {
	Reason  string   // "missing", "twice", "unknown-pair", "no-value", "points"
	Pairs   []string // the pairs concerned
	Wanted  int      // points that should have been tried, when Reason is "points"
	Counted int
}

func (e *PairsError) Error() string {
	if e.Reason == "points" {
		return fmt.Sprintf("found %d points tried, should be %d", e.Counted, e.Wanted)
	}
	return fmt.Sprintf("pairs %s: %s", e.Reason, strings.Join(e.Pairs, ", "))
}

// ParsePairs reads a line such as "L-N 0, L-E 0, N-E nothing" in which each pair is
// named with what the indicator showed: volts, "lamp" with a step, or "nothing".
// Where more than one point belongs to the place, the line also says how many were
// tried: "points 8"; a line that names another number is that of another place. Order and separators are free; every pair has to be there once.
//
// Whatever else is wrong with a line, a voltage in it counts: what was shown is
// returned beside the error, and anything that is not clearly nothing is not dead.
func ParsePairs(raw string, phases, points int) ([]Shown, *PairsError) {
	want := DeadPairs(phases)
	fields := strings.FieldsFunc(raw, func(r rune) bool {
		return r == ',' || r == ';' || r == ' ' || r == '\t' || r == '=' || r == ':'
	})
	var shown []Shown
	var wrong *PairsError
	note := func(e *PairsError) {
		if wrong == nil {
			wrong = e
		}
	}
	counted, said := 1, false // where nothing is said, one point was tried
	for i := 0; i < len(fields); {
		name := strings.ToUpper(fields[i])
		if name == "POINTS" || name == "POINT" {
			start := i + 1
			for i++; i < len(fields) && !isName(fields[i], want); {
				i++
			}
			n, rest := readCount(fields[start:i])
			if said && n != counted {
				n = 0 // two numbers are none
			}
			counted, said = n, true
			if len(rest) > 0 {
				note(&PairsError{Reason: "unknown-pair", Pairs: rest[:1]})
				value := strings.ToLower(strings.Join(rest, " "))
				if dead, clear := readsDead(value); clear && !dead {
					shown = append(shown, Shown{Raw: value})
				}
			}
			continue
		}
		pair, ok := findPair(name, want)
		if ok {
			i++
		} else {
			note(&PairsError{Reason: "unknown-pair", Pairs: []string{fields[i]}})
		}
		start := i
		for i < len(fields) && (i == start && !ok || !isName(fields[i], want)) {
			i++
		}
		value := strings.ToLower(strings.Join(fields[start:i], " "))
		dead, clear := readsDead(value)
		switch {
		case ok && slices.ContainsFunc(shown, func(s Shown) bool { return s.Pair == pair }):
			note(&PairsError{Reason: "twice", Pairs: []string{pair}})
		case ok && !clear:
			note(&PairsError{Reason: "no-value", Pairs: []string{pair}})
		}
		if ok && clear || clear && !dead {
			shown = append(shown, Shown{Pair: pair, Dead: dead, Raw: value})
		}
	}
	if missing := missingPairs(shown, want); len(missing) > 0 {
		note(&PairsError{Reason: "missing", Pairs: missing})
	}
	if counted != max(points, 1) { // too many is another place's line, typed ahead
		note(&PairsError{Reason: "points", Wanted: points, Counted: counted})
	}
	return shown, wrong
}

// readCount reads how many points were tried; rest is what stands there besides, and what is no count but a voltage.
func readCount(words []string) (n int, rest []string) {
	if len(words) == 0 {
		return 0, nil
	}
	n, err := strconv.Atoi(words[0])
	if err != nil || len(words) > 1 && readWord(strings.ToLower(words[1])) == wordUnit {
		return 0, words
	}
	return n, words[1:]
}

func missingPairs(shown []Shown, want []string) []string {
	var missing []string
	for _, p := range want {
		found := false
		for _, s := range shown {
			found = found || s.Pair == p
		}
		if !found {
			missing = append(missing, p)
		}
	}
	return missing
}

// findPair accepts a pair either way round: N-L is L-N.
func findPair(name string, want []string) (string, bool) {
	for _, p := range want {
		a, b, _ := strings.Cut(p, "-")
		if name == p || name == b+"-"+a {
			return p, true
		}
	}
	return "", false
}

func isName(field string, want []string) bool {
	up := strings.ToUpper(field)
	if up == "POINTS" || up == "POINT" {
		return true
	}
	_, ok := findPair(up, want)
	return ok
}

// readsDead reads what the indicator showed. Only "0" and "nothing" are dead: many
// two-pole indicators show no digits, and none is asked to show more than it can.
// Any other number, and any word for a lamp or a tone, is voltage.
func readsDead(v string) (dead, clear bool) {
	switch v {
	case "nothing", "none", "no lamp", "no light", "zero":
		return true, true
	case "":
		return false, false
	}
	zero := false
	for _, word := range strings.Fields(v) {
		switch kind := readWord(word); kind {
		case wordLive:
			return false, true
		case wordZero:
			zero = true
		case wordUnknown:
			clear = true // borrowed as "something unreadable stands here"
		}
	}
	if zero && !clear {
		return true, true
	}
	return false, false
}

const (
	wordUnit = iota
	wordZero
	wordLive
	wordUnknown
)

func readWord(w string) int {
	switch w {
	case "v", "volt", "volts", "vac", "ac", "v~":
		return wordUnit
	case "lamp", "lamps", "lit", "live", "on", "glow", "glows", "buzz", "buzzes", "bleep", "beep", "tone", "light":
		return wordLive
	}
	digits := strings.TrimLeft(w, "<>~≈+-")
	digits = strings.TrimRight(digits, "volts~ac")
	n, err := strconv.ParseFloat(digits, 64)
	switch {
	case err == nil && n == 0:
		return wordZero
	case err == nil, strings.ContainsAny(w, "123456789"):
		return wordLive
	}
	return wordUnknown
}
