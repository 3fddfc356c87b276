package report

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
)

// wander answers mostly right and now and then anything else, for at most n answers.
func wander(t testing.TB, st *coach.State, m *Meta, r *rand.Rand, n int) *coach.State {
	t.Helper()
	odd := []string{">299", ">0.02", "0.00", "0.01", "9.9", "40", "no-trip", "-0.02", "1.4", "n/a", "limitation: it is out of reach today",
		"not tested: there was no time left", "420mohm", "=1+1", "reversed", "half", "0.30 0.30 0.50"}
	for range n {
		q, ok := st.Question()
		if !ok {
			break
		}
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: st.RightAnswer(cast)}
		switch r.IntN(12) {
		case 0:
			ev.Raw = odd[r.IntN(len(odd))]
			if len(q.PartIDs) > 0 {
				ev.At = q.PartIDs[r.IntN(len(q.PartIDs))]
			}
		case 1:
			if es := st.Entries(); len(es) > 0 {
				ids := recorded(st)
				ev = coach.Event{Type: coach.Correct, At: ids[r.IntN(len(ids))], Raw: odd[r.IntN(len(odd))]}
			}
		case 2:
			if strings.HasSuffix(q.ID, "/decide") && len(q.Options) > 0 {
				o := q.Options[r.IntN(len(q.Options))].Value
				if o != "leave" || r.IntN(4) == 0 {
					ev.Raw = o
				}
			}
		case 3:
			if r.IntN(8) == 0 {
				ev = coach.Event{Type: coach.Paused}
			}
		}
		if st.Check(ev) != nil {
			continue
		}
		next, _, err := st.Apply(ev)
		if err != nil {
			t.Fatal(err)
		}
		m.Note(st, next, ev)
		st = next
	}
	return st
}

func recorded(st *coach.State) []string {
	var out []string
	for _, r := range st.Results() {
		if r.Latest() != nil {
			out = append(out, r.ID)
		}
	}
	return out
}

// everyReading collects all readings of a schedule, wherever they stand.
func everyReading(s *Schedule) map[string]Reading {
	out := map[string]Reading{}
	add := func(rs []Reading) {
		for _, r := range rs {
			out[r.ID] = r
		}
	}
	add(s.Board.Readings)
	for i := range s.Circuits {
		add(s.Circuits[i].Readings)
	}
	for i := range s.Board.RCDs {
		add(s.Board.RCDs[i].Readings)
	}
	return out
}

// TestNothingIsLost works random sessions, wrong answers, corrections and pauses
// included, and checks that every entry of the session is in the JSON, that over range
// is never a number, and that whatever is not measured says why.
func TestNothingIsLost(t *testing.T) {
	w := catalogue(t)
	most := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 7))
		origin := []sequence.Origin{sequence.Measured, sequence.Declared}[seed%2]
		m := Meta{Words: w}
		st := wander(t, start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), origin, "bs7671-2018-a4"), &m, r, 20+r.IntN(400))
		js, err := Build(st, m).JSON()
		if err != nil {
			t.Fatal(err)
		}
		var s Schedule
		if err := json.Unmarshal(js, &s); err != nil {
			t.Fatal(err)
		}
		most = max(most, len(st.Entries()))
		checkKept(t, st, &s)
		checkNumbers(t, &s)
	}
	if most < 60 {
		t.Errorf("the longest session had %d entries: the walk does not get anywhere", most)
	}
}

func checkKept(t *testing.T, st *coach.State, s *Schedule) {
	t.Helper()
	readings := everyReading(s)
	n := 0
	for _, r := range st.Results() {
		got, ok := readings[r.ID]
		if !ok {
			t.Errorf("%s is not in the schedule", r.ID)
			continue
		}
		n += len(r.History)
		switch len(r.History) {
		case 0:
			if got.State != NotTested {
				t.Errorf("%s was never read and is %s", r.ID, got.State)
			}
		case 1:
			if e := r.History[0]; got.Raw != e.Raw && !strings.Contains(got.Why, e.Reading.String()) && !strings.Contains(got.Why, e.Raw) {
				t.Errorf("%s was typed %q and stands as %q, %q", r.ID, e.Raw, got.Raw, got.Why)
			}
		default:
			if len(got.History) != len(r.History) {
				t.Errorf("%s has %d entries, the schedule shows %d", r.ID, len(r.History), len(got.History))
				continue
			}
			for i, e := range r.History {
				if h := got.History[i]; h.Raw != e.Raw || h.How != e.How || h.At != r.ID {
					t.Errorf("%s entry %d: %+v, typed %q", r.ID, i, h, e.Raw)
				}
			}
		}
	}
	if all := len(st.Entries()); n != all {
		t.Errorf("the session has %d entries, its results hold %d", all, n)
	}
	open := map[string]bool{}
	for _, it := range s.LedgerOpen {
		open[it.Item] = true
	}
	for _, it := range st.OpenItems() {
		if !open[it.ID] {
			t.Errorf("%s is open and not in the schedule", it.ID)
		}
	}
}

// checkNumbers holds every result against its text: a number is the number typed.
func checkNumbers(t *testing.T, s *Schedule) {
	t.Helper()
	one := func(at string, r *Result) {
		over := strings.HasPrefix(strings.TrimSpace(r.Raw), ">") && r.Unit != "" // not a word typed at an inspection item
		switch {
		case over && (r.Value != nil || r.State == Measured || r.State == Calculated):
			t.Errorf("%s: %q stands as %s %v", at, r.Raw, r.State, r.Value)
		case r.State == OverRange && !over:
			t.Errorf("%s: over range with the text %q", at, r.Raw)
		case r.Value != nil:
			if v, err := strconv.ParseFloat(r.Raw, 64); err == nil && v != *r.Value && !strings.HasSuffix(at, "max_permitted_zs") {
				t.Errorf("%s: %q stands as %g", at, r.Raw, *r.Value)
			}
		case r.State != OverRange && r.Raw == "" && r.Why == "":
			t.Errorf("%s: neither a text nor a reason (%s)", at, r.State)
		}
		if r.State == NotApplicable || r.State == Limitation || r.State == NotTested {
			if r.Why == "" || r.Value != nil {
				t.Errorf("%s: %s, why %q, value %v", at, r.State, r.Why, r.Value)
			}
		}
		if strings.Contains(r.Why, "report.") || strings.Contains(r.Why, "{") {
			t.Errorf("%s: a text is missing: %q", at, r.Why)
		}
	}
	for id, r := range everyReading(s) {
		one(id, &r.Result)
	}
	for i := range s.Circuits {
		for _, col := range columns {
			if col.result != nil {
				one(s.Circuits[i].CircuitNumber+" "+col.Key, col.result(&s.Circuits[i]))
			}
		}
	}
}

// TestAggregates picks by hand what each column must hold: the highest ohms and
// milliseconds, the lowest megohms (BS 7671:2018 Appendix 6; highest, highest and
// lowest by the notes to the schedule), and the worst verdict of all.
func TestAggregates(t *testing.T) {
	m := loftMeta(t)
	st := loft(t, sequence.Measured, "bs7671-2018-a4", &m,
		say{at: "ring-1/crossed-line-cpc", raw: "0.16 0.17 0.165"},
		say{at: "ring-1/insulation", raw: ">299 88 >99.9"},
		say{at: "radial-1/insulation", raw: ">299 >999 >299"},
		say{at: "lighting-1/continuity", raw: "0.27 0.48"},
		say{at: "rcd-a/rcd", raw: "no-trip no-trip 28 31 14 17 22"},
	)
	s := Build(st, m)
	ring, lights, hoist := &s.Circuits[0], &s.Circuits[1], &s.Circuits[2]
	for _, x := range []struct {
		what  string
		r     *Result
		state string
		value float64
		raw   string
	}{
		{"R1+R2 of a ring is the highest crossed line-cpc reading", &ring.R1PlusR2, Measured, 0.17, "0.17"},
		{"R1+R2 of a radial is the highest", &lights.R1PlusR2, Measured, 0.48, "0.48"},
		{"a number is lower than any over-range insulation reading", &ring.IRLiveEarth, Measured, 88, "88"},
		{"the lowest of over-range readings is the shortest range", &hoist.IRLiveEarth, OverRange, 0, ">299"},
		{"the slower half-cycle", &ring.RCDTime, Measured, 31, "31"},
		{"the same time on the other circuit of the device", &lights.RCDTime, Measured, 31, "31"},
		{"a calculated Zs says so", &lights.ZsMeasuredMax, Calculated, 0.68, "0.68"},
		{"R1+R2 where R2 was measured", &hoist.R1PlusR2, NotTested, 0, ""},
		{"r1 of what is no ring", &lights.RingR1, NotApplicable, 0, ""},
	} {
		got := 0.0
		if x.r.Value != nil {
			got = *x.r.Value
		}
		if x.r.State != x.state || got != x.value || x.r.Raw != x.raw {
			t.Errorf("%s: got %s %v %q, want %s %v %q", x.what, x.r.State, got, x.r.Raw, x.state, x.value, x.raw)
		}
	}
	if at := lights.RCDTime.MeasuredAt; !strings.Contains(at, "cutting-floor sockets") {
		t.Errorf("the device was measured at circuit 1, found %q", at)
	}
}

// TestFailingReadingShows checks that a failing reading speaks for its column even where
// another one is the value.
func TestFailingReadingShows(t *testing.T) {
	m := loftMeta(t)
	st := loft(t, sequence.Measured, "bs7671-2018-a4", &m,
		say{at: "rcd-a/rcd", raw: "no-trip no-trip no-trip 31 14 17 22"}, say{at: "rcd-a/rcd/one-0/decide", raw: "leave"})
	r := Build(st, m).Circuits[1].RCDTime
	if r.Value != nil || r.Raw != "no-trip" || r.Verdict != "fail" || r.State != Measured {
		t.Errorf("no trip at the rated current: %+v", r)
	}
	m = loftMeta(t)
	st = loft(t, sequence.Measured, "bs7671-2018-a4", &m,
		say{at: "lighting-1/continuity/l1", raw: "0.02"}, say{at: "lighting-1/continuity/l1/decide", raw: "go-on"},
		say{at: "lighting-1/switching", raw: "end"})
	if r := Build(st, m).Circuits[1].R1PlusR2; *r.Value != 0.48 || r.Verdict != "doubt" || !strings.Contains(r.Why, "lighting-1/continuity/l1") {
		t.Errorf("a doubt beside the highest reading: %+v", r)
	}
}

// TestRepairVoidsReadings checks that readings taken before a repair are no results any
// more, and are not lost either.
func TestRepairVoidsReadings(t *testing.T) {
	m := loftMeta(t)
	st := start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), sequence.Measured, "bs7671-2018-a4")
	for range 600 {
		q, _ := st.Question()
		raw := st.RightAnswer(cast)
		switch q.ID {
		case "radial-1/polarity":
			raw = "reversed"
		case "radial-1/polarity/decide":
			raw = "repair"
		}
		next, _, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: raw})
		if err != nil {
			t.Fatal(err)
		}
		st = next
		if q.ID == "radial-1/polarity/decide" {
			break
		}
	}
	r := Build(st, m).Circuits[2].R2
	if r.State != NotTested || r.Value != nil || !strings.Contains(r.Why, "0.09 Ω") {
		t.Errorf("a reading before the repair: %+v", r)
	}
}

// TestDoubtAccepted checks who accepted a doubt and why, and that it lapses when the
// reading is corrected.
func TestDoubtAccepted(t *testing.T) {
	m := loftMeta(t)
	st := loft(t, sequence.Measured, "bs7671-2018-a4", &m,
		say{at: "lighting-1/insulation/LN-E", raw: "1.4"}, say{at: "lighting-1/insulation/LN-E/decide", raw: "go-on"},
		say{at: "ring-1/zs", raw: "end"})
	want := Accept{Reading: "lighting-1/insulation/LN-E", Reason: cast.Reason, By: cast.Supervisor, Stands: true}
	got := Build(st, m).Board.DoubtsAccepted
	if len(got) != 1 || got[0].Reading != want.Reading || got[0].Reason != want.Reason || got[0].By != want.By || !got[0].Stands || got[0].Gate == "" {
		t.Fatalf("got %+v, want %+v", got, want)
	}
	st = note(t, st, &m, coach.Event{Type: coach.Correct, At: "lighting-1/insulation/LN-E", Raw: "140"})
	if got := Build(st, m).Board.DoubtsAccepted; len(got) != 1 || got[0].Stands {
		t.Errorf("after a correction the acceptance still stands: %+v", got)
	}
}

// TestBuildIsPure builds twice from one state, and the state goes on as if not built from.
func TestBuildIsPure(t *testing.T) {
	m := loftMeta(t)
	st := loft(t, sequence.Measured, "bs7671-2018-a4", &m, append(slices.Clone(story), say{at: "ring-1/zs", raw: "end"})...)
	a, _ := Build(st, m).JSON()
	q1, _ := st.Question()
	b, _ := Build(st, m).JSON()
	q2, _ := st.Question()
	if string(a) != string(b) || q1.ID != q2.ID {
		t.Error("building a schedule changed something")
	}
}

// TestWhyNotMeasured reads the reasons of a lesson that starts from an accepted record,
// and of a sequence that lacks the test which its edition asks for.
func TestWhyNotMeasured(t *testing.T) {
	seq, err := finder(library(t))("lesson-rcd")
	if err != nil {
		t.Fatal(err)
	}
	st, ok := startIf(t, seq, loadRig(t, "training-bay"))
	if !ok {
		t.Fatal("the lesson does not fit the rig")
	}
	m := loftMeta(t)
	s := Build(drive(t, st, &m), m)
	m = loftMeta(t)
	old := Build(drive(t, start(t, "whole-board", loadRig(t, "training-bay"), sequence.Measured, "bs7671-2018"), &m), m)
	for _, x := range []struct{ why, want string }{
		{s.Circuits[1].R1PlusR2.Why, "earlier record that the supervisor accepted"},
		{s.Circuits[4].RCDTime.Why, "Not in this sequence."},
		{s.Circuits[2].ZsMeasuredMax.Why, "No plug-in point."},
		{s.Board.Ze.Why, "declared by Bay supervisor; source: bay commissioning sheet"},
		{old.Circuits[0].R2.Why, "R1+R2 was measured instead"},
	} {
		if !strings.Contains(x.why, x.want) {
			t.Errorf("got %q, want %q", x.why, x.want)
		}
	}
	// An older edition asks for five times the rating: either it was read, or the reason says so.
	if r := old.Circuits[0].RCDTime; r.Multiple != 5 || r.State != Measured && !strings.Contains(r.Why, "asks for 5 times") {
		t.Errorf("RCD time under the older edition: %+v", r)
	}
}
