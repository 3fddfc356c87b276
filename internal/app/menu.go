package app

import (
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/exercise"
	"wanderlead/internal/prompt"
	"wanderlead/internal/screen"
	"wanderlead/internal/words"
)

// menu is what a person sees who gave no command: what to work on. Without a
// terminal there is nobody to ask, so help goes to standard error.
func (a *app) menu(cmd *cobra.Command) error {
	if !a.terminal() && a.opt.answers == "" {
		cmd.SetOut(a.sys.Err)
		_ = cmd.Help()
		return done(ExitUsage)
	}
	if a.opt.answers != "" || a.opt.sequence != "" && a.opt.rig != "" {
		return a.practise()
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return err
	}
	front := a.front(nil, &view{cat: cat})
	if a.opt.sequence == "" && a.opt.rig == "" {
		what, err := a.choose(front, cat, "menu/what", []listed{
			{"practise", cat.Text("menu.practise", nil)}, {"study", cat.Text("menu.study", nil)}})
		if err != nil {
			return err
		}
		if what == "study" {
			return a.menuStudy(lib, cat, front)
		}
	}
	rigs, err := a.list(lib, "rigs")
	if err != nil {
		return a.contentError(err)
	}
	sequences, err := wholeSequences(lib)
	if err != nil {
		return a.contentError(err)
	}
	if a.opt.sequence == "" {
		if a.opt.sequence, err = a.choose(front, cat, "menu/sequence", first(sequences, defaultSequence)); err != nil {
			return err
		}
	}
	if a.opt.rig == "" {
		if a.opt.rig, err = a.choose(front, cat, "menu/rig", first(rigs, defaultRig)); err != nil {
			return err
		}
	}
	_ = front.Close()
	return a.practise()
}

// menuStudy asks which exercise.
func (a *app) menuStudy(lib *content.Library, cat *words.Catalogue, front prompt.Front) error {
	all, err := exercise.Load(lib)
	if err != nil {
		return a.contentError(err)
	}
	var list []listed
	for _, e := range a.offered(all) {
		list = append(list, listed{e.Name, e.Title})
	}
	name, err := a.choose(front, cat, "menu/exercise", list)
	if err != nil {
		return err
	}
	if all, err = exercise.Load(lib.Written()); err != nil { // the record keeps what is written
		return a.contentError(err)
	}
	e, err := exerciseNamed(all, name)
	if err != nil {
		return err
	}
	_ = front.Close()
	return a.study(a.begin(e))
}

// begin sets what an exercise says and nobody asked for otherwise.
func (a *app) begin(e exercise.Exercise) studyFlags {
	a.opt.rig, a.opt.sequence = or(a.opt.rig, e.Rig), or(a.opt.sequence, e.Sequence)
	return studyFlags{circuits: e.Circuits, faults: slices.Clone(e.Faults), hidden: e.Hidden, start: e.Start, symptom: e.Symptom}
}

// exerciseNamed finds an exercise; the error lists those there are.
func exerciseNamed(all []exercise.Exercise, name string) (exercise.Exercise, error) {
	var names []string
	for _, e := range all {
		if e.Name == name {
			return e, nil
		}
		names = append(names, e.Name)
	}
	return exercise.Exercise{}, usagef("one of: "+strings.Join(names, ", "), "there is no exercise %q", name)
}

// first puts one entry at the head of a list.
func first(list []listed, name string) []listed {
	out := make([]listed, 0, len(list))
	for _, l := range list {
		if l.Name == name {
			out = append([]listed{l}, out...)
		} else {
			out = append(out, l)
		}
	}
	return out
}

func (a *app) choose(front prompt.Front, cat *words.Catalogue, id string, list []listed) (string, error) {
	key := strings.ReplaceAll(id, "/", ".")
	q := prompt.Question{ID: id, Kind: prompt.Choice, Ask: cat.Text(key, nil), Lines: []string{""}, Help: strings.Join(screen.Wrap(cat.Text(key+".help", nil), a.width()), "\n")}
	for _, l := range list {
		q.Options = append(q.Options, prompt.Option{Value: l.Name, Label: l.Title})
	}
	for {
		reply, err := front.Ask(q)
		switch {
		case errors.Is(err, prompt.ErrInterrupted):
			return "", fail(ExitInterrupted, errors.New("interrupted before anything began"))
		case err != nil:
			return "", fail(ExitUsage, err)
		case reply.Command == prompt.CommandStop, reply.Command == prompt.CommandPause:
			return "", fail(ExitInterrupted, errors.New("stopped before anything began"))
		case reply.Command == "":
			return reply.Raw, nil
		}
	}
}
