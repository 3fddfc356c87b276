package coach

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Cast is who and what the right answers of a session name. Code is what the front
// would hand over for the supervisor's code: its hash.
type Cast struct {
	Supervisor, Code string
	Padlock          string // on the point of isolation
	MainPadlock      string // on the main switch
	People           string
	Reason           string
	TestedBy         string
	Instrument       string
	Calibration      string
}

// RightAnswer is what somebody who does everything right would answer now, with the
// readings that the rig as described would give. The linter walks sequences with
// it, and scripts are written from it. It is empty when the session has ended.
func (s *State) RightAnswer(c Cast) string {
	d := s.due()
	switch d.kind {
	case dueNothing:
		return ""
	case dueSupervisorName:
		return c.Supervisor
	case dueSupervisorCode:
		return c.Code
	case dueDialog:
		if s.harmed && s.dialog != askStop {
			return harmAnswers[0]
		}
		return map[dialog]string{askStop: "pause", askFailed: s.rightDecision(), askDoubted: decideGoOn}[s.dialog]
	case dueTests:
		if _, step := s.firstMissing(d.want); step >= 0 {
			return "do-now"
		}
		return decideLeave
	case dueBarred:
		return decideLeave
	case dueFact:
		return s.rightFact(d, c)
	}
	return s.rightStep(d.step, c)
}

// rightDecision is what a fail is in a walk: a lead put right, or a repair of what was
// seen, or of what reads the same once more. What was typed of the circuit before may be
// what is wrong; after a repair all of it is read again.
func (s *State) rightDecision() string {
	if s.dialogPart < 0 {
		return decideLead
	}
	offered := s.failAnswers(s.pl.parts[s.dialogPart].step)
	if offered[1] == decideRepair {
		return decideRepair
	}
	if e := s.latest[s.dialogPart]; slices.Contains(offered, decideRepair) && e.Earlier != nil && e.Earlier.Class == Fail && e.Earlier.Raw == e.Raw {
		return decideRepair
	}
	return decideLead
}

func (s *State) rightFact(d due, c Cast) string {
	switch d.fact {
	case safety.FactLock:
		return firstOf(s.padlock, free(s.mainPadlock, c))
	case safety.FactMainLock:
		return firstOf(s.mainPadlock, free(s.padlock, c, c.MainPadlock))
	case safety.FactPeople:
		return c.People
	case safety.FactDoubts:
		return c.Reason
	case safety.FactSupervisor:
		return s.codeHash
	case safety.FactDead:
		p := s.roundPlace(d.want)
		stage := safety.NoRound
		if s.facts.RoundAt == p {
			stage = s.facts.Round
		}
		switch stage {
		case safety.NoRound:
			return "two-pole"
		case safety.IndicatorProved:
			return RightPairs(s.phasesAt(p), s.pointsAt(p))
		}
		return "works"
	}
	return s.choiceFor(d).right
}

// RightPairs is a line that proves a place dead: every pair with nothing shown.
func RightPairs(phases, points int) string {
	var b strings.Builder
	for i, p := range safety.DeadPairs(phases) {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(p + " 0")
	}
	if points > 1 {
		fmt.Fprintf(&b, ", points %d", points)
	}
	return b.String()
}

// free is a padlock that is not the one in use elsewhere: the one meant first, if any.
func free(used string, c Cast, first ...string) string {
	for _, lock := range append(first, c.Padlock, c.MainPadlock) {
		if lock != used {
			return lock
		}
	}
	return c.Padlock
}

func firstOf(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (s *State) rightStep(step int, c Cast) string {
	st := &s.pl.p.Steps[step]
	switch st.Form {
	case sequence.Read, sequence.Inspect, sequence.Observe:
		if st.Right.Say != "" {
			return st.Right.Say
		}
		var words []string
		for _, p := range s.remaining(step) {
			words = append(words, s.RightReading(p))
		}
		return strings.Join(words, " ")
	case sequence.Note:
		// A day far ahead: what is right today has to be right whenever it is replayed.
		return map[string]string{"tested-by": firstOf(c.TestedBy, "A. Learner"), "instrument/number": firstOf(c.Instrument, "BY-07"),
			noteCalibration: firstOf(c.Calibration, "2099-01-31"),
			noteLabel:       firstOf(c.Instrument, "BY-07") + " " + firstOf(c.Calibration, "2099-01-31")}[st.ID]
	case sequence.Declare:
		return firstOf(s.pl.r.Supply.Declared.Source, "supervisor's commissioning sheet")
	case sequence.Accept:
		return s.codeHash
	case sequence.Gate:
		return "on"
	}
	if st.Choose != "" {
		right, _ := s.drawnAnswers(st)
		return right
	}
	return st.Right.Say
}

const over = ">1999"

// RightReading is the reading that the rig as described would give for a part: its
// commissioned reading, else what lengths and impedances come to.
func (s *State) RightReading(part int) string {
	p := s.pl.part(part)
	step := s.pl.parts[part].step
	test := s.pl.testName(step)
	if p.Right != "" {
		return p.Right
	}
	if r, ok := s.pl.refRaw[part]; ok {
		return r
	}
	st := &s.pl.p.Steps[step]
	var c *rig.Circuit
	if st.Circuit >= 0 {
		c = &s.pl.r.Circuits[st.Circuit]
	}
	switch test {
	case safety.TestInstrument:
		if strings.HasSuffix(p.ID, "open") {
			return over
		}
		return "0.00"
	case safety.TestBars, safety.TestSupplyCable:
		return over
	case safety.TestInsulation:
		return ">999"
	case safety.TestSwitching:
		return map[string]string{"up-up": "reads", "down-down": "reads", "on": "reads"}[p.ID] +
			map[string]string{"up-down": "open", "down-up": "open", "off": "open"}[p.ID]
	case safety.TestSupply:
		return s.rightVoltage(p.ID)
	case safety.TestRCD:
		return s.rightRCD(st, p.ID)
	case safety.TestOwnBar:
		if p.ID != s.pl.r.BarOf(c) {
			return over
		}
	}
	return fmt.Sprintf("%.2f", s.rightOhm(part, test, p, c))
}

func (s *State) rightOhm(part int, test string, p *sequence.Part, c *rig.Circuit) float64 {
	pl := s.pl
	sup := &pl.r.Supply
	switch test {
	case safety.TestEarthing:
		return float64(pl.milli(pl.r.Earthing.ConductorMM2) / 1000 * pl.r.Earthing.ConductorM)
	case safety.TestBonding:
		for _, b := range pl.r.Earthing.Bonds {
			if b.ID == p.ID {
				return float64(pl.milli(b.MM2) / 1000 * b.LengthM)
			}
		}
	case safety.TestEnds:
		mm2 := map[string]float64{"r1": c.Cable.LineMM2, "rn": c.Cable.LineMM2, "r2": c.Cable.CPCMM2}[p.ID]
		return float64(pl.milli(mm2) / 1000 * ringM(c))
	case safety.TestCrossedLN:
		return pl.crossedOhm(c, p.Point, c.Cable.LineMM2)
	case safety.TestCrossedLE:
		return pl.crossedOhm(c, p.Point, c.Cable.CPCMM2)
	case safety.TestContinuity:
		return float64(pl.perMetre(c.Cable.LineMM2, c.Cable.CPCMM2) * pl.wayM(c, p.Point))
	case safety.TestLongLead:
		if way, total := pl.ringWay(c, p.Point); c.Shape == rig.Ring && total > 0 {
			x := way / total // both halves of the closed ring in parallel
			return float64(pl.milli(c.Cable.CPCMM2) / 1000 * (float64(total*x*(1-x)) + pl.spurM(c, p.Point)))
		}
		return float64(pl.milli(c.Cable.CPCMM2) / 1000 * pl.wayM(c, p.Point))
	case safety.TestOwnBar:
		far := sequence.FarPoint(c)
		if c.Shape == rig.Ring {
			if r, ok := s.ringLoop(c, far); ok {
				return r
			}
		}
		return float64(pl.perMetre(c.Cable.LineMM2, c.Cable.LineMM2) * pl.wayM(c, far))
	case safety.TestZe, safety.TestElectrode:
		return pl.rightZe()
	case safety.TestPFC:
		z := sup.LineOhm + sup.NeutralOhm
		if pairKind(p.ID) == "L-E" || z <= 0 {
			z = pl.rightZe()
		}
		return sup.VoltageV / z / 1000
	case safety.TestZs:
		return s.zeOhm() + pl.loopOhm(c, p.Point)
	case safety.TestZsCalculated:
		return s.zeOhm() + s.r1r2(indexOf(pl.r, c)).Value
	}
	return 0
}

func (s *State) zeOhm() float64 {
	if r := s.ze(); r.IsNumber() {
		return r.Value
	}
	return s.pl.rightZe()
}

func (pl *plan) rightZe() float64 {
	switch s := &pl.r.Supply; {
	case s.Earthing == rig.TT && pl.r.Earthing.Electrode != nil:
		return pl.r.Earthing.Electrode.Ohm + s.LineOhm + s.EarthOhm
	case s.LineOhm+s.EarthOhm > 0:
		return s.LineOhm + s.EarthOhm
	case s.Declared.ZeOhm > 0:
		return s.Declared.ZeOhm
	}
	return 0.30
}

// loopOhm is R1+R2 in Ω to a point with the circuit connected as for use.
func (pl *plan) loopOhm(c *rig.Circuit, point int) float64 {
	per := pl.perMetre(c.Cable.LineMM2, c.Cable.CPCMM2)
	if c.Shape != rig.Ring {
		return float64(per * pl.wayM(c, point))
	}
	x, spur := pl.onRing(c, point)
	total := ringM(c)
	return float64(per * (float64(total*x*(1-x)) + spur))
}

// crossedOhm is the reading in Ω at a point of a ring with line and the other
// conductor cross-connected at the board: two ways in parallel, each out on one
// conductor of one leg and back on the other conductor of the other leg.
func (pl *plan) crossedOhm(c *rig.Circuit, point int, backMM2 float64) float64 {
	x, spur := pl.onRing(c, point)
	m := ringM(c)
	r1, rx := float64(pl.milli(c.Cable.LineMM2)/1000*m), float64(pl.milli(backMM2)/1000*m)
	a, b := float64(x*r1)+float64((1-x)*rx), float64((1-x)*r1)+float64(x*rx)
	if a+b == 0 {
		return 0
	}
	return a*b/(a+b) + float64(pl.perMetre(c.Cable.LineMM2, backMM2)*spur)
}

// onRing is where on the ring a point is, as the share of its length from leg 1,
// and the length in metres of the spur it hangs on.
func (pl *plan) onRing(c *rig.Circuit, point int) (share, spurM float64) {
	spurM = pl.spurM(c, point)
	for i, n := point, 0; c.Points[i].From != "" && n <= len(c.Points); n++ {
		for j, p := range c.Points {
			if p.ID == c.Points[i].From {
				i = j
				break
			}
		}
		point = i
	}
	at := 0.0
	for i := 0; i <= point; i++ {
		if c.Points[i].From == "" {
			at += c.Points[i].LengthM
		}
	}
	if t := ringM(c); t > 0 {
		return at / t, spurM
	}
	return 0, spurM
}

// ringM is the length of a ring in metres, from the board round and back.
func ringM(c *rig.Circuit) float64 {
	m := c.ReturnM
	for _, p := range c.Points {
		if p.From == "" {
			m += p.LengthM
		}
	}
	if c.Padding != nil {
		m += c.Padding.StandsForM
	}
	return m
}

func (s *State) rightVoltage(pair string) string {
	v := s.pl.r.Supply.VoltageV
	switch {
	case pair == "N-E":
		return "0"
	case len(pair) == 5:
		v = float64(v * math.Sqrt(3))
	}
	return fmt.Sprintf("%.0f", v)
}

func (s *State) rightRCD(st *sequence.Step, part string) string {
	d := s.pl.p.RCDs[max(st.RCD, 0)]
	ms := d.TripMS
	if ms <= 0 {
		ms = 28
		if d.Delay == "S" {
			ms = 200
		}
	}
	switch part {
	case "half-0", "half-180":
		return "no-trip"
	case "one-0":
		return fmt.Sprintf("%.0f", ms)
	case "one-180":
		return fmt.Sprintf("%.0f", ms-3)
	case "ramp":
		if d.TripMA > 0 {
			return fmt.Sprintf("%.0f", d.TripMA)
		}
		return fmt.Sprintf("%.0f", float64(0.75*d.IdnMA))
	}
	if d.Delay == "S" {
		return fmt.Sprintf("%.0f", ms/2)
	}
	return fmt.Sprintf("%.0f", math.Min(ms/2, 35))
}
