package app

import (
	"fmt"

	"github.com/fatih/color"
	"golang.org/x/term"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/prompt"
	"wanderlead/internal/screen"
	"wanderlead/internal/study"
	"wanderlead/internal/words"
)

// view turns what the session says into what a front shows: laid out by screen,
// coloured here, because colour is the shell's decision.
type view struct {
	screen *screen.Screen
	cat    *words.Catalogue
	book   *mistakes.Book
	err    error
}

const defaultWidth = 80

func (a *app) newView(lib *content.Library) *view {
	v := &view{}
	cat, err := a.catalogue(lib)
	if err != nil {
		return &view{err: err}
	}
	v.cat = cat
	safe, err := screen.LoadTexts(lib, screen.English)
	if err != nil {
		return &view{err: err}
	}
	level, _ := screen.ParseCoaching(a.opt.coaching)
	book, err := mistakes.Load(lib)
	if err != nil {
		return &view{err: err}
	}
	v.book = book
	v.screen, v.err = screen.New(screen.Options{Width: a.width(), Plain: a.opt.plain || !prompt.IsTerminal(a.sys.Out), Coaching: level, Mistakes: book}, cat, safe)
	return v
}

// width is the terminal's, or 80 columns where there is none.
func (a *app) width() int {
	if w, _, err := term.GetSize(int(a.sys.Out.Fd())); err == nil && w > 0 {
		return w
	}
	return defaultWidth
}

func (v *view) text(id string, params map[string]string) string { return v.cat.Text(id, params) }

func (v *view) question(st *coach.State) prompt.Question {
	q, lines, _ := v.screen.Question(st)
	q.Lines = paint(lines)
	return q
}

func (v *view) feedback(before, after *coach.State, fb coach.Feedback) []string {
	return paint(v.screen.Feedback(before, after, fb))
}

func (v *view) leaving(st *coach.State) []string { return paint(v.screen.End(st)) }

func (v *view) end(st *coach.State) []string { return paint(v.screen.End(st)) }

// paints gives each role its colour. Every role can be told without it.
var paints = map[screen.Role]*color.Color{
	screen.Heading: color.New(color.Bold),
	screen.Caution: color.New(color.FgYellow, color.Bold),
	screen.Pass:    color.New(color.FgGreen, color.Bold),
	screen.Doubt:   color.New(color.FgYellow, color.Bold),
	screen.Fail:    color.New(color.FgRed, color.Bold),
	screen.Refused: color.New(color.FgRed),
	screen.Why:     color.New(color.Faint),
	screen.Trace:   color.New(color.Faint),
}

func paint(lines []screen.Line) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = l.Text
		if c := paints[l.Role]; c != nil && l.Text != "" {
			out[i] = c.Sprint(l.Text)
		}
	}
	return out
}

// correctWhich asks which reading was typed wrongly.
func (v *view) correctWhich(st *coach.State) prompt.Question {
	q := prompt.Question{ID: "correct/which", Kind: prompt.Choice, Ask: v.text("correct.which", nil)}
	q.Options = append(q.Options, prompt.Option{Value: coach.NotYet, Label: v.text("correct.none", nil)})
	for _, r := range st.Recorded() {
		q.Options = append(q.Options, prompt.Option{Value: r.ID, Label: fmt.Sprintf("%s  %s", r.ID, r.Raw)})
	}
	return q
}

func (v *view) correctValue(id string) prompt.Question {
	return prompt.Question{ID: "correct/value", Kind: prompt.Line, Ask: v.text("correct.value", map[string]string{"reading": id})}
}

func (v *view) studyQuestion(st *study.State) (prompt.Question, bool) {
	q, lines, ok := v.screen.StudyQuestion(st)
	q.Lines = paint(lines)
	return q, ok
}

func (v *view) studyFeedback(before, after *study.State, fb study.Feedback) []string {
	return paint(v.screen.StudyFeedback(before, after, fb))
}

// wrap lays out texts that belong to no question.
func (v *view) wrap(texts ...string) []string { return screen.Strings(v.screen.Texts(texts...)) }
