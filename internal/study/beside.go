package study

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// On is the same moment on another rig, sound or with faults, and with another
// instrument: what is seen there can then be asked. It is no session to go on with.
func (s *State) On(b *faults.Built, in meter.Instrument) *State {
	c := *s
	c.built, c.set.Seed = b, in.Seed
	return &c
}

// Display is what the display shows of the last measurement, nil when there was none.
func (s *State) Display() *Taken {
	if s.last == nil {
		return nil
	}
	t := *s.last
	t.At = slices.Clone(t.At)
	for i := range t.At {
		at := &t.At[i]
		at.Shown = s.show(picked{function: t.Function, testV: t.TestV, rcdTest: t.RCDTest}, *at, at.Cond, at.Leads)
	}
	return &t
}

// Looks is what is seen at the step that is being looked at, nil while none is.
func (s *State) Looks() []coach.Note {
	if s.ask != atSeen {
		return nil
	}
	var fb Feedback
	s.seen(s.step, &fb)
	return fb.Notes
}

// Tries reports whether pairs are being tried with the voltage indicator, and the most
// that it shows, in V.
func (s *State) Tries() (volt string, ok bool) {
	if s.ask != atPairs {
		return "", false
	}
	most, text := 0.0, "0"
	for _, p := range s.provingPairs(s.pick.place == "board") {
		v, err := s.instrument().Volts(meter.Bench{Rig: s.built.Rig, Plan: s.built.Plan, Cond: s.cond}, p[0], p[1], meter.Where{Points: p[0] + p[1]})
		if err == nil && v.Value > most {
			most, text = v.Value, v.Text
		}
	}
	if most < 10 {
		text = "0"
	}
	return text, true
}

// Last is the last measurement, as it was set up; nil when there was none.
func (s *State) Last() *Taken { return s.last }

// Stand is how a rig and the instrument's leads stand by the moves of whoever works on
// it: nothing of it depends on faults.
type Stand struct {
	Covers  []string // enclosures that are open
	Cond    wiring.Condition
	Null    float64 // what the instrument takes off, in Ω
	Lead    float64 // what the leads have, in Ω
	Cleared bool    // a gate was passed, faults are out
}

// Stand is how the rig stands.
func (s *State) Stand() Stand {
	return Stand{Covers: sorted(s.covers), Cond: s.cond, Null: s.leads.Null, Lead: s.leads.Ohm + s.leads.Added, Cleared: s.paper.cleared}
}

// Params writes it as the params of a record's line; see package sitting for what they
// are called.
func (d Stand) Params() map[string]string {
	p := map[string]string{}
	put := func(k, v string) {
		if v != "" {
			p[k] = v
		}
	}
	list := func(k string, m map[string]bool) { put(k, strings.Join(sorted(m), " ")) }
	put("covers", strings.Join(d.Covers, " "))
	list("lifted", d.Cond.Lifted)
	list("out", d.Cond.Out)
	list("in", d.Cond.In)
	list("open", d.Cond.Open)
	var moved, links, position []string
	for _, k := range slices.Sorted(maps.Keys(d.Cond.Moved)) {
		moved = append(moved, k+"="+d.Cond.Moved[k])
	}
	for _, l := range d.Cond.Links {
		links = append(links, l.A+"="+l.B)
	}
	for _, k := range slices.Sorted(maps.Keys(d.Cond.Position)) {
		if v := d.Cond.Position[k]; v != 0 {
			position = append(position, k+"="+strconv.Itoa(v))
		}
	}
	put("moved", strings.Join(moved, " "))
	put("links", strings.Join(links, " "))
	put("position", strings.Join(position, " "))
	put("null", ohms(d.Null))
	put("lead", ohms(d.Lead))
	if d.Cleared {
		put("cleared", "yes")
	}
	return p
}

func ohms(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) }

// ParseStand reads what [Stand.Params] wrote.
func ParseStand(p map[string]string) Stand {
	d := Stand{Covers: strings.Fields(p["covers"]), Cond: wiring.Condition{}.Clone(), Cleared: p["cleared"] == "yes"}
	for k, m := range map[string]map[string]bool{"lifted": d.Cond.Lifted, "out": d.Cond.Out, "in": d.Cond.In, "open": d.Cond.Open} {
		for _, name := range strings.Fields(p[k]) {
			m[name] = true
		}
	}
	pair := func(k string, put func(a, b string)) {
		for _, w := range strings.Fields(p[k]) {
			if a, b, ok := strings.Cut(w, "="); ok {
				put(a, b)
			}
		}
	}
	pair("moved", func(a, b string) { d.Cond.Moved[a] = b })
	pair("links", func(a, b string) { d.Cond.Links = append(d.Cond.Links, wiring.Link{A: a, B: b}) })
	pair("position", func(a, b string) { d.Cond.Position[a], _ = strconv.Atoi(b) })
	d.Null, _ = strconv.ParseFloat(p["null"], 64)
	d.Lead, _ = strconv.ParseFloat(p["lead"], 64)
	return d
}

// Params writes how a measurement was set up, but for how the rig stood.
func (t *Taken) Params() map[string]string {
	p := map[string]string{"function": string(t.Function)}
	if t.TestV > 0 {
		p["volt"] = strconv.FormatFloat(t.TestV, 'f', 0, 64)
	}
	if t.RCDTest != "" {
		p["rcd"] = t.RCDTest
	}
	var rows []string
	for _, at := range t.At {
		words := append([]string{at.A, at.B}, at.with...)
		if at.A == "" {
			words = []string{"tips", at.Point}
		}
		for _, k := range slices.Sorted(maps.Keys(at.Position)) {
			words = append(words, k+"="+strconv.Itoa(at.Position[k]))
		}
		if t.RCDTest == "auto" {
			words = append(words, "rcd="+at.RCDTest)
		}
		rows = append(rows, strings.Join(words, " "))
	}
	p["leads"] = strings.Join(rows, between)
	return p
}

// Measured is one reading of a measurement, as a record keeps it.
type Measured struct {
	Function signature.Function
	TestV    float64
	RCDTest  string
	A, B     string
	Stand    Stand // as the rig stood, switches in the positions of this reading, live conductors in one clip linked
}

// ParseMeasured reads what [Taken.Params] and [Stand.Params] wrote together; nil when
// the params are those of no measurement. Measurements at the tips are left out.
func ParseMeasured(p map[string]string) []Measured {
	if p["function"] == "" {
		return nil
	}
	var out []Measured
	volt, _ := strconv.ParseFloat(p["volt"], 64)
	for _, row := range strings.Split(p["leads"], between) {
		words := strings.Fields(row)
		if len(words) < 2 || words[0] == "tips" {
			continue
		}
		m := Measured{Function: signature.Function(p["function"]), TestV: volt, RCDTest: p["rcd"], A: words[0], B: words[1], Stand: ParseStand(p)}
		for _, w := range words[2:] {
			switch k, v, set := strings.Cut(w, "="); {
			case !set:
				m.Stand.Cond.Links = append(m.Stand.Cond.Links, wiring.Link{A: m.A, B: w})
			case k == "rcd":
				m.RCDTest = v
			default:
				m.Stand.Cond.Position[k], _ = strconv.Atoi(v)
			}
		}
		out = append(out, m)
	}
	return out
}

// Alike reports whether two readings are the same for an instrument that scatters: two
// digits and 3 %.
func Alike(a, b meter.Shown) bool { return alike(a, b) }

// OpenNotes names what stands open, everything of one class in one note.
func (s *State) OpenNotes() []coach.Note {
	return s.openNotes("study.standing.item.", func(OpenItem) bool { return true })
}
