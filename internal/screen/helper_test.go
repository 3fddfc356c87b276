package screen_test

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

var cast = coach.Cast{Supervisor: "B. Rowan", Code: "hash", Padlock: "4417", MainPadlock: "4418",
	People: "everyone in the bay", Reason: "checked with the second instrument"}

func library(t testing.TB, dir string) *content.Library {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := lib.Speak(speaking); err != nil {
		t.Fatal(err)
	}
	return lib
}

// speaking is the language that screens are laid out in; only the test of another language changes it.
var speaking = screen.English

func catalogue(t testing.TB) *words.Catalogue {
	t.Helper()
	cat, err := words.Load(library(t, ""), speaking)
	if err != nil {
		t.Fatal(err)
	}
	return cat
}

func newScreen(t testing.TB, o screen.Options) *screen.Screen {
	t.Helper()
	safe, err := screen.LoadTexts(library(t, ""), speaking)
	if err != nil {
		t.Fatal(err)
	}
	s, err := screen.New(o, catalogue(t), safe)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// inEnglish is the wording of the catalogue.
func inEnglish(t testing.TB) screen.Wording {
	cat := catalogue(t)
	return func(id string, kv ...string) string {
		m := map[string]string{}
		for i := 0; i < len(kv); i += 2 {
			m[kv[i]] = kv[i+1]
		}
		return cat.Text(id, m)
	}
}

// session starts a sequence on a built-in rig. read finds sequences that are not
// built in.
func session(t testing.TB, rigName, seqName string, read func(string) ([]byte, error)) *coach.State {
	t.Helper()
	lib := library(t, "")
	r, err := rig.Load(lib, rigName)
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		t.Fatal(err)
	}
	find := func(name string) (*sequence.Sequence, error) {
		data, err := lib.Read(name + ".yaml")
		if read != nil {
			data, err = read(name + ".yaml")
		}
		if err != nil {
			return nil, err
		}
		return sequence.ParseReader(lib.Parse(name+".yaml", data))
	}
	seq, err := find(seqName)
	if err != nil {
		t.Fatal(err)
	}
	origin := sequence.Measured
	if r.Isolation.At != rig.Upstream {
		origin = sequence.Declared
	}
	p, problems := sequence.Unroll(seq, r, origin, find)
	for _, x := range problems {
		t.Error(x.Error())
	}
	return coach.New(coach.Setup{Program: p, Pack: pack})
}

// answer gives one answer to the question that is due.
func answer(t testing.TB, st *coach.State, raw string) (*coach.State, coach.Feedback) {
	t.Helper()
	q, _ := st.Question()
	next, fb, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: raw})
	if err != nil {
		t.Fatal(err)
	}
	return next, fb
}
