package screen

import (
	"slices"
	"strings"

	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
)

// things names the terminals, conductor ends, devices and covers of a list, the ends of one circuit together: "line and
// neutral ends of circuit 1".
func (s *Screen) things(prog *sequence.Program, ids []string) string {
	var out []string
	done := map[string]bool{}
	for i, id := range ids {
		if done[id] {
			continue
		}
		c, cores, used := s.wholeEnds(prog, ids[i:])
		if len(cores) == 0 {
			out = append(out, s.thing(prog, id))
			continue
		}
		for _, u := range used {
			done[u] = true
		}
		out = append(out, s.word("study.thing.ends", "cores", listed(s.word, cores), "number", c.Number))
	}
	return strings.Join(out, ", ")
}

// wholeEnds finds the cores of the first id's circuit of which every end at the board is in the list.
func (s *Screen) wholeEnds(prog *sequence.Program, ids []string) (c *rig.Circuit, cores, used []string) {
	owner, _, _ := strings.Cut(ids[0], "/")
	c, ok := prog.Rig.Circuit(owner)
	if !ok {
		return nil, nil, nil
	}
	legs := []string{"end"}
	if c.Shape == rig.Ring {
		legs = []string{"leg1", "leg2"}
	}
	names := []string{"L", "N", "E"}
	if len(c.Lines) == 3 {
		names = []string{"L1", "L2", "L3", "N", "E"}
	}
	for _, k := range names {
		var ends []string
		for _, l := range legs {
			if id := c.ID + "/" + l + "/" + k; slices.Contains(ids, id) {
				ends = append(ends, id)
			}
		}
		if len(ends) == len(legs) {
			cores, used = append(cores, s.core(k)), append(used, ends...)
		}
	}
	if !slices.Contains(used, ids[0]) {
		return nil, nil, nil
	}
	return c, cores, used
}

func (s *Screen) core(k string) string {
	if t := s.opt("study.core." + k); t != "" {
		return t
	}
	return s.word("study.core.other", "core", k)
}

// thing names one terminal, conductor end, device or cover; two that are joined by both.
func (s *Screen) thing(prog *sequence.Program, id string) string {
	if a, b, ok := strings.Cut(id, " – "); ok {
		return s.both(prog, a, b)
	}
	parts := strings.Split(id, "/")
	last := parts[len(parts)-1]
	if c, ok := prog.Rig.Circuit(parts[0]); ok {
		return s.circuitThing(c.Number, id, parts)
	}
	switch {
	case id == "board":
		return s.word("study.thing.board", "board", prog.Rig.Board.Name)
	case id == "board/met":
		return s.word("study.thing.met")
	case strings.HasPrefix(id, "board/bar/"):
		return s.word("study.thing.bar", "bar", last)
	case strings.HasPrefix(id, "board/incoming/"):
		return s.word("study.thing.incoming", "core", s.core(last))
	case strings.HasSuffix(id, "earthing-conductor"):
		return s.word("study.thing.earthing-conductor")
	case parts[0] == "bond" && len(parts) > 1:
		bond, _, _ := strings.Cut(parts[1], "@")
		return s.word("study.thing.bond", "bond", bond)
	case id == "isolator" || id == "main-switch":
		return s.word("study.thing." + id)
	}
	return id
}

// both names two things that are joined or measured between, their circuit once.
func (s *Screen) both(prog *sequence.Program, a, b string) string {
	pa, pb := strings.Split(a, "/"), strings.Split(b, "/")
	if c, ok := prog.Rig.Circuit(pa[0]); ok && pa[0] == pb[0] {
		return s.word("study.thing.both", "number", c.Number, "a", s.circuitThing("", a, pa), "b", s.circuitThing("", b, pb))
	}
	return s.word("study.thing.to", "a", s.thing(prog, a), "b", s.thing(prog, b))
}

// circuitThing names something of a circuit; without a number the circuit has been named already.
func (s *Screen) circuitThing(number, id string, parts []string) string {
	last := parts[len(parts)-1]
	p := func(kv ...string) []string { return append(kv, "number", number) }
	switch {
	case len(parts) == 1:
		return s.word("study.thing.breaker", p()...)
	case parts[1] == "leg1" || parts[1] == "leg2":
		return s.word("study.thing.leg", p("core", s.core(last), "leg", strings.TrimPrefix(parts[1], "leg"))...)
	case parts[1] == "end":
		return s.word("study.thing.end", p("core", s.core(last))...)
	case parts[1] == "way":
		return s.word("study.thing.way", p("core", s.core(last))...)
	case strings.HasPrefix(last, "load") || last == "lamp":
		return s.word("study.thing.load", p("point", parts[1])...)
	case len(parts) == 3:
		return s.word("study.thing.contact", p("core", s.core(last), "point", parts[1])...)
	}
	return id
}
