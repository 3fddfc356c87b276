package faultfind

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/words"
	"wanderlead/safety"
)

// Speaker puts what was found into words.
type Speaker struct {
	Cat   *words.Catalogue
	Model *Model
}

func (s *Speaker) text(id string, params map[string]string) string {
	return s.Cat.Text("locate."+id, params)
}

// What names a cause and its place, in the words of the trade: where, between which conductors, what kind.
func (s *Speaker) What(c Cause, places []Cause) string {
	p := map[string]string{"where": s.where(places), "point": s.where(places), "size": amount(c.Size, c.Unit)}
	if c.Pair != "" && s.Cat.Has("locate.pair."+c.Pair) {
		p["pair"] = s.text("pair."+c.Pair, nil)
	}
	return s.text("kind."+c.Kind, p)
}

// where joins places, at most three of them.
func (s *Speaker) where(places []Cause) string {
	var all []string
	for _, c := range places {
		switch {
		case c.Point != "":
			all = append(all, c.Point)
		case c.From != "" || c.To != "":
			all = append(all, s.text("between", map[string]string{"from": s.end(c.From), "to": s.end(c.To)}))
		}
	}
	if len(all) == 0 {
		return ""
	}
	out, more := all[0], len(all)-3
	for i, a := range all[1:min(len(all), 3)] {
		join := "place-or"
		if more > 0 || i+2 < len(all) {
			join = "place-list"
		}
		out = s.text(join, map[string]string{"first": out, "second": a})
	}
	if more > 0 {
		out = s.text("place-and-more", map[string]string{"places": out, "n": strconv.Itoa(more)})
	}
	return out
}

func (s *Speaker) end(p string) string {
	if p == "" {
		return s.text("board", nil)
	}
	return p
}

// amount prints a size with two figures: it was estimated, not measured.
func amount(v float64, unit string) string {
	if v == 0 {
		return ""
	}
	switch {
	case unit == "Ω" && v >= 1e6:
		return figures(v/1e6) + " MΩ"
	case unit == "Ω" && v >= 1e3:
		return figures(v/1e3) + " kΩ"
	}
	return figures(v) + " " + unit
}

func figures(v float64) string {
	if v <= 0 {
		return "0"
	}
	digits := 1 - int(math.Floor(math.Log10(v)))
	return strconv.FormatFloat(v, 'f', max(0, min(2, digits)), 64)
}

// Value prints a reading of a measure.
func (s *Speaker) Value(x *Measure, v float64) string {
	switch {
	case math.IsNaN(v):
		return s.text("no-reading", nil)
	case math.IsInf(v, 1) || x.Unit == quantity.Megohm && v > x.top:
		switch {
		case x.Test == safety.TestRCD:
			return s.text("no-trip", nil)
		case x.Unit == quantity.Megohm:
			return ">" + strconv.FormatFloat(x.top, 'f', -1, 64) + " MΩ"
		}
		return s.text("open", nil)
	}
	digit := x.digit(v)
	places := max(0, int(math.Round(-math.Log10(digit))))
	if v < 0 && v > -digit/2 {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', places, 64) + " " + x.Unit.String()
}

// Explain is what is to be said about an answer: at most three sentences. N is how many answers are as likely.
func (s *Speaker) Explain(a *Answer, first bool, n int) string {
	sure := string(a.Sure)
	if !a.Fits {
		sure = string(Possible)
		if first {
			sure = "nearest"
		}
	}
	what := s.What(a.Causes[0], a.Causes)
	if a.Second != nil {
		what = s.text("and", map[string]string{"first": what, "second": s.What(*a.Second, []Cause{*a.Second})})
	}
	if a.LeadsOhm != nil {
		what = s.text("leads", map[string]string{"first": what, "offset": signed(*a.LeadsOhm)})
	}
	claim := s.text("claim", map[string]string{"sure": s.text("sure."+sure, map[string]string{"n": strconv.Itoa(n)}), "share": percent(a.Share), "what": what})
	return claim + " " + s.grounds(a) + " " + s.act(a)
}

func signed(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) + " Ω" }

func percent(share float64) string {
	switch {
	case share > 0.995:
		return "over 99 %"
	case share < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", float64(100*share))
}

// leastUpliftOhm is from where on what a no-trip test adds is said beside the numbers.
const leastUpliftOhm = 0.05

func (s *Speaker) grounds(a *Answer) string {
	if a.Untested {
		return s.text("evidence-untested", nil)
	}
	if a.innocent && a.Causes[0].Kind == None && a.LeadsOhm == nil && a.Fits || len(a.Evidence) == 0 {
		return s.text("evidence-sound", nil)
	}
	p := map[string]string{}
	for i, e := range a.Evidence[:min(2, len(a.Evidence))] {
		if a.LeadsOhm != nil && e.Measure.function == signature.LowOhm { // what leads add stands in every reading of the range
			e.Predicted, e.Sound = e.Predicted+*a.LeadsOhm, e.Sound+*a.LeadsOhm
		}
		if e.Measure.Test == safety.TestZs && e.Measure.function == signature.LoopNoTrip && a.loopOhm >= leastUpliftOhm && !nothing(e.Read) { // and so does what the method adds
			e.Predicted, e.Sound = e.Predicted+a.loopOhm, e.Sound+a.loopOhm
			p["uplift"] = signed(a.loopOhm)
		}
		suffix := map[int]string{0: "", 1: "2"}[i]
		p["id"+suffix] = strings.TrimPrefix(e.Measure.ID, s.Model.Circuit.ID+"/")
		p["read"+suffix], p["predicted"+suffix], p["sound"+suffix] = s.Value(e.Measure, e.Read), s.Value(e.Measure, e.Predicted), s.Value(e.Measure, e.Sound)
	}
	return s.text("evidence", p)
}

// actOf names what to do about a kind, where it is not to look at the connections there.
var actOf = map[string]string{
	"F09": "spur", "F10": "spur", "F11": "bridge", "F12": "bridge", "F13": "bridge", "F14": "bridge", "F19": "cable",
	"F23": "insulation", "F24": "insulation", "F28": "follow", "F29": "follow", "F30": "follow", "F33": "follow",
	"F39": "device", "F40": "device", "F41": "device", "F42": "device", "F43": "label", "F44": "label", "F45": "label",
}

func (s *Speaker) act(a *Answer) string {
	kinds := []string{a.Causes[0].Kind}
	if a.Second != nil {
		kinds = append(kinds, a.Second.Kind)
	}
	act := or(actOf[kinds[0]], "fault")
	switch {
	case a.innocent && a.LeadsOhm != nil:
		act = "leads"
	case a.innocent && kinds[0] == None:
		act = "sound"
	case a.innocent:
		act = "innocent"
	case a.Causes[0].Circuit == "":
		act = "board"
	case a.LeadsOhm != nil:
		act = "leads-first"
	}
	for _, k := range kinds {
		if neverEnergise[k] {
			act = "never"
		}
	}
	return s.text("act."+act, nil)
}

// Measure names a measurement.
func (s *Speaker) Measure(x *Measure) string {
	p := map[string]string{"point": x.Point, "part": x.Part}
	if x.Label != "" && x.Label != x.Point && !strings.HasSuffix(x.Label, " "+x.Point) {
		p["point"] = x.Point + " (" + x.Label + ")"
	}
	if x.Pair != "" && s.Cat.Has("locate.pair."+x.Pair) {
		p["pair"] = s.text("pair."+x.Pair, nil)
	} else {
		p["pair"] = x.Pair
	}
	if s.Cat.Has("locate.part." + x.Part) {
		p["part"] = s.text("part."+x.Part, nil)
	}
	var switches []string
	for i, at := range x.Positions {
		w := s.Model.Circuit.Switches[i]
		to := map[bool][]string{true: {"up", "down"}, false: {"off", "on"}}[w.TwoWay][at]
		switches = append(switches, s.text("switch."+to, map[string]string{"label": or(w.Label, w.ID)}))
	}
	p["switches"] = strings.Join(switches, ", ")
	if s.Model.Circuit.Shape == rig.Ring {
		p["leg"] = "2"
	}
	return s.text("measure."+x.Test, p)
}

// Next says what to measure and what it would tell: at most three sentences.
func (s *Speaker) Next(n *Next) string {
	if n == nil {
		return s.text("next.nothing", nil)
	}
	id := "next.dead"
	if n.Measure.Live {
		id = "next.live"
	}
	out := []string{s.text(id, map[string]string{"measure": s.Measure(n.Measure), "before": strconv.Itoa(n.Before), "after": strconv.FormatFloat(max(1, n.After), 'f', 0, 64)})}
	for _, k := range n.Splits[:min(2, len(n.Splits))] {
		out = append(out, s.text("next.outcome", map[string]string{"read": s.span(n.Measure, k.Low, k.High), "causes": s.causes(k.Causes)}))
	}
	return strings.Join(out, " ")
}

func (s *Speaker) span(x *Measure, low, high float64) string {
	a, b := s.Value(x, low), s.Value(x, high)
	if a == b {
		return a
	}
	return strings.TrimSuffix(a, " "+x.Unit.String()) + " to " + b
}

// causes names the kinds among some causes, the first three.
func (s *Speaker) causes(all []Cause) string {
	places := map[string][]Cause{}
	var order []string
	for _, c := range all {
		key := c.Kind + c.Pair
		if places[key] == nil {
			order = append(order, key)
		}
		places[key] = append(places[key], c)
	}
	var names []string
	for _, key := range order[:min(2, len(order))] {
		names = append(names, s.What(places[key][0], places[key]))
	}
	out := strings.Join(names, "")
	if len(names) == 2 {
		out = s.Cat.Text("fill.or", map[string]string{"first": names[0], "last": names[1]})
	}
	if n := len(order) - len(names); n > 0 {
		out = s.text("next.others", map[string]string{"causes": out, "n": strconv.Itoa(n)})
	}
	return out
}

// names lists kinds shortly, without place and size.
func (s *Speaker) names(all []Cause) string {
	var out []string
	for _, c := range all {
		if name := s.text("name."+c.Kind, nil); !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return strings.Join(out, "; ")
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
