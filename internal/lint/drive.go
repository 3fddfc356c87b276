package lint

import (
	"fmt"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// maxAnswers bounds the drive. A right run of a large board asks a few hundred things.
const maxAnswers = 4000

// soonReading is within how many answers a session gets to its first reading.
const soonReading = 30

// rightCast is who the drive says is there.
var rightCast = coach.Cast{Supervisor: "supervisor", Code: "code", Padlock: "4417", MainPadlock: "4418",
	People: "everyone near the rig", Reason: "compared with the second instrument", Instrument: "instrument"}

// Drive is what came of answering everything right.
type Drive struct {
	Answers      int    // answers given
	FirstReading int    // answers given when the first reading was asked for, -1 when none was
	Ended        string // "complete", "left", or "" when it went on past the bound
	Supply       safety.Supply
	GatePassed   bool
}

// drive works through a program with right answers: it has to come to a complete end, with every reading asked for once.
func (l *linter) drive(p *sequence.Program) Drive {
	d := l.driven(p, coach.New(coach.Setup{Program: p, Pack: l.pack, Rules: l.rules}))
	if d.FirstReading > soonReading {
		l.remark("drive", p.Seq.At(), "put less before it", "the first reading comes after %d answers; people lose the thread after %d", d.FirstReading, soonReading)
	}
	return d
}

func (l *linter) driven(p *sequence.Program, s *coach.State) Drive {
	d := Drive{FirstReading: -1}
	read := map[string]bool{}
	for ; d.Answers < maxAnswers && s.Ended() == ""; d.Answers++ {
		q, ok := s.Question()
		if !ok {
			break
		}
		st := stepOf(p, q)
		if q.Own && st != nil && st.Form == sequence.Read {
			if d.FirstReading < 0 {
				d.FirstReading = d.Answers
			}
			if read[q.ID] {
				l.at("drive", st, "", "with every answer right, %s is asked for twice", q.ID)
				return d
			}
			read[q.ID] = true
		}
		answer := s.RightAnswer(rightCast)
		next, fb, err := s.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: answer})
		if err != nil {
			l.add("drive", atOf(p, st), "", "question %s takes no answer: %v", q.ID, err)
			return d
		}
		if q.Barred || q.ID == "gate/tests" {
			l.barred(p, s, q, st)
			return d
		}
		if !l.rightTaken(p, q, st, answer, fb) {
			return d
		}
		s = next
		f := s.Facts()
		d.Supply = f.Supply
		d.GatePassed = d.GatePassed || f.Supply == safety.Incoming || f.Supply == safety.On
	}
	if d.Ended = s.Ended(); d.Ended != "complete" {
		l.add("drive", p.Seq.At(), "", "with every answer right the sequence does not come to an end within %d answers", maxAnswers)
	}
	return d
}

// rightTaken complains about a right answer that was refused, or a right reading that fails. A doubt is only worth a
// remark: the supervisor can accept it.
func (l *linter) rightTaken(p *sequence.Program, q coach.Question, st *sequence.Step, answer string, fb coach.Feedback) bool {
	switch {
	case fb.Refused != "":
		l.add("drive", atOf(p, st), "", "the right answer %q to %s is refused (%s)", answer, q.ID, fb.Refused)
		return false
	case fb.Class == coach.Fail:
		l.add("drive", atOf(p, st), "compare the rig's description with its reference readings", "the readings of the rig as described, %q, fail at %s%s", answer, q.ID, because(fb))
		return false
	case fb.Class == coach.Doubt:
		l.remark("drive", atOf(p, st), "compare the rig's description with its reference readings", "the readings of the rig as described, %q, leave a doubt at %s%s", answer, q.ID, because(fb))
	}
	return true
}

func because(fb coach.Feedback) string {
	if fb.Verdict == nil || len(fb.Verdict.Reasons) == 0 {
		return ""
	}
	var ids []string
	for _, r := range fb.Verdict.Reasons {
		ids = append(ids, r.ID)
	}
	return " (" + strings.Join(ids, ", ") + ")"
}

func (l *linter) barred(p *sequence.Program, s *coach.State, q coach.Question, st *sequence.Step) {
	what := q.Params["what"]
	if what == "" {
		what = string(q.Fact)
	}
	if open := s.OpenItems(); q.Fact == safety.FactLedger && len(open) > 0 {
		what = fmt.Sprintf("%s is open", open[0].ID)
	}
	l.add("drive", atOf(p, st), "", "with every answer right the work stops here for good: %s", what)
}

func stepOf(p *sequence.Program, q coach.Question) *sequence.Step {
	if q.Step < 0 || q.Step >= len(p.Steps) {
		return nil
	}
	return &p.Steps[q.Step]
}

func atOf(p *sequence.Program, st *sequence.Step) content.Value {
	if st == nil {
		return p.Seq.At()
	}
	return st.At
}
