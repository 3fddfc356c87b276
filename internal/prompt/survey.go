//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package prompt

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/AlecAivazis/survey/v2"
	"github.com/AlecAivazis/survey/v2/core"
	"github.com/AlecAivazis/survey/v2/terminal"
	"golang.org/x/term"

	"wanderlead/internal/plain"
)

// What is printed here: the question line starts with :: or, for a safety
// question, !! and the marked answer with ->. Lower case, no full stop at the
// end, one line. Colour only repeats what a mark says already.

// surveyFront asks on a terminal that can draw.
type surveyFront struct {
	in      *os.File
	keys    *keyReader
	out     *queryWriter
	text    Text
	restore func()
	ends    int // ends of input in a row
}

func newSurvey(in, out *os.File, text Text) (Front, error) {
	if !IsTerminal(in) || !IsTerminal(out) {
		return nil, ErrNoTerminal
	}
	useOwnTemplates()
	w := &queryWriter{file: out}
	return &surveyFront{
		in: in, out: w, text: orEmbedded(text),
		keys:    &keyReader{src: ttySource{in}, out: w},
		restore: restorer(in, out),
	}, nil
}

// Show prints the lines as they are.
func (f *surveyFront) Show(lines ...string) {
	for _, l := range lines {
		fmt.Fprintln(f.out.file, plain.Painted(l))
	}
}

// Close puts the terminal back as it was at the start.
func (f *surveyFront) Close() error {
	f.restore()
	return nil
}

// Ask prints the question and asks until there is an answer. A panic inside
// survey becomes an error, with the terminal restored.
func (f *surveyFront) Ask(q Question) (reply Reply, err error) {
	if err := q.check(); err != nil {
		return Reply{}, err
	}
	defer func() {
		if p := recover(); p != nil {
			f.restore()
			reply, err = Reply{}, fmt.Errorf("question %s: the terminal prompt broke off: %v\nhint: --plain asks without it", q.ID, p)
		}
	}()
	q.Ask = oneLine(q.Ask)
	f.Show(q.Lines...)
	for {
		got, err := f.once(q)
		var to *switchKeys
		var over *timeOver
		switch {
		case errors.As(err, &to):
			return Reply{Command: CommandSwitch, Raw: to.seat, At: q.ID}, nil
		case errors.As(err, &over):
			return Reply{Command: CommandTime, Raw: over.typed, At: q.ID}, nil
		case errors.Is(err, ErrInterrupted):
			f.restore()
			return Reply{}, ErrInterrupted
		case errors.Is(err, io.EOF):
			return f.endOf(q)
		case err != nil:
			f.restore()
			return Reply{}, fmt.Errorf("question %s: %w", q.ID, err)
		}
		f.ends = 0
		if got.moved {
			return q.chosen(got.index), nil
		}
		reply, what := q.read(got.typed, !q.Gate)
		if what == isAnswer || what == isHelp && q.Help == "" {
			return reply, nil
		}
		f.Show(f.again(q, what, got.typed)...)
	}
}

// again is what is said before the question is asked once more.
func (f *surveyFront) again(q Question, what meaning, typed string) []string {
	if what == isHelp {
		return helpLines(f.text, q)
	}
	id := "prompt.unknown"
	if q.Gate {
		id = "prompt.move-to"
	}
	return []string{f.text(id, typedParam(typed))}
}

// endOf: Ctrl-D and a closed window. On a gate the first one is "not yet"; a
// second in a row means that nobody is there.
func (f *surveyFront) endOf(q Question) (Reply, error) {
	f.ends++
	if q.Gate && f.ends < 2 {
		return q.notYet(), nil
	}
	f.restore()
	return Reply{}, ErrEnd
}

// given is what came of asking once: an option moved to, or a typed line.
type given struct {
	moved bool
	index int
	typed string
}

// once asks one time.
func (f *surveyFront) once(q Question) (g given, err error) {
	f.keys.announce, f.keys.seats, f.keys.left, f.keys.typed = true, q.Seats, q.Left, typedLine{}
	defer func() { f.keys.seats, f.keys.left, f.keys.typed = 0, nil, typedLine{} }()
	if q.Gate {
		if err := f.keys.arm(); err != nil {
			return given{}, err
		}
	}
	switch q.Kind {
	case Choice:
		return f.choose(q)
	case Secret:
		g.typed, err = f.secret(q)
	default:
		g.typed, err = f.line(q)
	}
	return g, err
}

func (f *surveyFront) stdio(in terminal.FileReader) terminal.Stdio {
	return terminal.Stdio{In: in, Out: f.out, Err: f.out}
}

func (f *surveyFront) config(q Question) *survey.PromptConfig {
	mark := survey.Icon{Text: "::", Format: string(Accent)}
	if q.Gate {
		mark = survey.Icon{Text: "!!", Format: string(Care)}
	}
	return &survey.PromptConfig{
		PageSize:   7,
		Icons:      survey.IconSet{Question: mark, SelectFocus: survey.Icon{Text: "->", Format: string(Accent)}},
		Filter:     func(string, string, int) bool { return true }, // typing hides no option
		ShowCursor: q.Kind != Choice,
	}
}

// line asks for one line of text.
func (f *surveyFront) line(q Question) (string, error) {
	f.Show("")
	columns, _ := terminalSize(f.out.file)
	config := f.config(q)
	margin := terminal.StringWidth(config.Icons.Question.Text+" "+q.Ask) + 1
	f.out.column = margin%columns + 1
	p := &survey.Input{Message: q.Ask}
	p.WithStdio(f.stdio(f.keys))
	answer, err := p.Prompt(config)
	if err != nil {
		f.Show("")
		return "", err
	}
	text, _ := answer.(string)
	shown := text
	if q.Gate && strings.TrimSpace(text) == "" {
		shown = f.text("prompt.not-yet", nil)
	}
	line, _, err := core.RunTemplate(inputTemplate, survey.InputTemplateData{
		Input: survey.Input{Message: q.Ask}, ShowAnswer: true, Answer: shown, Config: config,
	})
	if err == nil {
		fmt.Fprint(f.out.file, f.toStart(margin, text)+line)
	}
	return text, err
}

// toStart moves from where survey leaves the cursor to where the question
// began, and clears from there. survey's own clean-up counts the rows wrongly
// once question and answer reach the width, and erases what stands above.
func (f *surveyFront) toStart(margin int, answer string) string {
	columns, rows := terminalSize(f.out.file)
	width := margin + terminal.StringWidth(answer)
	up := margin / columns
	wraps := width/columns - up // of the answer, as survey counts them
	if width%columns == 0 {
		up-- // it thought that the cursor had gone to the next row already
	}
	if f.keys.row == rows && wraps >= 2 {
		up++ // the screen scrolled under it
	}
	move := ""
	switch {
	case up > 0:
		move = fmt.Sprintf("\x1b[%dA", up)
	case up < 0:
		move = fmt.Sprintf("\x1b[%dB", -up)
	}
	return "\r" + move + "\x1b[J"
}

// choose asks with a list. Options are numbered, and the number or the value
// may be typed, except on a gate: there only moving to an answer gives it.
func (f *surveyFront) choose(q Question) (given, error) {
	labels := make([]string, len(q.Options))
	for i := range labels {
		labels[i] = q.label(i)
		if !q.Gate {
			labels[i] = fmt.Sprintf("%d  %s", i+1, labels[i])
		}
	}
	columns, rows := terminalSize(f.out.file)
	for i := range labels {
		labels[i] = wrapLabel(labels[i], columns)
	}
	hint := f.text("prompt.hint-choice", nil)
	if q.Gate {
		hint = f.text("prompt.hint-gate", nil)
	}
	config := f.config(q)
	p := &survey.Select{
		Message: q.Ask, Options: labels, Help: hint,
		PageSize: pageSize(columns, rows, q.Ask, hint, labels),
	}
	keys := &choiceKeys{keyReader: f.keys}
	p.WithStdio(f.stdio(keys))
	answer, err := p.Prompt(config)
	var said *typedText
	switch {
	case errors.As(err, &said):
		return given{typed: said.text}, p.Cleanup(config, core.OptionAnswer{Value: said.text})
	case err == io.EOF && q.Gate:
		_ = p.Cleanup(config, core.OptionAnswer{Value: q.label(0)})
		return given{}, err
	case err != nil:
		_ = p.Cleanup(config, core.OptionAnswer{})
		return given{}, err
	}
	chosen, ok := answer.(core.OptionAnswer)
	if !ok || chosen.Index < 0 || chosen.Index >= len(q.Options) {
		return given{}, fmt.Errorf("survey answered with %T", answer)
	}
	return given{moved: true, index: chosen.Index}, p.Cleanup(config, core.OptionAnswer{Value: q.label(chosen.Index)})
}

// pageSize keeps question, hint, list and the line below them on the screen;
// survey's redraw loses its place when they scroll.
func pageSize(columns, rows int, ask, hint string, labels []string) int {
	tallest := 1
	for _, l := range labels {
		tallest = max(tallest, height(l, 4, columns))
	}
	free := rows - 1 - height(ask, 4, columns) - height(hint, 4, columns)
	return min(len(labels), max(1, min(free, rows-4)/tallest))
}

// height is how many rows a text takes behind a margin.
func height(text string, margin, columns int) int {
	rows := 0
	for _, line := range strings.Split(text, "\n") {
		rows += (terminal.StringWidth(line)+margin-1)/columns + 1
	}
	return rows
}

// wrapLabel breaks a long answer between words, the rest under its own start: the
// terminal would break it in the middle of one.
func wrapLabel(label string, columns int) string {
	const margin, indent = 4, "      "
	var b strings.Builder
	at := 0
	for i, word := range strings.SplitAfter(label, " ") {
		w := terminal.StringWidth(word)
		if i > 0 && at > len(indent) && at+terminal.StringWidth(strings.TrimRight(word, " ")) > columns-margin {
			b.WriteString("\n" + indent)
			at = len(indent) - margin
		}
		b.WriteString(word)
		at += w
	}
	return b.String()
}

// typedText leaves a list because a line was typed into it.
type typedText struct{ text string }

func (t *typedText) Error() string { return "typed: " + t.text }

// choiceKeys follows what is typed at a list. survey keeps it too, and shows
// it, but would answer Enter with the marked option whatever was typed.
type choiceKeys struct {
	*keyReader
	typed []rune
}

func (c *choiceKeys) Read(p []byte) (int, error) {
	n, err := c.keyReader.Read(p)
	if err != nil {
		return n, err
	}
	switch key := string(p[:n]); {
	case key == "\r" && strings.TrimSpace(string(c.typed)) != "":
		return 0, &typedText{strings.TrimSpace(string(c.typed))}
	case key == "?" && len(c.typed) == 0:
		return 0, &typedText{key}
	case key == "\x7f" && len(c.typed) > 0:
		c.typed = c.typed[:len(c.typed)-1]
	case p[0] >= 0x20 && p[0] != 0x7f:
		c.typed = append(c.typed, []rune(key)...)
	}
	return n, nil
}

// secret reads a line without showing it or its length, which survey cannot.
func (f *surveyFront) secret(q Question) (string, error) {
	state, err := term.MakeRaw(int(f.in.Fd()))
	if err != nil {
		return "", err
	}
	defer func() {
		_ = term.Restore(int(f.in.Fd()), state)
		f.Show("")
	}()
	fmt.Fprintf(f.out.file, "\r\n%s %s ", f.config(q).Icons.Question.Text, q.Ask)
	var typed []rune
	for {
		var b [64]byte
		n, err := f.keys.Read(b[:])
		var over *timeOver
		if errors.As(err, &over) {
			return "", &timeOver{} // half a code is nobody's business
		}
		if err != nil {
			return "", err
		}
		switch key := string(b[:n]); {
		case key == "\r":
			fmt.Fprint(f.out.file, f.text("prompt.hidden", nil))
			return string(typed), nil
		case key == "\x7f":
			typed = typed[:max(0, len(typed)-1)]
		case b[0] >= 0x20:
			typed = append(typed, []rune(key)...)
		}
	}
}
