package e2e

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
	"wanderlead/internal/quantity"
)

// bay is the training bay as its description has it, written out here once more, so
// that the session's own way from rig to verdict is not what it is compared with.
var bay = map[string]struct {
	device    string
	line, cpc float64 // mm²
	bar       string
}{
	"ring-1": {"B32", 2.5, 1.5, "NA"}, "radial-1": {"B20", 2.5, 1.5, "NA"}, "lighting-1": {"B6", 1.5, 1, "NA"}, "cooker-1": {"B32", 6, 2.5, "NA"},
	"ring-2": {"B32", 2.5, 1.5, "NB"}, "radial-2": {"B16", 2.5, 1.5, "NB"}, "lighting-2": {"B6", 1.5, 1, "NB"}, "shower-1": {"B40", 10, 4, "NB"},
}

// typed is what has been typed so far, by the id of the reading.
type typed map[string]string

func (m typed) with(id, raw string) typed {
	out := typed{id: raw}
	for k, v := range m {
		if k != id {
			out[k] = v
		}
	}
	return out
}

// highest is the largest number typed for readings whose id starts with prefix.
func (m typed) highest(prefix string) float64 {
	best := 0.0
	for id, raw := range m {
		if v, err := strconv.ParseFloat(raw, 64); err == nil && strings.HasPrefix(id, prefix) {
			best = max(best, v)
		}
	}
	return best
}

// oracle says what a reading comes to, from the edition's limits and what is written
// down here alone. all is what was typed so far, that reading and its row included;
// base is what the sheet of the bay has for it.
func oracle(t *testing.T, pack *edition.Pack, id string, all typed, base string) string {
	t.Helper()
	word := strings.Split(id, "/")
	circuit, part := word[0], word[len(word)-1]
	is := func(test string) bool { return slices.Contains(word[:len(word)-1], test) || id == test }
	raw := all[id]
	c, onCircuit := bay[circuit]
	var q judge.Query
	ask := func(test string, args ...string) { q = query(t, test, args...) }
	switch {
	case circuit == "instrument":
		return map[bool]string{true: "pass", false: "set-up"}[strings.HasSuffix(part, "open") && strings.HasPrefix(raw, ">") ||
			!strings.HasSuffix(part, "open") && number(raw) <= 0.01]
	case circuit == "neutral-bars", is("own-bar") && part != c.bar:
		return map[bool]string{true: "pass", false: "fail"}[strings.HasPrefix(raw, ">")]
	case id == "earthing", is("bonding"):
		ask("bonding", "value="+raw)
		q.Given = []judge.Given{{Name: "bonding", Value: number(base), From: judge.FromCommissioned}}
	case is("ends"):
		at := circuit + "/ends/"
		ask("ring-ends", "r1="+all[at+"r1"], "rn="+all[at+"rn"], "r2="+all[at+"r2"], fmt.Sprintf("line=%g", c.line), fmt.Sprintf("cpc=%g", c.cpc))
	case is("crossed-line-neutral"), is("crossed-line-cpc"):
		other, step := "rn", strings.TrimPrefix(word[1], "crossed-")
		if step == "line-cpc" {
			other = "r2"
		}
		ask("ring-crossed", "step="+step, "r1="+all[circuit+"/ends/r1"], other+"="+all[circuit+"/ends/"+other], "readings="+row(all, circuit+"/"+word[1]))
	case is("continuity"), is("own-bar"):
		ask("continuity", "value="+raw)
		q.Given = []judge.Given{{Name: "r1_plus_r2", Value: number(base), From: judge.FromCommissioned}}
	case is("insulation"):
		ask("insulation", "value="+raw, "between="+part, "test_voltage=500")
	case is("supply"):
		ask("voltage", "value="+raw, "between="+part, "expect=supply")
		if part != "N-E" {
			q.Given = []judge.Given{{Name: "voltage", Value: number(base), From: judge.FromCommissioned}}
		}
	case id == "ze":
		ask("ze", "value="+raw, "earthing=TN-C-S", "declared=0.28")
	case is("pfc"):
		ask("pfc", "value="+raw, "between="+part, "breaking_capacity=6", "assembly=16")
	case is("zs-calculated"):
		if sum := number(all["ze"]) + all.highest(circuit+"/continuity/"); number(raw) > sum+0.015 || number(raw) < sum-0.015 {
			return "set-up"
		}
		return "pass"
	case is("zs"):
		r1r2 := max(all.highest(circuit+"/continuity/"), all.highest(circuit+"/crossed-line-cpc/"))
		ask("zs", "value="+raw, "device="+c.device, "method=no-trip", "earthing=TN-C-S", "ze="+all["ze"], fmt.Sprintf("r1r2=%g", r1r2), "rcd=30")
	case is("rcd"):
		angle := strings.TrimPrefix(part, "one-")
		ask("rcd", "value="+raw, "rated=30", "multiple=1", "type=A", "delay=general", "standard=BS EN 61008-1", "angle="+angle)
	default:
		t.Fatalf("%s: the test does not know what this reading is", id)
	}
	if !onCircuit && strings.Contains(id, "/insulation/") {
		t.Fatalf("%s: no such circuit in the bay", id)
	}
	v, err := judge.Judge(pack, q)
	if err != nil {
		t.Fatalf("%s %s: %v", id, raw, err)
	}
	return string(v.Verdict)
}

func query(t *testing.T, test string, args ...string) judge.Query {
	t.Helper()
	q, err := judge.ParseArgs(test, args)
	if err != nil {
		t.Fatalf("%s %v: %v", test, args, err)
	}
	return q
}

// row joins the readings s1, s2, … of a test on a circuit, in order.
func row(all typed, prefix string) string {
	var words []string
	for n := 1; ; n++ {
		raw, ok := all[fmt.Sprintf("%s/s%d", prefix, n)]
		if !ok {
			return strings.Join(words, ",")
		}
		words = append(words, raw)
	}
}

func number(raw string) float64 {
	v, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		return 1e9 // over range
	}
	return v
}

// change is a reading changed from what a healthy bay gives.
type change struct{ what, raw string }

// changes are the ways to change a reading: ten times as much, over the range of the
// instrument, and to both sides of where the verdict becomes another one. Switch positions are
// no numbers and are turned round.
func changes(t *testing.T, pack *edition.Pack, id string, all typed) []change {
	t.Helper()
	base := all[id]
	if base == "reads" || base == "open" {
		return []change{{"the other way", map[string]string{"reads": "open", "open": "reads"}[base]}}
	}
	var list []change
	add := func(what, raw string) {
		if raw != base {
			list = append(list, change{what, raw})
		}
	}
	add("ten times", tenTimes(base))
	add("over range", overRange(id))
	before, last := oracle(t, pack, id, all, base), base
	for _, raw := range ladder(id, base) {
		if now := oracle(t, pack, id, all.with(id, raw), base); now != before {
			add("where it is last "+before, last)
			add("where it turns "+now, raw)
			before = now
		}
		last = raw
	}
	return list
}

func overRange(id string) string {
	switch {
	case strings.Contains(id, "/rcd/"):
		return "no-trip"
	case strings.HasPrefix(id, "supply/"):
		return ">999"
	}
	return ">1999"
}

func tenTimes(raw string) string {
	mark := ""
	if strings.HasPrefix(raw, ">") {
		mark, raw = ">", raw[1:]
	}
	v, err := quantity.Parse(raw, quantity.Ohm)
	if err != nil {
		return mark + raw
	}
	digits := 0
	if _, after, ok := strings.Cut(raw, "."); ok {
		digits = len(after)
	}
	return mark + strconv.FormatFloat(10*v.Value, 'f', digits, 64)
}

// ladder climbs from a reading to where no verdict is good any more, in steps as fine
// as the instrument shows. Insulation, and what must read over range, is climbed down.
func ladder(id, base string) []string {
	var out []string
	climb := func(from, step, to float64, digits int) {
		n := int((to-from)/step + 0.5)
		for i := 1; i <= max(n, -n); i++ {
			out = append(out, strconv.FormatFloat(from+float64(i)*step, 'f', digits, 64))
		}
	}
	switch {
	case strings.Contains(id, "/insulation/"):
		climb(2.1, -0.01, 0.9, 2)
	case strings.HasPrefix(base, ">"):
		out = []string{"0.50"}
	case strings.HasPrefix(id, "supply/"):
		climb(number(base), 1, 300, 0)
	case strings.HasPrefix(id, "pfc/"):
		climb(5.9, 0.1, 17, 1)
	case strings.Contains(id, "/rcd/"):
		climb(number(base), 1, 310, 0)
	case strings.Contains(id, "/zs/"):
		climb(number(base), 0.01, 12, 2)
	default:
		climb(number(base), 0.01, number(base)+2, 2)
	}
	return out
}
