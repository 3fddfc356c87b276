package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/record"
	"wanderlead/sequences"
)

// code is what the supervisor types; hash stands for what the front makes of it.
const (
	code = "2468"
	hash = "hash"
)

var cast = coach.Cast{
	Supervisor: "B. Rowan", Code: hash, Padlock: "4417", MainPadlock: "5520", People: "the bay, both neighbours",
	Reason: "looked at it again with the second instrument", TestedBy: "A. Learner", Instrument: "BY-07", Calibration: "2099-01-31",
}

// answer is one line of an answers file.
type answer struct {
	at, key, text string // key: say, correct or do
	comment       string // a line before it
}

// player works a session through in this process, to know what is asked and what
// to answer; what it answered it keeps as an answers file.
type player struct {
	t       testing.TB
	kit     *record.Kit
	st      *coach.State
	answers []answer
	comment string // for the next answer
	stage   int
}

// play starts a session on content of the program, or of a folder over it.
func play(t testing.TB, folder, seq, rigName, incoming string) *player {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, folder)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { lib.Close() })
	kit, err := record.Gather(lib, seq, rigName, "", incoming)
	if err != nil {
		t.Fatal(err)
	}
	return &player{t: t, kit: kit, st: coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack}), stage: -1}
}

func (p *player) due() coach.Question {
	q, _ := p.st.Question()
	return q
}

// right is the right answer now, as typed.
func (p *player) right() string {
	if s := p.st.RightAnswer(cast); s != hash {
		return s
	}
	return code
}

// do applies one event and keeps it as an answer. A text at a hidden question is
// what the person types.
func (p *player) do(a answer) coach.Feedback {
	p.t.Helper()
	ev := coach.Event{Type: coach.Answer, At: a.at, Raw: a.text}
	switch {
	case a.key == "correct":
		ev.Type = coach.Correct
	case a.key == "do" && a.text == "stop":
		ev = coach.Event{Type: coach.Stop, At: p.due().ID}
	case a.key == "do" && a.text == "pause":
		ev = coach.Event{Type: coach.Paused, At: p.due().ID}
	case p.due().Kind == coach.Secret && a.text == code:
		ev.Raw = hash
	}
	if a.comment == "" {
		a.comment, p.comment = p.comment, ""
	}
	next, fb, err := p.st.Apply(ev)
	if err != nil {
		p.t.Fatalf("%s %q: %v", a.at, a.text, err)
	}
	p.st = next
	p.answers = append(p.answers, a)
	return fb
}

// step answers the question that is due rightly.
func (p *player) step() coach.Feedback {
	p.t.Helper()
	q := p.due()
	if q.Step >= 0 && p.kit.Program.Steps[q.Step].Stage > p.stage {
		p.stage = p.kit.Program.Steps[q.Step].Stage
		p.comment = p.kit.Program.Stages[p.stage].Title
	}
	fb := p.do(answer{at: q.ID, key: "say", text: p.right()})
	if fb.Refused != "" {
		p.t.Fatalf("the right answer to %s was refused: %s", q.ID, fb.Refused)
	}
	return fb
}

// most bounds a session that would never end.
const most = 2000

// until answers rightly until a question is due; false if the session ended first.
func (p *player) until(id string) bool { return p.within(most, id) }

// within is until with a bound of its own.
func (p *player) within(answers int, id string) bool {
	p.t.Helper()
	for n := 0; p.st.Ended() == "" && n < answers; n++ {
		if p.due().ID == id {
			return true
		}
		p.step()
	}
	return false
}

// finish answers rightly to the end.
func (p *player) finish() {
	p.t.Helper()
	p.until("")
	if p.st.Ended() != "complete" {
		p.t.Fatalf("right answers lead to %q, asked now: %s", p.st.Ended(), p.due().ID)
	}
}

// file is the answers file of what was answered; head is put before the answers.
func (p *player) file(about, head string) string {
	return file(about, p.kit.Rig.ID, p.kit.Sequence.ID, head, p.answers)
}

func file(about, rigName, seq, head string, answers []answer) string {
	var b strings.Builder
	for _, l := range strings.Split(about, "\n") {
		fmt.Fprintf(&b, "# %s\n", l)
	}
	fmt.Fprintf(&b, "# yaml-language-server: $schema=../../sequences/schema/answers.schema.json\n")
	fmt.Fprintf(&b, "rig: %s\nsequence: %s\nedition: bs7671-2018-a4\nseed: 1\n%sanswers:\n", rigName, seq, head)
	for _, a := range answers {
		if a.comment != "" {
			fmt.Fprintf(&b, "  # %s\n", a.comment)
		}
		if a.key == "do" {
			fmt.Fprintf(&b, "  - {at: %s, do: %s}\n", a.at, a.text)
			continue
		}
		fmt.Fprintf(&b, "  - {at: %s, %s: %q}\n", a.at, a.key, a.text)
	}
	return b.String()
}

// copy copies a file of testdata into a world and gives its path there.
func (w *world) copy(name string) string {
	w.t.Helper()
	data, err := os.ReadFile(filepath.Join(root, name))
	if err != nil {
		w.t.Fatal(err)
	}
	return w.write(filepath.Base(name), string(data))
}
