package app

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/prompt"
	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
	"wanderlead/internal/words"
)

func (a *app) describeCmd() *cobra.Command {
	var out string
	var commission bool
	cmd := &cobra.Command{
		Use:   "describe",
		Short: "describe a rig in a trainer's words and write its file, or commission one",
		Example: `  wanderlead describe --out my-content/rigs/slip-rig.yaml
  wanderlead describe --commission --rig training-bay --out my-content/rigs/training-bay.yaml`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.describe(out, commission) },
	}
	cmd.Flags().StringVar(&out, "out", "", "file to write the rig to; without it the rig goes to standard output")
	cmd.Flags().BoolVar(&commission, "commission", false, "take the reference readings of --rig again and show the drift since last time")
	return cmd
}

func (a *app) describe(out string, commission bool) error {
	script, err := a.script()
	if err != nil {
		return err
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return err
	}
	var was *rig.Rig
	d := rig.Describe(cat)
	if commission {
		if was, err = rig.Load(lib, or(a.opt.rig, defaultRig)); err != nil {
			return a.contentError(err)
		}
		d = rig.Commission(was, cat)
	}
	if out != "" {
		if _, err := os.Lstat(out); err == nil {
			return usagef("name another file, or move the old one away", "%s exists and is not written over", out)
		}
	}
	r, err := a.tell(d, script, cat, out == "")
	if err != nil {
		return err
	}
	if was != nil {
		a.showDrift(was, r, out == "")
	}
	return a.writeRig(r, out)
}

// tell asks question after question until the rig is whole.
func (a *app) tell(d rig.Description, script *prompt.Script, cat *words.Catalogue, toStdout bool) (*rig.Rig, error) {
	b := *a
	b.opt.json = toStdout || a.opt.json // the rig itself goes to standard output, so questions do not
	front := b.front(script, &view{cat: cat})
	defer front.Close()
	for {
		q, r := d.Next()
		if r != nil {
			return r, nil
		}
		reply, err := front.Ask(rigQuestion(q, a.width()))
		if err != nil {
			if errors.Is(err, prompt.ErrInterrupted) {
				return nil, fail(ExitInterrupted, errors.New("interrupted; nothing was written"))
			}
			return nil, fail(ExitUsage, err)
		}
		switch reply.Command {
		case prompt.CommandCorrect:
			d = d.Back()
			continue
		case "", prompt.CommandNotYet:
		default:
			front.Show("Type correct to go back one question, Ctrl-C to leave without writing.")
			continue
		}
		next, err := d.Answer(reply.Raw)
		var refusal *rig.Refusal
		if errors.As(err, &refusal) {
			front.Show("Not taken: "+plainText(refusal.Problem)+".", plainText(refusal.Hint))
			if script != nil {
				script.Refuse()
			}
			continue
		}
		if err != nil {
			return nil, fail(ExitUsage, err)
		}
		d = next
	}
}

func rigQuestion(q rig.Question, columns int) prompt.Question {
	p := prompt.Question{ID: q.ID, Ask: q.Ask, Help: strings.Join(screen.Wrap(q.Help, columns), "\n"), Kind: prompt.Line, Lines: []string{""}}
	if q.Complaint != "" {
		p.Lines = append(p.Lines, screen.Wrap("That does not fit: "+plainText(q.Complaint)+". "+plainText(q.Hint), columns)...)
	}
	if q.Kind == rig.Choice {
		p.Kind = prompt.Choice
		for _, o := range q.Options {
			p.Options = append(p.Options, prompt.Option{Value: o.Value, Label: o.Label})
		}
	}
	return p
}

func (a *app) showDrift(was, now *rig.Rig, toStdout bool) {
	out := a.sys.Out
	if toStdout {
		out = a.sys.Err
	}
	fmt.Fprintln(out, "Drift since "+was.Reference.Date+":")
	for _, d := range rig.Drifts(was, now) {
		mark := ""
		if d.BeyondScatter {
			mark = "  more than the repeats differ among themselves"
		}
		change := ""
		if d.Comparable {
			change = fmt.Sprintf("  %+.2f", d.Change)
		}
		fmt.Fprintf(out, "  %-34s %10s -> %10s%s%s\n", d.ID, d.Was, d.Now, change, mark)
	}
}

// writeRig writes the file whole or not at all.
func (a *app) writeRig(r *rig.Rig, out string) error {
	data := rig.Write(r)
	if out == "" {
		_, err := a.sys.Out.Write(data)
		if err != nil {
			return fail(ExitUsage, err)
		}
		return nil
	}
	if !strings.HasSuffix(out, ".yaml") {
		return usagef("name it "+r.ID+".yaml", "a rig file ends in .yaml, found %q", out)
	}
	f, err := os.CreateTemp(filepath.Dir(out), ".rig-*")
	if err != nil {
		return fail(ExitUsage, err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Link(f.Name(), out) // fails where a file has appeared meanwhile
		if err != nil && !os.IsExist(err) {
			err = os.Rename(f.Name(), out)
		}
	}
	if err != nil {
		return fail(ExitUsage, err)
	}
	fmt.Fprintln(a.errs(), "written: "+out)
	return nil
}
