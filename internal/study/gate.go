package study

import (
	"slices"
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// may holds an act against the interlock. What is lacking is refused, every bit of it named.
func (s *State) may(w safety.Want, fb *Feedback) bool {
	missing := safety.Interlock().AllMissing(w, s.factsFor(w.Kind), s.record(w))
	implied := map[safety.Fact]safety.Fact{safety.FactDoubts: safety.FactTests, safety.FactCovers: safety.FactLedger}
	for i, f := range missing {
		if slices.Contains(missing[:i], f) || slices.Contains(missing, implied[f]) {
			continue
		}
		fb.refuse("fact."+strings.ReplaceAll(string(f), "/", "."), "isolator", s.rig().Isolation.Device, "source", s.rig().Isolation.ProvingSource)
		if f == safety.FactTests || f == safety.FactDoubts || f == safety.FactCircuitTests {
			s.sayUnpassed(w.Circuit, fb)
		}
		if f == safety.FactLedger {
			fb.Notes = append(fb.Notes, s.openNotes("study.standing.item.", func(o OpenItem) bool { return !safety.Tolerated(w.Kind, o.Class) })...)
		}
	}
	if len(missing) > 0 {
		fb.Wanted = w.Kind.String()
	}
	return len(missing) == 0
}

// factsFor is what holds for an act of a kind. People and supervisor are the program's own part to play; covers, loads
// and the earthing conductor are looked up, not asked for.
func (s *State) factsFor(k safety.Kind) safety.Facts {
	f := s.facts
	if k.IsGate() {
		f = f.BeginGate(k)
		f.EarthKnown, f.FaultsCleared = true, true
	}
	f.Covers = true
	for _, o := range s.Ledger() {
		if o.Class == safety.Cover && !safety.Tolerated(k, o.Class) {
			f.Covers = false
		}
	}
	f.Loads = s.loadsOff(k)
	f.MainLocked = s.cond.Open[wiring.MainSwitch]
	f.People, f.Supervisor = true, true
	return f
}

// loadsOff: at a gate every breaker is off and nothing is plugged in; during live tests nothing is plugged in.
func (s *State) loadsOff(k safety.Kind) bool {
	for _, in := range s.cond.In {
		if in {
			return false
		}
	}
	if k.IsGate() {
		for _, c := range s.rig().Circuits {
			if !s.cond.Open[c.ID] {
				return false
			}
		}
	}
	return true
}

// record is what the interlock has to know besides.
func (s *State) record(w safety.Want) safety.Record {
	r := s.sheet.Tests(w)
	if s.set.Exam {
		r = s.examRecord(w)
	}
	r.Upstream = s.upstream()
	r.LedgerFits = true
	for _, o := range s.Ledger() {
		r.EarthingOff = r.EarthingOff || o.Class == safety.EarthingConductor
		r.LedgerFits = r.LedgerFits && safety.Tolerated(w.Kind, o.Class)
	}
	for _, p := range s.live {
		r.NeverEnergise = r.NeverEnergise || neverEnergise(p)
	}
	if w.Circuit >= 0 {
		r.CircuitOn = s.facts.Supply == safety.On && !s.cond.Open[s.rig().Circuits[w.Circuit].ID]
	}
	return r
}

func neverEnergise(p faults.Planting) bool {
	for _, k := range faults.Kinds() {
		if k.ID == p.Kind {
			return k.NeverEnergise
		}
	}
	return true
}

// OpenItem is something that has to be closed again before the session can end.
type OpenItem struct {
	Class safety.Class
	ID    string // the conductor end, link, part or enclosure
}

// Ledger lists what stands open, worked out from how the installation stands.
func (s *State) Ledger() []OpenItem {
	var out []OpenItem
	add := func(c safety.Class, id string) { out = append(out, OpenItem{c, id}) }
	for _, id := range sorted(s.covers) {
		add(safety.Cover, id)
	}
	for _, id := range sorted(s.cond.Lifted) {
		switch {
		case id == "board/earthing-conductor":
			add(safety.EarthingConductor, id)
		case strings.HasPrefix(id, "bond/"):
			add(safety.BondingConductor, id)
		default:
			add(safety.Conductor, id)
		}
	}
	for _, l := range s.cond.Links {
		add(safety.TestLink, l.A+" – "+l.B)
	}
	for _, id := range sorted(s.cond.Out) {
		add(safety.Removed, id)
	}
	if s.leads.Added > 0 {
		add(safety.LongLead, "long-lead")
	}
	return out
}

func sorted(m map[string]bool) []string {
	var out []string
	for k, v := range m {
		if v {
			out = append(out, k)
		}
	}
	slices.Sort(out)
	return out
}

// sayUnpassed names the dead readings that do not pass yet.
func (s *State) sayUnpassed(circuit int, fb *Feedback) {
	var ids []string
	for _, r := range s.sheet.State().Results() {
		st := &s.program().Steps[r.StepAt]
		if !st.Want.Kind.OnDead() || circuit >= 0 && r.Circuit != circuit {
			continue
		}
		if !opens(s.sheet.ClassOf(r.ID)) {
			ids = append(ids, r.ID)
		}
	}
	if len(ids) == 0 {
		return
	}
	fb.say("study.unpassed", "readings", strings.Join(ids, ", "))
}
