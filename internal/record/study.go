package record

import (
	"fmt"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/journal"
	"wanderlead/internal/rig"
	"wanderlead/internal/study"
)

// ModeStudy marks the record of a session on a computed rig.
const ModeStudy = "study"

// Fields of the header of a study record.
const (
	fieldStart  = "start"
	fieldHelp   = "help"
	fieldFaults = "faults"
	// FieldSymptom is what was reported, where there is something to be found.
	FieldSymptom = "symptom"
)

var helps = map[study.Help]string{study.Led: "led", study.Named: "named", study.Alone: "alone"}

// WithRig puts another rig in place of the kit's: one made by a seed, or cut to some
// circuits. Its text goes into the record.
func (k *Kit) WithRig(r *rig.Rig) (*Kit, error) {
	text := rig.Write(r)
	files := texts{}
	for n, t := range k.texts {
		files[n] = t
	}
	files["rigs/"+r.ID+".yaml"] = string(text)
	lib, err := content.NewLibrary(files, "")
	if err != nil {
		return nil, err
	}
	return Gather(lib, k.Sequence.ID, r.ID, k.Pack.Name, string(k.Incoming))
}

// StudyHeader makes the first line of a study record.
func (k *Kit) StudyHeader(set study.Setup) journal.Header {
	h := k.Header()
	h.Mode = ModeStudy
	seed := int64(set.Seed)
	h.Seed = &seed
	h.Fields[fieldStart], h.Fields[fieldHelp] = string(set.Start), helps[set.Help]
	var planted []string
	for _, p := range set.Plantings {
		planted = append(planted, p.String())
	}
	h.Fields[fieldFaults] = strings.Join(planted, " ")
	return h
}

// StudySetup is the session that a study record's header describes.
func (k *Kit) StudySetup(h *journal.Header) (study.Setup, error) {
	set := study.Setup{Program: k.Program, Pack: k.Pack, Start: study.Start(h.Fields[fieldStart])}
	if h.Seed != nil {
		set.Seed = uint64(*h.Seed)
	}
	for level, word := range helps {
		if h.Fields[fieldHelp] == word {
			set.Help = level
		}
	}
	for _, text := range strings.Fields(h.Fields[fieldFaults]) {
		p, err := faults.ParsePlanting(text)
		if err != nil {
			return set, err
		}
		set.Plantings = append(set.Plantings, p)
	}
	return set, nil
}

// StudyGiven is what came of an event, as the record keeps it.
func StudyGiven(fb study.Feedback, edition string) []journal.Given {
	if fb.Written != nil && len(fb.Written.Judged) > 0 {
		out := Given(*fb.Written, edition)
		out[0].Params["claimed"] = fb.Claimed
		if fb.Claimed == "" {
			delete(out[0].Params, "claimed")
		}
		return out
	}
	g := journal.Given{Verdict: "taken", Params: map[string]string{}}
	if fb.Refused {
		g.Verdict, g.Rule = "refused", strings.TrimPrefix(fb.Notes[0].ID, "study.refused.")
	}
	for _, n := range fb.Notes {
		g.Feedback = append(g.Feedback, journal.Feedback{ID: n.ID, Params: n.Params})
	}
	if fb.Ended != "" {
		g.Params["ended"] = fb.Ended
	}
	return []journal.Given{g}
}

// StudyReplayed is a study session rebuilt from its record.
type StudyReplayed struct {
	Header      *journal.Header
	Kit         *Kit
	State       *study.State
	Closed      *journal.Closed
	Differences []journal.Difference
	CutOff      []journal.Given // as in Replayed
}

// ReplayStudy rebuilds a study session. What the display showed then is used for what
// was written down; where today's program computes something else, the difference is
// reported.
func ReplayStudy(lines []journal.Line, like ...*content.Library) (*StudyReplayed, error) {
	return ReplayStudySeen(lines, nil, like...)
}

// ReplayStudySeen is ReplayStudy for somebody who wants to see what came of each event; seen may be nil.
func ReplayStudySeen(lines []journal.Line, seen func(event int, before, after *study.State, fb study.Feedback), like ...*content.Library) (*StudyReplayed, error) {
	if len(lines) == 0 || lines[0].Header == nil {
		return nil, fmt.Errorf("the record has no header line")
	}
	r := &StudyReplayed{Header: lines[0].Header}
	var err error
	if r.Kit, err = FromHeader(r.Header, like...); err != nil {
		return nil, fmt.Errorf("the content held in the record does not load: %w", err)
	}
	set, err := r.Kit.StudySetup(r.Header)
	if err != nil {
		return nil, err
	}
	if r.State, err = study.New(set); err != nil {
		return nil, err
	}
	var again []journal.Recomputed
	for _, l := range lines[1:] {
		switch {
		case l.Said != nil:
			next, fb, err := r.State.Apply(coach.Event{Type: coach.EventType(l.Said.Type), At: l.Said.At, Raw: l.Said.Raw})
			if err != nil {
				return nil, fmt.Errorf("line %d: event %d does not fit the session: %w", l.Number, l.Said.Seq, err)
			}
			again = append(again, journal.Recomputed{Seq: l.Said.Seq, Shown: fb.Shown.Text(), Given: StudyGiven(fb, r.Kit.Pack.Name)})
			if next = next.Recorded(l.Said.Shown); seen != nil {
				seen(l.Said.Seq, r.State, next, fb)
			}
			r.State = next
		case l.Closed != nil:
			r.Closed = l.Closed
		}
	}
	r.Differences, r.CutOff = journal.Compare(lines, again), journal.CutOff(lines, again)
	return r, nil
}

// Differences replays a record of any mode and lists where today's program comes to
// something else than the record says.
func Differences(lines []journal.Line) ([]journal.Difference, error) {
	if len(lines) > 0 && lines[0].Header != nil && lines[0].Header.Mode == ModeStudy {
		rep, err := ReplayStudy(lines)
		if err != nil {
			return nil, err
		}
		return rep.Differences, nil
	}
	rep, err := Replay(lines)
	if err != nil {
		return nil, err
	}
	return rep.Differences, nil
}
