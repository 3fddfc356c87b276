package screen_test

import (
	"fmt"
	"go/ast"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/screen"
	"wanderlead/safety"
)

func TestEveryIDHasAText(t *testing.T) {
	fset, files := coachFiles(t)
	c := &collector{t: t, fset: fset, consts: constants(files)}
	for _, f := range files {
		ast.Inspect(f, c.visit)
	}
	t.Logf("%d ids", len(c.out))
	if len(c.out) < 150 {
		t.Fatalf("only %d ids found: the scan no longer finds what coach emits", len(c.out))
	}
	cat := catalogue(t)
	safe, err := screen.LoadTexts(library(t, ""), screen.English)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range c.out {
		id := strings.TrimSuffix(e.id, ".")
		raw, _, ok := safe.Text(id, false)
		switch {
		case ok && e.known:
			checkParams(t, e, braces(raw), append(screen.Placeholders(), "emergency"))
		case ok:
		case !cat.Has(id):
			t.Errorf("%s: no text %q", e.at, id)
		case e.known:
			checkParams(t, e, cat.Placeholders(id), []string{"because"})
		}
	}
}

func checkParams(t *testing.T, e emitted, used, always []string) {
	t.Helper()
	for _, u := range used {
		if !slices.Contains(e.params, u) && !slices.Contains(always, u) {
			t.Errorf("%s: the text %q wants {%s}, and coach gives %v", e.at, e.id, u, e.params)
		}
	}
}

func braces(s string) []string {
	var out []string
	for _, x := range strings.Split(s, "{")[1:] {
		name, _, _ := strings.Cut(x, "}")
		out = append(out, name)
	}
	return out
}

// TestOtherTexts demands what is shown without coach naming it: why each fact is
// asked, names of tests and kinds, options drawn from the rig.
func TestOtherTexts(t *testing.T) {
	cat := catalogue(t)
	safe, err := screen.LoadTexts(library(t, ""), screen.English)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range safety.Interlock() {
		id := "why." + strings.ReplaceAll(string(r.Fact), "/", ".")
		if _, _, ok := safe.Text(id, false); !ok {
			t.Errorf("no text %q", id)
		}
	}
	for _, id := range []string{"option.isolator.other", "because.isolator.other", "option.switch-on.incoming.on", "option.switch-on.incoming.wrong-switch",
		"option.switch-on.installation.on", "option.switch-on.installation.wrong-switch", "done.dead", "study-prefix"} {
		if _, _, ok := safe.Text(id, false); !ok {
			t.Errorf("no text %q", id)
		}
	}
	for _, id := range []string{"option.neutral-bar", "option.test-voltage", "because.neutral-bar", "because.test-voltage", "end.complete", "end.left", "end.interrupted"} {
		if !cat.Has(id) {
			t.Errorf("no text %q", id)
		}
	}
	for _, test := range tests() {
		if !cat.Has("test." + test) {
			t.Errorf("no name of test %q", test)
		}
	}
	for _, k := range safety.Kinds() {
		if k != safety.Look && len(safe.Cautions(k, "")) == 0 {
			t.Errorf("no caution for %s", k)
		}
	}
}

func tests() []string {
	return []string{safety.TestEarthing, safety.TestBonding, safety.TestBars, safety.TestEnds, safety.TestCrossedLN, safety.TestCrossedLE,
		safety.TestContinuity, safety.TestLongLead, safety.TestOwnBar, safety.TestSwitching, safety.TestInsulation, safety.TestPolarity,
		safety.TestInspection, safety.TestSupply, safety.TestZe, safety.TestElectrode, safety.TestSupplyCable, safety.TestPFC, safety.TestZs,
		safety.TestZsCalculated, safety.TestRCD, safety.TestRCDButton, safety.TestPhases, safety.TestFunctional, safety.TestInstrument}
}

// TestCautionsOfTests holds the tests that can hurt to the cautions that belong to
// them. The table was written by hand from the list of cautions of the trade (HSG85,
// GS38; the rest is common practice, no source).
func TestCautionsOfTests(t *testing.T) {
	safe, err := screen.LoadTexts(library(t, ""), screen.English)
	if err != nil {
		t.Fatal(err)
	}
	for test, words := range map[string][]string{
		safety.TestInsulation: {"{test-voltage}", "behind the guards", "nobody else", "electronics", "discharge"},
		safety.TestZe:         {"NO EARTH", "main switch", "goes back"},
		safety.TestElectrode:  {"NO EARTH", "main switch"},
		safety.TestZs:         {"metalwork live"},
		safety.TestRCD:        {"will trip", "tell everybody", "puts it on again"},
		safety.TestPFC:        {"range"},
	} {
		text := strings.Join(safe.Cautions(safety.NoKind, test), " ")
		for _, w := range words {
			if !strings.Contains(text, w) {
				t.Errorf("caution of %s does not mention %q: %s", test, w, text)
			}
		}
	}
	for k, w := range map[safety.Kind]string{safety.DeadTest: "Proved dead", safety.Lift: "Proved dead", safety.LiveIncoming: "LIVE", safety.LiveTest: "LIVE", safety.CircuitOn: "LIVE"} {
		if text := fmt.Sprint(safe.Cautions(k, "")); !strings.Contains(text, w) {
			t.Errorf("caution of %s does not say %q: %s", k, w, text)
		}
	}
}
