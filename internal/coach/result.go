package coach

import (
	"strings"

	"wanderlead/internal/sequence"
)

// Result is everything that a session recorded for one reading or observation of
// its program, with where it belongs. Reports are made from results.
type Result struct {
	ID      string // id of the question: "ring-1/ends/r1"
	Test    string // the tests' names of package safety
	Form    sequence.Form
	Circuit int    // index into the rig's circuits, -1: the board
	RCD     int    // index into the program's RCDs, -1: none
	Part    string // "r1", "s4", "L-E", "one-0", "seen", "value"
	Label   string // the part in words, where it has any
	Point   int    // index of the circuit's point, -1: none
	Class   Class  // as it stands now; the entries keep the class they were typed with
	StepAt  int    // index of the step in the program
	Done    bool   // the step is done, with or without this reading
	// History holds every entry, the first typed first. Empty: nothing was recorded.
	History []*Entry
}

// Latest is the entry that counts, nil when nothing was recorded.
func (r *Result) Latest() *Entry {
	if len(r.History) == 0 {
		return nil
	}
	return r.History[len(r.History)-1]
}

// Stands reports whether the latest entry is a reading that still counts. It does
// not once it is to be done again, after a repair or because it was mistyped.
func (r *Result) Stands() bool { return r.Latest() != nil && r.Class != None }

// Results lists every reading and observation of the program, recorded or not, in
// the order in which the sequence asks for them.
func (s *State) Results() []Result {
	out := make([]Result, len(s.pl.parts))
	for p, ref := range s.pl.parts {
		st, part := &s.pl.p.Steps[ref.step], s.pl.part(p)
		out[p] = Result{
			ID: ref.id, Test: s.pl.testName(ref.step), Form: st.Form, Circuit: st.Circuit, RCD: st.RCD,
			Part: part.ID, Label: part.Label, Point: part.Point, Class: s.class[p], StepAt: ref.step, Done: s.done.has(ref.step),
		}
		for e := s.latest[p]; e != nil; e = e.Earlier {
			out[p].History = append([]*Entry{e}, out[p].History...)
		}
	}
	return out
}

// Entries lists every entry of the session in the order in which they were typed.
func (s *State) Entries() []*Entry {
	var out []*Entry
	for e := s.last; e != nil; e = e.Prev {
		out = append(out, e)
	}
	for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
		out[i], out[j] = out[j], out[i]
	}
	return out
}

// AcceptedNow lists the ids of the readings in doubt that the supervisor accepted
// and that still stand so.
func (s *State) AcceptedNow() []string {
	var ids []string
	for p, c := range s.class {
		if c == Accepted {
			ids = append(ids, s.pl.parts[p].id)
		}
	}
	return ids
}

// DoubtReason is the reason the supervisor gave for accepting the open doubts at the
// gate being asked now. It takes effect, and is empty again, once the gate is passed.
func (s *State) DoubtReason() string { return s.doubtReason }

// TestVoltage is the insulation test voltage in volts d.c. that this rig's circuit is
// tested with; -1 is the board.
func (s *State) TestVoltage(circuit int) string { return s.testVoltage(circuit) }

// NotApplicable reports whether the rig itself says that a reading does not apply.
func (s *State) NotApplicable(r *Result) bool {
	p, ok := s.pl.byID[r.ID]
	return ok && s.naByRig(p)
}

// SaidText is what an answer of an observation means in words: the text of the
// sequence's right or wrong answer with that word, else the word itself.
func (s *State) SaidText(r *Result, raw string) string {
	st := &s.pl.p.Steps[r.StepAt]
	for _, o := range append([]sequence.Option{st.Right}, st.Wrong...) {
		if o.Say == raw && strings.TrimSpace(o.Text) != "" {
			return o.Text
		}
	}
	return raw
}

// VerdictNow judges the reading's group afresh from the entries that count now, with
// what there is to say where no limit or list decides. Both are nil when the group is
// not complete.
func (s *State) VerdictNow(r *Result) (*Verdict, []Note) {
	p, ok := s.pl.byID[r.ID]
	if !ok {
		return nil, nil
	}
	g := s.groupOf(p)
	for _, q := range g {
		e := s.latest[q]
		if e == nil || s.class[q] == Pending || s.class[q] == None {
			return nil, nil
		}
		switch e.State {
		case Measured, OverRange, Calculated:
		default:
			return nil, nil
		}
	}
	_, v, notes := s.verdict(g)
	return v, notes
}
