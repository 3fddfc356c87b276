package app

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/own"
	"wanderlead/internal/prompt"
	"wanderlead/internal/record"
)

// What a session works on when nothing else was asked for.
const (
	defaultRig      = "training-bay"
	defaultSequence = "whole-board"
)

func (a *app) practiseCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "practise",
		Short: "work through a test sequence on a practice rig, instrument in hand",
		Example: `  wanderlead practise
  wanderlead practise --rig training-bay --sequence lesson-ring
  wanderlead practise --answers answers.yaml --journal record.jsonl`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.practise() },
	}
}

// practise starts a session and works it through.
func (a *app) practise() error {
	script, err := a.script()
	if err != nil {
		return err
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	a.viewAhead(lib)
	kit, err := record.Gather(lib.Written(), or(a.opt.sequence, defaultSequence), or(a.opt.rig, defaultRig), a.opt.edition, a.opt.incoming)
	if err != nil {
		return a.contentError(err)
	}
	if err := a.check(lib.Written(), kit); err != nil { // an author's own words are what is checked
		return err
	}
	if kit, err = kit.In(lib); err != nil {
		return a.contentError(err)
	}
	id, err := sessionID(a.sys.Random)
	if err != nil {
		return fail(ExitUsage, err)
	}
	h := kit.Header()
	h.Version, h.Created, h.Session, h.Mode = a.sys.Version, a.now(), id, "practise"
	h.Scripted = script != nil
	keepLanguage(&h, lib)
	if a.opt.seedGiven {
		h.Seed = &a.opt.seed
	}
	path, err := a.recordPath(kit, id)
	if err != nil {
		return err
	}
	j, err := journal.Create(path, h)
	if err != nil {
		return a.recordError(err)
	}
	st := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack, Today: record.Day(h.Created)})
	return a.work(lib, kit, st, j, path, id, script)
}

// script loads the answers file, if one was given, and takes from it what the
// command line left open.
func (a *app) script() (*prompt.Script, error) {
	if a.opt.answers == "" {
		return nil, nil
	}
	var data []byte
	var err error
	name := a.opt.answers
	if name == "-" {
		name = "standard input"
		data, err = content.ReadAll(a.sys.In, name)
	} else {
		data, err = content.ReadFile(name)
	}
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	s, err := prompt.ParseScript(name, data)
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	a.opt.rig = or(a.opt.rig, s.Rig)
	a.opt.sequence = or(a.opt.sequence, s.Sequence)
	a.opt.edition = or(a.opt.edition, s.Edition)
	if s.HasSeed && !a.opt.seedGiven {
		a.opt.seed, a.opt.seedGiven = int64(s.Seed), true
	}
	return s, nil
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (a *app) now() string { return a.sys.Now().UTC().Format(time.RFC3339) }

// recordPath is where the record goes: where --journal says, else a file of its own
// in the user's state folder.
func (a *app) recordPath(kit *record.Kit, id string) (string, error) {
	if a.opt.journal != "" {
		return a.opt.journal, nil
	}
	dir := a.sys.recordsDir()
	if err := own.Folder(dir); err != nil {
		return "", fail(ExitUsage, fmt.Errorf("no folder for the record: %w", err), "name a file with --journal")
	}
	day := a.sys.Now().Format("2006-01-02-1504")
	return filepath.Join(dir, fmt.Sprintf("%s-%s-%s-%s.jsonl", day, kit.Rig.ID, kit.Sequence.ID, id[:6])), nil
}

// recordError gives a journal's refusal its hint.
func (a *app) recordError(err error) error {
	var exists *journal.ExistsError
	if errors.As(err, &exists) {
		return fail(ExitUsage, err, "a record is never written over: use resume to go on with it, or name another file")
	}
	return fail(ExitUsage, err)
}

func (a *app) resumeCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "resume FILE",
		Short: "go on with an interrupted session, re-proofs first",
		Args:  a.oneRecord,
		RunE:  func(_ *cobra.Command, args []string) error { return a.resume(args[0]) },
	}
}

func (a *app) resume(path string) error {
	script, err := a.script()
	if err != nil {
		return err
	}
	j, lines, err := journal.Open(path)
	if err != nil {
		var d *journal.Damage
		if errors.As(err, &d) {
			return fail(ExitNo, err, "wanderlead verify "+path+" says what holds")
		}
		return a.recordError(err)
	}
	a.speakOf(lines[0].Header)
	lib, err := a.library()
	if err != nil {
		_ = j.Close()
		return err
	}
	if lines[0].Header != nil && lines[0].Header.Mode == record.ModeStudy {
		return a.resumeStudy(lib, j, lines, path, script)
	}
	rep, err := record.Replay(lines, lib)
	if err != nil {
		_ = j.Close()
		return fail(ExitUsage, err)
	}
	r := a.runner(lib, rep.Kit, rep.State, j, path, rep.Header.Session, script)
	defer r.close()
	r.clock.since(lines)
	r.front.Show(r.view.draft()...)
	if kept := j.Kept(); kept != "" {
		r.front.Show(r.view.text("record.torn", map[string]string{"kept": plainText(kept)}))
	}
	if err := writeCut(j, rep.CutOff); err != nil {
		return fail(ExitUsage, err, "everything acknowledged so far is in "+path)
	}
	if rep.State.Ended() != "" { // broken off after the last answer, before the record was closed
		return r.end()
	}
	if err := r.turn(coach.Event{Type: coach.Resumed}); err != nil {
		return err
	}
	return r.run()
}

// work runs a session from its state to its end or to an interruption.
func (a *app) work(lib *content.Library, kit *record.Kit, st *coach.State, j *journal.Journal, path, id string, script *prompt.Script) error {
	r := a.runner(lib, kit, st, j, path, id, script)
	defer r.close()
	r.front.Show(r.view.draft()...)
	a.noteEnglish(lib)
	return r.run()
}
