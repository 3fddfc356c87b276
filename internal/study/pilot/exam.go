package pilot

import "wanderlead/internal/sequence"

func (p *Pilot) exam() bool { return p.S.Setup().Exam }

// Exam takes the next step of an exam: its measurements, then its readings on the
// schedule; after the last one everything is put back and the paper is handed in.
func (p *Pilot) Exam() {
	prog := p.S.Sheet().State().Program()
	for i := range prog.Steps {
		st := &prog.Steps[i]
		if p.entered(st) {
			continue
		}
		test := prog.Tests[st.Test].Name
		p.step(st, test)
		if st.Form != sequence.Observe && p.bench() {
			p.Do("write", st.ID)
		}
		return
	}
	p.close()
	if len(p.S.Ledger()) == 0 {
		p.Do("finish")
	}
}

// entered reports whether everything of a step is on the schedule.
func (p *Pilot) entered(st *sequence.Step) bool {
	done := p.S.Entered()
	for _, part := range st.Parts {
		if done[st.ID] == "" && done[st.ID+"/"+part.ID] == "" {
			return false
		}
	}
	return len(st.Parts) > 0
}

// bench reports whether the next answer goes to the bench itself.
func (p *Pilot) bench() bool {
	q, ok := p.S.Question()
	return ok && p.Err == nil && q.ID == "study/bench"
}

// prove goes round the board or the points of the circuit in view with the indicator.
func (p *Pilot) prove(place string) {
	if p.exam() {
		p.Do("isolate", "prove-"+place)
		return
	}
	p.Do("isolate", "prove-"+place, "before-and-after")
}
