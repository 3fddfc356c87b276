package report

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// cast is who the tests' sessions name.
var cast = coach.Cast{Supervisor: "Bay supervisor", Code: "code-hash", Padlock: "4417", MainPadlock: "4418",
	People: "Two learners, told", Reason: "compared with the commissioning sheet", Instrument: "BY-07"}

func library(t testing.TB) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func catalogue(t testing.TB) *words.Catalogue {
	t.Helper()
	w, err := words.Load(library(t), "en")
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func pack(t testing.TB, name string) *edition.Pack {
	t.Helper()
	p, err := edition.Load(library(t), name)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func loadRig(t testing.TB, name string) *rig.Rig {
	t.Helper()
	r, err := rig.Load(library(t), name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func testRig(t testing.TB, name string) *rig.Rig {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Parse(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func finder(lib *content.Library) sequence.Finder {
	return func(name string) (*sequence.Sequence, error) {
		data, err := lib.Read(name + ".yaml")
		if strings.Contains(name, ".") {
			data, err = os.ReadFile(filepath.Join("testdata", name))
		}
		if err != nil {
			return nil, err
		}
		return sequence.Parse(name, data)
	}
}

// start begins a session of a built-in sequence, or of one in testdata when the name
// has a dot.
func start(t testing.TB, name string, r *rig.Rig, origin sequence.Origin, ed string) *coach.State {
	t.Helper()
	find := finder(library(t))
	seq, err := find(name)
	if err != nil {
		t.Fatal(err)
	}
	prog, problems := sequence.Unroll(seq, r, origin, find)
	for _, p := range problems {
		t.Error(p.Error())
	}
	return coach.New(coach.Setup{Program: prog, Pack: pack(t, ed)})
}

// startIf begins a session in the first way to know the origin that fits the rig.
func startIf(t testing.TB, seq *sequence.Sequence, r *rig.Rig) (*coach.State, bool) {
	t.Helper()
	for _, o := range []sequence.Origin{sequence.Measured, sequence.Declared} {
		if prog, problems := sequence.Unroll(seq, r, o, finder(library(t))); len(problems) == 0 {
			return coach.New(coach.Setup{Program: prog, Pack: pack(t, "bs7671-2018-a4")}), true
		}
	}
	return nil, false
}

// say is one answer that stands out from the right ones.
type say struct {
	at   string // id of the question, or of one of its parts
	raw  string
	when string // for a correction: the question at which it is made
}

// drive answers right, but for the given answers, each used once when its question
// comes up, until the session ends or the answer "end" is due. It notes what the
// record would hold for the report.
func drive(t testing.TB, st *coach.State, m *Meta, says ...say) *coach.State {
	t.Helper()
	used := make([]bool, len(says))
	apply := func(ev coach.Event) coach.Feedback {
		next, fb, err := st.Apply(ev)
		if err != nil {
			t.Fatalf("%s %q at %q: %v", ev.Type, ev.Raw, ev.At, err)
		}
		m.Note(st, next, ev)
		st = next
		return fb
	}
	for range 4000 {
		q, ok := st.Question()
		if !ok {
			break
		}
		right := st.RightAnswer(cast)
		ev := coach.Event{Type: coach.Answer, At: q.ID, Raw: right}
		for i, s := range says {
			due := s.at
			if s.when != "" {
				due = s.when
			}
			if used[i] || due != q.ID && !slices.Contains(q.PartIDs, due) {
				continue
			}
			if s.raw == "end" {
				return st
			}
			used[i] = true
			ev.At, ev.Raw = s.at, s.raw
			if s.when != "" {
				ev.Type = coach.Correct
			}
			break
		}
		if fb := apply(ev); fb.Refused != "" && ev.Raw == right {
			t.Fatalf("right answer %q at %s refused: %s", ev.Raw, ev.At, fb.Refused)
		}
	}
	for i, s := range says {
		if !used[i] {
			t.Fatalf("the question %s never came up", s.at)
		}
	}
	return st
}
