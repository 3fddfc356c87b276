package record

import (
	"slices"
	"strconv"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/journal"
	"wanderlead/internal/quantity"
)

// Header makes the first line of a record. What the caller alone knows (version,
// time, session id, seed, fields) it fills in afterwards.
func (k *Kit) Header() journal.Header {
	h := journal.Header{
		Edition:  k.Pack.Name,
		Sequence: k.content(k.names[0]), Rig: k.content(k.names[1]), Pack: k.content(k.names[2]),
		Fields: map[string]string{"incoming": string(k.Incoming), "rig": k.Rig.ID, "sequence": k.Sequence.ID},
	}
	for _, n := range k.included() {
		h.Included = append(h.Included, k.content(n))
	}
	return h
}

func (k *Kit) content(name string) journal.Content {
	return journal.Content{Name: name, Text: k.texts[name]}
}

// Said is an event as the record keeps it.
func Said(ev coach.Event, time string) journal.Event {
	return journal.Event{Time: time, Type: string(ev.Type), At: ev.At, Raw: ev.Raw}
}

// Event is the event that a said line keeps.
func Event(s journal.Event) coach.Event {
	return coach.Event{Type: coach.EventType(s.Type), At: s.At, Raw: s.Raw}
}

// Given is the session's feedback as the record keeps it: a line for each group of
// readings judged, else one that says whether the event was taken.
func Given(fb coach.Feedback, edition string) []journal.Given {
	var out []journal.Given
	for _, j := range fb.Judged {
		g := journal.Given{At: j.Part, Verdict: j.Class.String(), Edition: edition, Params: map[string]string{}}
		if j.Verdict != nil {
			addVerdict(&g, j.Verdict)
		}
		addDone(&g, fb.Done)
		delete(g.Params, "parts")
		if len(j.Parts) > 1 {
			g.Params["parts"] = strings.Join(j.Parts, " ")
		}
		out = append(out, g)
	}
	if len(out) == 0 {
		g := journal.Given{Verdict: "taken", Params: map[string]string{}}
		switch {
		case fb.Refused != "":
			g.Verdict, g.Rule = "refused", fb.Refused
		case fb.Class != coach.None:
			g.Verdict = fb.Class.String()
		}
		addDone(&g, fb.Done)
		out = append(out, g)
	}
	for _, n := range fb.Notes {
		out[0].Feedback = append(out[0].Feedback, journal.Feedback{ID: n.ID, Params: n.Params})
	}
	if fb.Ended != "" {
		out[len(out)-1].Params["ended"] = fb.Ended
	}
	return out
}

func addVerdict(g *journal.Given, v *coach.Verdict) {
	if len(v.Reasons) > 0 {
		g.Rule = v.Reasons[0].ID
		for k, val := range v.Reasons[0].Params {
			if val != "" {
				g.Params[k] = val
			}
		}
	}
	// Every limit that bears on the verdict, in the judge's order; source and status stand
	// in the same order, each said once where they are all the same.
	var limits, from, status []string
	for _, l := range v.Limits {
		limits = append(limits, l.Name+" "+l.Bound+" "+quantity.Format(l.Value, l.Unit))
		from, status = append(from, l.Source), append(status, string(l.Status))
	}
	if len(limits) > 0 {
		g.Limit = strings.Join(limits, "; ")
		g.Params["limit_source"], g.Params["limit_status"] = inOrder(from), inOrder(status)
	}
	for _, e := range v.Expected {
		g.Params["expected_"+e.Name] = quantity.Format(e.Value, e.Unit)
	}
}

func inOrder(texts []string) string {
	if len(slices.Compact(slices.Clone(texts))) == 1 {
		return texts[0]
	}
	return strings.Join(texts, "; ")
}

func addDone(g *journal.Given, d *coach.Done) {
	if d == nil {
		return
	}
	put := func(k, v string) {
		if v != "" {
			g.Params[k] = v
		}
	}
	if d.Kind != 0 {
		put("kind", d.Kind.String())
	}
	put("circuit", d.Circuit)
	put("test", d.Test)
	put("item", d.Item)
	put("class", d.Class)
	put("fact", d.Fact)
	put("parts", strings.Join(d.Parts, " ")) // what one reason for no reading covers
	for k, v := range map[string]bool{"board": d.Board, "points": d.Points, "opened": d.Opened, "closed": d.Closed} {
		if v {
			put(k, strconv.FormatBool(v))
		}
	}
}
