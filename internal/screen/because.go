package screen

import (
	"slices"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// reasons are those of the verdict that counts, and of any other that passed for
// another reason: an own bar that reads, the other bars that do not.
func (s *Screen) reasons(p *page, st *coach.State, js []coach.Judged, main coach.Judged) {
	if i, _, ok := stepOf(st.Program(), main.Part); ok && len(js) > 1 && st.Program().Steps[i].Form == sequence.Inspect {
		return // each reads as described, and the row above says what each reads
	}
	seen := map[string]bool{}
	for _, j := range append([]coach.Judged{main}, js...) {
		if len(j.Verdict.Reasons) == 0 || seen[j.Verdict.Reasons[0].ID] {
			continue
		}
		seen[j.Verdict.Reasons[0].ID] = true
		for _, r := range j.Verdict.Reasons {
			p.row(Reason, s.word("row.why"), s.reason(st, j.Part, r))
		}
	}
}

// reason is a reason of the judge, or of the session, in words.
func (s *Screen) reason(st *coach.State, part string, r judge.Reason) string {
	params := map[string]string{}
	for k, v := range r.Params {
		params[k] = v
	}
	if b := params["because"]; b != "" {
		prog := st.Program()
		for i := range prog.Steps {
			if prog.Steps[i].ID == part {
				params["because"], _ = Fill(s.word, b, prog, i)
				params["seen"], _ = Fill(s.word, params["seen"], prog, i)
			}
		}
	}
	id, own := r.ID, r.ID
	if i, _, ok := stepOf(st.Program(), part); ok {
		// Judged by the rules of another test, and called by its own name.
		switch testOf(st.Program(), &st.Program().Steps[i]) {
		case safety.TestEarthing:
			own = strings.Replace(id, "bonding-", "earthing-conductor-", 1)
		case safety.TestOwnBar:
			own = "own-bar-" + id
			if params["path"] != "" {
				params["path"], params["point"] = "@path-own-bar", s.word("option.neutral-bar", "value", params["point"])
			}
		}
		if own != id && s.cat.Has(own) {
			id = own
		}
	}
	return s.cat.Text(id, params)
}

// Said is what a verdict says when it stands alone: its reasons and what to do now.
func (s *Screen) Said(st *coach.State, j coach.Judged) (reasons, next []string) {
	for _, r := range j.Verdict.Reasons {
		reasons = append(reasons, s.reason(st, j.Part, r))
	}
	for _, r := range s.steps(st, j) {
		next = append(next, s.reason(st, j.Part, r))
	}
	return reasons, next
}

// readings are the readings judged, with what they are called: "circuit 1, ring step
// 1, end to end: r1 0.40 Ω, rn 0.40 Ω, r2 0.65 Ω".
func (s *Screen) readings(st *coach.State, js []coach.Judged) string {
	prog := st.Program()
	i, _, ok := stepOf(prog, js[0].Part)
	if !ok {
		return ""
	}
	step := &prog.Steps[i]
	var out []string
	for _, j := range js {
		v := j.Verdict
		_, part, _ := stepOf(prog, j.Part)
		switch {
		case v.Test == judge.RingEnds || v.Test == judge.RingCrossed:
			for _, m := range ownReadings(v) {
				out = append(out, m.Name+" "+m.Reading.String())
			}
		case v.Value.Given() && (part.ID == "value" || part.ID == ""):
			out = append(out, v.Value.String())
		case v.Value.Given():
			out = append(out, s.shortPart(part)+" "+v.Value.String())
		case v.Test == safety.TestSwitching:
			out = append(out, v.Value.Raw)
		case v.Value.Raw != "" && step.Right.Say == "":
			out = append(out, strings.TrimSpace(s.shortPart(part)+" "+v.Value.Raw))
		}
	}
	if len(out) == 0 {
		return s.stepName(prog, i)
	}
	for n := range out {
		out[n] = together(out[n])
	}
	return s.stepName(prog, i) + ": " + strings.Join(out, ", ")
}

func (s *Screen) shortPart(part sequence.Part) string {
	if part.ID == "seen" || part.ID == "" {
		return ""
	}
	if t := s.opt("part." + part.ID); t != "" {
		return t
	}
	if n, ok := strings.CutPrefix(part.Label, "way "); ok {
		return s.word("fill.way", "number", n)
	}
	return part.ID
}

// ownReadings are the readings of a ring verdict that were taken at this step.
func ownReadings(v *judge.Verdict) []judge.Named {
	if v.Test == judge.RingEnds {
		return v.Readings
	}
	var out []judge.Named
	for _, m := range v.Readings {
		if m.Name != "r1" && m.Name != "rn" && m.Name != "r2" {
			out = append(out, m)
		}
	}
	return out
}

// stepOf finds the step and part that a reading id names.
func stepOf(prog *sequence.Program, id string) (int, sequence.Part, bool) {
	for i := range prog.Steps {
		if part, ok := partByID(&prog.Steps[i], id); ok {
			return i, part, true
		}
	}
	return -1, sequence.Part{}, false
}

// named are the limits to name with a verdict: the one that decides where it passed,
// two where it did not.
func named(v *judge.Verdict) [][]judge.Limit {
	var out [][]judge.Limit
	for _, ls := range bearing(v.Limits) {
		advice := ls[0].Name == "ir_advice" || ls[0].Name == "electrode_advice"
		if v.Verdict == judge.Pass && (advice || len(out) == 1) {
			continue
		}
		out = append(out, ls)
	}
	return out[:min(len(out), 2)]
}

// trace is where a limit comes from. One that this edition only took over was confirmed,
// if at all, for the edition before it.
func (s *Screen) trace(st *coach.State, ls []judge.Limit) string {
	pack, from, l := st.Pack(), sources(ls), ls[0]
	if over := ", carried over"; strings.Contains(from, over) && pack != nil && len(pack.StandsOn) > 0 {
		return s.word("limit.carried", "limit", s.limits(ls), "source", strings.ReplaceAll(from, over, ""),
			"edition", l.Edition, "status", s.status(l.Status), "base", pack.StandsOn[0])
	}
	return s.word("limit.source", "limit", s.limits(ls), "source", from, "edition", l.Edition, "status", s.status(l.Status))
}

// sources are where the ends of a limit come from, each source once.
func sources(ls []judge.Limit) string {
	var out []string
	for _, l := range ls {
		if !slices.Contains(out, l.Source) {
			out = append(out, l.Source)
		}
	}
	return strings.Join(out, "; ")
}

// status is how far a limit can be relied on; editions write it in English.
func (s *Screen) status(st edition.Status) string {
	first, _, _ := strings.Cut(string(st), ",")
	if t := s.opt("status." + strings.ReplaceAll(first, " ", "-")); t != "" {
		return t
	}
	return string(st)
}
