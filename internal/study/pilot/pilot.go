// Package pilot works a study session without a mistake, so that tests can hold the
// rig, the verdicts and the gates against what a careful person would see. It knows
// the order of the sequence and how each test is set up; what comes of it is the
// session's business.
package pilot

import (
	"fmt"
	"slices"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/study"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// Pilot works one session.
type Pilot struct {
	S      *study.State
	Events []coach.Event
	// Saw is called with every feedback, nil for none.
	Saw func(study.Feedback)
	// Err is the first thing that did not go as it should.
	Err error
	// Shown is the last thing the display showed.
	Shown *study.Taken
	// Refused are the refusals met, by id.
	Refused []string
	// Mend has a circuit repaired when a reading on it does not pass, and goes on. Found are the steps where that was so.
	Mend  bool
	Found []string
	// Answer, in an exam, gives one answer to whoever asks and sees to what is asked between two menus; it leaves the
	// session in S and reports whether the answer was taken. Nil: answers go to S.
	Answer func(raw string) bool
}

// Do gives answers, each to the question that is asked.
func (p *Pilot) Do(answers ...string) bool {
	for _, raw := range answers {
		if p.Err != nil {
			return false
		}
		if p.Answer != nil {
			if !p.Answer(raw) {
				return false
			}
			continue
		}
		q, ok := p.S.Question()
		if !ok {
			p.Err = fmt.Errorf("%q has no question: the session has ended", raw)
			return false
		}
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: raw}
		next, fb, err := p.S.Apply(ev)
		if err != nil {
			p.Err = err
			return false
		}
		p.S, p.Events = next, append(p.Events, ev)
		if fb.Shown != nil {
			p.Shown = fb.Shown
		}
		if p.Saw != nil {
			p.Saw(fb)
		}
		if fb.Refused {
			for _, n := range fb.Notes {
				p.Refused = append(p.Refused, n.ID+n.Params["what"])
			}
			return false
		}
	}
	return true
}

// offers reports whether the question offers an answer.
func (p *Pilot) offers(menu, say string) bool {
	if !p.Do(menu) {
		return false
	}
	q, _ := p.S.Question()
	has := slices.ContainsFunc(q.Options, func(o study.Option) bool { return o.Say == say })
	p.Do("back")
	return has
}

// try answers a menu if the answer is offered there.
func (p *Pilot) try(menu, say string, more ...string) {
	if menu == "circuit" && len(p.rig().Circuits) < 2 {
		return
	}
	if p.Err == nil && p.offers(menu, say) {
		p.Do(append([]string{menu, say}, more...)...)
	}
}

// Run works the session until it ends, a reading does not pass, or something is refused. Stop, if not nil, ends it
// before a step.
func (p *Pilot) Run(stop func(step *sequence.Step) bool) {
	for n := 0; n < 400 && p.Err == nil && p.S.Ended() == ""; n++ {
		i, ok := p.S.Next()
		if !ok {
			p.close()
			p.Do("finish")
			return
		}
		prog := p.S.Sheet().State().Program()
		st := &prog.Steps[i]
		if stop != nil && stop(st) {
			return
		}
		test := prog.Tests[st.Test].Name
		before := len(p.Refused)
		p.step(st, test)
		if len(p.Refused) > before {
			return
		}
		if j, ok := p.S.Next(); ok && j <= i && p.Err == nil { // it was read and does not pass
			if p.Found = append(p.Found, st.ID); !p.Mend || len(p.Found) > mostRepairs {
				return
			}
			p.mend(st)
		}
	}
}

// mostRepairs ends a session in which repairs do not help.
const mostRepairs = 6

// mend has the circuit of a step repaired.
func (p *Pilot) mend(st *sequence.Step) {
	p.isolate()
	if st.Circuit >= 0 {
		p.try("circuit", p.circuit(st.Circuit).ID)
	}
	p.Do("change", "repair")
}

func (p *Pilot) rig() *rig.Rig { return p.S.Setup().Program.Rig }

func (p *Pilot) circuit(i int) *rig.Circuit { return &p.rig().Circuits[max(i, 0)] }

// step takes the readings of one step.
func (p *Pilot) step(st *sequence.Step, test string) {
	c := p.circuit(st.Circuit)
	if st.Circuit >= 0 {
		p.try("circuit", c.ID)
	}
	if st.Want.Kind.Live() {
		p.live(st, c, test)
		return
	}
	switch test {
	case safety.TestZsCalculated:
		p.sum(st, c)
		return
	case safety.TestPolarity:
		p.observe(st)
		return
	}
	p.dead(st, c, test)
}

// stand is how the circuit and the board are set up for a dead test.
type stand struct {
	lifted []string // groups of conductor ends
	joins  []string
	points bool // instrument or join at the points
	board  bool // RCDs off
}

func (p *Pilot) dead(st *sequence.Step, c *rig.Circuit, test string) {
	line := wiring.Cores(c)[0]
	want := stand{}
	switch test {
	case safety.TestEarthing:
		want.lifted = []string{"earthing"}
	case safety.TestEnds:
		want.lifted = []string{"line", "neutral", "cpc"}
	case safety.TestCrossedLN:
		want = stand{lifted: []string{"line", "neutral", "cpc"}, joins: []string{"cross-line-neutral"}, points: true}
	case safety.TestCrossedLE:
		want = stand{lifted: []string{"line", "neutral", "cpc"}, joins: []string{"cross-line-cpc"}, points: true}
	case safety.TestInsulation:
		want.lifted = []string{"line", "neutral"}
	case safety.TestContinuity, safety.TestSwitching:
		want = stand{joins: []string{"join-" + line + "-cpc"}, points: true}
	case safety.TestLongLead:
		want.points = true
	case safety.TestOwnBar:
		want = stand{joins: []string{"join-line-neutral-far"}, points: true, board: true}
	case safety.TestBars:
		want.board = true
	}
	if test == safety.TestBonding {
		for _, part := range st.Parts {
			p.stand(st, stand{lifted: []string{"bond-" + part.ID}})
			p.read("low-ohm", "earthing", "bond-"+part.ID, st.ID+"/"+part.ID)
		}
		p.stand(st, stand{})
		return
	}
	p.stand(st, want)
	p.null(test)
	switch test {
	case safety.TestEarthing:
		p.read("low-ohm", "earthing", "earthing-conductor", st.ID)
	case safety.TestSupplyCable:
		p.read("low-ohm", "earthing", "supply-cable", st.ID)
	case safety.TestBars:
		for _, part := range st.Parts {
			p.read("low-ohm", "bars", part.ID, st.ID+"/"+part.ID)
		}
	case safety.TestEnds:
		for _, part := range st.Parts {
			k := map[string]string{"r1": "L", "rn": "N", "r2": "E"}[part.ID]
			p.read("low-ohm", "at-board", "leg1-"+k+"-leg2-"+k, st.ID+"/"+part.ID)
		}
	case safety.TestCrossedLN:
		p.read("low-ohm", "each-point", "L-N", st.ID)
	case safety.TestCrossedLE:
		p.read("low-ohm", "each-point", "L-E", st.ID)
	case safety.TestContinuity:
		for _, part := range st.Parts {
			if part.Line != "" && part.Line != line { // another line: its own join
				p.stand(st, stand{joins: []string{"join-" + part.Line + "-cpc"}, points: true})
				line = part.Line
			}
			p.read("low-ohm", c.Points[part.Point].ID, line+"-E", st.ID+"/"+part.ID)
		}
	case safety.TestLongLead:
		for _, part := range st.Parts {
			p.read("low-ohm", c.Points[part.Point].ID, "met-E", st.ID+"/"+part.ID)
		}
	case safety.TestSwitching:
		p.switching(st)
	case safety.TestOwnBar:
		for _, part := range st.Parts {
			p.read("low-ohm", "bars", "L-"+part.ID, st.ID+"/"+part.ID)
		}
	case safety.TestInsulation:
		volt := "500"
		if c.SPD || c.Electronics != "" {
			volt = "250"
		}
		for _, part := range st.Parts {
			p.Do("insulation", volt)
			p.read("", "at-board", part.ID, st.ID+"/"+part.ID)
		}
	}
	p.leadOff()
}

// read takes a reading, writes it where it belongs and says what the judge will say of it.
func (p *Pilot) read(function, place, pair, where string) {
	if function != "" {
		p.Do(function)
	}
	if p.exam() { // everything of a step is written in one row
		p.Do(place, pair)
		return
	}
	if p.Do(place, pair, "write", where) {
		p.claim()
	}
}

// claim says "pass" when asked; what the verdict is, the test reads off the schedule.
func (p *Pilot) claim() {
	if q, ok := p.S.Question(); ok && q.ID == "study/claim" {
		p.Do("pass")
	}
}

// null nulls the leads as they will be used.
func (p *Pilot) null(test string) {
	if test == safety.TestLongLead {
		p.Do("leads", "long-lead-on")
	}
	if test != safety.TestInsulation {
		p.Do("leads", "null")
	}
}

func (p *Pilot) leadOff() {
	for _, o := range p.S.Ledger() {
		if o.Class == safety.LongLead {
			p.Do("leads", "long-lead-off")
		}
	}
}
