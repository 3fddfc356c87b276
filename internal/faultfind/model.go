package faultfind

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"wanderlead/internal/faults"
	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
)

// Model is everything there is to say about one circuit of a rig before anything is measured: what can be measured, what
// may be wrong, and what each measurement would show for it. It is made once and can then be asked many times, by one
// goroutine at a time.
type Model struct {
	Rig      *rig.Rig // trimmed to what bears on the circuit
	Circuit  *rig.Circuit
	Measures []*Measure

	o        wiring.Options
	plain    *faults.Built // the sound installation
	field    *field
	forms    []*form
	stands   []*stand
	measured map[string]int // measure by id
	work     work
	devices  []string // RCDs and overcurrent devices, numbered
	behaved  map[*rig.Rig]*devices
	groups   []group
	apart    []string  // see Apart, nil until asked for
	sound    answer    // what every measure shows with nothing wrong, extras included
	scale    []float64 // as bias, for loops and currents: a factor, 1 where there is none
	bias     []float64 // the rig's commissioned readings against the network's, 0 where there is none
}

// answer is what each measure shows: +Inf over range or no trip, NaN no reading.
type answer []float64

// New makes the model of a circuit. Extra names points that readings mention and the rig does not describe, such as a
// socket-outlet found on the wall. The error says which circuit is not known or what package faults could not plant.
func New(r *rig.Rig, copper func(mm2 float64) (float64, bool), circuit string, extra []string) (*Model, error) {
	if _, ok := r.Circuit(circuit); !ok {
		var ids []string
		for _, c := range r.Circuits {
			ids = append(ids, c.ID)
		}
		return nil, fmt.Errorf("there is no circuit %q on %s\nhint: known here: %s", circuit, r.ID, strings.Join(ids, ", "))
	}
	m := &Model{Rig: trimmed(r, circuit), o: wiring.Usual(copper), measured: map[string]int{}, behaved: map[*rig.Rig]*devices{}}
	m.Circuit, _ = m.Rig.Circuit(circuit)
	sound, err := faults.Build(m.Rig, m.o)
	if err != nil {
		return nil, err
	}
	if m.Measures, err = measures(sound, m.Circuit, extra); err != nil {
		return nil, err
	}
	m.plain, m.field = sound, newField(sound.Plan)
	causes := candidates(m.Rig, m.Circuit)
	for i, d := range drawAll(sound, causes, m.o) {
		if d.err != nil {
			return nil, d.err
		}
		m.forms = append(m.forms, newForm(m.field, m.Rig, causes[i], d))
	}
	m.priors()
	m.stand()
	if len(m.devices) > most {
		return nil, fmt.Errorf("%s has %d devices that bear on %s\nhint: describe its circuits as a rig of their own, with at most %d", r.ID, len(m.devices), circuit, most)
	}
	for i, s := range m.Measures {
		m.measured[s.ID] = i
	}
	m.learn()
	m.biases(r)
	return m, nil
}

// trimmed leaves out the circuits that neither the circuit's readings nor any of its faults can touch: kept are, beside
// the circuit itself, those that a fault may join it to. Each section keeps a circuit, so that its RCD stays in place.
func trimmed(r *rig.Rig, circuit string) *rig.Rig {
	c, _ := r.Circuit(circuit)
	n := *r
	n.Circuits, n.Faults = nil, nil
	section := map[string]bool{c.Section: true}
	var rings, others, own, withRCD int
	device := r.RCDOf(c)
	for _, o := range r.Circuits {
		keep := o.ID == c.ID || o.SPD || o.Electronics != "" || others == 0 || !section[o.Section]
		if o.ID != c.ID && o.Shape == rig.Ring && c.Shape == rig.Ring {
			keep = keep || rings == 0
			rings++
		}
		if device != nil && r.RCDOf(&o) == device && (o.Shape == rig.Ring || o.Shape == rig.Radial) { // where its RCD is tested
			keep = keep || own == 0
			own++
		}
		if o.ID != c.ID && o.RCD != nil {
			keep = keep || withRCD == 0
			withRCD++
		}
		if !keep {
			continue
		}
		if o.ID != c.ID {
			others++
		}
		section[o.Section] = true
		n.Circuits = append(n.Circuits, o)
	}
	return &n
}

// stand makes the conditions of all measures, and every form's changes in them.
func (m *Model) stand() {
	f := m.field
	keep := map[int32]bool{}
	for i := range m.Circuit.Points {
		for _, core := range wiring.Cores(m.Circuit) {
			keep[f.at(m.Circuit.ID+"/"+m.Circuit.Points[i].ID+"/"+core)] = true
		}
	}
	for _, form := range m.forms {
		for _, c := range form.changes {
			keep[c.a], keep[c.b] = true, true
		}
	}
	for _, s := range m.Measures {
		s.a, s.b = f.at(s.aOn), f.at(s.bOn)
		keep[s.a], keep[s.b] = true, true
	}
	known := map[string]int{}
	for i, s := range m.Measures {
		for _, c := range s.setUp.Conds {
			least := s.function != signature.Insulating
			key := fmt.Sprint(s.Live, least, keyOf(c))
			at, ok := known[key]
			if !ok {
				at = len(m.stands)
				known[key] = at
				st := newStand(f, c, s.Live, least, keep)
				for _, e := range st.special {
					st.devices = append(st.devices, m.device(f.elements[e].Of))
				}
				m.stands = append(m.stands, st)
			}
			s.stands = append(s.stands, at)
			m.join(at, i)
		}
	}
	for _, form := range m.forms {
		for _, s := range m.stands {
			form.edits = append(form.edits, form.stood(f, s, m.device))
		}
	}
}

// group is the measures taken in one stand.
type group struct {
	measures []int
	standard bool   // some of them are not only for a search
	busy     []bool // kept number -> hangs together with something that is measured, in the sound installation
}

func (m *Model) join(stand, measure int) {
	for len(m.groups) <= stand {
		m.groups = append(m.groups, group{})
	}
	g := &m.groups[stand]
	g.measures = append(g.measures, measure)
	g.standard = g.standard || !m.Measures[measure].Extra
}

func keyOf(c wiring.Condition) string {
	var parts []string
	for _, set := range []map[string]bool{c.Open, c.Lifted, c.In, c.Out} {
		var names []string
		for name, is := range set {
			if is {
				names = append(names, name)
			}
		}
		slices.Sort(names)
		parts = append(parts, strings.Join(names, " "))
	}
	var at []string
	for name, p := range c.Position {
		at = append(at, fmt.Sprint(name, p))
	}
	slices.Sort(at)
	links := slices.Clone(c.Links)
	slices.SortFunc(links, func(x, y wiring.Link) int { return cmp.Or(cmp.Compare(x.A, y.A), cmp.Compare(x.B, y.B)) })
	return strings.Join(parts, "|") + strings.Join(at, " ") + fmt.Sprint(links)
}

// pick is a form with a size; a hypothesis is one or two of them.
type pick struct {
	form *form
	size float64
}

// predict works out what every measure shows for a hypothesis.
// Without extras those of a search are left at +Inf.
func (m *Model) predict(out answer, extras bool, picks ...pick) answer {
	return m.predictOn(&m.work, out, levelOf(extras), picks...)
}

func levelOf(extras bool) level {
	if extras {
		return wide
	}
	return usual
}

// predictOn is predict on a sheet of one's own, as far as a level: what lies beyond it is left at +Inf.
func (m *Model) predictOn(w *work, out answer, to level, picks ...pick) answer {
	out = resized(out, len(m.Measures))
	w.extras = to == wide
	for i := range out {
		out[i] = math.Inf(1)
	}
	for at := range m.stands {
		if !m.groups[at].standard && to < wide || m.stands[at].live && to < usual {
			continue
		}
		if m.inert(at, picks) {
			for _, i := range m.groups[at].measures {
				out[i] = min(out[i], m.sound[i])
				if math.IsNaN(m.sound[i]) {
					out[i] = math.NaN()
				}
			}
			continue
		}
		w.measure(m, at, out, picks)
	}
	for i, s := range m.Measures {
		if out[i] > s.top {
			out[i] = math.Inf(1)
		}
		if s.unknown && !adds(picks, s.a) {
			out[i] = -1
			continue
		}
		for _, p := range picks {
			if p.form.off != "" && s.function != signature.Volts && s.Test != TestSwitchOn && (strings.HasPrefix(s.aOn, p.form.off) || strings.HasPrefix(s.bOn, p.form.off)) && s.Pair != "E" {
				if out[i] = math.Inf(1); s.Live {
					out[i] = math.NaN()
				}
			}
		}
	}
	return out
}

// inert says whether a hypothesis changes nothing that hangs together with what is measured in a stand.
func (m *Model) inert(at int, picks []pick) bool {
	if m.sound == nil || m.stands[at].live || len(m.stands[at].parts) > 0 {
		return false
	}
	busy := m.groups[at].busy
	for _, p := range picks {
		for _, e := range p.form.edits[at] {
			if busy[e.a] || busy[e.b] || e.loose >= 0 && (busy[m.stands[at].loose[e.loose].a] || busy[m.stands[at].loose[e.loose].b]) {
				return false
			}
		}
	}
	return true
}

// learn works out the sound installation once.
func (m *Model) learn() {
	none := []pick{{m.forms[0], 0}}
	for at := range m.stands {
		s, g := m.stands[at], &m.groups[at]
		if s.live {
			continue
		}
		m.work.network(m, at, none)
		m.work.rows(s, func(yield func(int32)) {
			for _, i := range g.measures {
				yield(s.number[m.Measures[i].a] - 1)
				yield(s.number[m.Measures[i].b] - 1)
			}
		})
		for k := range s.kept {
			g.busy = append(g.busy, m.work.row(int32(k)) >= 0)
		}
	}
	m.sound = m.predict(nil, true, none...)
}

// rigOf is the description whose devices a hypothesis has.
func (m *Model) rigOf(picks []pick) *rig.Rig {
	for _, p := range picks {
		if p.form.rig != nil {
			return p.form.rig
		}
	}
	return m.Rig
}

// known are, worked out once, what the measures show for each of a form's sizes, as far as a level and maybe further.
func (m *Model) known(f *form, to level) []answer {
	if f.level < to {
		m.learnForm(&m.work, f, to)
	}
	return f.known
}

func (m *Model) learnForm(w *work, f *form, to level) {
	sizes := f.sizes
	if len(sizes) == 0 {
		sizes = []float64{0}
	}
	f.known, f.level = make([]answer, len(sizes)), to
	for i, s := range sizes {
		f.known[i] = m.predictOn(w, nil, to, pick{f, s})
	}
}

// learnAll works out what is not known yet of all forms, side by side.
func (m *Model) learnAll(to level) {
	if !slices.ContainsFunc(m.forms, func(f *form) bool { return f.level < to }) {
		return
	}
	for _, f := range m.forms { // whose devices behave how is kept in a map
		m.devicesOf(m.rigOf([]pick{{f, 0}}))
	}
	sideBySide(len(m.forms), func(w *work, i int) {
		if f := m.forms[i]; f.level < to {
			m.learnForm(w, f, to)
		}
	})
}

// adds says whether a hypothesis brings a terminal with it.
func adds(picks []pick, terminal int32) bool {
	for _, p := range picks {
		for i := range p.form.changes {
			if c := &p.form.changes[i]; c.a == terminal || c.b == terminal {
				return true
			}
		}
	}
	return false
}
