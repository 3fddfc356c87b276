package lint

import (
	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
)

// papers checks every exam paper there is.
func (c *check) papers() error {
	names, err := paper.Names(c.lib)
	if err != nil {
		return err
	}
	for _, n := range names {
		if err := c.paper(n); err != nil {
			return err
		}
	}
	return nil
}

// paper checks one paper, on its rig and sequence.
func (c *check) paper(name string) error {
	e, err := exam.Load(c.lib, name)
	if err != nil {
		if !c.complain("paper", err) {
			return err
		}
		return nil
	}
	for _, p := range e.Problems() {
		c.rep.Problems = append(c.rep.Problems, Problem{Error: p, Rule: "paper"})
	}
	c.checked("paper", name)
	return nil
}
