package pilot

import (
	"fmt"
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// stand brings circuit and board into the condition wanted, no matter how they are.
func (p *Pilot) stand(st *sequence.Step, want stand) {
	p.isolate()
	p.apart()
	p.home(want.lifted)
	for _, l := range want.lifted {
		p.try("change", "lift-"+l)
	}
	p.try("change", "loads-out")
	if want.points {
		p.points(st.Circuit)
	}
	for _, j := range want.joins {
		p.Do("change", j)
	}
	for _, d := range p.rcds() {
		if open := p.open(d); open != want.board {
			p.Do("switch", d)
		}
	}
}

// apart takes every join apart, the last first; one at a circuit's points once these are proved dead.
func (p *Pilot) apart() {
	for n := 0; n < 8; n++ {
		links, last := 0, ""
		for _, o := range p.S.Ledger() {
			if o.Class == safety.TestLink {
				links, last = links+1, o.ID
			}
		}
		if links == 0 {
			return
		}
		view := p.circuit(p.S.Focus()).ID
		at := p.pointsOf(last)
		if at >= 0 {
			p.try("circuit", p.circuit(at).ID)
			p.points(at)
		}
		p.Do("change", fmt.Sprintf("unlink-%d", links))
		if at >= 0 && p.circuit(at).ID != view {
			p.try("circuit", view)
		}
	}
}

// pointsOf is the circuit at whose points a link is, -1 for one at the board.
func (p *Pilot) pointsOf(link string) int {
	owner, rest, _ := strings.Cut(link, "/")
	place, _, _ := strings.Cut(rest, "/")
	for i := range p.rig().Circuits {
		c := &p.rig().Circuits[i]
		if c.ID == owner && slices.ContainsFunc(c.Points, func(x rig.Point) bool { return x.ID == place }) {
			return i
		}
	}
	return -1
}

// home puts everything lifted back, but for what is wanted lifted on the circuit in view.
func (p *Pilot) home(keep []string) {
	if p.Err != nil {
		return
	}
	if !p.Do("change") {
		return
	}
	q, _ := p.S.Question()
	p.Do("back")
	for _, o := range q.Options {
		what, ok := strings.CutPrefix(o.Say, "back-")
		if !ok || slices.Contains(keep, what) {
			continue
		}
		switch what {
		case "neutral":
			p.Do("change", "back-neutral", p.ownHome())
		case "cpc":
			p.Do("change", "back-cpc", "earth-bar")
		default:
			p.Do("change", "back-"+what)
		}
	}
}

func (p *Pilot) ownHome() string {
	q, _ := p.S.Question()
	_ = q
	i := p.S.Focus()
	c := p.circuit(i)
	if c.RCD != nil {
		return "own-rcbo"
	}
	return "bar-" + p.rig().BarOf(c)
}

func (p *Pilot) rcds() []string {
	var ids []string
	for _, d := range p.S.Setup().Program.RCDs {
		ids = append(ids, d.ID)
	}
	return ids
}

func (p *Pilot) open(device string) bool { return p.S.Open(device) }

// isolate brings the rig to rest: off, locked, the board open and proved dead.
func (p *Pilot) isolate() {
	f := p.S.Facts()
	if f.Supply != safety.Off {
		p.Do("isolate", "see-supply", "isolate", "off")
		for _, c := range p.rig().Circuits {
			if !p.open(c.ID) {
				p.Do("switch", c.ID)
			}
		}
	}
	if f := p.S.Facts(); p.exam() && !(f.LockOn && f.KeyHeld && f.Notice) {
		p.Do("isolate", "lock")
	} else if !f.LockOn {
		p.Do("isolate", "lock", "own-padlock")
	}
	p.try("isolate", "cover-off-board")
	if !p.S.Facts().BoardDead {
		p.prove("board")
	}
}

// points opens the circuit's points where there is something to open, and proves them dead.
func (p *Pilot) points(circuit int) {
	p.try("isolate", "cover-off-points")
	if !p.S.Facts().Dead(safety.CircuitPlace(circuit)) {
		p.prove("points")
	}
}

// close puts everything back where it belongs, on every circuit, and closes the covers.
func (p *Pilot) close() {
	p.leadOff()
	if p.S.Facts().Supply != safety.Off && len(p.S.Ledger()) == 0 {
		return
	}
	p.isolate()
	p.apart()
	for i := range p.rig().Circuits {
		if len(p.rig().Circuits) > 1 {
			p.Do("circuit", p.rig().Circuits[i].ID)
		}
		p.home(nil)
		if p.offers("change", "parts-in") {
			p.points(i)
			p.Do("change", "parts-in")
		}
		p.closePoints(i)
	}
	for _, d := range p.rcds() {
		if p.open(d) {
			p.Do("switch", d)
		}
	}
	p.try("isolate", "cover-on-board")
}

// closePoints closes a circuit's points if they are open.
func (p *Pilot) closePoints(i int) {
	if !p.offers("isolate", "cover-on-points") {
		return
	}
	if !p.S.Facts().Dead(safety.CircuitPlace(i)) {
		p.prove("points")
	}
	p.Do("isolate", "cover-on-points")
}
