package app

import (
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"sync"

	"golang.org/x/term"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/draw"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/plain"
	"wanderlead/internal/prompt"
	"wanderlead/internal/screen"
	"wanderlead/internal/study"
	"wanderlead/internal/words"
)

// view turns what the session says into what a front shows: laid out by screen,
// coloured here, because colour is the shell's decision.
type view struct {
	laid *screen.Screen
	size func() (columns, rows int) // of the terminal now
	cat  *words.Catalogue
	book func() *mistakes.Book // read when it is first needed
	lib  *content.Library
	err  error
}

const defaultWidth = 80

// viewAhead reads what screens are made of while something else is read: people wait for the first question.
func (a *app) viewAhead(lib *content.Library) {
	a.draftIsShown = true
	ahead := make(chan *view, 1)
	go func() { ahead <- a.newView(lib) }()
	a.ahead = ahead
}

func (a *app) newView(lib *content.Library) *view {
	v := &view{lib: lib}
	cat, err := a.catalogue(lib)
	if err != nil {
		return &view{err: err}
	}
	v.cat = cat
	safe, err := screen.LoadTexts(lib, lib.Language())
	if err != nil {
		return &view{err: err}
	}
	level, _ := screen.ParseCoaching(a.opt.coaching)
	v.book = sync.OnceValue(func() *mistakes.Book {
		book, err := mistakes.Load(lib)
		if err != nil {
			fmt.Fprintf(a.errs(), "wanderlead: no usual mistakes are named: %v\n", err)
			return &mistakes.Book{}
		}
		return book
	})
	v.laid, v.err = screen.New(a.looks(level, v.book), cat, safe)
	v.size = a.size
	return v
}

// looks is how screens are laid out for whoever sits there.
func (a *app) looks(level screen.Coaching, book func() *mistakes.Book) screen.Options {
	tty := prompt.IsTerminal(a.sys.Out)
	o := screen.Options{Plain: a.opt.plain || !tty, Coaching: level, Mistakes: book}
	o.Width, o.Height = a.size()
	o.ASCII = !prompt.Policy{Getenv: a.sys.Getenv, Tty: tty}.Unicode(runtime.GOOS)
	return o
}

// policy is what decides on colour where out is written to.
func (a *app) policy(out *os.File) prompt.Policy {
	return prompt.Policy{Getenv: a.sys.Getenv, Tty: prompt.IsTerminal(out), NoColor: a.opt.noColor, Plain: a.opt.plain}
}

// painted is where lines go whose colours are the program's own.
func (a *app) painted() io.Writer { return plain.PaintedWriter(a.sys.Out) }

// size is the terminal's now, or 80 columns and no known height where there is none.
func (a *app) size() (columns, rows int) {
	if w, h, err := term.GetSize(int(a.sys.Out.Fd())); err == nil && w > 0 {
		return w, h
	}
	return defaultWidth, 0
}

func (a *app) width() int { w, _ := a.size(); return w }

// screen lays out for the terminal as it is now: people pull at windows.
func (v *view) screen() *screen.Screen {
	if v.size != nil {
		v.laid = v.laid.Sized(v.size())
	}
	return v.laid
}

func (v *view) text(id string, params map[string]string) string { return v.cat.Text(id, params) }

func (v *view) question(st *coach.State) prompt.Question {
	q, lines, _ := v.screen().Question(st)
	q.Lines = paint(lines)
	return q
}

func (v *view) feedback(before, after *coach.State, fb coach.Feedback) []string {
	return paint(v.screen().Feedback(before, after, fb))
}

func (v *view) leaving(st *coach.State) []string { return paint(v.screen().End(st)) }

// show is what somebody asked to look at: what is open, the board, the circuit.
func (v *view) show(st *coach.State) []string { return paint(v.screen().Show(st)) }

func (v *view) studyShow(st *study.State) []string { return paint(v.screen().StudyShow(st)) }

func (v *view) end(st *coach.State) []string { return paint(v.screen().End(st)) }

// paints gives each role its ink. Every role can be told without it.
var paints = map[screen.Role]prompt.Ink{
	screen.Heading: prompt.Strong,
	screen.Caution: prompt.Care,
	screen.Pass:    prompt.Good,
	screen.Doubt:   prompt.Care,
	screen.Fail:    prompt.Bad,
	screen.Refused: prompt.Bad,
}

// tones are the inks inside a drawing, whose signs differ as well.
var tones = map[draw.Tone]prompt.Ink{
	draw.This:   prompt.Accent,
	draw.Fits:   prompt.Good,
	draw.Odd:    prompt.Bad,
	draw.Limit:  prompt.Care,
	draw.Opened: prompt.Care,
}

func paint(lines []screen.Line) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		if len(l.Runs) == 0 {
			out[i] = prompt.Paint(paints[l.Role], l.Text)
			continue
		}
		var b strings.Builder
		for _, r := range l.Runs {
			b.WriteString(prompt.Paint(tones[r.Tone], r.Text))
		}
		out[i] = b.String()
	}
	return out
}

// correctWhich asks which reading was typed wrongly.
func (v *view) correctWhich(st *coach.State) prompt.Question {
	q := prompt.Question{ID: "correct/which", Kind: prompt.Choice, Ask: v.text("correct.which", nil)}
	q.Options = append(q.Options, prompt.Option{Value: coach.NotYet, Label: v.text("correct.none", nil)})
	for _, r := range st.Recorded() {
		q.Options = append(q.Options, prompt.Option{Value: r.ID, Label: v.screen().Recorded(st.Program(), r)})
	}
	return q
}

func (v *view) correctValue(st *coach.State, id string) prompt.Question {
	return prompt.Question{ID: "correct/value", Kind: prompt.Line, Ask: v.text("correct.value", map[string]string{"reading": v.screen().Recorded(st.Program(), coach.Recording{ID: id})})}
}

func (v *view) studyQuestion(st *study.State) (prompt.Question, bool) {
	q, lines, ok := v.screen().StudyQuestion(st)
	q.Lines = paint(lines)
	return q, ok
}

func (v *view) studyFeedback(before, after *study.State, fb study.Feedback) []string {
	return paint(v.screen().StudyFeedback(before, after, fb))
}

// wrap lays out texts that belong to no question.
func (v *view) wrap(texts ...string) []string { return screen.Strings(v.screen().Texts(texts...)) }
