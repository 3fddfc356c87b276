package truth

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/meter"
	"wanderlead/internal/quantity"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Moves is what a candidate's own moves came to for one reading: whether the instrument
// was set up for it, and whether what was connected, lifted, joined and switched was.
type Moves struct {
	SetUp, Connection bool
	There             bool // the leads were on the conductors of the reading
	// What was set and where the leads were, and what would have been right, in a record's words.
	Set, SetRight, Leads, LeadsRight string
}

// nullOhm is how far the null may be from what the leads have: what a display of two
// decimals can hide (common practice, no source).
const nullOhm = 0.02

// Moves holds one measurement against the set-up of a reading. The set-up is right when
// function, test voltage and null are those of the test. The connection is right when
// the leads are on the same conductors, at the same point where that matters, and, with
// all as the candidate had it, the instrument would show what it shows connected by the
// book: on the sound rig, and on the one with the drawn faults as long as they are in
// it. Any method that measures the same is therefore right. ok is false for a reading
// that has no standard set-up.
func (b *Bench) Moves(id string, m study.Measured) (out Moves, ok bool) {
	rid, known := b.byID[id]
	if !known {
		return out, false
	}
	u, err := signature.SetUpOf(b.Sound, rid)
	if err != nil {
		return out, false
	}
	out.SetRight, out.LeadsRight = setting(u.Function, u.TestV, rcdPart(rid)), u.A+" – "+u.B
	out.Set, out.Leads = setting(m.Function, m.TestV, m.RCDTest), m.A+" – "+m.B
	out.SetUp = sameFunction(u, rid, m)
	if u.Function == signature.LowOhm && m.Function == signature.LowOhm {
		out.Set += ", null " + ohm(m.Stand.Null) + " of " + ohm(m.Stand.Lead)
		out.SetUp = out.SetUp && quantity.Tidy(math.Abs(m.Stand.Null-m.Stand.Lead)) <= nullOhm
	}
	out.There = sameConductors(rid, u, m)
	out.Connection = out.There && b.reads(b.Sound, u, m) && (m.Stand.Cleared || b.reads(b.Faulty, u, m))
	if out.There && !out.Connection {
		out.Leads += stoodOtherwise(u, m.Stand.Cond)
	}
	return out, true
}

// stoodOtherwise names what stood otherwise than by the book while the leads were where they belong: what was plugged in, what
// was not out of its terminal or was, what was not joined or was.
func stoodOtherwise(u signature.SetUp, mine wiring.Condition) string {
	var out []string
	book := u.Conds[0]
	add := func(what string, is, not map[string]bool) {
		var names []string
		for name, on := range is {
			if owner, _, _ := strings.Cut(name, "/"); on && !not[name] && (u.Circuit == "" || owner == u.Circuit) {
				names = append(names, name)
			}
		}
		if slices.Sort(names); len(names) > 0 {
			out = append(out, what+" "+strings.Join(names, " "))
		}
	}
	joined := func(c wiring.Condition) map[string]bool {
		m := map[string]bool{}
		for _, l := range c.Links {
			m[min(l.A, l.B)+"="+max(l.A, l.B)] = true
		}
		return m
	}
	add("plugged in:", mine.In, book.In)
	add("not out:", book.Lifted, mine.Lifted)
	add("out:", mine.Lifted, book.Lifted)
	add("not joined:", joined(book), joined(mine))
	add("joined:", joined(mine), joined(book))
	if len(out) == 0 {
		return ""
	}
	return "; " + strings.Join(out, "; ")
}

// Opens reports whether the set-up of a reading takes conductors out or joins them, so
// that something has to be put back.
func (b *Bench) Opens(id string) bool {
	u, err := signature.SetUpOf(b.Sound, b.byID[id])
	return err == nil && len(u.Conds) > 0 && len(u.Conds[0].Lifted)+len(u.Conds[0].Links) > 0
}

// Marked reports whether a reading has a standard set-up that moves can be held against.
func (b *Bench) Marked(id string) bool {
	rid, ok := b.byID[id]
	if !ok {
		return false
	}
	_, err := signature.SetUpOf(b.Sound, rid)
	return err == nil
}

func rcdPart(id rig.ReadingID) string {
	if id.Test == safety.TestRCD {
		return id.Part
	}
	return ""
}

func setting(f signature.Function, volt float64, rcd string) string {
	out := string(f)
	if rcd != "" {
		return "rcd " + rcd
	}
	if f == signature.Insulating {
		out += " " + strconv.FormatFloat(volt, 'f', 0, 64) + " V"
	}
	return out
}

func ohm(x float64) string { return strconv.FormatFloat(x, 'f', 2, 64) + " Ω" }

func sameFunction(u signature.SetUp, id rig.ReadingID, m study.Measured) bool {
	loop := func(f signature.Function) bool { return f == signature.LoopHigh || f == signature.LoopNoTrip }
	switch {
	case id.Test == safety.TestRCD:
		return m.RCDTest == id.Part
	case loop(u.Function):
		return loop(m.Function)
	case u.Function == signature.Insulating:
		return m.Function == u.Function && m.TestV == u.TestV
	}
	return m.Function == u.Function
}

// atPoints are the tests whose readings belong to the very terminals they are taken at.
var atPoints = []string{safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE, safety.TestContinuity, safety.TestLongLead, safety.TestZs}

// sameConductors reports whether both leads are on the conductors of the reading, either
// way round: at the very point where a reading belongs to one, else anywhere on them.
func sameConductors(id rig.ReadingID, u signature.SetUp, m study.Measured) bool {
	point := slices.Contains(atPoints, id.Test)
	name := func(t, other string) string {
		if id.Test == safety.TestRCD { // any outlet behind the device
			return t[strings.LastIndex(t, "/")+1:]
		}
		return conductor(t, other, point)
	}
	a, b := name(u.A, u.B), name(u.B, u.A)
	x, y := name(m.A, m.B), name(m.B, m.A)
	return a == x && b == y || a == y && b == x
}

// conductor names what a terminal is on: its circuit, its core, and the point if asked
// for. The main earthing terminal is the cpc of whatever circuit the other lead is on,
// but for readings that belong to a point.
func conductor(t, other string, point bool) string {
	owner, rest, _ := strings.Cut(t, "/")
	if t == "board/met" && !point {
		if o, _, _ := strings.Cut(other, "/"); o != "board" {
			return o + "/E"
		}
	}
	if point || slices.Contains([]string{"board", "origin", "bond", "supply-cable"}, owner) {
		return t
	}
	return owner + "/" + rest[strings.LastIndex(rest, "/")+1:]
}

// reads reports whether the instrument would show the same as by the book, on one rig.
func (b *Bench) reads(on *faults.Built, u signature.SetUp, m study.Measured) bool {
	o := signature.Options{Wiring: b.options.Wiring, Instrument: meter.Instrument{Seed: instrumentSeed}, Leads: meter.Nulled(0.08)}
	mine := u
	mine.A, mine.B, mine.Conds = m.A, m.B, []wiring.Condition{m.Stand.Cond}
	u.Conds = positionsOf(u, m.Stand.Cond)
	u.Points, mine.Points = "by the book", "by the book"
	want, err := u.Read(on, o, 0)
	if err != nil {
		return true // a terminal that a fault has taken away: nothing can be read there either way
	}
	got, err := mine.Read(on, o, 0)
	return err == nil && study.Alike(want, got)
}

// positionsOf are the conditions by the book with the switches as the candidate had
// them, all of them when none is so.
func positionsOf(u signature.SetUp, mine wiring.Condition) []wiring.Condition {
	for _, c := range u.Conds {
		same := true
		for k, v := range c.Position {
			same = same && mine.Position[k] == v
		}
		for k, v := range mine.Position {
			same = same && c.Position[k] == v
		}
		if same {
			return []wiring.Condition{c}
		}
	}
	return u.Conds
}
