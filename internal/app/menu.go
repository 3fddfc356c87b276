package app

import (
	"errors"

	"github.com/spf13/cobra"

	"wanderlead/internal/content"
	"wanderlead/internal/prompt"
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
		what, err := a.choose(front, "menu/what", cat.Text("menu.what", nil), []listed{
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
		if a.opt.sequence, err = a.choose(front, "menu/sequence", cat.Text("menu.sequence", nil), first(sequences, defaultSequence)); err != nil {
			return err
		}
	}
	if a.opt.rig == "" {
		if a.opt.rig, err = a.choose(front, "menu/rig", cat.Text("menu.rig", nil), first(rigs, defaultRig)); err != nil {
			return err
		}
	}
	_ = front.Close()
	return a.practise()
}

// menuStudy asks which exercise.
func (a *app) menuStudy(lib *content.Library, cat *words.Catalogue, front prompt.Front) error {
	all, err := exercises(lib)
	if err != nil {
		return a.contentError(err)
	}
	var list []listed
	for _, e := range a.offered(all) {
		list = append(list, listed{e.name, e.title})
	}
	name, err := a.choose(front, "menu/exercise", cat.Text("menu.exercise", nil), list)
	if err != nil {
		return err
	}
	e, err := exerciseNamed(all, name)
	if err != nil {
		return err
	}
	_ = front.Close()
	return a.study(e.begin(a))
}

// begin sets what an exercise says and nobody asked for otherwise.
func (e exercise) begin(a *app) studyFlags {
	a.opt.rig, a.opt.sequence = or(a.opt.rig, e.rig), or(a.opt.sequence, e.sequence)
	return e.flags
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

func (a *app) choose(front prompt.Front, id, ask string, list []listed) (string, error) {
	q := prompt.Question{ID: id, Kind: prompt.Choice, Ask: ask, Lines: []string{""}}
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
		case reply.Command == "":
			return reply.Raw, nil
		}
	}
}
