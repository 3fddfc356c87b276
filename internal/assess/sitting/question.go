package sitting

import (
	"slices"
	"strconv"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// Who a question is for.
type Who uint8

// The two of them.
const (
	Candidate Who = iota
	Assessor
)

// Question is what is asked now.
type Question struct {
	ID   string
	Who  Who
	Kind coach.QuestionKind
	Gate bool // a safety question, or a hidden code: nothing typed ahead counts
	// Coach: the question is the session's own, and is laid out from it.
	Coach   bool
	TextID  string // in the catalogue, when Coach is false
	Params  map[string]string
	Step    int // -1: none
	Options []coach.Option
	Parts   []string // ids of the readings asked for
	Halt    bool     // the candidate has been stopped: the answer is a decision with a reason
	Bench   bool     // a move at the bench, or what is written down there
}

// Functions lists what an instrument can be set to, as offered before every marked
// reading; the list is the same for all of them.
var Functions = []string{"low-ohm", "insulation", "voltage", "loop", "fault-current", "rcd"}

// FunctionOf is the function a test is read with.
func FunctionOf(test string) string {
	switch test {
	case safety.TestInsulation:
		return "insulation"
	case safety.TestSupply:
		return "voltage"
	case safety.TestZe, safety.TestZs, safety.TestElectrode:
		return "loop"
	case safety.TestPFC:
		return "fault-current"
	case safety.TestRCD:
		return "rcd"
	}
	return "low-ohm"
}

// Leads lists where the two leads can be said to be, before every marked reading: where
// the test wants them, with one of them on the earth bar instead, with both on one
// conductor.
var Leads = []string{LeadsRight, LeadsBar, LeadsSame}

// The places.
const (
	LeadsRight = "as-the-test"
	LeadsBar   = "earth-bar"
	LeadsSame  = "one-conductor"
)

// Looked reports whether a step is answered with what was seen: nothing is set or connected for it, and what was seen is
// the statement.
func Looked(st *sequence.Step) bool {
	return st.Form == sequence.Observe || st.Form == sequence.Inspect
}

// Calculated reports whether a test is worked out and not measured.
func Calculated(test string) bool { return test == safety.TestZsCalculated }

// Question returns what is asked now; ok is false when the exam has ended.
func (t *Sitting) Question() (Question, bool) {
	switch {
	case t.ended != "":
		return Question{}, false
	case t.assessor == "":
		return Question{ID: "assessor/name", Who: Assessor, Kind: coach.Line, TextID: "assess.ask.assessor", Step: -1}, true
	case t.codeHash == "":
		return Question{ID: "assessor/code", Who: Assessor, Kind: coach.Secret, Gate: true, TextID: "assess.ask.code", Step: -1}, true
	case t.halted:
		return Question{ID: "halt/" + strconv.Itoa(t.halts), Who: Assessor, Kind: coach.Choice, TextID: "assess.ask.halt", Step: -1, Halt: true,
			Options: options("assess.decide.", PutRight, PutRightCounts, EndHere)}, true
	}
	if t.err != nil {
		return Question{}, false
	}
	if t.bench != nil {
		if q, ok := t.stageQuestion(); ok {
			return q, true
		}
		return t.benchQuestion()
	}
	if h := t.holdDue(); h != "" {
		return Question{ID: "hold/" + h + "/code", Who: Assessor, Kind: coach.Secret, Gate: true, TextID: "assess.ask.hold." + h, Step: -1}, true
	}
	if q, ok := t.stageQuestion(); ok {
		return q, true
	}
	cq, ok := t.co.Question()
	if !ok {
		return Question{}, false
	}
	q := Question{ID: cq.ID, Kind: cq.Kind, Gate: cq.Gate, Coach: true, Step: cq.Step, Options: cq.Options, Parts: cq.PartIDs}
	if t.co.DueToAssessor() {
		q.Who = Assessor
		if unmet := t.checksDue(); len(unmet) > 0 {
			q = Question{ID: "check/" + t.set.Program.Steps[t.stepOf(unmet[0])].ID, Who: Assessor, Kind: coach.Line, Gate: true,
				TextID: "assess.ask.check", Step: t.stepOf(unmet[0]), Parts: unmet}
		}
	}
	return q, true
}

func options(prefix string, values ...string) []coach.Option {
	var out []coach.Option
	for _, v := range values {
		out = append(out, coach.Option{Value: v, TextID: prefix + v})
	}
	return out
}

// stageQuestion is a question round a marked reading, where one is due.
func (t *Sitting) stageQuestion() (Question, bool) {
	if t.stageStep < 0 {
		return Question{}, false
	}
	st := &t.set.Program.Steps[t.stageStep]
	test := t.set.Program.Tests[max(st.Test, 0)].Name
	q := Question{Kind: coach.Choice, Step: t.stageStep, Params: map[string]string{"step": st.ID}}
	if t.stage == stageFunction || t.stage == stageLeads {
		// Only while the reading itself is due: a proof or a pause may have come between.
		if cq, ok := t.co.Question(); !ok || !cq.Own || cq.Step != t.stageStep {
			return Question{}, false
		}
	}
	switch t.stage {
	case stageFunction:
		q.ID, q.TextID, q.Options = "function/"+st.ID, "assess.ask.function", options("assess.function.", Functions...)
	case stageLeads:
		q.ID, q.TextID = "leads/"+st.ID, "assess.ask.leads"
		q.Options = turned(q.ID, options("assess.leads."+test+".", Leads...))
	case stageState:
		q.ID, q.TextID, q.Options = "state/"+st.ID, "assess.ask.state", options("assess.state.", "pass", "fail")
	case stageWhy:
		q.ID, q.TextID, q.Options = "why/"+st.ID, "assess.ask.why", options("assess.why.", truth.Whys(test)...)
	default:
		return Question{}, false
	}
	return q, true
}

// turned puts options in an order that depends on the question alone.
func turned(id string, o []coach.Option) []coach.Option {
	n := 0
	for _, r := range id {
		n = (n*31 + int(r)) % 10007
	}
	n %= len(o)
	return append(slices.Clone(o[n:]), o[:n]...)
}

// holdDue is the hold point that waits for the assessor's code now: once the board is
// proved dead, before check readings at a gate, before the rig is handed back. Where
// the assessor types everything, and where no rig is worked on, there is none.
func (t *Sitting) holdDue() string {
	if t.set.Setting != paper.HoldPoints || t.stage >= stageState {
		return ""
	}
	switch q, ok := t.co.Question(); {
	case t.co.Facts().BoardDead && !slices.Contains(t.holds, "isolation"):
		return "isolation"
	case len(t.checksDue()) > 0 && !slices.Contains(t.holds, "gate"):
		return "gate"
	case ok && q.Own && q.Step >= 0 && t.set.Program.Steps[q.Step].Form == sequence.Finish && !slices.Contains(t.holds, "reinstatement"):
		return "reinstatement"
	}
	return ""
}

// checksDue lists the readings of one step that the assessor has to take before the
// gate that is due can open. No candidate's reading opens one.
func (t *Sitting) checksDue() []string {
	unmet := t.co.Unmet()
	if len(unmet) == 0 {
		return nil
	}
	step := t.stepOf(unmet[0])
	return slices.DeleteFunc(unmet, func(id string) bool { return t.stepOf(id) != step })
}

func (t *Sitting) stepOf(part string) int {
	for i := range t.set.Program.Steps {
		if slices.Contains(t.co.PartsOf(i), part) {
			return i
		}
	}
	return -1
}
