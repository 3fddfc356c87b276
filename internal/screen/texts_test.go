package screen_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"wanderlead/internal/screen"
	"wanderlead/safety"
)

func overlay(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestOverlayAddsToASafetyText(t *testing.T) {
	dir := overlay(t, map[string]string{
		"safety/en/questions.yaml": "safety-texts: en\ntexts:\n  ask.notice: Use the yard's red tag.\n  refused.code: Ring 4410.\n",
		"safety/en/cautions.yaml":  "safety-cautions: en\nkinds:\n  lift: [\"Yard rule: gloves on.\"]\n",
	})
	safe, err := screen.LoadTexts(library(t, dir), "en")
	if err != nil {
		t.Fatal(err)
	}
	if got, _, _ := safe.Text("ask.notice", false); got != "Hang your notice with name and date where somebody would switch on. Use the yard's red tag. Where does it hang?" {
		t.Errorf("an addition stands before the question: %q", got)
	}
	if got, _, _ := safe.Text("refused.code", false); !strings.HasSuffix(got, "ask them to come. Ring 4410.") {
		t.Errorf("an addition stands after another text: %q", got)
	}
	if got := safe.Cautions(safety.Lift, ""); len(got) != 2 || !strings.HasPrefix(got[0], "Proved dead") || got[1] != "Yard rule: gloves on." {
		t.Errorf("cautions %q", got)
	}
}

func TestOverlayTranslates(t *testing.T) {
	dir := overlay(t, map[string]string{
		"safety/de/questions.yaml": "safety-texts: de\ntexts:\n  option.not-yet: Noch nicht\n  ask.supply: \"{lamp} ansehen, nichts öffnen. Was zeigt sie?\"\n",
	})
	safe, err := screen.LoadTexts(library(t, dir), "de")
	if err != nil {
		t.Fatal(err)
	}
	if got, _, _ := safe.Text("option.not-yet", false); got != "Noch nicht" {
		t.Errorf("translated %q", got)
	}
	if got, _, _ := safe.Text("option.leave", false); !strings.HasPrefix(got, "End the session") {
		t.Errorf("what is not translated stays English, got %q", got)
	}
}

func TestSafetyTextsCannotBeTakenAway(t *testing.T) {
	for name, c := range map[string]struct{ file, text, lang, want string }{
		"emptied":          {"questions.yaml", "safety-texts: en\ntexts:\n  ask.supply: \"\"\n", "en", "cannot be emptied|is empty"},
		"blank":            {"questions.yaml", "safety-texts: en\ntexts:\n  ask.supply: \"  \"\n", "en", "ask.supply is empty"},
		"unknown":          {"questions.yaml", "safety-texts: en\ntexts:\n  ask.suply: Look.\n", "en", "there is no safety text"},
		"placeholder":      {"questions.yaml", "safety-texts: en\ntexts:\n  ask.supply: Look at {lamb}.\n", "en", "{lamb} is no placeholder"},
		"dropped":          {"questions.yaml", "safety-texts: de\ntexts:\n  ask.supply: Was zeigt sie?\n", "de", "leaves out {lamp}"},
		"language":         {"questions.yaml", "safety-texts: en\ntexts: {}\n", "de", "in the folder of"},
		"shorter":          {"cautions.yaml", "safety-cautions: de\ntests:\n  ze: [\"Keine Erde.\"]\n", "de", "1 cautions, the English list has 2"},
		"empty caution":    {"cautions.yaml", "safety-cautions: en\ntests:\n  ze: [\" \"]\n", "en", "an empty caution"},
		"unknown caution":  {"cautions.yaml", "safety-cautions: en\ntests:\n  zed: [\"x\"]\n", "en", "there is no kind of act or test"},
		"unknown key":      {"cautions.yaml", "safety-cautions: en\ntest:\n  ze: [\"x\"]\n", "en", "test"},
		"null":             {"questions.yaml", "safety-texts: en\ntexts:\n  ask.supply:\n", "en", "ask.supply"},
		"replaces nothing": {"questions.yaml", "safety-texts: en\n", "en", ""},
	} {
		dir := overlay(t, map[string]string{"safety/" + c.lang + "/" + c.file: c.text})
		_, err := screen.LoadTexts(library(t, dir), c.lang)
		if c.want == "" {
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		if err == nil || !regexp.MustCompile(c.want).MatchString(err.Error()) {
			t.Errorf("%s: got %v, should match %q", name, err, c.want)
		}
	}
}

// promises are words that no text of a session may use of an installation or a person.
var promises = regexp.MustCompile(`(?i)\b(safe|safely|unsafe|compliant|complies|certified|certify)\b`)

func TestTextsKeepToTheRules(t *testing.T) {
	cat := catalogue(t)
	safe, err := screen.LoadTexts(library(t, ""), screen.English)
	if err != nil {
		t.Fatal(err)
	}
	check := func(id, text string) {
		if m := promises.FindString(text); m != "" {
			t.Errorf("%s says %q: %s", id, m, text)
		}
		if n := len(regexp.MustCompile(`[.?!]( |$)`).FindAllString(text, -1)); n > 4 {
			t.Errorf("%s has %d sentences: %s", id, n, text)
		}
		if len(text) > 240 {
			t.Errorf("%s is %d bytes long: %s", id, len(text), text)
		}
	}
	for _, id := range safe.IDs() {
		text, _, _ := safe.Text(id, false)
		check(id, text)
		if base, isStudy := strings.CutSuffix(id, ".study"); isStudy {
			if _, _, ok := safe.Text(base, false); !ok {
				t.Errorf("%s is the study wording of nothing", id)
			}
		}
	}
	for _, id := range cat.IDs() {
		text := cat.Text(id, nil)
		if m := promises.FindString(text); m != "" {
			t.Errorf("%s says %q: %s", id, m, text)
		}
	}
}

// TestStudyNeverTellsAnybodyToAct: whatever a question tells somebody to do at a rig
// has its own wording for study, which says that the rig is simulated.
func TestStudyNeverTellsAnybodyToAct(t *testing.T) {
	safe, err := screen.LoadTexts(library(t, ""), screen.English)
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range safe.IDs() {
		if !strings.HasPrefix(id, "ask.") || strings.HasSuffix(id, ".study") {
			continue
		}
		text, _, _ := safe.Text(id, false)
		first := strings.Fields(text)[0]
		acts := map[string]bool{"Look": true, "Read": true, "Fit": true, "Go": true, "Hang": true, "To": true, "At": true, "Prove": true,
			"Say": true, "See": true, "Walk": true, "Ask": true, "Call": true, "The": true, "{main-switch}": true, "{name}": true, "In": true, "Live": true}
		if !acts[first] {
			continue
		}
		study, own, _ := safe.Text(id, true)
		if !own {
			t.Errorf("%s tells somebody to act and has no study wording: %s", id, text)
		} else if !regexp.MustCompile(`(?i)simulated|in study`).MatchString(study) {
			t.Errorf("%s.study does not say that it is simulated: %s", id, study)
		}
	}
}
