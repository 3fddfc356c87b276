package edition

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Device is an overcurrent device by what is printed on it.
type Device struct {
	Breaker  bool
	Curve    string  // "B", "C", "D" for a circuit-breaker
	Standard string  // "BS 3036" for a fuse
	RatingA  float64 // A
}

// String is the short name: "B32", "BS 88-2 32 A".
func (d Device) String() string {
	rating := strconv.FormatFloat(d.RatingA, 'f', -1, 64)
	if d.Breaker {
		return d.Curve + rating
	}
	return d.Standard + " " + rating + " A"
}

// LimitError is a device or standard for which this edition gives no limit.
type LimitError struct{ Msg, Hint string }

func (e *LimitError) Error() string { return e.Msg }

var (
	breakerName = regexp.MustCompile(`^(?:BS ?(?:EN ?)?(?:60898|61009)[ -]*)?(?:TYPE ?)?([BCD]) ?([0-9]{1,4}(?:\.[0-9])?) ?A?$`)
	fuseName    = regexp.MustCompile(`^BS ?(?:EN ?)?([0-9]+(?:-[0-9])?)(?: *- *| +)([0-9]{1,4}) ?A?$`)
	wide        = regexp.MustCompile(`\s+`)
)

// ParseDevice reads "B32", "BS3036-30", "BS88-2-32", "bs 88-3 32 A": case and
// spaces are free. It refuses a name it does not know, and a standard it knows
// that has no limit in this edition; the error is a *LimitError.
func (p *Pack) ParseDevice(text string) (Device, error) {
	name := strings.ToUpper(wide.ReplaceAllString(strings.TrimSpace(text), " "))
	name = strings.ReplaceAll(strings.ReplaceAll(name, " -", "-"), "- ", "-")
	if m := breakerName.FindStringSubmatch(name); m != nil {
		rating, _ := strconv.ParseFloat(m[2], 64)
		if rating <= 0 || rating > p.breakers.largest {
			return Device{}, &LimitError{fmt.Sprintf("unknown device %q: no such rating", text),
				fmt.Sprintf("a circuit-breaker is rated up to %g A: B32", p.breakers.largest)}
		}
		return Device{Breaker: true, Curve: m[1], Standard: p.breakers.standard, RatingA: rating}, nil
	}
	if m := fuseName.FindStringSubmatch(name); m != nil {
		rating, _ := strconv.ParseFloat(m[2], 64)
		return p.fuseDevice(text, "BS "+m[1], rating)
	}
	return Device{}, &LimitError{fmt.Sprintf("unknown device %q", text),
		"a circuit-breaker by type and rating: B32; a fuse by standard and rating: " + strings.Join(p.FuseNames(), ", ")}
}

func (p *Pack) fuseDevice(text, standard string, rating float64) (Device, error) {
	if slices.Contains(p.withoutLimits, standard) || slices.Contains(p.withoutLimits, strings.Replace(standard, "BS ", "BS EN ", 1)) {
		return Device{}, &LimitError{fmt.Sprintf("%s has no limit in %s", standard, p.Title), "limits are held for B, C and D circuit-breakers and " + strings.Join(p.fuseStandards(), ", ")}
	}
	for _, f := range p.fuses {
		if f.standard != standard {
			continue
		}
		if len(f.at(rating)) == 0 {
			return Device{}, &LimitError{fmt.Sprintf("%s has no limit for %g A in %s", standard, rating, p.Title), "ratings held: " + f.ratings()}
		}
		return Device{Standard: standard, RatingA: rating}, nil
	}
	return Device{}, &LimitError{fmt.Sprintf("unknown device %q", text), "standards held: " + strings.Join(p.fuseStandards(), ", ")}
}

func (p *Pack) fuseStandards() []string {
	var out []string
	for _, f := range p.fuses {
		out = append(out, f.standard)
	}
	return out
}

// FuseNames gives one example of each fuse standard held, as it is typed.
func (p *Pack) FuseNames() []string {
	var out []string
	for _, f := range p.fuses {
		if len(f.rows) > 0 {
			out = append(out, fmt.Sprintf("%s-%g", strings.ReplaceAll(f.standard, " ", ""), f.rows[len(f.rows)-1].rating))
		}
	}
	return out
}

// ZsLimit is the greatest loop impedance for a device, hot (as in the table)
// and as measured cold.
type ZsLimit struct {
	Exact    float64 // U0 × Cmin / Ia, Ω; the printed value where Ia is not known
	Table    Entry   // as the table prints it, Ω
	Measured float64 // the measured factor × Exact, Ω
	Rounded  float64 // largest published rounding of Measured, Ω; equal to Measured when none is larger
	IaA      float64 // the current that disconnects in time, A; 0 when not known
	Formula  string
	TimeS    float64 // the disconnection time the row is for, s
	Printed  bool    // the table prints this rating
}

// Zs gives the limit of a device for a disconnection time in seconds (0.2, 0.4,
// 1 or 5; 0 means 0.4) at U0 volts (0 means the pack's).
// Type B and C have one limit at every time; type D has twice that at 5 s. A
// fuse with only a 5 s row uses it whatever the time: TimeS says so. A fuse is
// not held for 0.2 s, and for 1 s its stricter 0.4 s row is used.
func (p *Pack) Zs(d Device, timeS, u0 float64) (ZsLimit, error) {
	if u0 == 0 {
		u0 = p.Num(NominalVoltage)
	}
	if timeS == 0 {
		timeS = 0.4
	}
	if d.Breaker {
		return p.breakerZs(d, timeS, u0)
	}
	return p.fuseZs(d, timeS, u0)
}

func (p *Pack) breakerZs(d Device, timeS, u0 float64) (ZsLimit, error) {
	for _, c := range p.breakers.curves {
		if c.letter != d.Curve {
			continue
		}
		times := c.times
		if timeS == 5 {
			times = c.times5s
		}
		ia := times * d.RatingA
		exact := u0 * p.Num(Cmin) / ia
		printed := slices.Contains(c.printed, d.RatingA) && u0 == p.Num(NominalVoltage)
		status := Computed
		if printed {
			status = FromMemory
		}
		if printed && slices.Contains(c.confirmed, d.RatingA) {
			status = Confirmed
		}
		z := ZsLimit{Exact: exact, IaA: ia, TimeS: timeS, Printed: printed, Formula: p.breakers.formula,
			Table: Entry{HalfUp(exact), "Ω", p.breakers.source, status}}
		return p.measured(z, exact), nil
	}
	return ZsLimit{}, &LimitError{fmt.Sprintf("type %s has no limit in %s", d.Curve, p.Title), "types held: B, C, D"}
}

func (p *Pack) fuseZs(d Device, timeS, u0 float64) (ZsLimit, error) {
	for _, f := range p.fuses {
		if f.standard != d.Standard {
			continue
		}
		row, ok := f.row(d.RatingA, timeS)
		if !ok {
			break
		}
		z := ZsLimit{Exact: row.zs, IaA: row.ia, TimeS: row.time, Printed: true, Formula: p.breakers.formula,
			Table: Entry{row.zs, "Ω", f.source, row.status}}
		if row.ia > 0 {
			z.Exact = u0 * p.Num(Cmin) / row.ia
		}
		if u0 != p.Num(NominalVoltage) {
			if row.ia == 0 {
				break
			}
			z.Table, z.Printed = Entry{HalfUp(z.Exact), "Ω", f.source, Computed}, false
		}
		// Ia was read back from the printed value; where the two disagree in the
		// last digit, the stricter counts and the looser is only a rounding of it.
		return p.measured(z, min(z.Exact, z.Table.Value)), nil
	}
	return ZsLimit{}, &LimitError{fmt.Sprintf("%s has no limit for %g s in %s", d, timeS, p.Title), "fuses are held for 0.4 s and 5 s"}
}

// measured fills the limits of a cold reading. The published roundings are the
// factor × the exact value and the factor × the printed value, each to two
// decimals half up (1.09 and 1.10 for B32).
func (p *Pack) measured(z ZsLimit, base float64) ZsLimit {
	k := p.Num(MeasuredFactor)
	z.Measured = k * base
	z.Rounded = max(HalfUp(k*z.Exact), HalfUp(k*z.Table.Value))
	if Cmp(z.Rounded, z.Measured) <= 0 {
		z.Rounded = z.Measured
	}
	return z
}

// HalfUp rounds a non-negative value to two decimals, halves up, as the tables
// are printed: 2.185 to 2.19. It works on the decimal value, not on the nearest
// binary fraction.
func HalfUp(v float64) float64 {
	return math.Floor((math.Round(v*1e9)+5e6)/1e7) / 100
}

// Cmp compares two values as decimals: -1, 0 or +1. Readings are decimal text
// of at most six places and limits are products of short decimals, so values
// that differ by less than half of 1e-9 are the same decimal that arithmetic in
// binary fractions moved apart (0.40 + 0.05 is 0.45000000000000001). Both are
// rounded to that grid, not compared with an allowance, so that Cmp is a true
// ordering: equal values stay equal whatever they are compared with.
func Cmp(a, b float64) int {
	x, y := math.Round(a*1e9), math.Round(b*1e9)
	switch {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}
