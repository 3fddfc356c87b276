package study

import (
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/faults"
)

// named is what the learner says is wrong, in the trade's triple.
type named struct{ where, cores, kind string }

// Finding is the learner's answer to what is wrong on the circuit in view, against what is.
type Finding struct {
	Circuit            string
	Where, Cores, Kind string // as said
	// WhereRight, CoresRight, KindRight: that part of the answer agrees with one and the same fault. Near: a neighbouring place.
	WhereRight, CoresRight, KindRight, Near bool
	// Fault is the one the answer comes nearest to, nil when nothing is wrong on the circuit or the board.
	Fault *faults.Planting
	Route int // measurements taken so far
}

// Right reports whether the whole answer agrees.
func (n *Finding) Right() bool { return n.WhereRight && n.CoresRight && n.KindRight }

var (
	nameCores = []string{"L", "N", "E", "L-N", "L-E", "N-E", "all", "none"}
	nameKinds = []string{"open", "loose", "short", "leak", "exchanged", "elsewhere", "extra-cable", "wrong-part", "supply"}
)

// triples say of each kind of fault between which conductors it is and of what kind: what a fault-finder answers.
var triples = map[string][2]string{
	"F01": {"E", "open"}, "F02": {"L", "open"}, "F03": {"N", "open"}, "F04": {"all", "open"}, "F05": {"L", "loose"}, "F06": {"L", "loose"},
	"F07": {"N", "loose"}, "F08": {"E", "loose"}, "F08b": {"E", "loose"}, "F09": {"all", "extra-cable"}, "F10": {"all", "extra-cable"},
	"F11": {"all", "extra-cable"}, "F12": {"all", "extra-cable"}, "F13": {"all", "extra-cable"}, "F14": {"all", "extra-cable"},
	"F15": {"L-N", "exchanged"}, "F16": {"N-E", "exchanged"}, "F17": {"L-E", "exchanged"}, "F18": {"L-N", "exchanged"}, "F19": {"E", "wrong-part"},
	"F20": {"E", "open"}, "F21": {"E", "open"}, "F22": {"E", "open"}, "F23": {"L-E", "leak"}, "F24": {"L-E", "leak"}, "F25": {"L-N", "short"},
	"F26": {"N-E", "short"}, "F27": {"L-E", "short"}, "F28": {"N", "elsewhere"}, "F29": {"N", "elsewhere"}, "F30": {"N", "elsewhere"},
	"F31": {"L-N", "exchanged"}, "F32": {"L", "exchanged"}, "F33": {"E", "elsewhere"}, "F34": {"E", "open"}, "F35": {"E", "supply"},
	"F36": {"E", "open"}, "F37": {"E", "open"}, "F38": {"E", "supply"}, "F39": {"none", "wrong-part"}, "F40": {"none", "wrong-part"},
	"F41": {"none", "wrong-part"}, "F42": {"none", "wrong-part"}, "F43": {"none", "wrong-part"}, "F44": {"none", "wrong-part"},
	"F45": {"none", "wrong-part"}, "F46": {"L-N", "supply"},
}

// namePlaces are where something can be wrong: nowhere, the board, each point, each length of cable.
func (s *State) namePlaces() []Option {
	c := s.circuit()
	o := []Option{opt("nowhere"), opt("at-the-board")}
	for _, p := range c.Points {
		o = append(o, as(p.ID, "point", "point", p.ID, "label", p.Label))
	}
	for _, l := range c.Lengths() {
		from, to := or(l[0], "board"), or(l[1], "board")
		o = append(o, as(from+"-"+to, "length", "from", from, "to", to))
	}
	return o
}

// answerNamed holds the answer against what is wrong on the circuit in view and on the board, the fault it comes nearest
// to.
func (s *State) answerNamed(fb *Feedback) {
	said := s.naming
	s.naming = named{}
	best := &Finding{Circuit: s.circuit().ID, Where: said.where, Cores: said.cores, Kind: said.kind, Route: s.route}
	score := -1
	for i := range s.live {
		p := s.live[i]
		if p.Circuit != "" && p.Circuit != s.circuit().ID {
			continue
		}
		n := Finding{Circuit: best.Circuit, Where: said.where, Cores: said.cores, Kind: said.kind, Route: s.route, Fault: &p}
		n.WhereRight, n.Near = placed(p, said.where)
		t := triples[p.Kind]
		n.CoresRight, n.KindRight = said.cores == t[0], said.kind == t[1]
		k := 0
		for _, ok := range []bool{n.WhereRight, n.CoresRight, n.KindRight} {
			if ok {
				k++
			}
		}
		if k > score {
			score, best = k, &n
		}
	}
	if best.Fault == nil { // nothing is wrong here, or no longer
		best.WhereRight = said.where == "nowhere"
		best.CoresRight, best.KindRight = best.WhereRight, best.WhereRight
	}
	fb.Found = best
	fb.say("study.named."+s.namedHow(best), "circuit", best.Circuit)
	if best.Fault != nil && !best.Right() {
		s.saidRight("where", best.WhereRight, best.Near, fb)
		s.saidRight("cores", best.CoresRight, false, fb)
		s.saidRight("kind", best.KindRight, false, fb)
	}
	fb.say("study.named.route", "count", strconv.Itoa(s.route))
}

func (s *State) namedHow(n *Finding) string {
	switch {
	case n.Right() && n.Fault == nil:
		return "nothing"
	case n.Right():
		return "right"
	case n.Fault == nil:
		return "none-here"
	case n.Where == "nowhere":
		return "missed"
	}
	return "partly"
}

func (s *State) saidRight(part string, right, near bool, fb *Feedback) {
	how := "wrong"
	if right {
		how = "right"
	} else if near {
		how = "near"
	}
	fb.say("study.named." + part + "." + how)
}

// inLength are the kinds of fault that lie in a length of cable, atPoint those at a point; F19 is all along the cable and
// the rest in the board or the supply.
var (
	inLength = strings.Fields("F01 F02 F03 F04 F05 F06 F07 F08 F08b F20 F21 F33")
	atAPoint = strings.Fields("F09 F10 F11 F12 F13 F14 F15 F16 F17 F18 F22 F23 F24 F25 F26 F27 F29 F31 F32")
)

// placed reports whether a place is where the fault is, or next to it.
func placed(p faults.Planting, where string) (right, near bool) {
	switch {
	case slices.Contains(atAPoint, p.Kind):
		right = where == p.Point
		near = strings.HasPrefix(where, p.Point+"-") || strings.HasSuffix(where, "-"+p.Point)
	case slices.Contains(inLength, p.Kind):
		a, b := or(p.From, "board"), or(p.To, "board")
		right = where == a+"-"+b || where == b+"-"+a
		near = where == a || where == b || where == "at-the-board" && (a == "board" || b == "board")
	case p.Kind == "F19":
		right = where != "nowhere" && where != "at-the-board"
	default:
		right = where == "at-the-board"
	}
	return right, near && !right
}
