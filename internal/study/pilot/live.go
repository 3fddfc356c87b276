package pilot

import (
	"fmt"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// live takes a step's live readings, with the gate before them.
func (p *Pilot) live(st *sequence.Step, c *rig.Circuit, test string) {
	switch st.Want.Kind {
	case safety.LiveIncoming:
		p.incoming(st, test)
		return
	}
	if p.S.Facts().Supply != safety.On {
		p.close()
		if !p.open(wiring.MainSwitch) && p.S.Facts().Supply == safety.Off && p.rig().Isolation.At == rig.Upstream {
			p.try("switch", wiring.MainSwitch)
		}
		if !p.Do("isolate", "on-installation") {
			return
		}
		if st.Circuit >= 0 {
			p.try("circuit", c.ID)
		}
	}
	if st.Circuit >= 0 && p.open(c.ID) {
		p.Do("switch", c.ID)
	}
	switch test {
	case safety.TestZs:
		for _, part := range st.Parts {
			line := wiring.Cores(c)[0]
			if part.Line != "" {
				line = part.Line
			}
			p.Do("loop", "no-trip")
			p.read("", c.Points[part.Point].ID, line+"-E", st.ID+"/"+part.ID)
		}
	case safety.TestRCD:
		p.rcd(st, c)
	case safety.TestPFC:
		for _, part := range st.Parts {
			p.read("fault-current", "origin", part.ID, st.ID+"/"+part.ID)
		}
	case safety.TestFunctional:
		for i := range p.rig().Circuits {
			if id := p.rig().Circuits[i].ID; p.open(id) {
				p.Do("switch", id)
			}
		}
		p.observe(st)
	default:
		p.observe(st)
	}
}

func (p *Pilot) rcd(st *sequence.Step, c *rig.Circuit) {
	far := signature.Farthest(c)
	line := wiring.Cores(c)[0]
	for _, part := range st.Parts {
		p.Do("rcd", part.ID)
		p.read("", far, line+"-E", st.ID+"/"+part.ID)
		for _, d := range p.rcds() {
			if p.open(d) {
				p.Do("switch", d)
			}
		}
	}
}

// incoming reads at the origin with the main switch locked off and the earthing conductor lifted.
func (p *Pilot) incoming(st *sequence.Step, test string) {
	if p.S.Facts().Supply != safety.Incoming {
		p.isolate()
		p.close()
		p.isolate()
		p.try("change", "lift-earthing")
		if !p.open(wiring.MainSwitch) {
			p.Do("switch", wiring.MainSwitch)
		}
		p.try("isolate", "cover-on-board")
		if !p.Do("isolate", "on-incoming") {
			return
		}
	}
	for _, part := range st.Parts {
		where := st.ID
		if part.ID != "value" {
			where += "/" + part.ID
		}
		pair := strings.Replace(part.ID, "-E", "-lifted", 1)
		switch test {
		case safety.TestSupply:
			p.read("volts", "origin", pair, where)
		case safety.TestPFC:
			p.read("fault-current", "origin", part.ID, where)
		default:
			line := "L"
			if p.rig().Supply.Phases == 3 {
				line = "L1"
			}
			kind := "high-current"
			if p.rig().Supply.UpstreamRCD != nil {
				kind = "no-trip"
			}
			p.Do("loop", kind)
			p.read("", "origin", line+"-lifted", where)
		}
	}
}

// switching reads the last lamp in every position of the switches.
func (p *Pilot) switching(st *sequence.Step) {
	p.read("low-ohm", "positions", "SL-E", st.ID)
}

// observe looks at what a step is about and answers what is seen.
func (p *Pilot) observe(st *sequence.Step) {
	if st.Want.Kind.OnDead() {
		p.stand(st, stand{points: true})
	}
	if !p.Do("see", st.ID) || p.exam() {
		return
	}
	for _, o := range append([]sequence.Option{st.Right}, st.Wrong...) {
		n := len(p.Refused)
		if p.Do(o.Say) {
			return
		}
		p.Refused = p.Refused[:n]
	}
}

// sum adds Ze, measured or declared, and the highest R1+R2 on the schedule.
func (p *Pilot) sum(st *sequence.Step, c *rig.Circuit) {
	if p.exam() {
		return
	}
	ze := p.rig().Supply.Declared.ZeOhm
	best := 0.0
	for _, r := range p.S.Sheet().State().Results() {
		e := r.Latest()
		if e == nil || !e.Reading.IsNumber() {
			continue
		}
		switch {
		case r.Test == safety.TestZe || r.Test == safety.TestElectrode:
			ze = e.Reading.Value
		case r.Circuit == st.Circuit && (r.Test == safety.TestContinuity || r.Test == safety.TestCrossedLE):
			best = max(best, e.Reading.Value)
		}
	}
	if p.Do("sum", fmt.Sprintf("%.2f", ze+best)) {
		p.claim()
	}
}
