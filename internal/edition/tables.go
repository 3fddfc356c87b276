package edition

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
)

type curve struct {
	letter             string
	times, times5s     float64
	printed, confirmed []float64
}

type breakers struct {
	standard, source, formula string
	status                    Status
	largest                   float64
	curves                    []curve
}

// BreakerStatus is the status of the formula that circuit-breaker limits are computed by.
func (p *Pack) BreakerStatus() Status { return p.breakers.status }

type fuseRow struct {
	rating, time, ia, zs float64
	status               Status
}

type fuseFamily struct {
	standard, what, source string
	rows                   []fuseRow
}

func (f fuseFamily) at(rating float64) []fuseRow {
	var out []fuseRow
	for _, r := range f.rows {
		if r.rating == rating {
			out = append(out, r)
		}
	}
	return out
}

// row picks the row for a time: its own, else for 1 s the stricter 0.4 s one,
// else the 5 s one when there is no other.
func (f fuseFamily) row(rating, timeS float64) (fuseRow, bool) {
	rows := f.at(rating)
	for _, r := range rows {
		if r.time == timeS {
			return r, true
		}
	}
	if timeS == 1 {
		for _, r := range rows {
			if r.time < timeS {
				return r, true
			}
		}
	}
	if len(rows) == 1 && rows[0].time == 5 {
		return rows[0], true
	}
	return fuseRow{}, false
}

func (f fuseFamily) ratings() string {
	seen := map[float64]bool{}
	var rs []float64
	for _, r := range f.rows {
		if !seen[r.rating] {
			seen[r.rating] = true
			rs = append(rs, r.rating)
		}
	}
	sort.Float64s(rs)
	text := make([]string, len(rs))
	for i, r := range rs {
		text[i] = strconv.FormatFloat(r, 'f', -1, 64)
	}
	return strings.Join(text, ", ") + " A"
}

// ZeTypical is the value a distributor typically does not exceed for "TN-S",
// "TN-C-S" or "TT", Ω.
func (p *Pack) ZeTypical(earthing string) (Entry, bool) {
	e, ok := p.zeTypical[earthing]
	return e, ok
}

type electrode struct {
	source string
	rows   []electrodeRow
}

type electrodeRow struct {
	ratedMA, ohm float64
	status       Status
}

// Electrode is the greatest resistance of the earthing of a TT system, Ω, for
// an RCD of ratedMA: the printed whole number, else touch voltage over rating, computed.
func (p *Pack) Electrode(ratedMA float64) Entry {
	for _, r := range p.electrode.rows {
		if r.ratedMA == ratedMA {
			return Entry{r.ohm, "Ω", p.electrode.source, r.status}
		}
	}
	return Entry{p.Num(TouchVoltage) * 1000 / ratedMA, "Ω",
		fmt.Sprintf("computed, %g V / IΔn; %s", p.Num(TouchVoltage), p.electrode.source), Computed}
}

type insulationRow struct {
	systems               []string
	upToV, testV, minMohm float64
	source                string
	status                Status
}

// Insulation gives the test voltage (V d.c.) and the least resistance (MΩ) for
// a system (LV, FELV, SELV, PELV) of a nominal voltage.
func (p *Pack) Insulation(system string, nominalV float64) (testV float64, least Entry, ok bool) {
	for _, r := range p.insulation {
		for _, s := range r.systems {
			if s == system && (r.upToV == 0 || nominalV <= r.upToV) {
				return r.testV, Entry{r.minMohm, "MΩ", r.source, r.status}, true
			}
		}
	}
	return 0, Entry{}, false
}

type disconnection struct {
	socketsUpToA, fixedUpToA float64
	source                   string
	rows                     []disconnectionRow
}

type disconnectionRow struct {
	earthing, class string
	upToV, seconds  float64
	status          Status
}

// Disconnection gives the greatest disconnection time, s, for a circuit:
// earthing "TN-S", "TN-C-S" or "TT", U0 in V, its rating, whether it is final,
// and whether it feeds socket-outlets (else only fixed connected equipment).
func (p *Pack) Disconnection(earthing string, u0, ratingA float64, final, sockets bool) (Entry, bool) {
	d := p.disconnection
	short := final && (sockets && ratingA <= d.socketsUpToA || ratingA <= d.fixedUpToA)
	class := map[bool]string{true: "short", false: "long"}[short]
	system, _, _ := strings.Cut(earthing, "-")
	for _, r := range d.rows {
		if r.earthing == system && r.class == class && (r.upToV == 0 || u0 <= r.upToV) {
			return Entry{r.seconds, "s", d.source, r.status}, true
		}
	}
	return Entry{}, false
}

type conductors struct {
	source string
	status Status
	rows   []conductorRow
}

type conductorRow struct{ mm2, copper, flexible, aluminium float64 }

// Copper gives the resistance of a solid or stranded copper conductor at 20 °C,
// mΩ/m, for a cross-sectional area in mm².
func (p *Pack) Copper(mm2 float64) (Entry, bool) {
	for _, r := range p.conductors.rows {
		if r.mm2 == mm2 {
			return Entry{r.copper, "mΩ/m", p.conductors.source, p.conductors.status}, true
		}
	}
	return Entry{}, false
}

// Sizes lists the conductor sizes held, mm², rising.
func (p *Pack) Sizes() []float64 {
	var out []float64
	for _, r := range p.conductors.rows {
		out = append(out, r.mm2)
	}
	sort.Float64s(out)
	return out
}

// SizesText lists the sizes held for a message.
func (p *Pack) SizesText() string {
	var text []string
	for _, s := range p.Sizes() {
		text = append(text, strconv.FormatFloat(s, 'f', -1, 64))
	}
	return strings.Join(text, ", ") + " mm2"
}

// BreakingCapacity is one row of the short-circuit ratings, kA.
type BreakingCapacity struct {
	Standard, Variant string
	KA                float64
	Status            Status
}

// BreakingCapacities lists the short-circuit ratings held.
func (p *Pack) BreakingCapacities() []BreakingCapacity {
	return append([]BreakingCapacity(nil), p.breaking...)
}
