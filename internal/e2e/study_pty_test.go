//go:build linux || darwin

package e2e

import (
	"os"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/faults"
	"wanderlead/internal/ptytest"
	"wanderlead/internal/record"
	"wanderlead/internal/screen"
	"wanderlead/internal/study"
	"wanderlead/internal/study/pilot"
	"wanderlead/sequences"
)

// studySetup is what `study` makes of the same words.
func studySetup(t *testing.T, seq, circuit string, seed uint64, names ...string) study.Setup {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		t.Fatal(err)
	}
	kit, err := record.Gather(lib, seq, "training-bay", "", "")
	if err != nil {
		t.Fatal(err)
	}
	r, err := study.Only(kit.Rig, circuit)
	if err != nil {
		t.Fatal(err)
	}
	if kit, err = kit.WithRig(r); err != nil {
		t.Fatal(err)
	}
	set := study.Setup{Program: kit.Program, Pack: kit.Pack, Seed: seed, Start: study.Isolated}
	for _, n := range names {
		p, err := faults.Lookup(r, circuit, n)
		if err == nil {
			p, err = faults.Settle(r, p)
		}
		if err != nil {
			t.Fatal(err)
		}
		set.Plantings = append(set.Plantings, p)
	}
	return set
}

// atTerminal types the events of a session, each as a person would: arrows to the option, or the line itself. What an
// answered question leaves standing is waited for before the next is answered.
func atTerminal(t *testing.T, x *ptytest.Terminal, set study.Setup, events []coach.Event) {
	t.Helper()
	st, err := study.New(set)
	if err != nil {
		t.Fatal(err)
	}
	view := studyScreen(t)
	answered := ""
	for _, ev := range events {
		q, _, _ := view.StudyQuestion(st)
		keys, label := ev.Raw+ptytest.Enter, ev.Raw
		for i, o := range q.Options {
			if o.Value == ev.Raw {
				keys, label = strings.Repeat(ptytest.Down, i)+ptytest.Enter, o.Label
			}
		}
		if answered == "" {
			x.Answer(":: "+q.Ask, keys)
		} else {
			x.AnswerNext(answered, ":: "+q.Ask, keys)
		}
		answered = ":: " + q.Ask
		if room := 70 - len(answered); room > 0 && len(q.Options) > 0 {
			answered += "  " + label[:min(room, len(label))]
		}
		if st, _, err = st.Apply(ev); err != nil {
			t.Fatal(err)
		}
	}
}

func studyScreen(t *testing.T) *screen.Screen {
	t.Helper()
	s, _ := screenOf(t, screen.Options{Width: 80, Study: true})
	return s
}

// TestStudyOnTerminal works the simulated rig at a terminal, from the menu to the schedule, with nothing wrong and with
// each of ten faults: what does not pass is repaired, and the session ends complete. Without WANDERLEAD_LONG one of the
// faults is taken: a terminal waits more than it works.
func TestStudyOnTerminal(t *testing.T) {
	planted := []string{"", "F42", "F17", "F05", "F08b", "F15", "F16", "F20", "F23", "F25", "F28"}
	if os.Getenv("WANDERLEAD_LONG") == "" {
		planted = planted[:2]
	}
	for _, fault := range planted {
		t.Run("fault "+fault, func(t *testing.T) {
			t.Parallel()
			var names []string
			args := []string{"--seed", "5", "--journal", "out.jsonl"}
			if fault != "" {
				names = []string{fault}
				args = append([]string{"study", "--exercise", "one-circuit", "--fault", fault}, args...)
			}
			set := studySetup(t, "whole-board", "radial-1", 5, names...)
			st, err := study.New(set)
			if err != nil {
				t.Fatal(err)
			}
			p := &pilot.Pilot{S: st, Mend: true}
			p.Run(nil)
			if p.Err != nil || p.S.Ended() != "complete" || (fault != "") != (len(p.Found) > 0) {
				t.Fatalf("%v, ended %q, refused %v, found %v", p.Err, p.S.Ended(), p.Refused, p.Found)
			}
			w := newWorld(t)
			x := ptytest.Start(t, w.command(args...), 80, 40)
			if fault == "" { // the menu: at home; one circuit from the first dead test to the last live one
				x.Answer("::", ptytest.Down+ptytest.Enter)
				x.Answer("::", strings.Repeat(ptytest.Down, 4)+ptytest.Enter)
			}
			atTerminal(t, x, set, p.Events)
			if got := x.Exit(); got != 0 {
				t.Fatalf("exit code %d, want 0", got)
			}
			r := w.run(nil, "report", "out.jsonl").must(t, 0)
			if !strings.Contains(r.out, "simulated") {
				t.Errorf("the schedule does not say that it is simulated:\n%s", r.out)
			}
			w.run(nil, "verify", "out.jsonl").must(t, 0)
		})
	}
}
