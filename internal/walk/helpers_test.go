package walk_test

import (
	"os"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
	"wanderlead/sequences"
)

// house is the content that ships, loaded once.
type house struct {
	lib  *content.Library
	pack *edition.Pack
}

func load(t testing.TB) house {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "bs7671-2018-a4")
	if err != nil {
		t.Fatal(err)
	}
	return house{lib, pack}
}

func (h house) rig(t testing.TB, name string, circuits ...string) *rig.Rig {
	t.Helper()
	r, err := rig.Load(h.lib, name)
	if err != nil {
		t.Fatal(err)
	}
	if len(circuits) == 0 {
		return r
	}
	cut := *r
	cut.Circuits = nil
	for _, id := range circuits {
		c, ok := r.Circuit(id)
		if !ok {
			t.Fatalf("rig %s has no circuit %s", name, id)
		}
		cut.Circuits = append(cut.Circuits, *c)
	}
	return &cut
}

func (h house) find(name string) (*sequence.Sequence, error) {
	b, err := h.lib.Read(name + ".yaml")
	if err != nil {
		b, err = os.ReadFile("../../testdata/walk/" + name + ".yaml")
	}
	if err != nil {
		return nil, err
	}
	return sequence.Parse(name+".yaml", b)
}

func (h house) setup(t testing.TB, seq string, r *rig.Rig, origin sequence.Origin) coach.Setup {
	t.Helper()
	s, err := h.find(seq)
	if err != nil {
		t.Fatal(err)
	}
	p, probs := sequence.Unroll(s, r, origin, h.find)
	for _, x := range probs {
		t.Errorf("%s on %s: %v", seq, r.ID, x)
	}
	return coach.Setup{Program: p, Pack: h.pack}
}

// tell prints a trace, one event a line.
func tell(p walk.Problem) string {
	var b strings.Builder
	b.WriteString(p.Kind + ": " + p.Text + "\n")
	from := 0
	if os.Getenv("TRACE") == "" && len(p.Trace) > 30 {
		from = len(p.Trace) - 30
		b.WriteString("  …\n")
	}
	for _, ev := range p.Trace[from:] {
		b.WriteString("  " + string(ev.Type) + " " + ev.At + " " + ev.Raw + "\n")
	}
	return b.String()
}

func report(t *testing.T, name string, r walk.Report) {
	t.Helper()
	t.Log(name, r.String(), r.Ended)
	for _, p := range r.Problems {
		t.Error(name, tell(p))
	}
}
