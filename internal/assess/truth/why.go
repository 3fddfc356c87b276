package truth

import (
	"math"
	"sort"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/quantity"
	"wanderlead/safety"
)

// The reasons that a candidate can give for a statement, in the trade's words. They are
// the same for every reading of a kind, so that the list tells nothing.
const (
	AsExpected = "as-expected" // it meets the limit and is what this circuit should read
	NoPath     = "open"        // over range or no supply: no path
	High       = "high"        // more than the circuit should read
	Low        = "low"         // less than the circuit should read
	Joined     = "joined"      // a path where there should be none
	Leaking    = "leak"        // insulation low, not nothing
	Shorted    = "short"       // insulation as good as nothing
	NoTrip     = "no-trip"     // the device stayed on
	Slow       = "slow"        // the device was too slow
	Early      = "early"       // the device opened too early
	LimitMiss  = "limit"       // as this circuit should read, and the limit is not met
	Instrument = "instrument"  // lead, null or range, not the circuit
)

// shortMegohm is where an insulation reading counts as a short rather than a leak, in
// MΩ: common practice, no source.
const shortMegohm = 0.05

// Whys lists the reasons offered for a test.
func Whys(test string) []string {
	switch test {
	case safety.TestInsulation:
		return []string{AsExpected, Leaking, Shorted, LimitMiss, Instrument}
	case safety.TestBars, safety.TestSupplyCable, safety.TestOwnBar:
		return []string{AsExpected, NoPath, High, Low, Joined, Instrument}
	case safety.TestRCD:
		return []string{AsExpected, NoTrip, Slow, Early, Instrument}
	}
	return []string{AsExpected, NoPath, High, Low, LimitMiss, Instrument}
}

// Why says which reasons fit a group of readings that came to a class, each word once,
// in order, separated by spaces. sound are the readings of the circuit without fault.
func Why(test string, class coach.Class, got, sound []string) string {
	if class == coach.Pass {
		return AsExpected
	}
	found := map[string]bool{}
	for i := range got {
		want := ""
		if i < len(sound) {
			want = sound[i]
		}
		if w := whyOne(test, got[i], want); w != "" {
			found[w] = true
		}
	}
	if len(found) == 0 {
		if test == safety.TestRCD {
			return Slow
		}
		return LimitMiss
	}
	words := make([]string, 0, len(found))
	for w := range found {
		words = append(words, w)
	}
	sort.Strings(words)
	return strings.Join(words, " ")
}

func whyOne(test, got, sound string) string {
	unit := coach.UnitOf(test, "")
	g, err := quantity.ParseSigned(got, unit)
	if err != nil {
		return ""
	}
	s, err := quantity.ParseSigned(sound, unit)
	if err != nil {
		return ""
	}
	switch {
	case test == safety.TestInsulation:
		switch {
		case g.IsNumber() && g.Value <= shortMegohm:
			return Shorted
		case g.IsNumber() && (!s.IsNumber() || g.Value < s.Value/2):
			return Leaking
		}
		return ""
	case test == safety.TestRCD:
		switch {
		case g.Mark == quantity.NoTrip && s.Mark != quantity.NoTrip:
			return NoTrip
		case g.Mark != quantity.NoTrip && s.Mark == quantity.NoTrip:
			return Early
		case g.IsNumber() && s.IsNumber() && g.Value > s.Value:
			return Slow
		}
		return ""
	case g.IsOver() && !s.IsOver():
		return NoPath
	case !g.IsOver() && s.IsOver():
		return Joined
	case g.IsNumber() && s.IsNumber():
		// Two digits of the display are the instrument's own.
		if d := quantity.Tidy(g.Value - s.Value); math.Abs(d) > 0.02 {
			if d > 0 {
				return High
			}
			return Low
		}
	}
	return ""
}
