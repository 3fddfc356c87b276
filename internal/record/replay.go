package record

import (
	"fmt"
	"strings"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
)

// Replayed is a session rebuilt from its record.
type Replayed struct {
	Header      *journal.Header
	Kit         *Kit
	State       *coach.State
	Closed      *journal.Closed
	Differences []journal.Difference // where a replay came to something else than the record says
	CutOff      []journal.Given      // what an interruption kept from being written of the latest event
}

// FromHeader gathers the content that a record's header holds; its texts come in the
// language that a library given speaks, else as they were written. The record keeps
// ids and values, so a session begun in one language goes on in any other.
func FromHeader(h *journal.Header, like ...*content.Library) (*Kit, error) {
	files := texts{h.Sequence.Name: h.Sequence.Text, h.Rig.Name: h.Rig.Text, h.Pack.Name: h.Pack.Text}
	for _, c := range h.Included {
		files[c.Name] = c.Text
	}
	lib, err := content.NewLibrary(files, "")
	if err != nil {
		return nil, err
	}
	for _, l := range like {
		lib.SpeakLike(l)
	}
	return Gather(lib, h.Fields["sequence"], h.Fields["rig"], h.Edition, h.Fields["incoming"])
}

// Day is the day of a moment as records hold it (2026-03-10T09:00:00Z).
func Day(moment string) string {
	day, _, _ := strings.Cut(moment, "T")
	return day
}

// Replay rebuilds the session from the lines of a record. The record's own readings
// and answers are used; where today's program makes something else of them, the
// difference is reported and the replayed state stands. The language is that of
// FromHeader.
func Replay(lines []journal.Line, like ...*content.Library) (*Replayed, error) {
	return ReplayWith(lines, func(*journal.Header) {}, func(_, _ *coach.State, _ coach.Event) {}, like...)
}

// ReplayWith replays a record and lets the caller see the header, then each event
// with the session before and after it.
func ReplayWith(lines []journal.Line, begin func(*journal.Header), see func(before, after *coach.State, ev coach.Event), like ...*content.Library) (*Replayed, error) {
	if len(lines) == 0 || lines[0].Header == nil {
		return nil, fmt.Errorf("the record has no header line")
	}
	if lines[0].Header.Mode == journal.ModeAssess {
		return nil, fmt.Errorf("the record is one of an exam: wanderlead assess sit goes on with it, wanderlead assess mark marks it")
	}
	r := &Replayed{Header: lines[0].Header}
	kit, err := FromHeader(r.Header, like...)
	if err != nil {
		return nil, fmt.Errorf("the content held in the record does not load: %w", err)
	}
	r.Kit = kit
	begin(r.Header)
	r.State = coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack, Today: Day(r.Header.Created)})
	var again []journal.Recomputed
	for _, l := range lines[1:] {
		switch {
		case l.Said != nil:
			ev := Event(l.Said.Event)
			next, fb, err := r.State.Apply(ev)
			if err != nil {
				return nil, fmt.Errorf("line %d: event %d does not fit the session: %w", l.Number, l.Said.Seq, err)
			}
			see(r.State, next, ev)
			r.State = next
			again = append(again, journal.Recomputed{Seq: l.Said.Seq, Given: Given(fb, kit.Pack.Name)})
		case l.Closed != nil:
			r.Closed = l.Closed
		}
	}
	r.Differences, r.CutOff = journal.Compare(lines, again), journal.CutOff(lines, again)
	return r, nil
}
