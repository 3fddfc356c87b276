package mistakes_test

import (
	"math"
	"strconv"
	"strings"

	"wanderlead/internal/meter"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

const lowOhms = "ends crossed-line-neutral crossed-line-cpc continuity bonding earthing own-bar"

func offBy(ohm float64) change {
	return at(lowOhms, leads(func(l *meter.Leads) { l.Null = l.Ohm - ohm }))
}

func planted(circuits []string, fs ...string) scene { return scene{circuits: circuits, faults: fs} }

func nowhere(u *signature.SetUp, l *meter.Leads) { l.Contact = math.Inf(1) }

// shorted pairs, and what is really low.
var (
	shortLN = planted(radial, "F25?circuit=radial-1")
	shortNE = planted(radial, "F26?circuit=radial-1")
	shortLE = planted(radial, "F27?circuit=radial-1")
	cut     = planted(ring, "F04?circuit=ring-1")
)

func leak(core string, ohm float64) func(*signature.SetUp, *meter.Leads) {
	return link("radial-1/s3/"+core[:1], "radial-1/s3/"+core[2:], ohm)
}

var commits = []committed{
	{"dead-test-on-live", "continuity", scene{circuits: radial, set: at("continuity", cond(func(c *wiring.Condition) { c.Open = map[string]bool{}; c.Links = nil }))},
		planted(radial, "F20?circuit=radial-1")},
	{"leads-not-nulled", "ends", scene{circuits: ring, set: at(lowOhms, leads(func(l *meter.Leads) { l.Null = 0 }))}, planted(ring, "F05?circuit=ring-1&ohm=0.03")},
	{"lead-added-after-null", "continuity", scene{circuits: radial, set: at(lowOhms, leads(func(l *meter.Leads) { l.Added = 0.24 }))}, planted(radial, "F05?circuit=radial-1&ohm=0.2&from=s2&to=s3")},
	{"loose-null", "ends", scene{circuits: ring, set: offBy(-0.2)}, planted(ring, "F19?circuit=ring-1")},
	{"null-from-last-user", "ends", scene{circuits: ring, set: offBy(-0.1), write: instead("instrument/low-ohm-shorted", "-0.10", "instrument/nulled/low-ohm-shorted", "-0.10", "instrument/nulled", "-0.10")}, planted(ring, "F19?circuit=ring-1")},
	{"blown-fuse", "bonding", scene{circuits: radial, set: at(lowOhms, nowhere)}, scene{circuits: radial, faults: []string{"F34"}, write: instead("bonding/water", "0.99")}},
	{"insulation-range-for-continuity", "continuity", scene{circuits: radial, set: at("continuity", function(signature.Insulating))}, scene{circuits: radial, set: at("continuity", link("radial-1/s3/E", "board/met", 0.05))}},
	{"continuity-range-for-insulation", "insulation", scene{circuits: radial, set: at("insulation", function(signature.LowOhm))}, scene{circuits: radial}},
	{"cheap-multimeter", "ends", scene{circuits: ring, set: offBy(0.6)}, planted(ring, "F05?circuit=ring-1&ohm=0.08")},
	{"poor-contact", "continuity", scene{circuits: radial, set: at("s3", leads(func(l *meter.Leads) { l.Contact = 0.12 })), again: again("radial-1/continuity/s3", leads(func(l *meter.Leads) { l.Contact = 0.5 }))},
		scene{circuits: radial, faults: []string{"F05?circuit=radial-1&ohm=0.2&from=s2&to=s3"}, again: again("radial-1/continuity/s3", leads(func(*meter.Leads) {}))}},
	{"megohm-as-ohm", "continuity", scene{circuits: radial, set: both(at("insulation", leak("L-E", 0.31e6)), at("continuity", unlinked), at("continuity", leak("L-E", 0.31e6)), at("continuity", function(signature.Insulating)))},
		scene{circuits: radial, set: both(at("insulation", leak("L-E", 0.5e6)), at("continuity", link("radial-1/s3/E", "board/met", 0.05)))}},
	{"kilohm-missed", "electrode", scene{rig: "slip-outbuilding", circuits: radial, edit: plasticPipes, faults: []string{"F38?ohm=1200"}, write: inKilohms("electrode")},
		scene{rig: "slip-outbuilding", circuits: radial, edit: plasticPipes, set: at("electrode", link("board/earthing-conductor", "board/incoming/N", 1))}},
	{"over-range-as-zero", "insulation", scene{circuits: radial, write: instead("radial-1/insulation/*", "0")}, shortLN},
	{"decimal-slip", "continuity", scene{circuits: radial, write: instead("radial-1/continuity/s3", "4.3")}, planted(radial, "F05?circuit=radial-1&ohm=1.2&from=s2&to=s3")},
	{"wrong-place-on-the-schedule", "ends", scene{circuits: ring, write: instead("ring-1/ends/rn", "0.65", "ring-1/ends/r2", "0.39")}, planted(ring, "F07?circuit=ring-1")},
	{"not-the-highest", "zs-calculated", scene{circuits: lighting, write: instead("ze", "0.22", "lighting-1/continuity/l1", "0.27", "lighting-1/zs-calculated/sum", "0.49")}, scene{circuits: lighting, write: instead("lighting-1/zs-calculated/sum", "0.59")}},
	{"one-point-for-all", "continuity", scene{circuits: radial, write: instead("radial-1/continuity/*", "0.43")}, planted(radial, "F05?circuit=radial-1&ohm=0.1&from=board&to=s1")},
	{"written-without-measuring", "continuity", scene{rig: "training-bay", circuits: radial, faults: []string{"F21?circuit=radial-1"}, write: instead("ze", "0.22", "radial-1/zs/s3", "0.57", "radial-1/continuity/s3", "0.35")}, scene{circuits: radial, set: at("continuity", link("radial-1/s3/E", "board/met", 0.0))}},

	{"parallel-path", "continuity", scene{circuits: radial, set: at("continuity", link("radial-1/s3/E", "board/met", 0.05))}, planted(radial, "F05?circuit=radial-1&ohm=0.1&from=s2&to=s3")},
	{"bonding-not-disconnected", "bonding", scene{circuits: radial, set: both(at("bonding", home), at("bonding", link("bond/water/part", "board/met", 0.005)), at("bonding", link("bond/steel/part", "board/met", 0.005)))}, scene{circuits: radial}},
	{"link-not-made", "continuity", scene{circuits: radial, set: at("continuity", unlinked)}, planted(radial, "F20?circuit=radial-1")},
	{"link-on-other-circuit", "continuity", scene{circuits: []string{"radial-1", "radial-2"}, set: at("radial-1/continuity", func(u *signature.SetUp, l *meter.Leads) { unlinked(u, l); link("radial-2/end/L", "board/met", 0)(u, l) })}, planted(radial, "F20?circuit=radial-1")},
	{"link-on-supply-side", "continuity", scene{circuits: radial, set: at("continuity", func(u *signature.SetUp, l *meter.Leads) {
		unlinked(u, l)
		cond(func(c *wiring.Condition) { c.Open["radial-1"] = true })(u, l)
		link("board/section-a/L", "board/met", 0)(u, l)
	})}, planted(radial, "F20?circuit=radial-1")},
	{"light-switch-off", "switching", scene{circuits: lighting, write: instead("lighting-1/switching/*", "open")}, scene{circuits: lighting, write: instead("lighting-1/switching/up-up", "open")}},
	{"two-way-not-worked", "switching", scene{circuits: lighting, write: instead("lighting-1/switching/*", "reads")}, scene{circuits: lighting, write: instead("lighting-1/switching/up-up", "open")}},
	{"tested-at-the-switch", "continuity", scene{circuits: lighting, set: at("l3", to("lighting-1/l1/L", "lighting-1/l1/E"))}, planted(lighting, "F05?circuit=lighting-1&ohm=0.2&from=l2&to=l3")},
	{"socket-switch-off", "continuity", scene{circuits: radial, set: at("radial-1/continuity/s2", nowhere)}, planted(radial, "F20?circuit=radial-1&from=board&to=s1")},
	{"electronics-in-series", "continuity", scene{circuits: lighting, set: at("l3", leads(func(l *meter.Leads) { l.Contact = 70 }))}, planted(lighting, "F05?circuit=lighting-1&ohm=3&from=l2&to=l3")},
	{"r2-for-r1r2", "continuity", scene{circuits: lighting, set: at("continuity", func(u *signature.SetUp, _ *meter.Leads) { u.A = "board/met" })}, planted(lighting, "F05?circuit=lighting-1&ohm=0.2&from=l2&to=l3")},
	{"nearest-for-farthest", "continuity", scene{circuits: radial, set: at("s3", to("radial-1/s1/L", "radial-1/s1/E"))}, planted(radial, "F05?circuit=radial-1&ohm=0.1&from=s2&to=s3")},
	{"not-moved", "zs", scene{circuits: radial, faults: []string{"F05?circuit=radial-1&ohm=2&from=s2&to=s3"}, set: at("continuity", link("radial-1/s2/L", "radial-1/s3/L", 0.059))},
		planted(radial, "F05?circuit=radial-1&ohm=2&from=s2&to=s3")},
	{"link-left-in", "insulation", scene{circuits: radial, set: at("insulation", link("radial-1/end/L", "board/met", 0))}, shortLN},
	{"ze-not-added", "zs-calculated", scene{circuits: lighting, write: instead("lighting-1/continuity/l3", "0.76", "lighting-1/zs-calculated/sum", "0.76")}, scene{circuits: lighting, write: instead("lighting-1/zs-calculated/sum", "0.59")}},
	{"cpc-through-neutral", "continuity", scene{circuits: radial, faults: []string{"F21?circuit=radial-1"}, set: at("continuity", cond(func(c *wiring.Condition) {
		c.Links = append(c.Links, wiring.Link{A: "radial-1/end/N", B: "board/met"})
	}))}, planted(radial, "F05?circuit=radial-1&ohm=0.1&from=s2&to=s3")},
	{"clip-on-paint", "long-lead", scene{seq: "lesson-continuity", circuits: []string{"radial-1", "lighting-1"}, set: at("radial-1/long-lead/s2", nowhere)}, scene{seq: "lesson-continuity", circuits: []string{"radial-1", "lighting-1"}, faults: []string{"F20?circuit=radial-1&from=board&to=s1"}}},
	{"fly-lead-forgotten", "long-lead", scene{seq: "lesson-continuity", circuits: []string{"radial-1", "lighting-1"}, set: at("radial-1/long-lead/s2", nowhere)}, scene{seq: "lesson-continuity", circuits: []string{"radial-1", "lighting-1"}, faults: []string{"F20?circuit=radial-1&from=board&to=s1"}}},

	{"legs-not-paired", "ends", scene{circuits: []string{"ring-1", "ring-2"}, set: at("ring-1/ends", ends)}, planted([]string{"ring-1", "ring-2"}, "F02?circuit=ring-1")},
	{"wrong-ends-crossed", "crossed-line-neutral", scene{circuits: ring, set: both(at("crossed-line-neutral", legs("N", "N")))}, planted(ring, "F15?circuit=ring-1", "F16?circuit=ring-1&point=s3")},
	{"ring-rejoined-plainly", "crossed-line-neutral", scene{circuits: ring, set: at("crossed-line-neutral", func(u *signature.SetUp, _ *meter.Leads) {
		for i := range u.Conds {
			u.Conds[i].Links = []wiring.Link{{A: "ring-1/leg1/L", B: "ring-1/leg2/L"}, {A: "ring-1/leg1/N", B: "ring-1/leg2/N"}}
		}
	})}, cut},
	{"step-two-links-left", "crossed-line-cpc", scene{circuits: ring, set: at("crossed-line-cpc", func(u *signature.SetUp, _ *meter.Leads) {
		for i := range u.Conds {
			u.Conds[i].Links = append(u.Conds[i].Links, wiring.Link{A: "ring-1/leg1/L", B: "ring-1/leg2/N"}, wiring.Link{A: "ring-1/leg2/L", B: "ring-1/leg1/N"})
		}
	})}, planted(ring, "F15?circuit=ring-1")},
	{"one-cross-link-missing", "crossed-line-neutral", scene{circuits: ring, set: at("crossed-line-neutral", cond(func(c *wiring.Condition) { c.Links = c.Links[:1] }))}, planted(ring, "F02?circuit=ring-1")},
	{"adaptor-not-home", "crossed-line-neutral", scene{circuits: ring, set: at("ring-1/crossed-line-neutral/s4", nowhere)}, cut},
	{"spur-left-out", "zs-calculated", scene{circuits: ring, edit: withSpur, more: summed(func(ze, r1, r2, high, ringHigh float64) float64 { return ze + ringHigh })}, scene{circuits: ring, edit: withSpur, more: summed(rightSum)}},
	{"ends-still-in-terminals", "ends", scene{circuits: ring, set: at("ends", home)}, planted(ring, "F07?circuit=ring-1&ohm=0.08")},
	{"r2-expected-as-r1", "ends", scene{circuits: ring, claim: map[string]string{"ring-1/ends/r2": "fail"}}, scene{circuits: ring, claim: map[string]string{"ring-1/ends/r2": "pass"}}},
	{"r2-equal-accepted", "ends", scene{circuits: ring, set: at("ends/r2 r2", link("ring-1/s3/E", "ring-1/s6/E", 0.02))}, planted(ring, "F08?circuit=ring-1&ohm=0.3")},
	{"not-divided-by-four", "zs-calculated", scene{circuits: ring, more: summed(func(ze, r1, r2, high, ringHigh float64) float64 { return ze + (r1+r2)/2 })}, scene{circuits: ring, more: summed(rightSum)}},
	{"good-zs-for-good-ring", "ends", planted(ring, "F02?circuit=ring-1"), planted(ring, "F05?circuit=ring-1&ohm=2")},
	{"cpc-left-in-connector", "ends", scene{circuits: ring, set: at("r2", link("ring-1/leg1/E", "ring-1/leg2/E", 0))}, planted(ring, "F07?circuit=ring-1&ohm=0.08")},
	{"r1-alone", "zs-calculated", scene{circuits: ring, more: summed(func(ze, r1, r2, high, ringHigh float64) float64 { return ze + r1 })}, scene{circuits: ring, more: summed(rightSum)}},

	{"lamp-left-in", "insulation", scene{circuits: lighting, set: at("insulation", cond(func(c *wiring.Condition) { c.In["lighting-1/l2/lamp"] = true }))}, planted(lighting, "F27?circuit=lighting-1")},
	{"appliance-left-in", "insulation", scene{circuits: radial, set: at("insulation", cond(func(c *wiring.Condition) { c.In["radial-1/s2/load"] = true }))}, shortNE},
	{"neon-left-in", "insulation", scene{circuits: radial, set: at("insulation", leak("L-N", 0.22e6))}, shortLE},
	{"electronics-left-in", "insulation", scene{circuits: lighting, set: at("insulation", link("lighting-1/l2/L", "lighting-1/l2/N", 0.08e6))}, planted(lighting, "F26?circuit=lighting-1")},
	{"surge-device-left-in", "insulation", scene{rig: "winch-workshop", circuits: []string{"radial-1"}, set: at("insulation", link("radial-1/end/L", "board/met", 0.3e6))}, scene{rig: "winch-workshop", circuits: []string{"radial-1"}, faults: []string{"F25?circuit=radial-1"}}},
	{"rcbo-left-connected", "insulation", scene{rig: "rigging-store", circuits: radial, set: at("insulation", link("radial-1/end/L", "radial-1/end/N", 0.09e6))}, scene{rig: "rigging-store", circuits: radial, faults: []string{"F25?circuit=radial-1"}}},
	{"half-the-circuit", "insulation", behindASwitch("lighting-2", "l1/SL"), behindASwitch("lighting-2", "l1/L")},
	{"two-way-insulation", "insulation", behindASwitch("lighting-1", "door/L2"), behindASwitch("lighting-1", "l1/L")},
	{"cpc-not-at-terminal", "zs", scene{circuits: []string{"radial-1", "ring-1"}, set: at("radial-1/insulation radial-1/zs", cond(func(c *wiring.Condition) { c.Lifted["radial-1/end/E"] = true }))},
		planted(radial, "F20?circuit=radial-1")},
	{"neighbour-on-the-bar", "insulation", scene{circuits: []string{"radial-1", "ring-1"}, set: both(at("radial-1/insulation", leak("N-E", 0.3e6)), at("ring-1/insulation", cond(func(c *wiring.Condition) {
		c.Links = append(c.Links, wiring.Link{A: "ring-1/leg1/N", B: "board/bar/NA"}, wiring.Link{A: "radial-1/s3/N", B: "radial-1/s3/E", Ohm: 0.3e6})
	})))}, scene{circuits: []string{"radial-1", "ring-1"}, set: at("radial-1/insulation", leak("N-E", 0.3e6))}},
	{"neutral-on-the-bar", "insulation", scene{circuits: []string{"radial-1", "ring-1"}, set: both(at("radial-1/insulation", leak("N-E", 0.5e6)), at("ring-1/insulation", cond(func(c *wiring.Condition) {
		c.Links = append(c.Links, wiring.Link{A: "ring-1/leg1/N", B: "board/bar/NA"}, wiring.Link{A: "radial-1/s3/N", B: "radial-1/s3/E", Ohm: 0.5e6})
	})))}, scene{circuits: []string{"radial-1", "ring-1"}, set: at("radial-1/insulation", leak("N-E", 0.5e6))}},
	{"fingers-on-probes", "insulation", scene{circuits: radial, set: at("insulation", across(0.9e6))}, scene{circuits: radial, set: at("insulation", leak("L-E", 0.9e6))}},
	{"test-voltage-250", "insulation", scene{circuits: radial, set: at("insulation", func(u *signature.SetUp, _ *meter.Leads) { u.TestV = 250 })}, scene{circuits: radial}},
	{"released-too-soon", "insulation", scene{circuits: radial, again: again("radial-1/insulation/L-E", across(12e6))}, scene{circuits: radial, again: again("radial-1/insulation/L-E", leads(func(*meter.Leads) {}))}},
	{"passes-not-investigated", "insulation", scene{circuits: radial, set: at("insulation", leak("L-E", 1.4e6))}, scene{circuits: radial, set: at("insulation", leak("L-E", 1.4e6)), write: instead("radial-1/insulation/L-E", ">0.9")}},
	{"earth-pairs-left-out", "insulation", scene{circuits: radial, skip: func(id string) bool { return id == "radial-1/insulation/L-E" || id == "radial-1/insulation/N-E" }}, scene{circuits: radial}},
	{"beyond-a-broken-cpc", "continuity", planted(radial, "F20?circuit=radial-1"), scene{circuits: radial, set: at("s3", leads(func(l *meter.Leads) { l.Contact = 5 }))}},
	{"damp", "insulation", scene{circuits: radial, set: at("insulation", across(0.6e6))}, scene{circuits: radial, set: at("insulation", leak("L-E", 0.6e6))}},
	{"section-energised", "insulation", scene{circuits: radial, set: at("insulation", cond(func(c *wiring.Condition) {
		delete(c.Open, wiring.Isolator)
		c.Links = append(c.Links, wiring.Link{A: "radial-1/s2/L", B: "board/incoming/L"})
	}))}, shortLE},

	{"switch-not-operated", "switching", scene{circuits: lighting, write: instead("lighting-1/switching/*", "reads")}, scene{circuits: lighting, write: instead("lighting-1/switching/up-up", "open")}},
	{"live-polarity-left-out", "supply", planted(radial, "F46"), scene{circuits: radial, write: instead("supply/L-N", "0")}},
	{"cross-test-as-polarity", "crossed-line-cpc", planted(ring, "F15?circuit=ring-1"), planted(ring, "F16?circuit=ring-1")},

	{"ze-with-earth-connected", "electrode", scene{rig: "slip-outbuilding", circuits: radial, set: at("electrode", home)}, scene{rig: "slip-outbuilding", circuits: radial}},
	{"earth-not-reconnected", "zs", scene{circuits: []string{"radial-1", "ring-1"}, set: at("zs", cond(func(c *wiring.Condition) { c.Lifted["board/earthing-conductor"] = true }))}, planted(radial, "F20?circuit=radial-1")},
	{"line-neutral-as-ze", "electrode", scene{rig: "slip-outbuilding", circuits: radial, set: at("electrode ze", to("board/incoming/L", "board/incoming/N"))}, scene{rig: "slip-outbuilding", circuits: radial, faults: []string{"F38"}}},
	{"pfc-with-earth-off", "pfc", scene{circuits: radial, set: at("pfc/L-E L-E", cond(func(c *wiring.Condition) { c.Lifted["board/earthing-conductor"] = true }))}, scene{circuits: radial}},
	{"amps-as-kiloamps", "pfc", scene{circuits: radial, write: instead("pfc/L-N", "1050")}, scene{circuits: radial, write: instead("pfc/L-N", "25")}},
	{"high-current-on-rcd", "zs", scene{circuits: radial, set: at("zs", function(signature.LoopHigh))}, planted(radial, "F20?circuit=radial-1")},
	{"no-trip-to-the-hundredth", "zs", scene{circuits: radial, edit: device("C", 32, "radial-1")}, scene{circuits: radial, write: instead("radial-1/zs/s3", "1.60")}},
	{"no-trip-trips", "zs", scene{circuits: radial, set: at("zs", link("radial-1/s1/L", "radial-1/s1/E", 20000))}, planted(radial, "F20?circuit=radial-1")},
	{"full-table-value", "zs", scene{circuits: radial, edit: device("C", 25, "radial-1"), claim: map[string]string{"radial-1/zs/s3": "pass"}}, scene{circuits: radial, edit: device("C", 25, "radial-1"), claim: map[string]string{"radial-1/zs/s3": "fail"}}},
	{"curve-misread", "zs", scene{circuits: radial, edit: device("C", 32, "radial-1"), claim: map[string]string{"radial-1/zs/s3": "pass"}}, scene{circuits: radial, edit: device("C", 32, "radial-1"), claim: map[string]string{"radial-1/zs/s3": "fail"}}},
	{"nearest-for-zs", "zs", scene{circuits: radial, set: at("zs", to("radial-1/s1/L", "radial-1/s1/E"))}, scene{circuits: radial}},
	{"low-zs-ignored", "zs", scene{circuits: radial, edit: twice, set: at("zs", link("radial-1/s3/E", "origin/E", 0.01))}, scene{circuits: radial, edit: twice, write: instead("radial-1/zs/s3", "1.68")}},
	{"neutral-lead-floating", "zs", scene{set: at("radial-1/zs/s3", func(u *signature.SetUp, _ *meter.Leads) {
		u.B = "radial-2/end/E"
		u.Conds[0].Lifted["radial-2/end/E"] = true
	})}, planted(radial, "F20?circuit=radial-1")},
	{"loop-before-cpc", "zs", planted(radial, "F20?circuit=radial-1"), scene{circuits: radial, set: at("zs", cond(func(c *wiring.Condition) { c.Lifted["board/earthing-conductor"] = true }))}},
	{"tt-limit-as-reading", "electrode", scene{rig: "slip-outbuilding", circuits: radial, write: instead("electrode", "1667")}, scene{rig: "slip-outbuilding", circuits: radial, faults: []string{"F37"}}},

	{"loads-on-for-rcd", "rcd", scene{circuits: radial, set: at("rcd", link("radial-1/s1/L", "radial-1/s1/E", 23000))}, scene{circuits: radial, faults: []string{"F39?circuit=radial-1"}}},
	{"half-no-trip-as-fail", "rcd", scene{circuits: radial, claim: map[string]string{"rcd-a/rcd/half-0": "fail"}}, scene{circuits: radial, claim: map[string]string{"rcd-a/rcd/half-0": "pass"}}},
	{"wrong-rated-current", "rcd", scene{circuits: radial, set: at("rcd", idn(100))}, planted(radial, "F41?circuit=radial-1")},
	{"wrong-type-set", "rcd", scene{circuits: radial, edit: delayed, claim: map[string]string{"rcd-a/rcd/one-0": "fail"}}, scene{circuits: radial, edit: delayed}},
	{"one-half-cycle", "rcd", scene{circuits: radial, skip: func(id string) bool { return strings.HasSuffix(id, "-180") }}, scene{circuits: radial}},
	{"pulsating-left-on", "rcd", scene{circuits: radial, set: at("rcd", func(u *signature.SetUp, _ *meter.Leads) { u.RCD.Pulsating = true })}, scene{circuits: radial}},
	{"not-reset-in-time", "rcd", scene{circuits: radial, set: at("half-180 one-180 five-0 five-180", cond(func(c *wiring.Condition) { c.Open["rcd-a"] = true }))}, planted(radial, "F39?circuit=radial-1")},
	{"milliseconds-as-seconds", "rcd", scene{circuits: radial, write: instead("rcd-a/rcd/one-0", "28000")}, planted(radial, "F39?circuit=radial-1")},
	{"circuit-not-on-this-rcd", "rcd", scene{circuits: []string{"radial-1", "radial-2"}, set: at("rcd", func(u *signature.SetUp, l *meter.Leads) {
		link("board/main/L", "radial-1/way/L", 0)(u, l)
		cond(func(c *wiring.Condition) { c.Open["radial-1"] = true; c.Moved["radial-1/end/N"] = "board/main/N" })(u, l)
	})}, planted(radial, "F39?circuit=radial-1")},
	{"upstream-opened-first", "rcd", scene{rig: "slip-outbuilding", circuits: radial, set: at("half-180 one-180 five-0 five-180", cond(func(c *wiring.Condition) { c.Open["feed-rcd"] = true }))}, scene{rig: "slip-outbuilding", circuits: radial, faults: []string{"F39?circuit=radial-1"}}},
	{"forty-at-one-times", "rcd", scene{circuits: radial, claim: map[string]string{"rcd-a/rcd/one-0": "fail"}}, scene{circuits: radial, claim: map[string]string{"rcd-a/rcd/five-0": "fail"}}},
	{"neutral-earth-fault-present", "rcd", scene{circuits: radial, faults: []string{"F26?circuit=radial-1"}}, planted(radial, "F39?circuit=radial-1")},
}

func withSpur(r *rig.Rig) {
	c := &r.Circuits[0]
	c.Points = append(append([]rig.Point(nil), c.Points...), rig.Point{ID: "x4", Label: "spur", Kind: rig.Socket, PlugIn: true, From: "s4", LengthM: 8})
}

func delayed(r *rig.Rig) {
	r.Board.Sections = append([]rig.Section(nil), r.Board.Sections...)
	for i := range r.Board.Sections {
		if d := r.Board.Sections[i].RCD; d != nil {
			x := *d
			x.Delay, x.TripMS = "S", 190
			r.Board.Sections[i].RCD = &x
		}
	}
}

// summed adds the calculated loop impedance of a ring, which a supervisor may ask for.
func summed(f func(ze, r1, r2, high, ringHigh float64) float64) func(*mistakes.View) {
	return func(v *mistakes.View) {
		var ze, r1, r2, high, ringHigh float64
		for _, r := range v.Readings {
			switch x := r.Read.Value; {
			case r.Test == "ze":
				ze = x
			case r.ID == "ring-1/ends/r1":
				r1 = x
			case r.ID == "ring-1/ends/r2":
				r2 = x
			case r.Test == "crossed-line-cpc":
				high = max(high, x)
				if r.Part[0] == 's' {
					ringHigh = max(ringHigh, x)
				}
			}
		}
		v.Readings = append(v.Readings, mistakes.Reading{ID: "ring-1/zs-calculated", Owner: "ring-1", Test: "zs-calculated",
			Read: quantity.Of(f(ze, r1, r2, high, ringHigh), quantity.Ohm), Expect: quantity.Of(ze+high, quantity.Ohm), Verdict: "doubt"})
	}
}

func rightSum(ze, r1, r2, high, ringHigh float64) float64 { return ze + high }

// twice makes the circuits twice as long, and forgets what the rig was commissioned with.
func twice(r *rig.Rig) {
	r.Reference = rig.Reference{}
	for i := range r.Circuits {
		c := &r.Circuits[i]
		c.Points = append([]rig.Point(nil), c.Points...)
		for k := range c.Points {
			c.Points[k].LengthM *= 2
		}
	}
}

// behindASwitch has a terminal of a lighting circuit leak to earth, and line to earth read in the first position of its
// switches before it is read in all: one-way open, of a two-way pair the second strapper cut off at both ends.
func behindASwitch(circuit, terminal string) scene {
	leak := link(circuit+"/"+terminal, circuit+"/l1/E", 0.3e6)
	return scene{circuits: []string{circuit}, set: at("insulation", leak), again: func(id string, u *signature.SetUp, l *meter.Leads) bool {
		if id != circuit+"/insulation/L-E" {
			return false
		}
		leak(u, l)
		u.Conds = u.Conds[:1]
		return true
	}}
}

// inKilohms puts down the number of a display that shows kΩ.
func inKilohms(of string) func(id, shown string) string {
	return func(id, shown string) string {
		ohm, err := strconv.ParseFloat(shown, 64)
		if id != of || err != nil {
			return shown
		}
		return strconv.FormatFloat(ohm/1000, 'f', 2, 64)
	}
}

// plasticPipes leaves the electrode as the only way to earth.
func plasticPipes(r *rig.Rig) { r.Earthing.Bonds, r.Reference = nil, rig.Reference{} }
