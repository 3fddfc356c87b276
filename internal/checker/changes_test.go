package checker_test

import (
	"maps"
	"slices"
	"strings"

	"wanderlead/internal/checker"
)

// change is a kind of thing done to a record. make returns the records changed at a
// line; none where the change would not matter, by what the line is, never by what
// the checker says.
type change struct {
	name string
	make func(p paper, i int) [][]checker.Line
}

var changes = []change{
	{"an answer of isolation, proof or a gate dropped", func(p paper, i int) [][]checker.Line {
		return one(safety(p.lines[i]) && reliedOn(p, i), dropped(p, i))
	}},
	{"an act that opens something dropped", func(p paper, i int) [][]checker.Line {
		return one(p.lines[i].Params["opened"] != "", dropped(p, i))
	}},
	{"an act that closes something dropped", func(p paper, i int) [][]checker.Line {
		return one(p.lines[i].Params["closed"] != "", dropped(p, i))
	}},
	{"a reading that a gate needs dropped", func(p paper, i int) [][]checker.Line {
		return one(needed(p.lines[i]) && p.lines[i].Params["test"] != "inspection" && gateAfter(p, i), dropped(p, i))
	}},
	{"the code, the record or the origin dropped", func(p paper, i int) [][]checker.Line {
		at := p.lines[i].At
		return one((at == "supervisor/code" || at == "record/code" || at == "origin") && gateAfter(p, i), dropped(p, i))
	}},
	{"a circuit's switching on dropped, the circuit read live", func(p paper, i int) [][]checker.Line {
		l := p.lines[i]
		used := l.Params["kind"] == "circuit-on" && slices.ContainsFunc(p.lines[i+1:], func(x checker.Line) bool {
			return x.Params["circuit"] == l.Params["circuit"] && strings.Contains(x.Params["kind"], "live")
		})
		return one(used, dropped(p, i))
	}},
	{"a line and the next, which relies on it, the other way round", func(p paper, i int) [][]checker.Line {
		if i+1 == len(p.lines) || !relies(p.lines[i], p.lines[i+1]) || !reliedOn(p, i) {
			return nil
		}
		c := slices.Clone(p.lines)
		c[i], c[i+1] = c[i+1], c[i]
		return [][]checker.Line{c}
	}},
	{"a pair left out of a proof", func(p paper, i int) [][]checker.Line {
		return raws(p, i, "/pairs", func(raw string) []string {
			var out []string
			pieces := strings.Split(raw, ", ")
			for j, piece := range pieces {
				if !strings.HasPrefix(piece, "points") {
					out = append(out, strings.Join(slices.Delete(slices.Clone(pieces), j, j+1), ", "))
				}
			}
			return out
		})
	}},
	{"a pair that showed something in a proof", func(p paper, i int) [][]checker.Line {
		return raws(p, i, "/pairs", func(raw string) []string {
			return []string{strings.Replace(raw, " 0", " 230", 1), strings.Replace(raw, " 0", " lamp 2", 1)}
		})
	}},
	{"a point left out of a proof", func(p paper, i int) [][]checker.Line {
		return raws(p, i, "/pairs", func(raw string) []string {
			if before, n, found := strings.Cut(raw, "points "); found {
				return []string{before + "points 1" + n, strings.TrimSuffix(before, ", ")}
			}
			return nil
		})
	}},
	{"a bare yes at a question of safety", func(p paper, i int) [][]checker.Line {
		return raws(p, i, "safety/", func(string) []string { return []string{"yes", ""} })
	}},
	{"another code", func(p paper, i int) [][]checker.Line {
		if !strings.HasSuffix(p.lines[i].At, "/code") || !gateAfter(p, i) {
			return nil
		}
		return [][]checker.Line{said(p, i, "another")}
	}},
	{"the earthing conductor said to be elsewhere", func(p paper, i int) [][]checker.Line {
		return raws(p, i, "/earthing", func(raw string) []string {
			return []string{map[string]string{"lifted": "in-terminal", "in-terminal": "lifted"}[raw]}
		})
	}},
	{"a reading that a gate needs in doubt, failed, not taken, not applicable", func(p paper, i int) [][]checker.Line {
		if !needed(p.lines[i]) || !gateAfter(p, i) {
			return nil
		}
		var out [][]checker.Line
		for j := range p.lines[i].Judged {
			for _, class := range []string{"doubt", "fail", "set-up", "pending", "not-applicable"} {
				c, l := slices.Clone(p.lines), p.lines[i]
				l.Judged = slices.Clone(l.Judged)
				l.Judged[j].Class = class
				c[i] = l
				out = append(out, c)
			}
		}
		for _, class := range []string{"limitation", "not-tested", "not-applicable"} {
			c, l := slices.Clone(p.lines), p.lines[i]
			l.Judged, l.Verdict = nil, class
			c[i] = l
			out = append(out, c)
		}
		return out
	}},
	{"a pause, and everything goes on", func(p paper, i int) [][]checker.Line {
		fresh := p.lines[i].At == "safety/isolator/off" // nothing to lose yet
		return one(!fresh && actsBeforeIsolation(p, i+1), slices.Insert(slices.Clone(p.lines), i+1, checker.Line{Type: "pause"}))
	}},
	{"stop for harm, and everything goes on", func(p paper, i int) [][]checker.Line {
		return one(actsBeforeIsolation(p, i+1), slices.Insert(slices.Clone(p.lines), i+1,
			checker.Line{Type: "stop", Verdict: "taken"}, checker.Line{Type: "answer", At: "stop/what", Raw: "harm", Verdict: "taken"}))
	}},
	{"stop, and nobody asks what for", func(p paper, i int) [][]checker.Line {
		return one(i+1 < len(p.lines), slices.Insert(slices.Clone(p.lines), i+1, checker.Line{Type: "stop", Verdict: "taken"}))
	}},
	{"the session called complete with something open", func(p paper, i int) [][]checker.Line {
		open := 0
		for _, l := range p.lines[:i+1] {
			open += len(l.Params["opened"]) - len(l.Params["closed"])
		}
		c, l := slices.Clone(p.lines[:i+1]), p.lines[i]
		l.Params = maps.Clone(l.Params)
		l.Params["ended"] = "complete"
		c[i] = l
		return one(open > 0, c)
	}},
}

func one(matters bool, lines []checker.Line) [][]checker.Line {
	if !matters {
		return nil
	}
	return [][]checker.Line{lines}
}

func dropped(p paper, i int) []checker.Line { return slices.Delete(slices.Clone(p.lines), i, i+1) }

func said(p paper, i int, raw string) []checker.Line {
	c := slices.Clone(p.lines)
	c[i].Raw = raw
	return c
}

// raws changes what was said at the ids that hold a text.
func raws(p paper, i int, at string, f func(raw string) []string) [][]checker.Line {
	if !strings.HasPrefix(p.lines[i].At, "safety/") || !strings.Contains(p.lines[i].At+"/", at) && !strings.HasSuffix(p.lines[i].At, at) {
		return nil
	}
	var out [][]checker.Line
	for _, raw := range f(p.lines[i].Raw) {
		out = append(out, said(p, i, raw))
	}
	return out
}

func safety(l checker.Line) bool { return strings.HasPrefix(l.At, "safety/") }

func gateOf(l checker.Line) bool { return strings.HasSuffix(l.At, "/switch-on") && safety(l) }

// acts are lines that need something: hands, covers, proofs, gates, anything live.
func acts(l checker.Line) bool {
	switch l.Params["kind"] {
	case "", "look", "prepare":
		return gateOf(l) || safety(l) && strings.HasSuffix(l.At, "/pairs")
	}
	return true
}

func gateAfter(p paper, i int) bool { return slices.ContainsFunc(p.lines[i+1:], gateOf) }

// needed is a reading that gates need: dead tests, inspection, and the origin.
func needed(l checker.Line) bool {
	switch l.Params["test"] {
	case "", "instrument", "pfc", "zs", "zs-calculated", "rcd", "rcd-button", "functional", "phase-sequence":
		return false
	}
	return len(l.Judged) > 0
}

func actsBeforeIsolation(p paper, from int) bool {
	for _, l := range p.lines[from:] {
		if l.At == "safety/isolator/off" {
			return false
		}
		if acts(l) {
			return true
		}
	}
	return false
}

// reliedOn reports whether an answer of safety is relied on: something is done on the
// strength of it before its own question is put anew.
func reliedOn(p paper, i int) bool {
	if !safety(p.lines[i]) {
		return true
	}
	return slices.ContainsFunc(p.lines[i+1:], acts)
}

// relies reports whether the second of two lines may only stand after the first.
func relies(a, b checker.Line) bool {
	place := func(l checker.Line) string { return strings.Join(strings.Split(l.At+"//", "/")[:2], "/") }
	part := func(l checker.Line) string { return l.At[strings.LastIndex(l.At, "/")+1:] }
	switch {
	case a.Params["opened"] != "" && a.Params["item"] == b.Params["item"]:
		return true
	case a.Params["kind"] == "circuit-on" && b.Params["circuit"] == a.Params["circuit"] && strings.Contains(b.Params["kind"], "live"):
		return true
	case !safety(a):
		return handAct(a) && safety(b) && part(b) == "covers" // a gate's questions begin when all hands are off
	case a.At == "safety/supply/seen", a.At == "safety/isolator/off", a.At == "safety/lock/number":
		return safety(b)
	case part(a) == "indicator", part(a) == "pairs":
		return safety(b) && place(a) == place(b)
	case gateOf(b), gateOf(a):
		return acts(b)
	case part(a) == "prove-again", a.At == "safety/notice/where":
		return b.Params["board"] != "" && place(a) == "safety/board" || b.Params["points"] != "" && place(a) != "safety/board" ||
			a.At == "safety/notice/where" && acts(b)
	}
	return false
}

func handAct(l checker.Line) bool {
	switch l.Params["kind"] {
	case "fit-cover", "reconnect", "lift", "unlink", "put-back":
		return true
	}
	return false
}
