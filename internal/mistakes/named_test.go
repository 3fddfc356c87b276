package mistakes_test

import (
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/meter"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

type change = func(id string, u *signature.SetUp, l *meter.Leads)

// at makes a change to the readings whose id contains one of the words.
func at(words string, f func(u *signature.SetUp, l *meter.Leads)) change {
	return func(id string, u *signature.SetUp, l *meter.Leads) {
		for _, w := range strings.Fields(words) {
			if strings.Contains(id+"/", "/"+w+"/") || strings.HasPrefix(id+"/", w+"/") {
				f(u, l)
				return
			}
		}
	}
}

func both(fs ...change) change {
	return func(id string, u *signature.SetUp, l *meter.Leads) {
		for _, f := range fs {
			f(id, u, l)
		}
	}
}

func leads(f func(l *meter.Leads)) func(*signature.SetUp, *meter.Leads) {
	return func(_ *signature.SetUp, l *meter.Leads) { f(l) }
}

func cond(f func(c *wiring.Condition)) func(*signature.SetUp, *meter.Leads) {
	return func(u *signature.SetUp, _ *meter.Leads) {
		for i := range u.Conds {
			f(&u.Conds[i])
		}
	}
}

func link(a, b string, ohm float64) func(*signature.SetUp, *meter.Leads) {
	return cond(func(c *wiring.Condition) { c.Links = append(c.Links, wiring.Link{A: a, B: b, Ohm: ohm}) })
}

// across joins the two terminals of the instrument itself, as fingers and damp do.
func across(ohm float64) func(*signature.SetUp, *meter.Leads) {
	return func(u *signature.SetUp, _ *meter.Leads) {
		for i := range u.Conds {
			u.Conds[i].Links = append(u.Conds[i].Links, wiring.Link{A: u.A, B: u.B, Ohm: ohm})
		}
	}
}

func to(a, b string) func(*signature.SetUp, *meter.Leads) {
	return func(u *signature.SetUp, _ *meter.Leads) { u.A, u.B = a, b }
}

func unlinked(u *signature.SetUp, _ *meter.Leads) {
	for i := range u.Conds {
		u.Conds[i].Links = nil
	}
}

func function(f signature.Function) func(*signature.SetUp, *meter.Leads) {
	return func(u *signature.SetUp, _ *meter.Leads) { u.Function, u.TestV = f, 500 }
}

// instead puts down what was typed in place of what was shown.
func instead(pairs ...string) func(id, shown string) string {
	return func(id, shown string) string {
		for i := 0; i+1 < len(pairs); i += 2 {
			if id == pairs[i] || strings.HasSuffix(pairs[i], "/*") && strings.HasPrefix(id, strings.TrimSuffix(pairs[i], "*")) {
				return pairs[i+1]
			}
		}
		return shown
	}
}

func again(words string, f func(*signature.SetUp, *meter.Leads)) func(string, *signature.SetUp, *meter.Leads) bool {
	c := at(words, f)
	return func(id string, u *signature.SetUp, l *meter.Leads) bool {
		before := *l
		held := u.Function
		c(id, u, l)
		return before != *l || held != u.Function || strings.Contains(id, words)
	}
}

// committed is one mistake committed on the virtual rig, and a near miss: readings of the same test and the same verdict,
// with nothing done wrong.
type committed struct {
	id   string
	test string
	scene
	near scene
}

var (
	ring     = []string{"ring-1"}
	radial   = []string{"radial-1"}
	lighting = []string{"lighting-1"}
)

func legs(c1, c2 string) func(*signature.SetUp, *meter.Leads) {
	return func(u *signature.SetUp, _ *meter.Leads) {
		for i := range u.Conds {
			u.Conds[i].Links = []wiring.Link{{A: "ring-1/leg1/L", B: "ring-1/leg1/" + c1}, {A: "ring-1/leg2/L", B: "ring-1/leg2/" + c2}}
		}
	}
}

func ends(u *signature.SetUp, l *meter.Leads) {
	core := u.A[strings.LastIndex(u.A, "/")+1:]
	u.B = "ring-2/leg2/" + core
	for i := range u.Conds {
		for _, k := range []string{"L", "N", "E"} {
			u.Conds[i].Lifted["ring-2/leg1/"+k], u.Conds[i].Lifted["ring-2/leg2/"+k] = true, true
		}
	}
}

func home(u *signature.SetUp, _ *meter.Leads) {
	for i := range u.Conds {
		u.Conds[i].Lifted = map[string]bool{}
		u.Conds[i].Moved = map[string]string{}
	}
}

func idn(ma float64) func(*signature.SetUp, *meter.Leads) {
	return func(u *signature.SetUp, _ *meter.Leads) { u.RCD.IdnMA = ma }
}

func device(curve string, a float64, rcdID string) func(*rig.Rig) {
	return func(r *rig.Rig) {
		for i := range r.Circuits {
			if r.Circuits[i].ID == rcdID {
				r.Circuits[i].Device.Curve, r.Circuits[i].Device.RatingA = curve, a
			}
		}
	}
}

func TestEveryMistakeIsNamed(t *testing.T) {
	b := book(t)
	first, three, count := 0, 0, 0
	how := map[string]int{} // what is wrong: the set-up, what was put down, the judgement
	done := map[string]bool{}
	for _, c := range commits {
		m, ok := b.Get(c.id)
		if !ok {
			t.Errorf("there is no mistake %q", c.id)
			continue
		}
		done[c.id] = true
		t.Run(c.id, func(t *testing.T) {
			v := c.scene.view(t)
			named := b.Name(v)
			place := slices.IndexFunc(named, func(n mistakes.Named) bool { return n.ID == c.id })
			if place < 0 {
				t.Errorf("not named; named %v", named)
				for _, r := range v.Readings {
					if m.Shows() && (r.Test == c.test) {
						t.Logf("  %s: %q %s expected %q (%s) %s", r.ID, r.Read.Raw, r.Read.Mark, r.Expect.Raw, r.Refused, r.Verdict)
					}
				}
				return
			}
			count++
			switch {
			case len(c.scene.claim) > 0:
				how["judgement"]++
			case c.scene.write != nil || c.scene.more != nil || c.scene.skip != nil:
				how["put down"]++
			default:
				how["set-up"]++
			}
			// Where it stands among those named for the same readings.
			ids := named[place].IDs
			rank := 0
			for _, n := range named[:place] {
				if slices.ContainsFunc(n.IDs, func(id string) bool { return slices.Contains(ids, id) }) {
					rank++
				}
			}
			if rank == 0 {
				first++
			}
			if rank < mistakes.Most {
				three++
			} else {
				t.Logf("named behind %d others: %v", rank, named[:place])
			}
			near := c.near.view(t)
			for _, n := range b.Name(near) {
				if n.ID == c.id {
					t.Errorf("near miss: %s", n)
				}
			}
			if w, x := worst(v, c.test), worst(near, c.test); w != x {
				t.Errorf("near miss: verdict of %s is %s, of the mistake %s", c.test, x, w)
			}
		})
	}
	shows := 0
	for _, m := range b.All {
		if m.Shows() {
			shows++
			if !done[m.ID] {
				t.Errorf("%s is not committed by any test", m.ID)
			}
		}
	}
	// Without the judgements, which a session with known moves knows too: by readings alone.
	if alone := how["set-up"] + how["put down"]; count == shows && alone < 90 {
		t.Errorf("%d are named by readings alone, want 90", alone)
	}
	t.Logf("%d mistakes, %d of them can show; named %d, first %d, among three %d; committed in %v", len(b.All), shows, count, first, three, how)
}
