package explain_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/explain"
	"wanderlead/internal/faults"
	"wanderlead/internal/judge"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/rig"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

func guide(t *testing.T) (*explain.Guide, *edition.Pack, *rig.Rig, *words.Catalogue) {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	b, err := mistakes.Load(lib)
	if err != nil {
		t.Fatal(err)
	}
	g, err := explain.Load(lib, b)
	if err != nil {
		t.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := rig.Load(lib, "reference")
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	return g, pack, r, cat
}

var digits = regexp.MustCompile(`\d`)

// sentences counts sentences: a full stop, question mark or colon does not end one within a number.
var sentenceEnd = regexp.MustCompile(`[.?!]( |$)`)

func TestEverythingIsExplained(t *testing.T) {
	g, pack, r, cat := guide(t)
	for _, name := range judge.Tests() {
		if _, ok := g.Find(name); !ok {
			t.Errorf("the test %s is not explained", name)
		}
	}
	for _, k := range faults.Kinds() {
		if e, ok := g.Find(k.ID); !ok || e.Kind != "fault" {
			t.Errorf("the fault %s is not explained", k.ID)
		}
	}
	for _, e := range g.All {
		w, err := e.Worked(pack, r, cat)
		if err != nil {
			t.Errorf("%s %s: %v", e.Kind, e.ID, err)
			continue
		}
		if w.What == "" || w.Why == "" || w.Source == "" {
			t.Errorf("%s %s lacks what, why or source", e.Kind, e.ID)
		}
		if !digits.MatchString(w.Example) && e.Kind != "mistake" && !slices.Contains([]string{"polarity", "isolation", "functional", "phase-sequence", "neutral-bars", "own-bar", "earthing"}, e.ID) {
			t.Errorf("%s %s has an example without numbers: %q", e.Kind, e.ID, w.Example)
		}
		for _, text := range []string{w.What, w.Why, w.Do} {
			if n := len(sentenceEnd.FindAllString(text, -1)); n > 3 {
				t.Errorf("%s %s: %d sentences in %q", e.Kind, e.ID, n, text)
			}
			if strings.Contains(text, "is safe") || strings.Contains(text, "certif") || strings.Contains(text, "you forgot") {
				t.Errorf("%s %s: %q", e.Kind, e.ID, text)
			}
		}
		for _, s := range e.See {
			if _, ok := g.Find(s); !ok {
				t.Errorf("%s %s: see %s, which is not explained", e.Kind, e.ID, s)
			}
		}
	}
}

// TestLimitsOfTheJudge holds every limit that a set of queries meets against the guide, and its number against the
// printed tables: Zs of a B32 is 1.37 Ω, of a measurement 1.0925 Ω, an RCD of 30 mA has 300 ms and its earthing 1667 Ω
// (BS 7671 Tables 41.3 and 41.5, from memory).
func TestLimitsOfTheJudge(t *testing.T) {
	g, pack, r, cat := guide(t)
	for id, want := range map[string]string{"zs_table": "1.37 Ω", "ZS-MEASURED": "1.0925 Ω", "rcd_max": "300 ms", "ra_max": "1667 Ω", "ir_min": "1 MΩ", "voltage_max": "253 V"} {
		e, ok := g.Find(id)
		if !ok {
			t.Errorf("no %s", id)
			continue
		}
		w, err := e.Worked(pack, r, cat)
		if err != nil || !strings.HasPrefix(w.Example, want) {
			t.Errorf("%s: %q, %v, want %s", id, w.Example, err, want)
		}
	}
	for _, q := range []string{"zs value=0.80 device=B32", "insulation value=1.5", "rcd rated=30 multiple=1 value=28", "rcd rated=100 multiple=1 value=190 delay=S standard=61008",
		"rcd-ramp rated=30 value=21", "pfc value=1.1 breaking_capacity=6 assembly=16", "ze value=0.28 earthing=TN-C-S declared=0.3", "ze value=0.3 earthing=TN-S", "electrode value=100 rated=30", "voltage between=L-N value=231"} {
		args := strings.Fields(q)
		query, err := judge.ParseArgs(args[0], args[1:])
		if err != nil {
			t.Fatal(err)
		}
		v, err := judge.Judge(pack, query)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range v.Limits {
			if e, ok := g.Find(l.Name); !ok || e.Kind != "limit" {
				t.Errorf("the limit %s of %q is not explained", l.Name, q)
			}
		}
	}
}

func TestNear(t *testing.T) {
	g, _, _, _ := guide(t)
	for typed, want := range map[string]string{"leads-not-nuled": `did you mean "leads-not-nulled"?`, "neon": "neon-left-in", "xyzzy": "without an id"} {
		if got := g.Near(typed); !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q", typed, got, want)
		}
	}
}
