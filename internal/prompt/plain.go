package prompt

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"golang.org/x/term"

	"wanderlead/internal/plain"
)

const (
	// maxLine is the longest answer taken, in bytes: far above a row of
	// readings, far below what a stray file piped in would hold.
	maxLine = 4096
	// maxUnknown is how many lines in a row a pipe may send that are no answer
	// before asking again is pointless (`yes |` would never end).
	maxUnknown = 20
)

var errTooLong = errors.New("line too long")

// plainFront asks with numbered lists, one line an answer: for screen readers,
// recordings, dumb terminals and pipes. It writes no escape codes and never
// draws over what it wrote.
type plainFront struct {
	in       *bufio.Reader
	tty      *os.File // standard input when it is a terminal, else nil
	out      io.Writer
	text     Text
	ends     int  // ends of input in a row
	openLine bool // the cursor stands behind a question
}

// NewPlain returns the plain front. Whether in is a terminal decides whether it
// may ask safety questions. A nil text means the
// embedded English.
func NewPlain(in io.Reader, out io.Writer, text Text) Front {
	f := &plainFront{in: bufio.NewReaderSize(in, maxLine), out: out, text: orEmbedded(text)}
	if file, ok := in.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		f.tty = file
	}
	return f
}

// Show prints the lines without colours.
func (f *plainFront) Show(lines ...string) {
	if f.openLine {
		fmt.Fprintln(f.out)
		f.openLine = false
	}
	for _, l := range lines {
		fmt.Fprintln(f.out, plain.Text(withoutEscapes(l)))
	}
}

func (f *plainFront) Close() error { return nil }

// Ask prints the question and reads lines until one is an answer.
func (f *plainFront) Ask(q Question) (Reply, error) {
	if err := q.check(); err != nil {
		return Reply{}, err
	}
	if q.Gate && f.tty == nil {
		return Reply{}, fmt.Errorf("%s: %w", q.ID, ErrGateNeedsTerminal)
	}
	f.Show(q.Lines...)
	for unknown := 0; f.tty != nil || unknown < maxUnknown; {
		if err := f.write(q); err != nil {
			return Reply{}, err
		}
		f.await(q)
		line, err := f.read(q)
		if err == io.EOF {
			return f.ended(q)
		}
		f.ends = 0
		if err == errTooLong {
			f.Show(f.text("prompt.too-long", map[string]string{"limit": strconv.Itoa(maxLine)}))
			unknown++
			continue
		}
		if err != nil {
			return Reply{}, err
		}
		if seat, ok := seatTyped(line, q.Seats); ok {
			return Reply{Command: CommandSwitch, Raw: seat, At: q.ID}, nil
		}
		reply, what := q.read(line, true)
		switch {
		case what == isAnswer:
			return reply, nil
		case what == isHelp && q.Help == "":
			return reply, nil
		case what == isHelp:
			f.Show(helpLines(f.text, q)...)
		default:
			f.Show(f.text("prompt.unknown", typedParam(line)))
		}
		unknown++
	}
	return Reply{}, fmt.Errorf("%s: %d lines in a row were no answer: %w", q.ID, maxUnknown, ErrEnd)
}

// ended: on a gate the first end of input is "not yet". A second one in a row
// means that nobody is there.
func (f *plainFront) ended(q Question) (Reply, error) {
	f.Show()
	f.ends++
	if q.Gate && f.ends < 2 {
		return q.notYet(), nil
	}
	return Reply{}, ErrEnd
}

// write prints the question. Before a safety question it drops what was typed
// while the question was not on the screen yet; the line that calls for the
// answer comes last, so that what is typed after seeing it counts.
func (f *plainFront) write(q Question) error {
	f.Show(oneLine(q.Ask))
	prompt := f.text("prompt.answer", nil)
	if q.Kind == Choice {
		for i := range q.Options {
			f.Show(fmt.Sprintf("%d. %s", i+1, q.label(i)))
		}
		id := "prompt.choose"
		if q.Gate {
			id = "prompt.choose-gate"
		}
		prompt = f.text(id, map[string]string{"count": strconv.Itoa(len(q.Options))})
	}
	if q.Gate {
		drain(f.out)
		if err := flushInput(f.tty); err != nil {
			return fmt.Errorf("%s: %w", q.ID, err)
		}
		f.in.Discard(f.in.Buffered())
	}
	fmt.Fprint(f.out, withoutEscapes(prompt))
	f.openLine = true
	return nil
}

// await waits for a line while there is time for one, and says once when it is over. What has been typed of a line cannot be
// seen before Enter, so that the line is still taken.
func (f *plainFront) await(q Question) {
	if q.Left == nil || f.tty == nil {
		return
	}
	for f.in.Buffered() == 0 {
		left := q.Left()
		if left <= 0 {
			f.Show(f.text("prompt.time-over", nil))
			fmt.Fprint(f.out, withoutEscapes(f.text("prompt.answer", nil)))
			f.openLine = true
			return
		}
		if lineReady(f.tty, min(left, look)) {
			return
		}
	}
}

// read takes one line.
func (f *plainFront) read(q Question) (string, error) {
	if q.Kind == Secret && f.tty != nil {
		line, err := term.ReadPassword(int(f.tty.Fd()))
		return plainText(line), err
	}
	line, err := f.line()
	f.openLine = f.tty == nil || err != nil // on a terminal the person's Enter ended it
	if err == io.EOF && len(line) > 0 && f.tty == nil {
		err = nil // a file without a newline at its end
	}
	return plainText(line), err
}

// line reads up to a newline, and through the whole of a line that is too long.
func (f *plainFront) line() ([]byte, error) {
	line, err := f.in.ReadSlice('\n')
	if err != bufio.ErrBufferFull {
		return []byte(strings.TrimRight(string(line), "\r\n")), err
	}
	for err == bufio.ErrBufferFull {
		_, err = f.in.ReadSlice('\n')
	}
	if err == nil {
		err = errTooLong
	}
	return nil, err
}

func helpLines(text Text, q Question) []string {
	return append([]string{text("prompt.help-heading", nil)}, strings.Split(strings.TrimRight(q.Help, "\n"), "\n")...)
}

// withoutEscapes takes colour codes out of a laid-out line.
func withoutEscapes(line string) string {
	if !strings.ContainsRune(line, 0x1b) {
		return line
	}
	return plainText([]byte(line))
}
