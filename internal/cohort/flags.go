package cohort

import (
	"fmt"
	"sort"
	"strings"

	"gonum.org/v1/gonum/stat"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
)

// How many equal entries are worth a look: common practice, no source.
const (
	// On one rig with one instrument honest candidates agree to the digit, so that only
	// wrong values count; one of them can be the same slip.
	sameWrong = 2
	// With readings drawn for each candidate, four that are the same although the two
	// were shown different ones.
	sameDrawn = 4
)

// decimals is how many places behind the point an instrument of the usual kind shows.
var decimals = map[string]int{"insulation": 2, "rcd": 1, "supply": 1}

const usualDecimals = 2

func (c *Collector) addReadings(r *mark.Result, row int32, p *mark.PartMark) {
	for _, it := range p.Items {
		if !isReading(it.Given) {
			continue
		}
		key := r.Paper + "\x00" + r.Setting + "\x00" + it.ID + "\x00" + it.Given
		if !it.Right || r.Setting == string(paper.Alone) {
			c.readings[key] = append(c.readings[key], typed{row, it.Right, it.Reference})
		}
		if tooFine(it.ID, it.Given) {
			k := r.Paper + "\x00" + r.Candidate
			c.odd[k] = append(c.odd[k], it.ID+" "+it.Given)
		}
	}
}

// isReading reports whether something was read off a display. Two who chose the same wrong answer of a list, or overlooked the
// same device, are no more than two who overlooked it.
func isReading(raw string) bool {
	return raw == "no-trip" || raw != "" && (strings.ContainsRune("<>-.", rune(raw[0])) || raw[0] >= '0' && raw[0] <= '9')
}

// tooFine reports whether a reading has digits that the instrument cannot show.
func tooFine(id, raw string) bool {
	number := strings.TrimLeft(strings.Fields(raw + " x")[0], "<>-")
	_, places, ok := strings.Cut(number, ".")
	if !ok {
		return false
	}
	n := 0
	for n < len(places) && places[n] >= '0' && places[n] <= '9' {
		n++
	}
	limit := usualDecimals
	for _, part := range strings.Split(id, "/") {
		if d, ok := decimals[part]; ok {
			limit = d
		}
	}
	return n > limit
}

// alike flags pairs of candidates with the same wrong values, and readings with digits
// that no instrument shows.
func (c *Collector) alike() []Flag {
	type pair struct{ a, b int32 }
	found := map[pair][]string{}
	keys := make([]string, 0, len(c.readings))
	for k, who := range c.readings {
		if len(who) > 1 {
			keys = append(keys, k)
		}
	}
	sort.Strings(keys)
	for _, k := range keys {
		who := c.readings[k]
		if len(who) > maxAlike {
			continue // what so many typed is a trap of the paper, not something passed on
		}
		f := strings.Split(k, "\x00")
		drawn := f[1] == string(paper.Alone)
		for i := range who {
			for _, b := range who[i+1:] {
				a := who[i]
				// Drawn: only where the two were shown different readings.
				if drawn && a.reference == b.reference || !drawn && (a.right || b.right) {
					continue
				}
				found[pair{a.row, b.row}] = append(found[pair{a.row, b.row}], f[2]+" "+f[3])
			}
		}
	}
	var out []Flag
	for p, detail := range found {
		need := sameWrong
		what := "the same wrong values"
		if c.rows[p.a].Setting == string(paper.Alone) {
			need, what = sameDrawn, "the same readings although different ones were shown"
		}
		if len(detail) >= need {
			out = append(out, Flag{what, []string{c.rows[p.a].Candidate, c.rows[p.b].Candidate}, c.rows[p.a].Paper, detail})
		}
	}
	for k, detail := range c.odd {
		p, who, _ := strings.Cut(k, "\x00")
		out = append(out, Flag{"digits that the instrument cannot show", []string{who}, p, detail})
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		return fmt.Sprint(a.What, a.Paper, a.Candidates) < fmt.Sprint(b.What, b.Paper, b.Candidates)
	})
	return out
}

// maxAlike bounds how many may share a value before it says nothing about any two.
const maxAlike = 8

// outliers flags results and times beyond Tukey's fences: one and a half times the
// distance of the quartiles below the first or above the third.
func (c *Collector) outliers(papers []string) []Flag {
	var out []Flag
	for _, p := range papers {
		var percents, times []float64
		var rows []int
		for i := range c.rows {
			if c.rows[i].Paper == p {
				rows = append(rows, i)
				percents = append(percents, c.rows[i].Percent)
				times = append(times, float64(c.rows[i].Seconds))
			}
		}
		for _, x := range []struct {
			what   string
			values []float64
		}{{"a result far from the others", percents}, {"a time far from the others", times}} {
			low, high, ok := fences(x.values)
			if !ok {
				continue
			}
			for n, v := range x.values {
				if v < low || v > high {
					out = append(out, Flag{x.what, []string{c.rows[rows[n]].Candidate}, p, []string{fmt.Sprintf("%g, the others within %g to %g", v, low, high)}})
				}
			}
		}
	}
	return out
}

// minFences is the fewest candidates for which quartiles say something.
const minFences = 8

func fences(x []float64) (low, high float64, ok bool) {
	if len(x) < minFences {
		return 0, 0, false
	}
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	q1 := stat.Quantile(0.25, stat.LinInterp, s, nil)
	q3 := stat.Quantile(0.75, stat.LinInterp, s, nil)
	return q1 - float64(1.5*(q3-q1)), q3 + float64(1.5*(q3-q1)), true
}
