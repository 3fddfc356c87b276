package screen_test

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
)

func TestFillOnTheTrainingBay(t *testing.T) {
	p := tiny(t).Program()
	step := func(id string) int {
		i, ok := p.Step(id)
		if !ok {
			t.Fatalf("no step %s", id)
		}
		return i
	}
	for _, c := range []struct {
		step       int
		text, want string
	}{
		{step("ring-1/ends/out"), "{circuit}", "circuit 1 (bench sockets)"},
		{step("ring-1/ends/out"), "{device}, {neutral-terminal}, {met}", "way 1 (B32), bar NA, MET"},
		{step("ring-1/ends/out"), "{bar} and not {other-bars}", "NA and not bar NB"},
		{step("ring-1/ends/out"), "{points}; {far-point}; {near-point}", "s1 to s8; s4 vice; s1 bench left"},
		{step("ring-1/ends/out"), "{far-points}", "s4 vice"},
		{step("ring-1/ends/out"), "{take-out}; {lead}; {test-voltage}", "anything plugged in; the plug-in lead; 500 V"},
		{step("ring-1/ends/out"), "RCD {rcd}, {rcd-rating}, {rcd-type}, ways {rcd-circuits}, at {rcd-point}", "RCD rcd-a, 30 mA, type A, ways 1, 2, 3 and 4, at s1 bench left"},
		{step("ring-1/insulation"), "{pairs}", "L-N, L-E and N-E"},
		{step("board-cover/off"), "{board}, {board-place}", "TB1, training bay, front wall"},
		{step("board-cover/off"), "{isolator}; {main-switch}; {emergency}", "bay isolator Q1; the main switch; the mushroom button E1 by the bay gate"},
		{step("board-cover/off"), "{lamp}; {proving-source}", "the white lamp H1 above bay isolator Q1; the proving unit on the tool board"},
		{step("board-cover/off"), "{bonds}", "the water pipe of the bay and the steel frame of the crane gallery"},
		{step("board-cover/off"), "{bars}; {pairs}; {pfc-pairs}; {test-points}", "NA and NB; L-N, L-E and N-E; L-N and L-E; shrouded test points"},
		{step("board-cover/off"), "{supervisor-measures}Measure.", "Measure."},
		{-1, "{isolator-place}", "bay isolator Q1, the red handle left of the wall"},
	} {
		got, unfilled := screen.Fill(inEnglish(t), c.text, p, c.step)
		if got != c.want || len(unfilled) > 0 {
			t.Errorf("%s: got %q, unfilled %v, should be %q", c.text, got, unfilled, c.want)
		}
	}
}

func TestFillNamesWhatItCannotFill(t *testing.T) {
	p := tiny(t).Program()
	i, _ := p.Step("board-cover/off")
	got, unfilled := screen.Fill(inEnglish(t), "{board} {circuit} {curcuit} {electrode}", p, i)
	want := []screen.Unfilled{{Name: "circuit", Known: true}, {Name: "curcuit"}, {Name: "electrode", Known: true}}
	if got != "TB1 {circuit} {curcuit} {electrode}" || !slices.Equal(unfilled, want) {
		t.Errorf("got %q, %v", got, unfilled)
	}
}

// TestPlaceholdersAreDocumented holds the list in the doc comment to the one that is
// used.
func TestPlaceholdersAreDocumented(t *testing.T) {
	src, err := os.ReadFile("placeholders.go")
	if err != nil {
		t.Fatal(err)
	}
	_, doc, _ := strings.Cut(string(src), "// Placeholders lists the names")
	doc, _, _ = strings.Cut(doc, "// The circuit's need")
	for _, name := range screen.Placeholders() {
		if !regexp.MustCompile(`[\s]` + regexp.QuoteMeta(name) + `\s`).MatchString(doc) {
			t.Errorf("{%s} is not in the list of the doc comment", name)
		}
	}
}

// TestSequencesAreFilledOnEveryRig fills every text of the built-in whole-board
// sequence on every built-in rig.
func TestSequencesAreFilledOnEveryRig(t *testing.T) {
	names, err := rig.Names(library(t, ""))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		p := session(t, name, "whole-board", nil).Program()
		for i := range p.Steps {
			st := &p.Steps[i]
			texts := []string{st.Text.Practise, st.Text.Study, st.Text.Why, st.Text.Leads, st.Text.Caution, st.Right.Text}
			for _, w := range st.Wrong {
				texts = append(texts, w.Text, w.Because)
			}
			for _, x := range texts {
				if _, unfilled := screen.Fill(screen.ByID, x, p, i); len(unfilled) > 0 {
					t.Errorf("%s %s: %v in %q", name, st.ID, unfilled, x)
				}
			}
		}
	}
}
