//go:build linux || darwin

package prompt

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/ptytest"
)

// TestKeys: what each key does at each kind of question. The rows are those
// where survey alone answers wrongly, breaks off or panics.
func TestKeys(t *testing.T) {
	cases := []struct {
		name, scene, wait, keys, want string
	}{
		{"reading", "reading", "r1 in", "0.35\r", "got 1 <0.35> <>"},
		{"reading erased", "reading", "r1 in", "0.36\x7f5\r", "got 1 <0.35> <>"},
		{"reading with arrows", "reading", "r1 in", "0.5" + ptytest.Left + "3" + ptytest.Right + "1\r", "got 1 <0.351> <>"},
		{"over range", "reading", "r1 in", ">299\r", "got 1 <>299> <>"},
		{"wide and combining characters", "reading", "r1 in", "12 Ωµ漢é\r", "got 1 <12 Ωµ漢é> <>"},
		{"Enter alone is handed on", "reading", "r1 in", "\r", "got 1 <> <>"},
		{"Alt-x", "reading", "r1 in", "0.\x1bx35\r", "got 1 <0.35> <>"},
		{"Alt-Backspace", "reading", "r1 in", "0.3\x1b\x7f5\r", "got 1 <0.35> <>"},
		{"late colour report", "reading", "r1 in", "0.3\x1b]11;rgb:0000/0000/0000\x1b\\5\r", "got 1 <0.35> <>"},
		{"Ctrl-left", "reading", "r1 in", "1\x1b[1;5D2\r", "got 1 <12> <>"},
		{"F5", "reading", "r1 in", "0.3\x1b[15~5\r", "got 1 <0.35> <>"},
		{"F3 looks like a report", "reading", "r1 in", "0.3\x1b[1;2R5\r", "got 1 <0.35> <>"},
		{"capital R", "reading", "r1 in", "R1\r", "got 1 <R1> <>"},
		{"bracketed paste", "reading", "r1 in", "\x1b[200~0.35\x1b[201~\r", "got 1 <0.35> <>"},
		{"paste with control characters", "reading", "r1 in", "\x1b[200~0\x07.\x033\x1b[A5\n\x1b[201~\r", "got 1 <0.35> <>"},
		{"paste of lines presses no Enter", "reading", "r1 in", "\x1b[200~0.35\r\n0.36\n\x1b[201~\r", "got 1 <0.35 0.36> <>"},
		{"three lines over three questions", "readings", "r1 in", "0.35\r0.36\r0.37\r", "got 3 <0.37> <>"},
		{"number pad in application mode", "reading", "r1 in", "\x1bOp\x1bOn\x1bOs\x1bOu\x1bOM", "got 1 <0.35> <>"},
		{"Ctrl-Z, Ctrl-\\, Ctrl-U, Ctrl-W", "reading", "r1 in", "0.\x1a\x1c\x15\x1735\r", "got 1 <0.35> <>"},
		{"Ctrl-D is no answer", "reading", "r1 in", "0.35\x04", "error " + ErrEnd.Error()},
		{"Ctrl-C", "reading", "r1 in", "0.35\x03", "error interrupted"},
		{"stop", "reading", "r1 in", "stop\r", "got 1 <stop> <stop>"},
		{"STOP!!", "reading", "r1 in", "STOP!!\r", "got 1 <STOP!!> <stop>"},
		{"pause", "reading", "r1 in", "Pause\r", "got 1 <Pause> <pause>"},
		{"correct", "reading", "r1 in", "correct\r", "got 1 <correct> <correct>"},
		{"a remark that begins with a word", "reading", "r1 in", "stop button loose\r", "got 1 <stop button loose> <>"},

		{"list by arrow", "lead", "earth bar", ptytest.Down + "\r", "got 1 <N2> <>"},
		{"list wraps", "lead", "earth bar", ptytest.Up + "\r", "got 1 <earth> <>"},
		{"list by number", "lead", "earth bar", "2\r", "got 1 <N2> <>"},
		{"list by value", "lead", "earth bar", "EARTH\r", "got 1 <earth> <>"},
		{"list by value, mistyped first", "lead", "earth bar", "eartg\x7fh\r", "got 1 <earth> <>"},
		{"list, Ctrl-D", "lead", "earth bar", ptytest.Down + "\x04", "error " + ErrEnd.Error()},
		{"list, Ctrl-D after a word that fits nothing", "lead", "earth bar", "zzz\x04", "error " + ErrEnd.Error()},
		{"list, Ctrl-C", "lead", "earth bar", "\x03", "error interrupted"},
		{"list, stop", "lead", "earth bar", "stop\r", "got 1 <stop> <stop>"},

		{"gate by arrow", "gate", "key is in", ptytest.Down + "\r", "got 1 <done> <>"},
		{"gate, Enter", "gate", "key is in", "\r", "got 1 <not-yet> <not-yet>"},
		{"gate, Ctrl-D", "gate", "key is in", "\x04", "got 1 <not-yet> <not-yet>"},
		{"gate, Ctrl-D on the other answer", "gate", "key is in", ptytest.Down + "\x04", "got 1 <not-yet> <not-yet>"},
		{"gate, paste of lines", "gate", "key is in", "\x1b[200~done\rdone\r\x1b[201~\x04", "got 1 <not-yet> <not-yet>"},
		{"gate, stop", "gate", "key is in", "stop\r", "got 1 <stop> <stop>"},
		{"gate, not yet typed", "gate", "key is in", "not yet\r", "got 1 <not-yet> <not-yet>"},
		{"gate, Ctrl-C", "gate", "key is in", "\x03", "error interrupted"},
		{"gate line", "padlock", "padlock:", "4417\r", "got 1 <4417> <>"},
		{"gate line, Enter", "padlock", "padlock:", "\r", "got 1 <> <not-yet>"},
		{"gate line, blanks", "padlock", "padlock:", "  \r", "got 1 <> <not-yet>"},
		{"gate line, Ctrl-D", "padlock", "padlock:", "4417\x04", "got 1 <> <not-yet>"},
		{"gate line, stop", "padlock", "padlock:", "stop\r", "got 1 <stop> <stop>"},

		{"code", "code", "code:", "7781\x7f2\r", "got 1 <7782> <>"},
		{"code, Enter", "code", "code:", "\r", "got 1 <> <not-yet>"},
		{"code, Ctrl-D", "code", "code:", "77\x04", "got 1 <> <not-yet>"},
		{"code, Ctrl-C", "code", "code:", "77\x03", "error interrupted"},
		{"code, stop", "code", "code:", "stop\r", "got 1 <stop> <stop>"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := onTerminal(t, c.scene)
			p.Answer(c.wait, c.keys)
			p.Expect(c.want)
			p.Exit()
			if !p.Restored() {
				t.Errorf("the terminal is not set as before")
			}
			if p.CursorHidden() {
				t.Error("the cursor stayed hidden")
			}
		})
	}
}

// TestUnfittingText: text that is no answer is said back and the question comes
// again; on a gate not even a number or the value itself is taken.
func TestUnfittingText(t *testing.T) {
	for _, typed := range []string{"y", "yes", "2", "done"} {
		t.Run(typed, func(t *testing.T) {
			t.Parallel()
			p := onTerminal(t, "gate")
			p.Answer("key is in", ptytest.Down+typed+"\r")
			p.Expect("Nothing taken: " + strconv.Quote(typed))
			p.Answer("key is in my pocket", "\r")
			p.Expect("got 1 <not-yet> <not-yet>")
		})
	}
	p := onTerminal(t, "lead")
	p.Answer("earth bar", "9\r")
	p.Answer("nothing taken: \"9\"", "3\r")
	p.Expect("got 1 <earth> <>")
}

// TestHelp: ? shows the help at every kind of question and asks again.
func TestHelp(t *testing.T) {
	for _, c := range []struct{ scene, wait, ask, help, answer, want string }{
		{"lead", "earth bar", "?", "the long one", "1\r", "got 1 <N1> <>"},
		{"gate", "key is in", "?", "look at the switch itself", ptytest.Down + "\r", "got 1 <done> <>"},
		{"reading", "r1 in", "?\r", "line to line", "0.35\r", "got 1 <0.35> <>"},
		{"reading", "r1 in", "help\r", "line to line", "0.35\r", "got 1 <0.35> <>"},
	} {
		t.Run(c.scene, func(t *testing.T) {
			t.Parallel()
			p := onTerminal(t, c.scene)
			p.Answer(c.wait, c.ask)
			p.Expect(c.help)
			p.Answer(c.wait, c.answer)
			p.Expect(c.want)
		})
	}
	p := onTerminal(t, "padlock") // without a help text the app is told
	p.Answer("padlock:", "?\r")
	p.Expect("got 1 <?> <help>")
}

// TestSecretIsHidden: neither the code nor its length is ever written.
func TestSecretIsHidden(t *testing.T) {
	t.Parallel()
	p := onTerminal(t, "code")
	p.Answer("code:", "9a8b7c\r")
	p.Expect("got 1 <9a8b7c>")
	shown, _, _ := strings.Cut(p.Since(), "got 1")
	if got := strings.TrimSpace(shown); got != embedded()("prompt.hidden", nil) {
		t.Errorf("written while the code was typed: %q", got)
	}
}

// TestNoSurveyText: nothing that survey would say by itself is on the screen.
func TestNoSurveyText(t *testing.T) {
	t.Parallel()
	p := onTerminal(t, "mixed")
	p.Answer("r1 in", "?\r")
	p.Expect("line to line")
	p.Answer("r1 in", "0.35\r")
	p.Answer("earth bar", "zz\r")
	p.Answer("nothing taken: \"zz\"", "2\r")
	p.Answer("pocket", ptytest.Down+"\r")
	p.Answer("padlock:", "4417\r")
	p.Answer("code:", "1\r")
	p.Answer("r1 in", "0.4\r")
	p.Expect("all asked")
	all := escapeFree(p.Raw())
	for _, theirs := range []string{"Use arrows", "to filter", "for more help", "for help]", "Sorry", "invalid", "? r1", "? Where", "? Is"} {
		if strings.Contains(all, theirs) {
			t.Errorf("survey's own %q is in the output", theirs)
		}
	}
}

func escapeFree(s string) string { return withoutEscapes(strings.ReplaceAll(s, "\r\n", " ")) }

// TestSmallTerminals: the question and the marked answer stay on the screen.
func TestSmallTerminals(t *testing.T) {
	for _, size := range [][2]int{{40, 10}, {60, 8}, {20, 12}, {80, 24}, {40, 6}} {
		t.Run(fmt.Sprint(size), func(t *testing.T) {
			t.Parallel()
			p := ptytest.Start(t, scene("many"), size[0], size[1])
			p.Wait("-> 1  way-1")
			for i := range 12 {
				p.Send(ptytest.Down)
				p.Wait(fmt.Sprintf("-> %d  way-%d", i+2, i+2))
				if !strings.Contains(p.Screen(), ":: Which one?") {
					t.Fatalf("the question scrolled away after %d moves", i+1)
				}
			}
			p.Send("\r")
			p.Expect("got 1 <way-13> <>")
		})
	}
}

// TestLongAnswer: at every length, in the middle of the screen and at its foot,
// the lines above the question stay, and the question stands there once. survey
// by itself erases lines above when question and answer fill the width.
func TestLongAnswer(t *testing.T) {
	lengths := []int{1, 26, 27, 28, 29, 30, 31, 40, 66, 67, 68, 69, 70, 106, 107, 108, 109}
	if testing.Short() {
		lengths = []int{28, 107}
	}
	for _, place := range []string{"long", "longfoot", "longask", "longaskfoot"} {
		for _, n := range lengths {
			t.Run(fmt.Sprintf("%s, %d characters", place, n), func(t *testing.T) {
				t.Parallel()
				p := ptytest.Start(t, scene(place), 40, 24)
				p.Answer("r1 in", strings.Repeat("x", n)+"\r")
				p.Answer("got 1", "stop\r")
				p.Expect("got 2 <stop>")
				screen := p.Screen()
				if !strings.Contains(screen, "question 1 of 2\n\n:: r1 in") {
					t.Errorf("the lines above the question were erased:\n%s", screen)
				}
				above, _, _ := strings.Cut(screen, "got 1")
				if strings.Count(above, ":: r1 in") != 1 || strings.Count(above, "x") != n {
					t.Errorf("question and answer do not stand there once:\n%s", screen)
				}
			})
		}
	}
}

// TestDeafTerminal: a terminal that answers no cursor query still gets asked.
func TestDeafTerminal(t *testing.T) {
	t.Parallel()
	p := ptytest.Start(t, scene("mixed"), 80, 24, ptytest.Deaf)
	for _, step := range [][2]string{
		{"r1 in", "0.35\r"}, {"earth bar", "3\r"}, {"pocket", ptytest.Down + "\r"},
		{"padlock:", "4417\r"}, {"code:", "1\r"}, {"r1 in", "0.4\r"},
	} {
		p.Answer(step[0], step[1])
	}
	p.Expect("all asked")
	for _, want := range []string{"got 1 <0.35>", "got 2 <earth>", "got 3 <done>", "got 4 <4417>", "got 5 <1>", "got 6 <0.4>"} {
		if !strings.Contains(p.Raw(), want) {
			t.Errorf("%q is missing", want)
		}
	}
}

// TestLook: the screen of each kind of question at 60 columns.
func TestLook(t *testing.T) {
	t.Parallel()
	p := ptytest.Start(t, scene("mixed"), 60, 30)
	p.Answer("r1 in", "0.35\r")
	p.Answer("earth bar", "2\r")
	p.Wait("pocket")
	const want = `
question 1 of 6

:: r1 in Ω: 0.35
got 1 <0.35> <>

question 2 of 6
:: Where is the lead?  2
got 2 <N2> <>

question 3 of 6
!! Is the lock on?
   Enter alone: not yet; arrows to an answer; ? help, stop
-> not yet
   the lock is on and the key is in my pocket`
	if got := p.Screen(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
