package edition

import (
	"strings"
	"testing"
)

func TestA4SaysThatTheBookWasNotChecked(t *testing.T) {
	p := must(t, "", nil)
	if p.Name != Default || !strings.Contains(p.Notice(), "not checked") || !strings.Contains(p.Notice(), "A2:2022") {
		t.Errorf("%s: notice %q", p.Name, p.Notice())
	}
	if e := p.Electrode(30); !strings.Contains(e.Source, "carried over") {
		t.Errorf("an inherited entry hides where it came from: %q", e.Source)
	}
	for _, name := range []string{"bs7671-2018", "bs7671-2018-a2"} {
		if p := must(t, name, nil); p.Notice() != "" || strings.Contains(p.Electrode(30).Source, "carried over") {
			t.Errorf("%s: notice %q", name, p.Notice())
		}
	}
}

func TestEveryEntryHasSourceAndStatus(t *testing.T) {
	for _, name := range all {
		p := must(t, name, nil)
		for _, k := range keys {
			e := p.Entry(Key(k))
			if e.Source == "" || e.Status == "" || e.Value <= 0 {
				t.Errorf("%s %s: %+v", name, k, e)
			}
		}
	}
}

func TestEditionsDifferInTheRCDTest(t *testing.T) {
	if got := must(t, "bs7671-2018", nil).RCDRequired()[0]; got.Multiple != 5 || got.RatedUpToMA != 30 {
		t.Errorf("2018 asks first for %+v", got)
	}
	for _, r := range must(t, "bs7671-2018-a2", nil).RCDRequired() {
		if r.Multiple != 1 {
			t.Errorf("A2 asks for %+v", r)
		}
	}
	for rated, want := range map[float64]bool{30: true, 30.1: false, 100: false} {
		b, _ := must(t, "bs7671-2018", nil).RCDBand("general", 5, rated)
		if strings.Contains(b.Max.Source, "643.8") != want {
			t.Errorf("2018 at 5 times, %g mA: %+v", rated, b.Max)
		}
	}
	earlier := strings.Join(must(t, "bs7671-2018-a2", nil).RCDEarlier(), "\n")
	if !strings.Contains(earlier, "BS 7671:2018 and 2018+A1:2020: 5 times IΔn, at most 40 ms") {
		t.Errorf("older rules are not told: %s", earlier)
	}
}

func TestParseDevice(t *testing.T) {
	p := must(t, "", nil)
	for text, want := range map[string]string{
		"B32": "B32", " b 32 ": "B32", "c6": "C6", "D125": "D125", "B32A": "B32", "B45": "B45", "BS EN 60898 B32": "B32", "bs en 61009-C16": "C16",
		"BS3036-30": "BS 3036 30 A", "bs 3036 - 30": "BS 3036 30 A", "BS 3036 30A": "BS 3036 30 A", "BS88-2-32": "BS 88-2 32 A",
		"bs 88-3 32": "BS 88-3 32 A", "BS88-3 - 32 A": "BS 88-3 32 A", "BS1362-13": "BS 1362 13 A", "bs 1362-3": "BS 1362 3 A",
	} {
		if d, err := p.ParseDevice(text); err != nil || d.String() != want {
			t.Errorf("%q: %s, %v; want %s", text, d, err, want)
		}
	}
	for text, want := range map[string]string{
		"": "unknown device", "K32": "unknown device", "32": "unknown device", "B": "unknown device", "B0": "no such rating", "B126": "no such rating",
		"BS1361-30": "BS 1361 has no limit", "BS 3871 - 32": "BS 3871 has no limit", "BS3036-32": "no limit for 32 A", "BS88-2-7": "no limit for 7 A",
		"BS9999-10": "unknown device", "BS88-32": "unknown device", "B-32": "unknown device", "BS3036": "unknown device",
	} {
		_, err := p.ParseDevice(text)
		le, ok := err.(*LimitError)
		if !ok || !strings.Contains(le.Msg, want) || le.Hint == "" {
			t.Errorf("%q: %v, want %q with a hint", text, err, want)
		}
	}
}

func TestFuseRows(t *testing.T) {
	p := must(t, "", nil)
	for _, c := range []struct {
		device string
		time   float64
		row    float64 // 0: none
	}{
		{"BS88-2-32", 0, 0.4}, {"BS88-2-32", 0.4, 0.4}, {"BS88-2-32", 5, 5}, {"BS88-2-32", 1, 0.4}, {"BS88-2-32", 0.2, 0},
		{"BS88-2-63", 0, 5}, {"BS88-2-63", 0.4, 5}, {"BS88-2-63", 1, 5}, {"BS88-2-63", 5, 5},
	} {
		d, _ := p.ParseDevice(c.device)
		z, err := p.Zs(d, c.time, 0)
		if (err == nil) != (c.row > 0) || z.TimeS != c.row {
			t.Errorf("%s at %g s: row %g, %v; want %g", c.device, c.time, z.TimeS, err, c.row)
		}
	}
	// Only type D changes, and only at 5 s.
	for _, c := range []struct {
		device string
		time   float64
		ia     float64
	}{{"B32", 0.4, 160}, {"B32", 5, 160}, {"C32", 5, 320}, {"D32", 0.2, 640}, {"D32", 0.4, 640}, {"D32", 1, 640}, {"D32", 5, 320}} {
		d, _ := p.ParseDevice(c.device)
		if z, err := p.Zs(d, c.time, 0); err != nil || z.IaA != c.ia {
			t.Errorf("%s at %g s: Ia %g, %v", c.device, c.time, z.IaA, err)
		}
	}
	// Another nominal voltage: by the formula, and said to be computed.
	d, _ := p.ParseDevice("B32")
	if z, _ := p.Zs(d, 0, 110); !same(z.Exact, 110*0.95/160) || z.Printed || z.Table.Status != Computed {
		t.Errorf("B32 at 110 V: %+v", z)
	}
	d, _ = p.ParseDevice("BS88-3-32")
	if z, _ := p.Zs(d, 0, 110); !same(z.Exact, 110*0.95/240) || z.Printed || z.Table.Status != Computed {
		t.Errorf("BS 88-3 32 A at 110 V: %+v", z)
	}
}

func TestHalfUpAndCmpAreDecimal(t *testing.T) {
	for v, want := range map[float64]float64{2.185: 2.19, 1.0925: 1.09, 1.095: 1.1, 0.575: 0.58, 2.675: 2.68, 1.005: 1.01, 0.004999: 0, 0.005: 0.01, 218.5 / 160: 1.37} {
		if got := HalfUp(v); got != want {
			t.Errorf("HalfUp(%v) = %v, want %v", v, got, want)
		}
	}
	if a, b := 0.40, 0.05; Cmp(a+b, 0.45) != 0 || Cmp(0.45, a+b) != 0 {
		t.Error("0.40 + 0.05 is not 0.45")
	}
	if Cmp(0.450001, 0.45) != 1 || Cmp(0.45, 0.450001) != -1 {
		t.Error("the sixth decimal is lost")
	}
	if Cmp(1e9, 1e9+1) != -1 {
		t.Error("large values are lost")
	}
}

func TestOverlay(t *testing.T) {
	p := must(t, "ours", map[string]string{"editions/ours.yaml": `edition: ours
title: our own
base: bs7671-2018-a4
values:
  zs-above: {value: 0.40, unit: "Ω", source: "our workshop", status: "common practice, no source"}
`})
	if p.Num(ZsAbove) != 0.40 || p.Num(ZsBelow) != 0.30 || p.Name != "ours" {
		t.Errorf("%s: %v", p.Name, p.Entry(ZsAbove))
	}
	if must(t, "", nil).Num(ZsAbove) != 0.50 {
		t.Error("the overlay changed the built-in pack")
	}
	names, err := Names(library(t, map[string]string{"editions/ours.yaml": "edition: ours\n"}))
	if err != nil || strings.Join(names, " ") != "bs7671-2018 bs7671-2018-a2 bs7671-2018-a4 ours" {
		t.Errorf("editions: %v, %v", names, err)
	}
}

func TestLoadRefuses(t *testing.T) {
	head := "edition: bad\ntitle: bad\nbase: bs7671-2018-a2\n"
	for text, want := range map[string]string{
		"edition: other\ntitle: x\nbase: bs7671-2018-a2\n":                                                  `edition "other" is in a file named bad.yaml`,
		"edition: bad\ntitle: x\nbase: bad\n":                                                               "stands on itself",
		"edition: bad\ntitle: x\nbase: nowhere\n":                                                           `no edition is named "nowhere"`,
		"edition: bad\ntitle: x\ncarried_over: y\n":                                                         "nothing is carried over without a base",
		"edition: bad\ntitle: x\n":                                                                          `needs the key "breakers"`,
		head + "rcds: 1\n":                                                                                  `no key "rcds"`,
		head + "values:\n  cmim: {value: 1, unit: \"\", source: x, status: confirmed}\n":                    `no key "cmim"`,
		head + "values:\n  cmin: {value: -1, unit: \"\", source: x, status: confirmed}\n":                   "above 0",
		head + "values:\n  cmin: {value: 0, unit: \"\", source: x, status: confirmed}\n":                    "above 0",
		head + "values:\n  cmin: {value: 1, unit: \"\", source: x, status: sure}\n":                         `"sure"`,
		head + "values:\n  cmin: {value: 1, unit: \"\", status: confirmed}\n":                               `"source"`,
		head + "insulation:\n  - {systems: [LV], test_v: 500, min_mohm: 1, source: x, status: confirmed}\n": "no row for FELV",
		head + "rcd_ramp:\n  - {waveform: ac, above: 0.5, up_to: 1, source: x, status: confirmed}\n":        "no row for pulsating",
		head + "rcd:\n  half_run_ms: 2000\n  button_months: 6\n  required: []\n  rules:\n    - {delay: any, multiple: 1, max_ms: 300, status: confirmed}\n":                                              "no rule for delay general at 0.5",
		head + "rcd:\n  half_run_ms: 2000\n  button_months: 6\n  required: []\n  rules:\n    - {delay: any, multiple: 1, min_ms: 400, max_ms: 300, status: confirmed}\n":                                 "min_ms 400 is above max_ms 300",
		head + "fuses:\n  - standard: BS 1\n    what: x\n    source: x\n    rows:\n      - {rating: 5, time: 0.4, zs: 1, status: confirmed}\n      - {rating: 5, time: 0.4, zs: 2, status: confirmed}\n": "given twice",
		head + "fuses:\n  - standard: BS 1\n    what: x\n    source: x\n    rows:\n      - {rating: 5, time: 1, zs: 1, status: confirmed}\n":                                                             "not 1 s",
	} {
		p, err := Load(library(t, map[string]string{"editions/bad.yaml": text}), "bad")
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v, %v; want %q", text, p, err, want)
		}
	}
	for _, name := range []string{"bs7671-2001", "../secret", "A4"} {
		if _, err := Load(library(t, nil), name); err == nil || !strings.Contains(err.Error(), "no edition is named") {
			t.Errorf("%q: %v", name, err)
		}
	}
}
