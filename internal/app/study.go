package app

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync/atomic"

	"github.com/spf13/cobra"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/exercise"
	"wanderlead/internal/faults"
	"wanderlead/internal/journal"
	"wanderlead/internal/prompt"
	"wanderlead/internal/record"
	"wanderlead/internal/rig"
	"wanderlead/internal/study"
)

// defaultStudy is a lesson of about ten minutes.
const defaultStudy = "lesson-ring"

// studyFlags are what only a study session has.
type studyFlags struct {
	circuits, faults []string
	hidden           int
	start            string
	symptom          string // what was reported, when there is something to be found
}

func (a *app) studyCmd() *cobra.Command {
	var f studyFlags
	var name string
	cmd := &cobra.Command{
		Use:   "study",
		Short: "practise at home on a simulated rig, every reading computed",
		Long: `study simulates a rig: what the instrument shows is computed from its conductors
as they stand at that moment, right or wrong moves included. You decide what the
instrument is set to, where the leads go, what is switched, lifted and joined.
Nothing in it is an instruction about a real board.`,
		Example: `  wanderlead study
  wanderlead study --rig training-bay --sequence whole-board --circuit ring-1
  wanderlead study --sequence lesson-ring --hidden 1 --seed 7
  wanderlead study --rig by-seed --seed 12 --coaching hints`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if name != "" {
				lib, err := a.library()
				if err != nil {
					return err
				}
				all, err := exercise.Load(lib.Written()) // the record keeps what is written
				if err != nil {
					return a.contentError(err)
				}
				e, err := exerciseNamed(all, name)
				if err != nil {
					return err
				}
				own := f
				f = a.begin(e)
				f.faults = append(f.faults, own.faults...)
				f.hidden += own.hidden
				if len(own.circuits) > 0 {
					f.circuits = own.circuits
				}
				if cmd.Flags().Changed("start") {
					f.start = own.start
				}
			}
			return a.study(f)
		},
	}
	fl := cmd.Flags()
	fl.StringVar(&name, "exercise", "", "begin as an exercise says (list exercises)")
	fl.StringArrayVar(&f.circuits, "circuit", nil, "only this circuit on the board (may be given again)")
	fl.StringArrayVar(&f.faults, "fault", nil, "a fault in the rig, by its id there or as F01 to F46, or circuit/F06 (may be given again)")
	fl.IntVar(&f.hidden, "hidden", 0, "how many faults the seed hides")
	fl.StringVar(&f.start, "start", string(study.Isolated), "isolated, or as-found: everything on")
	return cmd
}

// study starts a session on a computed rig.
func (a *app) study(f studyFlags) error {
	if f.start != string(study.Isolated) && f.start != string(study.AsFound) {
		return usagef("one of: isolated, as-found", "unknown value %q for --start", f.start)
	}
	script, err := a.script()
	if err != nil {
		return err
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	kit, set, err := a.studySetup(lib, f)
	if err != nil {
		return err
	}
	st, err := study.New(set)
	if err != nil {
		return fail(ExitUsage, err)
	}
	id, err := sessionID(a.sys.Random)
	if err != nil {
		return fail(ExitUsage, err)
	}
	h := kit.StudyHeader(set)
	h.Version, h.Created, h.Session, h.Scripted = a.sys.Version, a.now(), id, script != nil
	keepLanguage(&h, lib)
	if f.symptom != "" {
		h.Fields[record.FieldSymptom] = f.symptom
	}
	path, err := a.recordPath(kit, id)
	if err != nil {
		return err
	}
	j, err := journal.Create(path, h)
	if err != nil {
		return a.recordError(err)
	}
	r := a.studyRunner(lib, kit, st, j, path, script)
	r.tally = newTally(st, id, r.view.book)
	r.watch()
	defer r.close()
	r.begin(set, f.symptom)
	return r.run()
}

// studySetup gathers rig, sequence and faults.
func (a *app) studySetup(lib *content.Library, f studyFlags) (*record.Kit, study.Setup, error) {
	var none study.Setup
	if !a.opt.seedGiven {
		seed, err := drawSeed(a.sys.Random)
		if err != nil {
			return nil, none, fail(ExitUsage, err)
		}
		a.opt.seed = seed
	}
	name := or(a.opt.rig, defaultRig)
	made := name == exercise.BySeed
	if made {
		name = defaultRig
	}
	kit, err := record.Gather(lib.Written(), or(a.opt.sequence, defaultStudy), name, a.opt.edition, a.opt.incoming)
	if err != nil {
		return nil, none, a.contentError(err)
	}
	r := kit.Rig
	if made {
		r = study.Made(r, uint64(a.opt.seed))
	}
	if len(f.circuits) > 0 {
		if r, err = study.Only(r, f.circuits...); err != nil {
			return nil, none, hinted(err)
		}
	}
	if r != kit.Rig {
		if kit, err = kit.WithRig(r); err != nil {
			return nil, none, a.contentError(err)
		}
	}
	plantings, err := plantings(kit.Rig, f, uint64(a.opt.seed))
	if err != nil {
		return nil, none, hinted(err)
	}
	if kit, err = kit.In(lib); err != nil {
		return nil, none, a.contentError(err)
	}
	help := map[string]study.Help{"full": study.Led, "hints": study.Named, "none": study.Alone}[a.opt.coaching]
	return kit, study.Setup{Program: kit.Program, Pack: kit.Pack, Plantings: plantings, Seed: uint64(a.opt.seed),
		Start: study.Start(f.start), Help: help}, nil
}

// hinted is an error of usage whose later lines are its hints.
func hinted(err error) error {
	first, rest, _ := strings.Cut(err.Error(), "\n")
	var hints []string
	for _, l := range strings.Split(rest, "\n") {
		if h, ok := strings.CutPrefix(l, "hint: "); ok {
			hints = append(hints, h)
		}
	}
	return fail(ExitUsage, errors.New(first), hints...)
}

// plantings are the faults asked for by name and those that the seed hides.
func plantings(r *rig.Rig, f studyFlags, seed uint64) ([]faults.Planting, error) {
	var out []faults.Planting
	for _, name := range f.faults {
		p, err := faults.Named(r, name)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	for _, p := range faults.Seeded(r, seed, f.hidden, nil) {
		settled, err := faults.Settle(r, p)
		if err != nil {
			return nil, err
		}
		out = append(out, settled)
	}
	return out, nil
}

// drawSeed takes a seed that a person can write down.
func drawSeed(from io.Reader) (int64, error) {
	var b [4]byte
	if _, err := io.ReadFull(from, b[:]); err != nil {
		return 0, fmt.Errorf("no seed could be drawn: %w", err)
	}
	return int64(b[0])<<16 | int64(b[1])<<8 | int64(b[2]), nil
}

// studyRunner works one study session: what was said is on the disk before anything
// is shown of what came of it.
type studyRunner struct {
	a      *app
	kit    *record.Kit
	st     *study.State
	j      *journal.Journal
	path   string
	front  prompt.Front
	script *prompt.Script
	view   *view
	cancel func()
	tally  *tally
	events int      // of the record
	route  []string // measurements taken, for the reasoning after a fault is named
	clock  entryClock
	seen   atomic.Pointer[study.State]
}

func (a *app) studyRunner(lib *content.Library, kit *record.Kit, st *study.State, j *journal.Journal, path string, script *prompt.Script) *studyRunner {
	r := &studyRunner{a: a, kit: kit, st: st, j: j, path: path, script: script}
	a.draftIsShown = true
	r.view = a.newView(lib)
	r.front = a.front(script, r.view)
	r.seen.Store(st)
	return r
}

// watch has a signal end the session: what was practised is remembered first.
func (r *studyRunner) watch() {
	r.cancel = prompt.RestoreOnSignal(r.a.sys.In, r.a.sys.Out, func(os.Signal) {
		if _, _, err := r.note(); err != nil {
			fmt.Fprintln(r.a.errs(), "\nwanderlead: not remembered: "+plainText(err.Error()))
		}
		fmt.Fprintln(r.a.errs(), "\nwanderlead: interrupted\nhint: "+r.savedHint())
		os.Exit(ExitInterrupted)
	})
}

func (r *studyRunner) close() {
	r.cancel()
	r.remember()
	_ = r.front.Close()
	_ = r.j.Close()
}

func (r *studyRunner) savedHint() string { return "the session is saved: wanderlead resume " + r.path }

// begin says that nothing here is real, and what was reported, where something is to be found.
func (r *studyRunner) begin(set study.Setup, symptom string) {
	text := func(id string) string { return r.view.text(id, map[string]string{"rig": r.kit.Rig.Title}) }
	r.front.Show(r.view.draft()...)
	lines := []string{text("study.begin"), text("study.begin." + string(set.Start))}
	if len(set.Plantings) > 0 {
		lines = append(lines, text("study.begin.faults"))
	}
	if symptom != "" {
		lines = append(lines, r.view.text("study.finding.symptom", map[string]string{"symptom": r.view.lib.Say(symptom)}))
	}
	r.front.Show(r.view.wrap(lines...)...)
}

func (r *studyRunner) run() error {
	for r.st.Ended() == "" {
		q, ok := r.view.studyQuestion(r.st)
		if !ok {
			break
		}
		reply, err := r.front.Ask(q)
		if err != nil {
			return r.stopped(err)
		}
		ev := coach.Event{Type: coach.Answer, At: or(reply.At, q.ID), Raw: strings.TrimSpace(reply.Raw)}
		switch reply.Command {
		case prompt.CommandStop:
			ev = coach.Event{Type: coach.Stop, At: q.ID}
		case prompt.CommandPause:
			ev = coach.Event{Type: coach.Paused, At: q.ID}
		case prompt.CommandShow:
			r.front.Show(r.view.studyShow(r.st)...)
			continue
		case "":
		default:
			continue
		}
		if err := r.turn(ev); err != nil {
			return err
		}
	}
	return r.end()
}

// turn puts one event through record and session, then shows what came of it.
func (r *studyRunner) turn(ev coach.Event) error {
	before := r.st
	next, fb, err := r.st.Apply(ev)
	if err != nil {
		if r.script != nil {
			return fail(ExitUsage, err, r.savedHint())
		}
		r.front.Show("", "Not taken: "+plainText(err.Error())+".")
		return nil
	}
	said := record.Said(ev, r.a.now())
	said.Shown = fb.Shown.Text()
	err = r.j.Turn(said, func(int) ([]journal.Given, error) {
		r.st = next
		r.events++
		r.seen.Store(next)
		return record.StudyGiven(fb, r.kit.Pack.Name), nil
	}, func() error {
		r.front.Show(append(r.clock.say(r.view, said.Time), r.view.studyFeedback(before, next, fb)...)...)
		r.tally.see(r.events, before, next, fb)
		r.walked(fb)
		r.reason(next, fb)
		return nil
	})
	if again(err) && r.script == nil {
		r.front.Show("", r.view.text("record.again", map[string]string{"why": firstLine(err)}))
		return nil
	}
	if err != nil {
		return fail(ExitUsage, err, "everything acknowledged so far is in "+r.path)
	}
	if fb.Refused && r.script != nil {
		r.script.Refuse()
	}
	return nil
}

func (r *studyRunner) stopped(err error) error {
	switch {
	case errors.Is(err, prompt.ErrInterrupted):
		return fail(ExitInterrupted, errors.New("interrupted"), r.savedHint())
	case errors.Is(err, prompt.ErrEnd), errors.Is(err, io.EOF):
		var s *prompt.ScriptError
		if !errors.As(err, &s) {
			return fail(ExitUsage, errors.New("the input ended"), r.savedHint())
		}
	}
	return fail(ExitUsage, err, r.savedHint())
}

func (r *studyRunner) end() error {
	if err := r.j.CloseRecord(r.st.Ended(), r.a.now()); err != nil {
		return fail(ExitUsage, err)
	}
	if r.script != nil {
		if n, line := r.script.Left(); n > 0 {
			fmt.Fprintf(r.a.errs(), "wanderlead: %d answers were not used, the first at line %d\n", n, line)
		}
	}
	if r.a.opt.json {
		lines, err := journal.ReadFile(r.path)
		if err != nil {
			return fail(ExitUsage, err)
		}
		return r.a.writeReport(lines, formatJSON, "")
	}
	r.front.Show("Record: "+r.path, "Schedule: wanderlead report "+r.path)
	return nil
}
