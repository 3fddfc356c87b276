package judge

import "wanderlead/internal/quantity"

// Record picks the reading that a schedule holds for several of one quantity,
// by its place in the row: the highest ohms and kiloamperes, the slowest time,
// the lowest megohms. It is -1 for an empty row. The sides of "over range" stay
// apart from numbers: an open point is higher than any number, an insulation
// reading above the range is higher than any number below it.
func Record(test string, readings []quantity.Reading) int {
	if test == Insulation {
		return pick(readings, func(a, b quantity.Reading) bool { return higher(b, a) })
	}
	return pick(readings, higher)
}

func pick(readings []quantity.Reading, better func(a, b quantity.Reading) bool) int {
	best := -1
	for i, r := range readings {
		if r.Given() && (best < 0 || better(r, readings[best])) {
			best = i
		}
	}
	return best
}

// higher orders readings: nothing, numbers, over range by its range, no trip.
func higher(a, b quantity.Reading) bool {
	if x, y := level(a), level(b); x != y {
		return x > y
	}
	return a.Value > b.Value
}

func level(r quantity.Reading) int {
	switch r.Mark {
	case quantity.Nothing:
		return 0
	case quantity.OverRange:
		return 2
	case quantity.NoTrip:
		return 3
	}
	return 1
}

// Parallel is what circuits read together, MΩ, when each alone reads so: one
// over the sum of one over each. A reading above the range enters as at least
// its range, so the result is then a least value and atLeast is true. It is 0
// when any is 0 or none is given.
func Parallel(readings []quantity.Reading) (megohm float64, atLeast bool) {
	sum := 0.0
	for _, r := range readings {
		if !r.Given() || r.Value <= 0 {
			return 0, false
		}
		atLeast = atLeast || r.IsOver()
		sum += 1 / r.Value
	}
	if sum == 0 {
		return 0, false
	}
	return 1 / sum, atLeast
}
