package study

import (
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/signature"
	"wanderlead/internal/wiring"
	"wanderlead/safety"
)

// menu is what is being asked.
type menu string

const (
	atBench   menu = ""
	atVoltage menu = "test-voltage"
	atRCDTest menu = "rcd-test"
	atLoop    menu = "loop-kind"
	atPlace   menu = "place"
	atPair    menu = "pair"
	atChange  menu = "change"
	atHome    menu = "home" // where conductor ends go back to
	atSwitch  menu = "switch"
	atIsolate menu = "isolate"
	atLock    menu = "lock"
	atProve   menu = "prove"
	atLeads   menu = "leads"
	atCircuit menu = "circuit"
	atWrite   menu = "write"
	atClaim   menu = "claim"
	atSee     menu = "see"
	atSeen    menu = "seen"
	atSum     menu = "sum"
	atName    menu = "name" // what is wrong: where, between which conductors, what kind
	atCores   menu = "cores"
	atKind    menu = "kind"
)

// Question is what is asked now: one of the options, or a line when there are none.
type Question struct {
	ID      string
	Text    coach.Note // in the catalogue of words
	Options []Option
	Parts   []string // in an exam: the readings that are asked for
}

// Option is one answer with its text in the catalogue.
type Option struct {
	Say  string
	Text coach.Note
}

func opt(say string, params ...string) Option {
	return Option{say, coach.Note{ID: "study.opt." + say, Params: pairs(params)}}
}

// as is an option whose text is that of another word, with something filled in.
func as(say, text string, params ...string) Option {
	return Option{say, coach.Note{ID: "study.opt." + text, Params: pairs(params)}}
}

func pairs(kv []string) map[string]string {
	m := map[string]string{}
	for i := 0; i+1 < len(kv); i += 2 {
		m[kv[i]] = kv[i+1]
	}
	return m
}

func note(id string, params ...string) coach.Note { return coach.Note{ID: id, Params: pairs(params)} }

// back leaves a menu with nothing changed.
const back = "back"

// Question says what is asked now; ok is false once the session has ended.
func (s *State) Question() (q Question, ok bool) {
	if s.ended != "" {
		return Question{}, false
	}
	if s.set.Exam {
		if q, ok := s.examQuestion(); ok {
			return q, true
		}
	}
	name := string(s.ask)
	if s.ask == atBench {
		name = "bench"
	}
	c := s.circuit()
	q = Question{ID: "study/" + name, Text: note("study.ask."+name, "circuit", c.ID, "number", c.Number, "description", c.Description)}
	switch s.ask {
	case atBench:
		q.Options = s.benchOptions()
		return q, true
	case atSum:
		return q, true
	case atVoltage:
		q.Options = []Option{as("250", "test-voltage", "volt", "250"), as("500", "test-voltage", "volt", "500"), as("1000", "test-voltage", "volt", "1000")}
	case atLoop:
		q.Options = []Option{opt("no-trip"), opt("high-current")}
	case atRCDTest:
		for _, w := range append(slices.Clone(rcdTests), "auto") {
			q.Options = append(q.Options, as(w, "rcd."+w))
		}
	case atPlace:
		q.Options = s.places()
	case atPair:
		q.Options = s.pairsAt(s.pick.place)
	case atChange:
		q.Options = s.changes()
	case atHome:
		q.Options = s.homes(s.pick.end)
	case atSwitch:
		q.Options = s.switchable()
	case atIsolate:
		q.Options = s.isolateOptions()
	case atLock:
		q.Options = []Option{opt("key-in-lock"), opt("own-padlock"), opt("tape")}
	case atProve:
		q.Options = []Option{opt("pen"), opt("pairs-only"), opt("before-and-after", "source", s.rig().Isolation.ProvingSource)}
	case atLeads:
		q.Options = []Option{opt("null"), opt("null-loose"), opt("long-lead-on"), opt("long-lead-off"), opt("null-clear")}
	case atCircuit:
		for i := range s.rig().Circuits {
			x := &s.rig().Circuits[i]
			q.Options = append(q.Options, as(x.ID, "circuit", "number", x.Number, "description", x.Description))
		}
	case atWrite:
		if s.set.Exam {
			q.Options = s.enterable()
		} else {
			q.Options = s.writable()
		}
	case atClaim:
		q.Text.Params["what"] = strings.Join(s.claim, ", ")
		q.Options = []Option{opt("pass"), opt("doubt"), opt("fail")}
		return q, true // a judgement is owed for what was written down
	case atSee:
		q.Options = s.seeable()
	case atName:
		q.Options = s.namePlaces()
	case atCores:
		for _, c := range nameCores {
			q.Options = append(q.Options, as(c, "cores", "cores", c))
		}
	case atKind:
		for _, k := range nameKinds {
			q.Options = append(q.Options, opt("kind."+k))
			q.Options[len(q.Options)-1].Say = k
		}
	case atSeen:
		st, _ := s.seenStep()
		for _, o := range append([]sequence.Option{st.Right}, st.Wrong...) {
			q.Options = append(q.Options, Option{o.Say, note("study.opt.word", "text", o.Text)})
		}
		slices.SortStableFunc(q.Options, func(a, b Option) int { return strings.Compare(a.Say, b.Say) })
	}
	q.Options = append(q.Options, opt(back))
	return q, true
}

func (s *State) benchOptions() []Option {
	if s.set.Exam {
		return s.examBench()
	}
	var o []Option
	if s.last != nil {
		o = append(o, opt("write"))
	}
	o = append(o, opt(string(signature.LowOhm)), opt(string(signature.Insulating)), opt(string(signature.Volts)),
		opt("loop"), opt(string(signature.FaultAmps)))
	if len(s.program().RCDs) > 0 {
		o = append(o, opt("rcd"))
	}
	o = append(o, opt("see"), opt("change"), opt("switch"), opt("isolate"), opt("leads"))
	if s.hasSum() {
		o = append(o, opt("sum"))
	}
	if len(s.rig().Circuits) > 1 {
		o = append(o, opt("circuit"))
	}
	if len(s.live) > 0 || len(s.set.Plantings) > 0 {
		o = append(o, opt("name", "number", s.circuit().Number))
	}
	return append(o, opt("look"), opt("hint"), opt("finish"), opt("leave"))
}

func (s *State) hasSum() bool {
	for i := range s.program().Steps {
		if s.testName(i) == safety.TestZsCalculated {
			return true
		}
	}
	return false
}

func (s *State) testName(step int) string {
	if t := s.program().Steps[step].Test; t >= 0 {
		return s.program().Tests[t].Name
	}
	return ""
}

// places are where the leads can go.
func (s *State) places() []Option {
	c := s.circuit()
	o := []Option{opt("at-board", "circuit", c.ID, "number", c.Number)}
	n := 0
	for _, p := range c.Points {
		if p.Kind != rig.Switchbox {
			n++
		}
	}
	if n > 1 {
		o = append(o, opt("each-point", "circuit", c.ID, "number", c.Number))
	}
	for _, p := range c.Points {
		if p.Kind == rig.Switchbox && c.Shape == rig.Lighting {
			continue
		}
		o = append(o, as(p.ID, "point", "point", p.ID, "label", p.Label))
	}
	if len(c.Switches) > 0 {
		o = append(o, opt("positions"))
	}
	o = append(o, opt("bars"), opt("earthing"), opt("origin"))
	if s.pick.function == signature.LowOhm || s.pick.function == signature.Insulating {
		o = append(o, opt("tips"))
	}
	return o
}

// pairsAt are the pairs of terminals at a place.
func (s *State) pairsAt(place string) []Option {
	c := s.circuit()
	cores := wiring.Cores(c)
	var o []Option
	add := func(say string) { o = append(o, as(say, "pair", "pair", say)) }
	between := func(cores []string) {
		for i, a := range cores {
			for _, b := range cores[i+1:] {
				add(a + "-" + b)
			}
		}
	}
	switch place {
	case "at-board":
		if c.Shape == rig.Ring {
			for _, k := range cores {
				o = append(o, as("leg1-"+k+"-leg2-"+k, "legs", "core", k))
			}
		}
		between(cores)
		o = append(o, opt("LN-E"))
	case "bars":
		bars := s.rig().Bars()
		for _, b := range bars {
			o = append(o, as("L-"+b, "line-bar", "bar", b))
		}
		for i, a := range bars {
			for _, b := range bars[i+1:] {
				add(a + "-" + b)
			}
		}
	case "earthing":
		o = append(o, opt("earthing-conductor"))
		for _, b := range s.rig().Earthing.Bonds {
			o = append(o, as("bond-"+b.ID, "bond", "bond", b.ID, "to", b.To))
		}
		if s.rig().Earthing.SupplyCable != "" {
			o = append(o, opt("supply-cable"))
		}
	case "origin":
		lines := []string{"L"}
		if s.rig().Supply.Phases == 3 {
			lines = []string{"L1", "L2", "L3"}
		}
		between(append(slices.Clone(lines), "N", "E"))
		for _, k := range append(lines, "N") {
			o = append(o, as(k+"-lifted", "line-lifted", "line", k))
		}
	case "tips":
		o = append(o, opt("joined"), opt("apart"))
	case "positions":
		o = append(o, opt("SL-E"), opt("SL-N"))
	default:
		between(cores)
		o = append(o, opt("LN-E"), opt("met-E"))
	}
	return o
}
