package journal

import (
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

func replayOf(lines []Line) []Recomputed {
	events, _ := eventsOf(lines)
	return events
}

func TestCompare(t *testing.T) {
	said := func(seq int, shown string) Line {
		return Line{Kind: KindSaid, Said: &Said{Seq: seq, Event: Event{Shown: shown}}}
	}
	gave := func(seq int, g Given) Line { return Line{Kind: KindGave, Gave: &Gave{Said: seq, Given: g}} }
	resumed := Line{Kind: KindSaid, Said: &Said{Seq: 2, Event: Event{Type: TypeResume}}}
	full := Given{At: "a", Verdict: "pass", Rule: "r", Limit: "l", Edition: "e", Params: map[string]string{"x": "1", "y": ""},
		Feedback: []Feedback{{ID: "f", Params: map[string]string{"p": "1"}}}}
	record := []Line{{Kind: KindHeader}, said(1, "0.40"), gave(1, full), gave(1, Given{Verdict: "doubt"}), said(2, "")}
	changed := Given{At: "b", Verdict: "fail", Rule: "s", Limit: "m", Edition: "f", Params: map[string]string{"x": "2", "z": "3"},
		Feedback: []Feedback{{ID: "g", Params: map[string]string{"p": "2"}}, {ID: "h"}}}

	tests := []struct {
		name   string
		record []Line
		replay []Recomputed
		want   []Difference
	}{
		{"same", record, []Recomputed{{Seq: 1, Shown: "0.40", Given: []Given{full, {Verdict: "doubt"}}}, {Seq: 2}}, nil},
		{"reading shown", record, []Recomputed{{Seq: 1, Shown: "0.41", Given: []Given{full, {Verdict: "doubt"}}}, {Seq: 2}},
			[]Difference{{Seq: 1, Field: "shown", Recorded: "0.40", Replayed: "0.41"}}},
		{"every field", record, []Recomputed{{Seq: 1, Shown: "0.40", Given: []Given{changed, {Verdict: "doubt"}}}, {Seq: 2}}, []Difference{
			{Seq: 1, Gave: 1, Field: "at", Recorded: "a", Replayed: "b"},
			{Seq: 1, Gave: 1, Field: "verdict", Recorded: "pass", Replayed: "fail"},
			{Seq: 1, Gave: 1, Field: "rule", Recorded: "r", Replayed: "s"},
			{Seq: 1, Gave: 1, Field: "limit", Recorded: "l", Replayed: "m"},
			{Seq: 1, Gave: 1, Field: "edition", Recorded: "e", Replayed: "f"},
			{Seq: 1, Gave: 1, Field: "params x", Recorded: "1", Replayed: "2"},
			{Seq: 1, Gave: 1, Field: "params y", Recorded: "empty", Replayed: "absent"},
			{Seq: 1, Gave: 1, Field: "params z", Replayed: "3"},
			{Seq: 1, Gave: 1, Field: "feedback 1", Recorded: "f", Replayed: "g"},
			{Seq: 1, Gave: 1, Field: "feedback 1 p", Recorded: "1", Replayed: "2"},
			{Seq: 1, Gave: 1, Field: "feedback 2", Replayed: "h"},
		}},
		{"lines missing and added", record, []Recomputed{{Seq: 1, Shown: "0.40", Given: []Given{full}}, {Seq: 2, Given: []Given{{Verdict: "pass"}}}},
			[]Difference{
				{Seq: 1, Gave: 2, Field: "line", Recorded: "doubt"},
				{Seq: 2, Gave: 1, Field: "line", Replayed: "pass", Cut: true},
			}},
		{"cut off, then taken up again", []Line{{Kind: KindHeader}, said(1, ""), resumed, gave(2, Given{Verdict: "taken"}), {Kind: KindClosed, Closed: &Closed{}}},
			[]Recomputed{{Seq: 1, Given: []Given{{Verdict: "pass"}}}, {Seq: 2, Given: []Given{{Verdict: "taken"}}}},
			[]Difference{{Seq: 1, Gave: 1, Field: "line", Replayed: "pass", Cut: true}}},
		{"added in a closed record", append(record[:len(record):len(record)], Line{Kind: KindClosed, Closed: &Closed{}}),
			[]Recomputed{{Seq: 1, Shown: "0.40", Given: []Given{full, {Verdict: "doubt"}}}, {Seq: 2, Given: []Given{{Verdict: "pass"}}}},
			[]Difference{{Seq: 2, Gave: 1, Field: "line", Replayed: "pass"}}},
		{"events missing and added", record, []Recomputed{{Seq: 1, Shown: "0.40", Given: []Given{full, {Verdict: "doubt"}}}, {Seq: 4}, {Seq: 3}},
			[]Difference{
				{Seq: 2, Field: "event", Recorded: "present"},
				{Seq: 3, Field: "event", Replayed: "present"},
				{Seq: 4, Field: "event", Replayed: "present"},
			}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Compare(tt.record, tt.replay); !reflect.DeepEqual(got, tt.want) {
				t.Errorf("got  %+v\nwant %+v", got, tt.want)
			}
		})
	}
}

// A record compared with its own replay shows nothing; one changed verdict
// shows exactly that.
func TestCompareWithItself(t *testing.T) {
	lines := readAll(t, sampleRecord(t, 10, true))
	if got := Compare(lines, replayOf(lines)); got != nil {
		t.Errorf("a record differs from itself: %+v", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		replay := replayOf(lines)
		n := rapid.IntRange(0, len(replay)-1).Draw(t, "event")
		replay[n].Given[0].Verdict = "fail"
		want := []Difference{{Seq: n + 1, Gave: 1, Field: "verdict", Recorded: "pass", Replayed: "fail"}}
		if got := Compare(lines, replay); !reflect.DeepEqual(got, want) {
			t.Fatalf("got %+v, want %+v", got, want)
		}
	})
}

// What an interruption kept from being written of the latest event is given back: all of it, the rest of it, or nothing where
// it is whole, where nothing was said, or where the record is closed.
func TestCutOff(t *testing.T) {
	given := []Given{{Verdict: "pass"}, {Verdict: "doubt"}}
	said := func(n int) Line { return Line{Said: &Said{Seq: n, Event: event(n)}} }
	gave := func(n int, g Given) Line { return Line{Gave: &Gave{Said: n, Given: g}} }
	again := []Recomputed{{Seq: 1, Given: given}, {Seq: 2, Given: given}}
	for name, tt := range map[string]struct {
		lines []Line
		want  int
	}{
		"nothing written": {[]Line{said(1), gave(1, given[0]), gave(1, given[1]), said(2)}, 2},
		"half written":    {[]Line{said(1), gave(1, given[0]), gave(1, given[1]), said(2), gave(2, given[0])}, 1},
		"whole":           {[]Line{said(1), said(2), gave(2, given[0]), gave(2, given[1])}, 0},
		"closed":          {[]Line{said(1), said(2), {Closed: &Closed{}}}, 0},
		"nothing said":    {nil, 0},
	} {
		if got := CutOff(tt.lines, again); len(got) != tt.want || tt.want > 0 && got[len(got)-1].Verdict != "doubt" {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
