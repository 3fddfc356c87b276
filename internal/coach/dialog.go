package coach

// The questions a session puts of its own accord: after a reading that failed or is
// in doubt, and after `stop`.

// Answers to "the reading fails: what was it?".
const (
	decideTyped  = "typed-wrong"
	decideLead   = "lead"
	decideNull   = "null"
	decideSwitch = "switch"
	decideLoad   = "load"
	decideRepair = "repair"
	decideLeave  = "leave"
	decideRepeat = "repeat"
	decideGoOn   = "go-on"
)

func (s *State) dialogQuestion() Question {
	if s.dialog == askStop {
		q := Question{ID: "stop/what", Kind: Choice, Step: -1, TextID: "ask.stop"}
		for _, v := range stopAnswers {
			q.Options = append(q.Options, Option{Value: v, TextID: "option.stop." + v})
		}
		return q
	}
	part := s.pl.parts[s.dialogPart]
	q := Question{ID: part.id + "/decide", Kind: Choice, Step: part.step, Gate: true, Params: params("part", part.id)}
	values := []string{decideRepeat, decideTyped, decideGoOn}
	q.TextID = "ask.doubt"
	if s.dialog == askFailed {
		q.TextID = "ask.fail"
		values = []string{decideTyped, decideLead, decideNull, decideSwitch, decideLoad, decideRepair, decideLeave}
	}
	q.Options = append(q.Options, notYet())
	for _, v := range values {
		q.Options = append(q.Options, Option{Value: v, TextID: "option.decide." + v})
	}
	return q
}

// stopAnswers are what can have happened, worst first.
var stopAnswers = []string{"harm", "voltage-found", "other-hands", "key-handed-over", "left-bay", "supervisor-left",
	"someone-joined", "pause", "leave"}
