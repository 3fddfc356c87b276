package sequence

import (
	"slices"

	"wanderlead/safety"
)

// Measurements returns the program with nothing left in it but what is measured or seen on the installation, in the
// sequence's order: no gate, no act, no choice, no look with the eyes alone. It is for whoever decides the rest
// himself, on a rig that is only computed.
func (p *Program) Measurements() *Program {
	q := *p
	q.Steps, q.steps, q.Items = nil, map[string]int{}, nil
	for i := range p.Steps {
		st := p.Steps[i]
		read := st.Form == Read && len(st.Parts) > 0 || st.Form == Observe
		if !read || st.Test < 0 || p.Tests[st.Test].Name == safety.TestInstrument {
			continue
		}
		st.Opens, st.Closes = -1, -1
		q.steps[st.ID] = len(q.Steps)
		q.Steps = append(q.Steps, st)
	}
	q.Needs = slices.DeleteFunc(slices.Clone(p.Needs), func(n Need) bool { return n.Test == safety.TestInspection })
	return &q
}
