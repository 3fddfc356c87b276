package meter

import (
	"math"
	"strings"

	"wanderlead/internal/network"
)

// extraLowV is the voltage up to which a part counts as extra-low voltage (BS 7671:2018, Part 2).
const extraLowV = 50

// LivePart looks at what the leads of a dead test would be on: every part of the circuit of either terminal, or of the
// board's load side for a terminal that belongs to no circuit. It names the part that stands highest above earth when
// that is more than 50 V. A dead range itself sees only the voltage between its leads.
func (b Bench) LivePart(x, y string) (terminal string, volt float64, err error) {
	of := map[string]bool{}
	for _, t := range []string{x, y} {
		if _, ok := b.Rig.Circuit(owner(t)); ok {
			of[owner(t)+"/"] = true
		} else {
			of["board/main/"] = true
		}
	}
	var parts []string
	for _, t := range b.Plan.Terminals() {
		for prefix := range of {
			if strings.HasPrefix(t, prefix) {
				parts = append(parts, t)
			}
		}
	}
	const earth = "origin/E"
	s, err := b.Plan.Energise(b.Cond, b.trips(), append(parts[:len(parts):len(parts)], earth, "origin/N"), nil, false)
	if err != nil {
		return "", 0, err
	}
	for _, t := range parts {
		for _, to := range []string{earth, "origin/N"} {
			if v, ok := s.Volts(t, to); ok && network.Size(v) > max(volt, extraLowV) {
				terminal, volt = t, network.Size(v)
			}
		}
	}
	return terminal, math.Round(volt), nil
}
