package safety

import (
	"fmt"
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
// tried: "points 8". Order and separators are free; every pair has to be there once.
func ParsePairs(raw string, phases, points int) ([]Shown, *PairsError) {
	want := DeadPairs(phases)
	fields := strings.FieldsFunc(raw, func(r rune) bool {
		return r == ',' || r == ';' || r == ' ' || r == '\t' || r == '=' || r == ':'
	})
	var shown []Shown
	counted := 0
	for i := 0; i < len(fields); {
		name := strings.ToUpper(fields[i])
		if name == "POINTS" || name == "POINT" {
			if i+1 < len(fields) {
				counted, _ = strconv.Atoi(fields[i+1])
			}
			i += 2
			continue
		}
		pair, ok := findPair(name, want)
		if !ok {
			return nil, &PairsError{Reason: "unknown-pair", Pairs: []string{fields[i]}}
		}
		for _, s := range shown {
			if s.Pair == pair {
				return nil, &PairsError{Reason: "twice", Pairs: []string{pair}}
			}
		}
		i++
		start := i
		for i < len(fields) && !isName(fields[i], want) {
			i++
		}
		value := strings.ToLower(strings.Join(fields[start:i], " "))
		dead, ok := readsDead(value)
		if !ok {
			return nil, &PairsError{Reason: "no-value", Pairs: []string{pair}}
		}
		shown = append(shown, Shown{Pair: pair, Dead: dead, Raw: value})
	}
	if missing := missingPairs(shown, want); len(missing) > 0 {
		return shown, &PairsError{Reason: "missing", Pairs: missing}
	}
	if points > 1 && counted != points {
		return shown, &PairsError{Reason: "points", Wanted: points, Counted: counted}
	}
	return shown, nil
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
func readsDead(v string) (dead, ok bool) {
	switch v {
	case "nothing", "none", "no lamp":
		return true, true
	case "":
		return false, false
	}
	if strings.HasPrefix(v, "lamp") {
		return false, true
	}
	num := strings.TrimSpace(strings.TrimSuffix(v, "v"))
	n, err := strconv.ParseFloat(num, 64)
	if err != nil || n != n || n < 0 || n > 100000 {
		return false, false
	}
	return n == 0, true
}
