package app

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sitting"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/own"
	"wanderlead/internal/prompt"
	"wanderlead/internal/study"
)

func (a *app) sitCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "sit RECORD…",
		Short: "sit a prepared paper, or go on with one; several candidates may be open at once",
		Args:  cobra.RangeArgs(1, 9),
		RunE:  func(_ *cobra.Command, args []string) error { return a.sit(o, args) },
	}
}

// seat is one candidate at the desk.
type seat struct {
	files
	header  *journal.Header
	exam    *exam.Exam
	t       *sitting.Sitting
	j       *journal.Journal
	key     *seal.Key
	bench   *truth.Bench // alone only
	taken   *study.Taken // the measurement that the display is of
	shows   *study.Taken
	view    *examView
	clock   entryClock
	cut     []journal.Given // what an interruption kept from being written
	observe string          // id of the answer that may still be observed
	done    bool
	read    bool // the paper has been shown in this run
}

// desk is everybody who sits at once, and the one front they are asked through.
type desk struct {
	a      *app
	o      *assessOptions
	seats  []*seat
	active int
	front  prompt.Front
	script *prompt.Script
	cancel func()
}

func (a *app) sit(o *assessOptions, paths []string) error {
	a.opt.coaching = "none"
	script, err := a.script()
	if err != nil {
		return err
	}
	if script != nil && len(paths) > 1 {
		return usagef("", "an answers file is for one record")
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	d := &desk{a: a, o: o, script: script}
	defer d.close()
	var pass string
	for _, p := range paths {
		if pass, err = d.open(lib, p, pass); err != nil {
			return err
		}
	}
	d.front = a.front(script, d.seats[0].view.view)
	d.cancel = prompt.RestoreOnSignal(a.sys.In, a.sys.Out, func(os.Signal) {
		fmt.Fprintln(a.errs(), "\nwanderlead: interrupted\nhint: "+d.hint())
		os.Exit(ExitInterrupted)
	})
	for _, s := range d.seats {
		if kept := s.j.Kept(); kept != "" {
			d.front.Show(s.view.text("record.torn", map[string]string{"kept": plainText(kept)}))
		}
		if err := writeCut(s.j, s.cut); err != nil {
			return fail(ExitUsage, err, d.hint())
		}
		if s.j.Seq() > 0 && s.t.Ended() == "" {
			if err := d.turn(s, journal.Event{Type: journal.TypeResume}); err != nil {
				return err
			}
		}
	}
	return d.run()
}

func (d *desk) close() {
	if d.cancel != nil {
		d.cancel()
	}
	if d.front != nil {
		_ = d.front.Close()
	}
	for _, s := range d.seats {
		_ = s.j.Close()
	}
}

func (d *desk) hint() string {
	var paths []string
	for _, s := range d.seats {
		paths = append(paths, s.record)
	}
	return "everything is saved: wanderlead assess sit " + strings.Join(paths, " ")
}

// open takes a record up where it ends. The passphrase is asked for whenever a record is
// opened: whoever gives it is the assessor.
func (d *desk) open(lib *content.Library, path, pass string) (string, error) {
	j, lines, err := journal.Open(path)
	if err != nil {
		var damage *journal.Damage
		if errors.As(err, &damage) {
			return pass, fail(ExitNo, err)
		}
		return pass, d.a.recordError(err)
	}
	s := &seat{files: files{record: path}, j: j}
	d.seats = append(d.seats, s)
	if !exam.IsExam(lines[0].Header) {
		return pass, usagef("wanderlead resume "+path, "%s is no record of an exam", path)
	}
	s.header = lines[0].Header
	s.clock.since(lines)
	if d.script != nil && !s.header.Scripted {
		return pass, usagef("prepare it with --rehearsal", "answers from a file are for a rehearsal, and %s is none", path)
	}
	if s.exam, err = exam.FromHeader(s.header, lib); err != nil {
		return pass, fail(ExitUsage, err)
	}
	if s.t, s.cut, err = s.exam.Replay(lines); err != nil {
		return pass, fail(ExitUsage, err)
	}
	if pass == "" {
		if pass, err = d.a.passphrase(d.o, "Assessor: the passphrase of this exam"); err != nil {
			return pass, err
		}
	}
	sealed, err := own.Named(s.sealed(), maxBeside)
	if err != nil {
		return pass, fail(ExitUsage, err, "the sealed part lies beside the record")
	}
	if s.key, err = seal.Open(sealed, pass); err != nil {
		return pass, fail(ExitUsage, err)
	}
	if s.key.Session != s.header.Session || !s.key.Holds(s.header.Fields["commitment"]) {
		return pass, fail(ExitNo, fmt.Errorf("%s does not belong to %s", s.sealed(), path))
	}
	if paper.Setting(s.header.Fields["setting"]) == paper.Alone {
		if s.bench, err = truth.NewBench(s.exam.Content, s.exam.Paper.Draw(s.key.Seed), paper.Alone, s.key.Seed); err != nil {
			return pass, fail(ExitUsage, err)
		}
	}
	s.view, err = d.a.newExamView(lib, s.bench != nil)
	return pass, err
}

// run asks until every seat is done.
func (d *desk) run() error {
	for {
		if err := d.others(); err != nil {
			return err
		}
		s := d.next()
		if s == nil {
			return nil
		}
		if s.t.Ended() != "" {
			if err := d.finish(s); err != nil {
				return err
			}
			continue
		}
		if err := d.step(s); err != nil {
			return err
		}
	}
}

// next is the active seat, or the first that is not done.
func (d *desk) next() *seat {
	if s := d.seats[d.active]; !s.done {
		return s
	}
	for i, s := range d.seats {
		if !s.done {
			d.active = i
			return s
		}
	}
	return nil
}

// step asks one question of one seat.
func (d *desk) step(s *seat) error {
	if s.t.Paused() {
		return d.askResume(s)
	}
	if s.observe != "" && d.script == nil && s.t.Setup().Setting == paper.Observed && !s.t.Halted() {
		return d.askObserve(s)
	}
	if d.script != nil && strings.HasPrefix(d.script.NextAt(), "observe/") {
		return d.observeScripted(s)
	}
	q, ok := s.t.Question()
	if !ok {
		return fail(ExitUsage, errors.New("the exam asks nothing and has not ended"), d.hint())
	}
	if d.over(s) {
		if err := d.turn(s, journal.Event{Type: journal.TypeTime, At: q.ID}); err != nil || s.t.Ended() != "" {
			return err
		}
		return fail(ExitUsage, errors.New("the time is over, and the record could not be written"), d.hint())
	}
	pq := s.view.question(s, q, d.heading(s))
	pq.Seats, pq.Left = len(d.seats), d.left(s)
	if q.Who == sitting.Candidate && !s.read {
		s.read = true
		pq.Lines = append(s.view.paper(s), pq.Lines...)
	}
	reply, err := d.front.Ask(pq)
	if err != nil {
		return d.stopped(s, pq, err)
	}
	return d.take(s, q, reply)
}

// observeScripted takes an observation from an answers file.
func (d *desk) observeScripted(s *seat) error {
	id := d.script.NextAt()
	r, err := d.front.Ask(prompt.Question{ID: id, Kind: prompt.Line, Ask: s.view.text("assess.ask.observe", nil)})
	if err != nil {
		return d.stopped(s, prompt.Question{ID: id}, err)
	}
	return d.turn(s, journal.Event{Type: journal.TypeObserve, At: strings.TrimPrefix(id, "observe/"), Raw: r.Raw})
}

func (d *desk) heading(s *seat) string {
	used := s.t.UsedAt(d.a.sys.Now()) / time.Minute
	clock := s.view.text("assess.clock", map[string]string{"used": fmt.Sprint(int(used)), "allowed": fmt.Sprint(int(s.t.Allowed() / time.Minute))})
	who := s.header.Fields["candidate"]
	if len(d.seats) > 1 {
		who = fmt.Sprintf("[%d] %s", d.active+1, who)
	}
	return who + " · " + clock
}

// take makes events of a reply.
func (d *desk) take(s *seat, q sitting.Question, reply prompt.Reply) error {
	switch reply.Command {
	case prompt.CommandSwitch:
		n, _ := strconv.Atoi(reply.Raw)
		d.active = max(0, min(n-1, len(d.seats)-1))
		return nil
	case prompt.CommandStop:
		return d.turn(s, journal.Event{Type: journal.TypeStop, At: q.ID})
	case prompt.CommandPause:
		return d.turn(s, journal.Event{Type: journal.TypePause, At: q.ID})
	case prompt.CommandShow:
		d.front.Show(s.view.paper(s)...)
		return nil
	case prompt.CommandHelp:
		d.front.Show(s.view.text("assess.no-help", nil))
		return nil
	case prompt.CommandTime:
		return d.turn(s, journal.Event{Type: journal.TypeTime, At: q.ID, Raw: reply.Raw})
	case prompt.CommandCorrect:
		return d.correct(s, reply)
	}
	ev := journal.Event{Type: journal.TypeAnswer, At: or(reply.At, q.ID), Raw: reply.Raw}
	if reply.Command == prompt.CommandNotYet {
		ev.Raw = coach.NotYet
	}
	if q.Kind == coach.Secret && ev.Raw != "" && ev.Raw != coach.NotYet {
		if q.ID == "assessor/code" && len([]rune(strings.TrimSpace(reply.Raw))) < minCode {
			d.front.Show("", s.view.text("code.short", map[string]string{"least": strconv.Itoa(minCode)}))
			return nil
		}
		if q.ID == "assessor/code" && d.script == nil && d.a.terminal() {
			if same, err := sameAgain(d.front, s.view.view, q.ID, reply.Raw); err != nil {
				return d.stopped(s, prompt.Question{}, err)
			} else if !same {
				return nil
			}
		}
		hashed, err := journal.NewSecret(reply.Raw).Hash(s.header.Session)
		if err != nil {
			return err
		}
		ev.Raw = hashed.String()
	}
	if q.Halt {
		return d.decide(s, q, ev.Raw)
	}
	s.observe = ""
	if q.Who == sitting.Candidate {
		s.observe = q.ID
	}
	return d.turn(s, ev)
}

// turn puts one event through record and exam, then shows what there is to show.
func (d *desk) turn(s *seat, ev journal.Event) error {
	ev.Time = d.a.now()
	if err := s.t.Check(ev); err != nil {
		if d.script != nil {
			return fail(ExitUsage, err, d.hint())
		}
		d.front.Show("", "Not taken: "+plainText(err.Error())+".")
		return nil
	}
	before := s.t
	var fb sitting.Feedback
	err := s.j.Turn(ev, func(int) ([]journal.Given, error) {
		next, f, err := s.t.Apply(ev)
		if err != nil {
			return nil, err
		}
		s.t, fb = next, f
		return fb.Given(s.exam.Kit.Pack.Name), nil
	}, func() error {
		d.front.Show(append(s.clock.say(s.view.view, ev.Time), s.view.feedback(before, fb)...)...)
		return nil
	})
	if err != nil {
		var f *journal.FieldError
		if errors.As(err, &f) && d.script == nil {
			d.front.Show("", "Not taken: "+plainText(f.Error())+".")
			return nil
		}
		if again(err) && d.script == nil {
			if s.observe = ""; ev.Type == journal.TypeObserve {
				s.observe = ev.At
			}
			d.front.Show("", s.view.text("record.again", map[string]string{"why": firstLine(err)}))
			return nil
		}
		return fail(ExitUsage, err, d.hint())
	}
	if ev.Type == journal.TypeAnswer && !fb.Taken && !fb.Halted {
		s.observe = "" // nothing was answered yet
	}
	if d.script != nil && !fb.Taken {
		d.script.Refuse()
	}
	return nil
}
