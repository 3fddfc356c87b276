package journal

import (
	"fmt"
	"slices"
	"unicode/utf8"
)

var eventTypes = []string{TypeAnswer, TypeCorrect, TypeStop, TypeObserve, TypeRemark, TypePause, TypeResume, TypeDecide, TypeTime}

// checker collects what is wrong with a line before it is written, so that all
// is told at once.
type checker struct {
	line string
	errs []error
}

func (c *checker) fail(field, what string) {
	c.errs = append(c.errs, &FieldError{Field: c.line + " " + field, What: what})
}

func (c *checker) text(field, v string) {
	if !utf8.ValidString(v) {
		c.fail(field, fmt.Sprintf("%q is not valid UTF-8; ask again, a record holds UTF-8 only", v))
	}
}

func (c *checker) required(field, v string) {
	c.text(field, v)
	if v == "" {
		c.fail(field, "is empty, a value is needed")
	}
}

func (c *checker) texts(field string, m map[string]string) {
	for k, v := range m {
		c.text(field, k)
		c.text(field+" "+k, v)
	}
}

func (c *checker) content(field string, v Content) {
	c.required(field+" name", v.Name)
	c.text(field+" text", v.Text)
}

func checkHeader(h *Header) []error {
	c := &checker{line: KindHeader}
	c.required("version", h.Version)
	c.required("created", h.Created)
	c.required("session", h.Session)
	c.required("edition", h.Edition)
	c.text("mode", h.Mode)
	c.content("sequence", h.Sequence)
	c.content("rig", h.Rig)
	c.content("pack", h.Pack)
	for i, v := range h.Included {
		c.content(fmt.Sprintf("included %d", i+1), v)
	}
	for _, v := range h.Hidden {
		c.required("hidden", v)
	}
	c.texts("fields", h.Fields)
	if h.Mode == ModeAssess && h.Seed != nil {
		c.fail("seed", "is given in an exam; leave it out, a candidate could work out the faults from it")
	}
	return c.errs
}

func checkEvent(e *Event, hidden []string) []error {
	c := &checker{line: KindSaid}
	c.required("time", e.Time)
	if !slices.Contains(eventTypes, e.Type) {
		c.fail("type", fmt.Sprintf("%q is not a type of event: %v", e.Type, eventTypes))
	}
	c.text("at", e.At)
	c.text("shown", e.Shown)
	if what := bareSecret(e, hidden); what != "" {
		c.fail(what, "is at a hidden question and is not a hashed code; hash it with Secret.Hash before it is recorded")
		return c.errs // its text goes into no message
	}
	c.text("raw", e.Raw)
	c.texts("params", e.Params)
	return c.errs
}

func checkGiven(g *Given) []error {
	c := &checker{line: KindGave}
	c.text("at", g.At)
	c.required("verdict", g.Verdict)
	c.text("rule", g.Rule)
	c.text("limit", g.Limit)
	c.text("edition", g.Edition)
	c.texts("params", g.Params)
	for _, f := range g.Feedback {
		c.required("feedback id", f.ID)
		c.texts("feedback "+f.ID, f.Params)
	}
	return c.errs
}

func checkClosed(v *Closed) []error {
	c := &checker{line: KindClosed}
	c.required("time", v.Time)
	c.required("how", v.How)
	return c.errs
}
