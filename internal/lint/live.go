package lint

import (
	"fmt"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// live complains about live steps that stand where their gate has not been passed. The session would refuse them too;
// here the author learns it, with the line.
func (l *linter) live(p *sequence.Program) {
	supply, why := safety.Off, "no gate comes before it"
	on := map[int]bool{}
	for i := range p.Steps {
		st := &p.Steps[i]
		switch k := st.Want.Kind; {
		case k == safety.EnergiseIncoming:
			supply = safety.Incoming
		case k == safety.EnergiseInstallation:
			supply, on = safety.On, map[int]bool{}
		case k.OnDead():
			if supply != safety.Off {
				why = fmt.Sprintf("step %s isolates the rig again before it", st.ID)
			}
			supply = safety.Off
		case k.Live():
			want := safety.On
			if k == safety.LiveIncoming {
				want = safety.Incoming
			}
			if supply != want {
				l.notLive(st, want, supply, why)
				continue
			}
			if k == safety.CircuitOn {
				on[st.Circuit] = true
			} else if st.Circuit >= 0 && !on[st.Circuit] {
				l.at("live", st, "put  switch: circuit-on  before it", "this is a live step at a circuit that is not on yet")
			}
		}
	}
}

func (l *linter) notLive(st *sequence.Step, want, have safety.Supply, why string) {
	gate := "installation"
	if want == safety.Incoming {
		gate = "incoming"
	}
	if have != safety.Off {
		why = "the supply is then " + have.String()
	}
	l.at("live", st, "put  gate: "+gate+"  before it", "this is a live step (%s) that needs the %s gate, and %s", st.Want.Kind, gate, why)
}

// gates complains about gates that can never open: a test they need that the sequence does not have before them, an
// origin that nobody measures or declares, a record that nobody accepts.
func (l *linter) gates(p *sequence.Program) {
	gate := -1
	for i := range p.Steps {
		st := &p.Steps[i]
		if st.Form != sequence.Gate {
			continue
		}
		if gate < 0 {
			gate = i
			l.needs(p, i)
			l.record(p, i)
		}
		if st.Want.Kind == safety.EnergiseIncoming && p.Rig.Isolation.At != rig.Upstream {
			l.at("gate", st, "write when: upstream", "rig %s is isolated at its main switch, so it has no incoming gate", p.Rig.ID)
		}
		if st.Want.Kind == safety.EnergiseInstallation {
			l.origin(p, i)
		}
	}
	if gate < 0 && p.Seq.FromRecord {
		l.add("gate", p.Seq.At(), "leave start: out", "a sequence that starts from a record has a gate to open with it")
	}
}

// needs complains about the dead tests that a gate needs and that do not stand before it: one complaint a test, with
// the circuits that lack it.
func (l *linter) needs(p *sequence.Program, gate int) {
	type lack struct {
		text  string
		where []string
	}
	var lacks []*lack
	for _, n := range p.Needs {
		text := lacking(p, n, gate)
		if text == "" {
			continue
		}
		where := "the board"
		if n.Circuit >= 0 {
			where = p.Rig.Circuits[n.Circuit].ID
		}
		i := 0
		for i < len(lacks) && lacks[i].text != text {
			i++
		}
		if i == len(lacks) {
			lacks = append(lacks, &lack{text: text})
		}
		lacks[i].where = append(lacks[i].where, where)
	}
	for _, k := range lacks {
		l.at("needs", &p.Steps[gate], "which tests a gate needs follows from the shape of each circuit; a sequence can add to them, not leave them out",
			"no step before this gate takes %s, at %s", k.text, strings.Join(k.where, ", "))
	}
}

// lacking names the test, or the parts of it, that do not stand before the gate; "" when all do.
func lacking(p *sequence.Program, n sequence.Need, gate int) string {
	name := n.Test
	if n.Or != "" {
		name += " (or " + n.Or + ")"
	}
	have, points := map[string]bool{}, map[int]bool{}
	for i := range p.Steps[:gate] {
		for _, t := range n.Tests {
			if p.Steps[i].Test != t {
				continue
			}
			for _, part := range p.Steps[i].Parts {
				have[part.ID] = true
				points[part.Point] = true
			}
		}
	}
	if len(have) == 0 {
		return name
	}
	var missing []string
	for _, id := range n.Parts {
		if !have[id] {
			missing = append(missing, id)
		}
	}
	if n.Points {
		for i, pt := range p.Rig.Circuits[n.Circuit].Points {
			if pt.Kind != rig.Switchbox && !points[i] {
				missing = append(missing, pt.ID)
			}
		}
	}
	if len(missing) == 0 {
		return ""
	}
	return name + " of " + strings.Join(missing, ", ")
}

// record: a sequence that takes its dead tests from a record has the supervisor accept that record before the gate.
func (l *linter) record(p *sequence.Program, gate int) {
	var accept *sequence.Step
	for i := range p.Steps {
		if p.Steps[i].Form == sequence.Accept && (accept == nil || i < gate) {
			accept = &p.Steps[i]
			if i < gate && p.Seq.FromRecord {
				return
			}
		}
	}
	switch {
	case p.Seq.FromRecord:
		l.at("gate", &p.Steps[gate], "put  accept: record  before it", "the dead tests come from a record (start: record), and nobody accepts it before this gate")
	case accept != nil:
		l.at("gate", accept, "write start: record, or leave this step out", "a record is accepted here, but the sequence does not start from one")
	}
}

// origin: supply voltage, polarity and the external loop are each measured before the installation gate, or declared.
func (l *linter) origin(p *sequence.Program, gate int) {
	have := map[string]bool{}
	for i := range p.Steps[:gate] {
		st := &p.Steps[i]
		if st.Form == sequence.Declare {
			return
		}
		if st.Test >= 0 {
			have[p.Tests[st.Test].Name] = true
		}
	}
	var missing []string
	if !have[safety.TestSupply] {
		missing = append(missing, safety.TestSupply)
	}
	if !have[safety.TestZe] && !have[safety.TestElectrode] {
		missing = append(missing, safety.TestZe)
	}
	if len(missing) > 0 {
		l.at("gate", &p.Steps[gate], "measure them at the incoming gate, or put  declare: origin  before it",
			"nothing before this gate says what the origin is: %s", strings.Join(missing, " and "))
	}
}
