package lint

import (
	"regexp"
	"slices"
	"strings"

	"wanderlead/internal/content"
	"wanderlead/internal/screen"
	"wanderlead/internal/sequence"
)

// studyRule is one line of what a text for study at home has to say or must not say. Somebody alone at home who reads an
// instruction may follow it at the board in the hall.
type studyRule struct {
	words []string
	must  bool // one of the words has to be there; otherwise none of them may be
	why   string
}

// studyRules is the rule for study texts, as data. Words are compared in lower case.
var studyRules = []studyRule{
	{[]string{"simulated"}, true, "a study text says that it speaks of the simulated rig"},
	{[]string{"your board", "your consumer unit", "fuse box", "your house", "your home", "at home", "real board", "real rig",
		"the hall", "your installation", "your own board", "your meter", "your instrument", "your lead"}, false,
		"a study text does not speak of a board, an installation or an instrument that somebody has"},
	{[]string{"take the cover off", "take off the cover", "open the board", "remove the cover", "unscrew"}, false,
		"a study text says what happens on the simulated rig, not what hands are to do at a board"},
}

// wording checks what can be checked without a rig: the study texts, and placeholders that no rig can fill.
func (l *linter) wording(s *sequence.Sequence) {
	known := screen.Placeholders()
	for _, w := range s.Written() {
		l.studyText(w)
		for _, t := range texts(w.At, w.Text, w.Right, w.Wrong) {
			for _, name := range names(t.text) {
				if !slices.Contains(known, name) {
					l.add("text", t.at, content.DidYouMean(name, known), "{%s} is not a name that texts can use", name)
				}
			}
			if strings.Count(t.text, "{") != strings.Count(t.text, "}") || strings.Count(t.text, "{") != len(names(t.text)) {
				l.add("text", t.at, "write it as {circuit}, or without braces", "a brace in this text belongs to no {name}")
			}
		}
	}
}

func (l *linter) studyText(w sequence.Written) {
	text := strings.ToLower(w.Text.Study)
	if strings.TrimSpace(text) == "" {
		return
	}
	for _, r := range studyRules {
		found := ""
		for _, word := range r.words {
			if strings.Contains(text, word) {
				found = word
				break
			}
		}
		at := w.At.Field("study")
		switch {
		case r.must && found == "":
			l.add("study", at, "begin it with: On the simulated rig, …", "this reads like an instruction about a real board: %s", r.why)
		case !r.must && found != "":
			l.add("study", at, "say what happens on the simulated rig", "%q reads like an instruction about a real board: %s", found, r.why)
		}
	}
}

// placeholders complains about names that have no value at a step of this rig.
func (l *linter) placeholders(p *sequence.Program) {
	for i := range p.Steps {
		st := &p.Steps[i]
		for _, t := range texts(st.At, st.Text, st.Right, st.Wrong) {
			if !strings.Contains(t.text, "{") {
				continue
			}
			_, missing := screen.Fill(screen.ByID, t.text, p, i)
			for _, m := range missing {
				if m.Known {
					l.add("text", t.at, "use it where there is one, with when:, or leave it out", "{%s} has nothing to stand for at this step", m.Name)
				}
			}
		}
	}
}

// placedText is a text of a step with where it is written.
type placedText struct {
	at   content.Value
	text string
}

func texts(at content.Value, t *sequence.Text, right sequence.Option, wrong []sequence.Option) []placedText {
	out := []placedText{
		{at.Field("practise"), t.Practise}, {at.Field("study"), t.Study}, {at.Field("why"), t.Why},
		{at.Field("leads"), t.Leads}, {at.Field("caution"), t.Caution}, {at.Field("right").Field("text"), right.Text},
	}
	items := at.Field("wrong")
	if items.Kind() != content.ListKind {
		return out
	}
	for i, v := range items.List() {
		if i < len(wrong) {
			out = append(out, placedText{v.Field("text"), wrong[i].Text}, placedText{v.Field("because"), wrong[i].Because})
		}
	}
	return out
}

var inBraces = regexp.MustCompile(`\{([^{}]*)\}`)

func names(text string) []string {
	var out []string
	for _, m := range inBraces.FindAllStringSubmatch(text, -1) {
		out = append(out, m[1])
	}
	return out
}
