package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
)

var update = flag.Bool("update", false, "write the golden files anew")

// story is a session in which things happen that a schedule has to keep: a reading put
// down to the lead and repeated, a mistyped one corrected, one typed in another unit, a
// doubt that the supervisor accepts, an insulation reading that is low but passes.
var story = []say{
	{at: "earthing", raw: "5.2"},
	{at: "earthing/decide", raw: "lead"},
	{at: "ring-1/ends/r1", raw: "250mohm"},
	{at: "ring-1/ends/rn", raw: "0.26", when: "ring-1/polarity"},
	{at: "ring-1/insulation/L-E", raw: "211"},
	{at: "radial-1/insulation/N-E", raw: "limitation: no access to the far end today"},
	{at: "lighting-1/insulation/LN-E", raw: "1.4"},
	{at: "lighting-1/insulation/LN-E/decide", raw: "go-on"},
	{at: "radial-1/zs/s1", raw: "0.55"},
	{at: "rcd-a/rcd/ramp", raw: "21"},
}

func loft(t testing.TB, origin sequence.Origin, ed string, m *Meta, says ...say) *coach.State {
	t.Helper()
	return drive(t, start(t, "loft.seq.yaml", testRig(t, "loft.rig.yaml"), origin, ed), m, says...)
}

func loftMeta(t testing.TB) Meta {
	return Meta{Words: catalogue(t), Mode: "practise", Created: "2026-03-10T09:00:00Z", Closed: "2026-03-10T11:40:00Z",
		Fields: map[string]string{FieldTestedBy: "A. Learner", FieldDate: "2026-03-10", "instrument": "BY-07"}}
}

// TestGolden compares each form of three schedules with the files in testdata: a whole
// session with its accidents, one left half way with things open and live, and a
// scripted one whose origin the supervisor declared.
func TestGolden(t *testing.T) {
	for name, make := range map[string]func() (*coach.State, Meta){
		"whole": func() (*coach.State, Meta) {
			m := loftMeta(t)
			st := loft(t, sequence.Measured, "bs7671-2018-a4", &m, story...)
			st = note(t, st, &m, coach.Event{Type: coach.Remark, Raw: "lamp of the far light flickers"})
			return st, m
		},
		"left": func() (*coach.State, Meta) {
			m := loftMeta(t)
			st := loft(t, sequence.Measured, "bs7671-2018-a4", &m,
				say{at: "ring-1/polarity", raw: "reversed"}, say{at: "ring-1/polarity/decide", raw: "leave"})
			return st, m
		},
		"declared": func() (*coach.State, Meta) {
			m := loftMeta(t)
			m.Scripted = true
			return loft(t, sequence.Declared, "bs7671-2018", &m), m
		},
	} {
		st, m := make()
		s := Build(st, m)
		golden(t, name+".80.txt", []byte(s.Text(80)))
		golden(t, name+".60.txt", []byte(s.Text(60)))
		csv, err := s.CSV()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name+".csv", csv)
		js, err := s.JSON()
		if err != nil {
			t.Fatal(err)
		}
		golden(t, name+".json", js)
	}
}

func note(t testing.TB, st *coach.State, m *Meta, ev coach.Event) *coach.State {
	t.Helper()
	next := st
	if st.Ended() == "" {
		var err error
		if next, _, err = st.Apply(ev); err != nil {
			t.Fatal(err)
		}
	}
	m.Note(st, next, ev)
	return next
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs from the golden file; look at the difference, then go test ./internal/report -update\n%s", name, firstDifference(got, want))
	}
}

func firstDifference(got, want []byte) string {
	g, w := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range g {
		if i >= len(w) || !bytes.Equal(g[i], w[i]) {
			out := "got:  " + string(g[i])
			if i < len(w) {
				out += "\nwant: " + string(w[i])
			}
			return out
		}
	}
	return "the golden file is longer"
}
