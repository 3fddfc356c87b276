package study

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// ends are the conductor ends of the circuit in view at the board, of some of its cores.
func (s *State) ends(cores ...string) []string {
	c := s.circuit()
	var out []string
	for _, k := range cores {
		out = append(out, wiring.BoardEnd(c, 1, k))
		if c.Shape == rig.Ring {
			out = append(out, wiring.BoardEnd(c, 2, k))
		}
	}
	return out
}

// groups are the conductor ends that are handled together, by the word for them.
func (s *State) groups() map[string][]string {
	cores := wiring.Cores(s.circuit())
	lines := cores[:len(cores)-2]
	g := map[string][]string{
		"line":     s.ends(lines...),
		"neutral":  s.ends("N"),
		"cpc":      s.ends("E"),
		"earthing": {"board/earthing-conductor"},
	}
	for _, b := range s.rig().Earthing.Bonds {
		g["bond-"+b.ID] = []string{"bond/" + b.ID + "@clamp"}
	}
	return g
}

// changes are the moves that alter conductors, links and loads.
func (s *State) changes() []Option {
	c := s.circuit()
	word := func(verb, what string) Option {
		if b, ok := strings.CutPrefix(what, "bond-"); ok {
			return as(verb+"-"+what, verb+"-bond", "bond", b)
		}
		return opt(verb+"-"+what, "circuit", c.ID, "number", c.Number)
	}
	var lift, home []Option
	all := s.groups()
	if len(s.inPlace(slices.Concat(all["line"], all["neutral"]))) > 0 {
		lift = append(lift, word("lift", "live"))
	}
	for _, what := range slices.Sorted(maps.Keys(all)) {
		if len(s.inPlace(all[what])) > 0 {
			lift = append(lift, word("lift", what))
		} else {
			home = append(home, word("back", what))
		}
	}
	o := append(home, lift...)
	o = append(o, s.joins()...)
	for i, l := range s.cond.Links {
		o = append(o, as("unlink-"+strconv.Itoa(i+1), "unlink", "thing", l.A+" – "+l.B))
	}
	if loads := s.loads(); len(loads) > 0 {
		if s.cond.In[loads[0]] {
			o = append(o, opt("loads-out", "circuit", c.ID))
		} else {
			o = append(o, opt("loads-in", "circuit", c.ID))
		}
	}
	if parts := s.parts(); len(parts) > 0 {
		if s.cond.Out[parts[0]] {
			o = append(o, opt("parts-in", "circuit", c.ID))
		} else {
			o = append(o, opt("parts-out", "circuit", c.ID))
		}
	}
	if !s.set.Exam && s.failed(s.focus) {
		o = append(o, opt("repair", "circuit", c.ID))
	}
	return o
}

func (s *State) inPlace(ends []string) []string {
	var in []string
	for _, e := range ends {
		if !s.cond.Lifted[e] {
			in = append(in, e)
		}
	}
	return in
}

// joins are the links that can be made, right and wrong ones alike.
func (s *State) joins() []Option {
	c := s.circuit()
	var o []Option
	if c.Shape == rig.Ring {
		o = append(o, opt("cross-line-neutral"), opt("cross-line-cpc"), opt("same-leg-line-neutral"), opt("same-leg-line-cpc"))
	}
	for _, l := range wiring.Cores(c)[:len(wiring.Cores(c))-2] {
		o = append(o, as("join-"+l+"-cpc", "join-line-cpc", "line", l))
	}
	return append(o, opt("join-line-neutral-far", "point", signature.Farthest(c)))
}

// loads are what can be plugged in or connected on the circuit in view.
func (s *State) loads() []string { return s.elements(wiring.Load, s.circuit().ID+"/") }

// parts are electronics and surge protective devices of the circuit and of the board.
func (s *State) parts() []string {
	return append(s.elements(wiring.Part, s.circuit().ID+"/"), s.elements(wiring.Part, "spd/")...)
}

func (s *State) elements(k wiring.Kind, prefix string) []string {
	var out []string
	for _, e := range s.built.Plan.Elements() {
		if e.Kind == k && strings.HasPrefix(e.Name, prefix) {
			out = append(out, e.Name)
		}
	}
	return out
}

// onBoard is an act at the board's conductors.
func (s *State) onBoard(k safety.Kind, fb *Feedback) bool {
	if !s.covers["board"] {
		fb.refuse("covered", "thing", "board")
		return false
	}
	return s.may(safety.Want{Kind: k, Board: true, Circuit: -1}, fb)
}

func (s *State) change(raw string, fb *Feedback) {
	verb, what, _ := strings.Cut(raw, "-")
	switch verb {
	case "lift":
		s.lift(what, fb)
	case "back":
		s.pick.end = what
		if what == "neutral" || what == "cpc" {
			s.ask = atHome
			return
		}
		s.putBack(what, "", fb)
	case "unlink":
		i, _ := strconv.Atoi(what)
		i--
		if l := s.cond.Links[i]; s.atTerminals(safety.Unlink, fb, l.A, l.B) {
			s.cond.Links = slices.Delete(s.cond.Links, i, i+1)
			s.worked(safety.Unlink)
			fb.say("study.done.unlink")
		}
	case "cross", "same", "join":
		s.join(raw, fb)
	case "loads", "parts":
		s.inOut(verb, what, fb)
	case "repair":
		s.repair(fb)
	}
}

func (s *State) worked(k safety.Kind) { s.facts = s.facts.Worked(k) }

func (s *State) lift(what string, fb *Feedback) {
	if !s.onBoard(safety.Lift, fb) {
		return
	}
	g := s.groups()
	ends := g[what]
	if what == "live" {
		ends = slices.Concat(g["line"], g["neutral"])
	}
	for _, e := range ends {
		s.cond.Lifted[e] = true
		delete(s.cond.Moved, e)
	}
	s.worked(safety.Lift)
	fb.say("study.done.lift", "what", what)
}

// homes are the terminals that conductor ends can go back into, the right one among them.
func (s *State) homes(what string) []Option {
	if what == "cpc" {
		o := []Option{opt("earth-bar")}
		if s.circuit().Shape == rig.Ring {
			o = append(o, opt("connector"))
		}
		return o
	}
	var o []Option
	if s.circuit().RCD != nil {
		o = append(o, opt("own-rcbo"))
	}
	for _, b := range s.rig().Bars() {
		o = append(o, as("bar-"+b, "bar", "bar", b))
	}
	return o
}

// putBack puts a group of ends back: where they belong, or where the learner wants them.
func (s *State) putBack(what, where string, fb *Feedback) {
	if !s.onBoard(safety.Reconnect, fb) {
		return
	}
	for _, e := range s.groups()[what] {
		delete(s.cond.Lifted, e)
		delete(s.cond.Moved, e)
		if bar, ok := strings.CutPrefix(where, "bar-"); ok {
			if to := "board/bar/" + bar; to != wiring.Home(s.rig(), s.circuit(), "N") {
				s.cond.Moved[e] = to
			}
		}
		if where == "connector" {
			s.cond.Lifted[e] = true
		}
	}
	if ends := s.groups()[what]; where == "connector" && len(ends) == 2 {
		s.cond.Links = append(s.cond.Links, wiring.Link{A: ends[0], B: ends[1]})
	}
	s.worked(safety.Reconnect)
	fb.say("study.done.back", "what", what)
}

func (s *State) join(raw string, fb *Feedback) {
	c := s.circuit()
	end := func(leg int, k string) string { return wiring.BoardEnd(c, leg, k) }
	var links []wiring.Link
	switch raw {
	case "cross-line-neutral":
		links = []wiring.Link{{A: end(1, "L"), B: end(2, "N")}, {A: end(2, "L"), B: end(1, "N")}}
	case "cross-line-cpc":
		links = []wiring.Link{{A: end(1, "L"), B: end(2, "E")}, {A: end(2, "L"), B: end(1, "E")}}
	case "same-leg-line-neutral":
		links = []wiring.Link{{A: end(1, "L"), B: end(1, "N")}, {A: end(2, "L"), B: end(2, "N")}}
	case "same-leg-line-cpc":
		links = []wiring.Link{{A: end(1, "L"), B: end(1, "E")}, {A: end(2, "L"), B: end(2, "E")}}
	case "join-line-neutral-far":
		p := signature.Farthest(c)
		links = []wiring.Link{{A: c.ID + "/" + p + "/" + wiring.Cores(c)[0], B: c.ID + "/" + p + "/N"}}
	default:
		line := strings.TrimSuffix(strings.TrimPrefix(raw, "join-"), "-cpc")
		links = []wiring.Link{{A: end(1, line), B: "board/met"}}
	}
	for _, l := range links {
		if !s.atTerminals(safety.Link, fb, l.A, l.B) {
			return
		}
	}
	s.cond.Links = append(s.cond.Links, links...)
	s.worked(safety.Link)
	fb.say("study.done.link", "what", raw)
}

// atTerminals is an act at terminals, or at what is connected to them: plugged in where there is a socket, else with the
// cover off, and wherever hands go the place is proved dead.
func (s *State) atTerminals(k safety.Kind, fb *Feedback, terminals ...string) bool {
	w := s.wantAt(terminals...)
	w.Kind = k
	return s.uncovered(w, terminals, fb) && s.may(w, fb)
}

// uncovered refuses what is behind a cover.
func (s *State) uncovered(w safety.Want, terminals []string, fb *Feedback) bool {
	for _, t := range terminals {
		if c, point := s.pointOf(t); point != nil && !point.PlugIn && !s.covers[c.ID] {
			fb.refuse("covered", "thing", c.ID)
			return false
		}
	}
	if w.Board && !s.covers["board"] {
		fb.refuse("covered", "thing", "board")
		return false
	}
	return true
}

// inOut takes loads or parts of the circuit out, or puts them back in.
func (s *State) inOut(verb, what string, fb *Feedback) {
	c := s.circuit()
	plug := len(c.Points) > 0
	for _, p := range c.Points {
		plug = plug && p.PlugIn
	}
	switch {
	case verb == "parts":
		k := safety.TakeOut
		if what == "in" {
			k = safety.PutBack
		}
		if !s.atTerminals(k, fb, s.parts()...) {
			return
		}
	case !plug && s.facts.Supply == safety.Off:
		if !s.atTerminals(safety.TakeOut, fb, s.loads()...) {
			return
		}
	case !plug:
		fb.refuse("fact.isolate")
		return
	}
	names, set := s.loads(), s.cond.In
	in := what == "in"
	if verb == "parts" {
		names, set, in = s.parts(), s.cond.Out, what == "out"
	}
	for _, n := range names {
		if in {
			set[n] = true
		} else {
			delete(set, n)
		}
	}
	fb.say("study.done."+verb+"-"+what, "circuit", c.ID)
	for _, d := range s.settle() {
		fb.say("study.opened", "thing", d)
	}
}

// failed reports whether a reading of the circuit, or of the board, was written down that fails or is in doubt.
func (s *State) failed(circuit int) bool {
	for _, r := range s.sheet.State().Results() {
		if c := s.sheet.ClassOf(r.ID); (r.Circuit == circuit || r.Circuit < 0) && (fails(c) || c == coach.Doubt) {
			return true
		}
	}
	return false
}

// repair has the circuit's faults, and the board's, put right. Its dead tests are due again.
func (s *State) repair(fb *Feedback) {
	if s.facts.Supply != safety.Off {
		fb.refuse("fact.isolate")
		return
	}
	kept := s.live[:0:0]
	for _, p := range s.live {
		if p.Circuit != "" && p.Circuit != s.circuit().ID {
			kept = append(kept, p)
		}
	}
	found := len(kept) < len(s.live)
	s.live = kept
	if s.build() != nil {
		return
	}
	s.sheet = s.sheet.Again(s.focus)
	s.sheet = s.sheet.Again(-1)
	if found {
		fb.say("study.done.repair", "circuit", s.circuit().ID)
	} else {
		fb.say("study.done.no-fault", "circuit", s.circuit().ID)
	}
}

func (s *State) changeLeads(raw string, fb *Feedback) {
	switch raw {
	case "null":
		s.leads = s.leads.StoreNull(0)
	case "null-loose":
		s.leads = s.leads.StoreNull(0.15) // tips that barely touch
	case "null-clear":
		s.leads.Null = 0
	case "long-lead-on":
		s.leads.Added = longLeadOhm
	case "long-lead-off":
		s.leads.Added = 0
	}
	fb.say("study.done." + raw)
}

// longLeadOhm is a wander lead of some 25 m of 1.5 mm² flex (12.1 Ω/km, IEC 60228).
const longLeadOhm = 0.3
