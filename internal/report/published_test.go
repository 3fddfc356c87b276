package report

import (
	"encoding/csv"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// rows reads a published table, its comment lines left out.
func rows(t testing.TB, name string) []map[string]string {
	t.Helper()
	var keep []string
	for line := range strings.SplitSeq(published(t, name), "\n") {
		if !strings.HasPrefix(line, "#") && line != "" {
			keep = append(keep, line)
		}
	}
	r := csv.NewReader(strings.NewReader(strings.Join(keep, "\n")))
	r.FieldsPerRecord = -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, rec := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			if i < len(rec) {
				m[h] = rec[i]
			}
		}
		out = append(out, m)
	}
	return out
}

// TestEditionDecidesTheMultiple checks which timed test goes on the schedule against
// the requirements of each edition (BS 7671:2018 regulation 643.8: 5 times or more for
// additional protection up to 30 mA; A2:2022: once the rated current for every type).
func TestEditionDecidesTheMultiple(t *testing.T) {
	found := 0
	for _, row := range rows(t, "rcd_times.csv") {
		if row["kind"] != "requirement" || !strings.Contains(row["status"], "confirmed") || row["status"] == "not_confirmed" {
			continue
		}
		var ed string
		switch {
		case strings.HasPrefix(row["standard_or_edition"], "BS 7671:2018 and"):
			ed = "bs7671-2018"
		case strings.HasPrefix(row["standard_or_edition"], "BS 7671:2018+A2"):
			ed = "bs7671-2018-a2"
		default:
			continue
		}
		want, err := strconv.ParseFloat(strings.TrimLeft(row["multiple_of_idn"], ">="), 64)
		if err != nil {
			continue // a row without a multiple
		}
		found++
		m := Meta{}
		b := newBuilder(start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), sequence.Measured, ed), m)
		d := &rig.RCD{IdnMA: 30, Delay: row["delay_class"]}
		if got := b.multiple(d); got != want {
			t.Errorf("%s, 30 mA %s: %g times, published %g", ed, d.Delay, got, want)
		}
	}
	if found < 3 {
		t.Fatalf("only %d published rows were found", found)
	}
	// The pre-A2 box held the time at once the rated current for every other device
	// (note of the same table).
	b := newBuilder(start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), sequence.Measured, "bs7671-2018"), Meta{})
	if got := b.multiple(&rig.RCD{IdnMA: 100, Delay: "general"}); got != 1 {
		t.Errorf("bs7671-2018, 100 mA: %g times, should be 1", got)
	}
}

// TestPermittedZsIsPublished checks the limits on the schedule of every built-in rig
// against BS 7671 Table 41.3 (circuit-breakers) with the On-Site Guide's values for a
// reading taken cold (Appendix B), and Table 41.5 (TT, printed values).
func TestPermittedZsIsPublished(t *testing.T) {
	cold, tt := rows(t, "zs_corrected_80pct.csv"), rows(t, "zs_max_tt_rcd.csv")
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	checked := map[string]int{}
	for _, name := range []string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop"} {
		b := newBuilder(start(t, "whole-board", loadRig(t, name), sequence.Measured, "bs7671-2018-a2"), Meta{})
		for i := range b.rig.Circuits {
			c := &b.rig.Circuits[i]
			z := b.zsLimit(c)
			if z.Source == "" || z.Why == "" || z.Edition != "bs7671-2018-a2" || z.Unit != "Ω" || z.State != Calculated {
				t.Errorf("%s %s: limit without its source: %+v", name, c.ID, z)
			}
			if d := b.rig.RCDOf(c); d != nil && b.rig.Supply.Earthing == rig.TT {
				for _, row := range tt {
					if row["uo_band_v"] == "120<U0<=230" && num(row["idn_ma"]) == d.IdnMA {
						checked["tt"]++
						if want := num(row["zs_or_ra_max_printed_ohm"]); *z.Value != want || z.Basis != "table" {
							t.Errorf("%s %s: %g (%s), printed %g", name, c.ID, *z.Value, z.Basis, want)
						}
					}
				}
				continue
			}
			for _, row := range cold {
				if !strings.HasPrefix(row["standard"], "BS EN 60898") || row["type"] != c.Device.Curve || num(row["rating_a"]) != c.Device.RatingA || num(row["disconnection_time_s"]) != 0.4 {
					continue
				}
				checked["cold"]++
				low := num(row["x0.8_of_exact_floor_ohm"])
				if *z.Table != num(row["zs_table_printed_ohm"]) || *z.Value < low || *z.Value >= low+0.01 || z.Basis != "corrected" {
					t.Errorf("%s %s: %g from %g (%s), published %v", name, c.ID, *z.Value, *z.Table, z.Basis, row)
				}
			}
		}
	}
	if checked["tt"] < 4 || checked["cold"] < 15 {
		t.Errorf("too few rows found: %v", checked)
	}
}

// TestPermittedZsIsTheSessionsLimit checks that the schedule prints the limit which the
// session's own verdict was made with.
func TestPermittedZsIsTheSessionsLimit(t *testing.T) {
	for _, name := range []string{"training-bay", "rigging-store", "slip-outbuilding", "winch-workshop"} {
		m := Meta{}
		s := Build(drive(t, start(t, "whole-board", loadRig(t, name), sequence.Measured, "bs7671-2018-a4"), &m), m)
		checked := 0
		for i := range s.Circuits {
			c := &s.Circuits[i]
			for _, r := range c.Readings {
				for _, l := range r.Limits {
					if (r.Test == "zs" || r.Test == "zs-calculated") && (l.Name == "zs_measured" || l.Name == "ra_max") {
						checked++
						if edition.Cmp(l.Value, *c.MaxPermittedZs.Value) != 0 || l.Source == "" {
							t.Errorf("%s circuit %s: judged by %g, schedule prints %g", name, c.CircuitNumber, l.Value, *c.MaxPermittedZs.Value)
						}
					}
				}
			}
		}
		if checked < len(s.Circuits) {
			t.Errorf("%s: %d limits checked on %d circuits", name, checked, len(s.Circuits))
		}
	}
}
