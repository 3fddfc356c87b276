//go:build unix

package e2e

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"wanderlead/internal/assess/exam"
	byrote "wanderlead/internal/assess/play"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/plain"
	"wanderlead/internal/record"
	"wanderlead/internal/screen"
	"wanderlead/internal/study"
	"wanderlead/internal/study/pilot"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// due is one answer that is still to be given: the line that the program prints with it, what is typed, and what the
// record then holds.
type due struct{ line, at, typed, raw string }

// subject is one of the three kinds of session, as something that is broken off over and over.
type subject interface {
	// begin are the words that start it in a file where there is none; what has to be made before is made.
	begin(w *world, file string) []string
	// again are the words that go on with it.
	again(file string) []string
	// rest is what is still to be answered, given the lines of the record so far; nil lines are a session to be started.
	rest(lines []journal.Line) ([]due, error)
}

// view lays questions out as the program does.
type crashView struct {
	*screen.Screen
	cat *words.Catalogue
}

func newCrashView(t testing.TB, coaching screen.Coaching, simulated bool) crashView {
	t.Helper()
	s, cat := screenOf(t, screen.Options{Width: 80, Plain: true, Coaching: coaching, Study: simulated})
	return crashView{s, cat}
}

// said is an answer with the line that a script's front prints for it.
func (v crashView) said(ask, at, typed, raw string, hidden bool) due {
	shown := typed
	if hidden {
		shown = v.cat.Text("prompt.hidden", nil)
	}
	return due{strings.TrimSpace(plain.Line(ask + " " + shown)), at, typed, raw}
}

// hashed is what the record of a session holds in place of the code.
func hashed(session string) string {
	h, err := journal.NewSecret(code).Hash(session)
	if err != nil {
		panic(err) // only of a key length that is no key length
	}
	return h.String()
}

// practised is a session at a practice rig.
type practised struct {
	crashView
	kit *record.Kit
}

func newPractised(t testing.TB, seq string) *practised {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	kit, err := record.Gather(lib, seq, "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	return &practised{newCrashView(t, screen.Full, false), kit}
}

func (p *practised) begin(_ *world, file string) []string {
	return []string{"practise", "--sequence", p.kit.Sequence.ID, "--journal", file}
}

func (p *practised) again(file string) []string { return []string{"resume", file} }

func (p *practised) rest(lines []journal.Line) ([]due, error) {
	st := coach.New(coach.Setup{Program: p.kit.Program, Pack: p.kit.Pack})
	as := cast
	if lines != nil {
		rep, err := record.Replay(lines)
		if err != nil {
			return nil, err
		}
		for _, d := range rep.Differences {
			if !d.Cut {
				return nil, fmt.Errorf("replayed to something else: %+v", d)
			}
		}
		st, as.Code = rep.State, hashed(rep.Header.Session)
		if st.Ended() != "" {
			return nil, nil
		}
		if st, _, err = st.Apply(coach.Event{Type: coach.Resumed}); err != nil {
			return nil, err
		}
	}
	var out []due
	for n := 0; st.Ended() == "" && n < most; n++ {
		q, _, _ := p.Question(st)
		raw := st.RightAnswer(as)
		typed := raw
		if raw == as.Code {
			typed = code
		}
		out = append(out, p.said(q.Ask, q.ID, typed, raw, raw == as.Code))
		next, fb, err := st.Apply(coach.Event{Type: coach.Answer, At: q.ID, Raw: raw})
		if err != nil || fb.Refused != "" {
			return nil, fmt.Errorf("the right answer to %s: %q, %w", q.ID, fb.Refused, err)
		}
		st = next
	}
	if st.Ended() != "complete" {
		return nil, fmt.Errorf("right answers lead to %q", st.Ended())
	}
	return out, nil
}

// studied is a session on the computed rig.
type studied struct {
	crashView
	set    study.Setup
	events []coach.Event
}

const studySeed = "5"

func newStudied(t *testing.T) *studied {
	t.Helper()
	set := studySetup(t, "lesson-ring", "ring-1", 5)
	st, err := study.New(set)
	if err != nil {
		t.Fatal(err)
	}
	p := &pilot.Pilot{S: st, Mend: true}
	p.Run(nil)
	if p.Err != nil || p.S.Ended() != "complete" {
		t.Fatal(p.Err, p.S.Ended())
	}
	return &studied{newCrashView(t, screen.Full, true), set, p.Events}
}

func (s *studied) begin(_ *world, file string) []string {
	return []string{"study", "--sequence", "lesson-ring", "--rig", "training-bay", "--circuit", "ring-1", "--seed", studySeed, "--journal", file}
}

func (s *studied) again(file string) []string { return []string{"resume", file} }

// rest are the pilot's own answers from where the record ends: nothing is asked afresh on a computed rig.
func (s *studied) rest(lines []journal.Line) ([]due, error) {
	st, err := study.New(s.set)
	if err != nil {
		return nil, err
	}
	done := 0
	if lines != nil {
		rep, err := record.ReplayStudy(lines)
		if err != nil {
			return nil, err
		}
		for _, d := range rep.Differences {
			if !d.Cut {
				return nil, fmt.Errorf("replayed to something else: %+v", d)
			}
		}
		st = rep.State
		for _, l := range lines {
			if l.Said != nil && l.Said.Type == journal.TypeAnswer {
				done++
			}
		}
		if st.Ended() != "" {
			return nil, nil
		}
		if st, _, err = st.Apply(coach.Event{Type: coach.Resumed}); err != nil {
			return nil, err
		}
	}
	var out []due
	for _, ev := range s.events[done:] {
		q, _, _ := s.StudyQuestion(st)
		if q.ID != ev.At {
			return nil, fmt.Errorf("%s is asked where %s was due", q.ID, ev.At)
		}
		out = append(out, s.said(q.Ask, ev.At, ev.Raw, ev.Raw, false))
		if st, _, err = st.Apply(ev); err != nil {
			return nil, err
		}
	}
	if st.Ended() != "complete" {
		return nil, fmt.Errorf("the pilot's answers lead to %q", st.Ended())
	}
	return out, nil
}

// examined is a candidate who sits an exam.
type examined struct {
	crashView
	w    *world
	file string
}

func newExamined(t testing.TB) *examined {
	return &examined{crashView: newCrashView(t, screen.None, true)}
}

const passphrase = "tide tables and herons"

func (e *examined) begin(w *world, file string) []string {
	e.w, e.file = w, file
	if _, err := os.Stat(w.path("pass")); err != nil {
		w.write("pass", passphrase+"\n")
	}
	dir, id := filepath.Dir(file), strings.TrimSuffix(filepath.Base(file), ".jsonl")
	if _, err := os.Stat(w.path(file)); errors.Is(err, fs.ErrNotExist) {
		w.run(nil, "assess", "prepare", "ring-dead", "--candidates", id, "--setting", "alone", "--rehearsal", "--dir", dir, "--passphrase-file", "pass", "--seal-work", "6",
			"--instrument", "BY-07", "--calibration", "2099-01-31").must(w.t, 0)
	}
	return e.again(file)
}

func (e *examined) again(file string) []string {
	return []string{"assess", "sit", file, "--passphrase-file", "pass"}
}

func (e *examined) rest(lines []journal.Line) ([]due, error) {
	if lines == nil {
		var err error
		if lines, err = journal.ReadFile(e.w.path(e.file)); err != nil {
			return nil, err
		}
	}
	x, err := exam.FromHeader(lines[0].Header)
	if err != nil {
		return nil, err
	}
	t, _, err := x.Replay(lines)
	if err != nil || t.Ended() != "" {
		return nil, err
	}
	sealed, err := os.ReadFile(strings.TrimSuffix(e.w.path(e.file), ".jsonl") + ".key.age")
	if err != nil {
		return nil, err
	}
	key, err := seal.Open(sealed, passphrase)
	if err != nil {
		return nil, err
	}
	start := time.Now()
	if lines[len(lines)-1].Header == nil {
		if t, _, err = t.Apply(journal.Event{Type: journal.TypeResume, Time: start.UTC().Format(time.RFC3339)}); err != nil {
			return nil, err
		}
	}
	as, before := hashed(lines[0].Header.Session), t
	var out []due
	end, err := byrote.Sit(t, byrote.Candidate{Key: key, Code: as, Seconds: 1, Start: start}, func(ev journal.Event, _ sitting.Feedback) {
		q, _ := before.Question()
		ask := e.cat.Text(q.TextID, q.Params)
		if q.Coach {
			cq, _, _ := e.Question(before.Coach())
			ask = cq.Ask
			if strings.HasSuffix(q.ID, "/pairs") {
				ask = e.cat.Text("assess.pairs.ask", nil)
			}
		}
		typed := ev.Raw
		if ev.Raw == as {
			typed = code
		}
		out = append(out, e.said(ask, ev.At, typed, ev.Raw, ev.Raw == as))
		before, _, _ = before.Apply(ev)
	})
	if err == nil && end.Ended() != sitting.Complete {
		err = fmt.Errorf("the candidate's answers lead to %q", end.Ended())
	}
	return out, err
}

// answersOf is an answers file of what is due.
func answersOf(rest []due) string {
	var b strings.Builder
	b.WriteString("answers:\n")
	for _, d := range rest {
		fmt.Fprintf(&b, "  - {at: %s, say: %q}\n", d.at, d.typed)
	}
	return b.String()
}

// shownOf counts the answers whose line the program had printed. A line is printed before its answer is stored, and the next
// one only after all that came of it was shown: all but the last are acknowledged.
func shownOf(out []byte, rest []due) int {
	n := 0
	for s := bufio.NewScanner(bytes.NewReader(out)); n < len(rest) && s.Scan(); {
		if strings.TrimSpace(s.Text()) == rest[n].line {
			n++
		}
	}
	return n
}

// account is what came of breaking sessions off.
type account struct {
	broken, before, acknowledged, resumed, complete int
}

// held compares the record with what was to be answered before a run: every answer is there as it was typed, in order, and
// all that were acknowledged are. It gives the number of answers that are there.
func held(lines []journal.Line, was int, rest []due, acknowledged int) (int, error) {
	var got []*journal.Said
	for _, l := range lines[min(was, len(lines)):] {
		if l.Said != nil && l.Said.Type != journal.TypeResume {
			got = append(got, l.Said)
		}
	}
	if len(got) < acknowledged {
		return 0, fmt.Errorf("LOST: %d answers were acknowledged, the record holds %d", acknowledged, len(got))
	}
	for i, s := range got {
		if i >= len(rest) {
			return 0, fmt.Errorf("event %d of the record is %s %q, which nobody typed", s.Seq, s.At, s.Raw)
		}
		raw := rest[i].raw
		if rest[i].typed == code && strings.HasPrefix(s.Raw, "code:") {
			raw = s.Raw // of a session that had no id yet when its answers were thought out
		}
		if s.At != rest[i].at || s.Raw != raw {
			return 0, fmt.Errorf("event %d of the record is %s %q, typed was %s %q", s.Seq, s.At, s.Raw, rest[i].at, rest[i].typed)
		}
	}
	return len(got), nil
}
