package app

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/journal"
	"wanderlead/internal/own"
	"wanderlead/internal/prompt"
)

// assessOptions are the flags of the exam's commands.
type assessOptions struct {
	dir, setting, candidates, extra string
	instrument, calibration         string
	passphraseFile, key, signer     string
	out, reason, by                 string
	keepDays, sealWork              int
	feedback, clear, rehearsal      bool
	second                          bool
}

const assessHelp = `An exam is prepared, sat, signed and marked in these steps:

  wanderlead assess papers                        what there is
  wanderlead assess key --out assessor            a signing key, once
  wanderlead assess prepare PAPER --candidates C-01,C-02 --setting hold-points --dir DAY
  wanderlead assess plant DAY/C-01.jsonl          what to plant; --clear: what to clear again
  wanderlead assess plant DAY/C-02.jsonl --after DAY/C-01.jsonl   between two candidates: clear, then plant
  wanderlead assess sit DAY/C-01.jsonl DAY/C-02.jsonl
  wanderlead assess sign DAY/C-01.jsonl --key assessor
  wanderlead assess mark DAY/C-01.jsonl           the mark sheet; --candidate: the feedback
  wanderlead cohort DAY                           the whole group

Settings: observed (the assessor types what the candidate says and shows), hold-points
(the candidate types; the assessor's code opens isolation, gates and reinstatement),
alone (on computed readings). Several records given to sit are open at once: Tab and a
number change between them. An interrupted exam goes on with the same command.

Where records lie, and for how long. Everything about one candidate lies in the folder
given with --dir, in files that begin with the candidate's id:
  ID.jsonl                the record: every entry as typed, with its time
  ID.key.age              draw and reference answers, sealed with the passphrase
  ID.jsonl.sig            the assessor's signature over the closed record
  ID.overrides.jsonl      marks put in place of those by rule, each with its reason
  ID.key.json             draw and reference answers in clear, once revealed
They can be read by their owner alone. Whoever runs the exam decides who may delete them
and keeps to the law and the rules that bind them; the record says until when it is to be
kept (--keep-days, three years unless said otherwise: common practice, no source). assess
delete removes a candidate's files after that day, before it only with a reason, and
notes day and reason, not the name, in deleted.jsonl. Nothing is ever sent anywhere.

A second assessor marks again with assess remark, from the record and either the
passphrase or the revealed key, without having been there. Anybody checks the signature
with a public tool:
  ssh-keygen -Y verify -f allowed_signers -I assessor -n ` + seal.Namespace + ` -s ID.jsonl.sig < ID.jsonl`

func (a *app) assessCmd() *cobra.Command {
	o := &assessOptions{}
	cmd := &cobra.Command{
		Use:   "assess",
		Short: "run a practical exam: papers, sittings, marks, evidence",
		Long:  assessHelp,
	}
	f := cmd.PersistentFlags()
	f.StringVar(&o.dir, "dir", "", "folder of the exam's records")
	f.StringVar(&o.passphraseFile, "passphrase-file", "", "file whose first line is the passphrase (default: asked for)")
	f.StringVar(&o.key, "key", "", "the assessor's private signing key")
	f.StringVar(&o.signer, "signer", "", "the assessor's public key, a file of one line")
	f.StringVar(&o.out, "out", "", "file to write to")
	f.StringVar(&o.reason, "reason", "", "why, in a sentence")
	f.BoolVar(&o.second, "second", false, "the second assessor's marks, kept apart from the first's")
	f.StringVar(&o.by, "by", "", "who decides, by name")
	f.IntVar(&o.sealWork, "seal-work", seal.DefaultWork, "")
	_ = f.MarkHidden("seal-work")
	cmd.AddCommand(a.prepareCmd(o), a.plantCmd(o), a.sitCmd(o), a.signCmd(o), a.markCmd(o), a.remarkCmd(o), a.overrideCmd(o), a.revealCmd(o),
		a.evidenceCmd(o), a.keyCmd(o), a.ruleCmd(), a.papersCmd(), a.deleteCmd(o))
	return group(cmd)
}

func (a *app) ruleCmd() *cobra.Command {
	return &cobra.Command{
		Use: "rule", Short: "print the rule that marks are given by", Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			fmt.Fprint(a.out(), mark.RuleText)
			return nil
		},
	}
}

func (a *app) papersCmd() *cobra.Command {
	return &cobra.Command{
		Use: "papers", Short: "list the papers there are", Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			lib, err := a.library()
			if err != nil {
				return err
			}
			names, err := paper.Names(lib)
			if err != nil {
				return fail(ExitUsage, err)
			}
			list := []map[string]any{}
			for _, n := range names {
				p, err := paper.Load(lib, n)
				if err != nil {
					return a.contentError(err)
				}
				list = append(list, map[string]any{"name": p.ID, "title": p.Title, "minutes": p.Minutes, "settings": p.Settings, "help": p.Help, "marks": p.Total()})
				if !a.opt.json {
					fmt.Fprintf(a.out(), "  %-20s %3d min  %s\n", p.ID, p.Minutes, p.Title)
				}
			}
			if a.opt.json {
				return json.NewEncoder(a.jsonOut()).Encode(list)
			}
			return nil
		},
	}
}

// files are the files of one candidate, beside the record.
type files struct {
	record string
	// second is set where a second assessor's overrides are meant.
	second bool
}

func (f files) base() string      { return strings.TrimSuffix(f.record, ".jsonl") }
func (f files) sealed() string    { return f.base() + ".key.age" }
func (f files) clear() string     { return f.base() + ".key.json" }
func (f files) signature() string { return f.record + ".sig" }
func (f files) overrides() string {
	if f.second {
		return f.base() + ".second.overrides.jsonl"
	}
	return f.base() + ".overrides.jsonl"
}

func (f files) all() []string {
	two := files{f.record, true}
	return []string{two.overrides(), two.overrides() + ".sig", two.overrides() + ".lock", f.overrides() + ".lock", f.record, f.sealed(), f.clear(), f.signature(), f.overrides(), f.overrides() + ".sig", f.record + ".lock"}
}

// passphrase takes the assessor's passphrase: from a file, or asked for at a terminal.
func (a *app) passphrase(o *assessOptions, ask string) (string, error) {
	if o.passphraseFile != "" {
		data, err := os.ReadFile(o.passphraseFile)
		if err != nil {
			return "", fail(ExitUsage, err)
		}
		line, _, _ := strings.Cut(string(data), "\n")
		line = strings.TrimRight(line, "\r")
		if line == "" {
			return "", usagef("", "the passphrase file %s begins with an empty line", o.passphraseFile)
		}
		return line, nil
	}
	if !a.terminal() {
		return "", usagef("give it at a terminal, or with --passphrase-file FILE", "the passphrase is needed")
	}
	lib, err := a.library()
	if err != nil {
		return "", err
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return "", err
	}
	front := a.front(nil, &view{cat: cat})
	defer front.Close()
	for {
		r, err := front.Ask(prompt.Question{ID: "passphrase", Kind: prompt.Secret, Ask: ask})
		switch {
		case errors.Is(err, prompt.ErrInterrupted):
			return "", fail(ExitInterrupted, errors.New("interrupted"))
		case err != nil:
			return "", fail(ExitUsage, err)
		case r.Command == "" && r.Raw != "":
			return r.Raw, nil
		}
	}
}

// newPassphrase is passphrase for one that is being set: what was mistyped there could never be opened again.
func (a *app) newPassphrase(o *assessOptions, ask string) (string, error) {
	for {
		pass, err := a.passphrase(o, ask)
		if err != nil || o.passphraseFile != "" {
			return pass, err
		}
		again, err := a.passphrase(o, "The same once more")
		if err != nil || again == pass {
			return pass, err
		}
		fmt.Fprintln(a.errs(), "wanderlead: the two were not the same; both again")
	}
}

// opened is a record with what it stands on.
type opened struct {
	files
	header *journal.Header
	lines  []journal.Line
	exam   *exam.Exam
}

// openRecord reads a record without locking it.
func (a *app) openRecord(path string) (*opened, error) {
	lines, err := journal.ReadFile(path)
	var torn *journal.Torn
	if err != nil && !errors.As(err, &torn) {
		return nil, fail(ExitNo, err, "wanderlead assess evidence "+path+" says what holds")
	}
	if len(lines) == 0 || lines[0].Header == nil || !exam.IsExam(lines[0].Header) {
		return nil, usagef("wanderlead assess prepare makes one", "%s is no record of an exam", path)
	}
	e, err := exam.FromHeader(lines[0].Header)
	if err != nil {
		return nil, fail(ExitUsage, fmt.Errorf("%s: %w", path, err))
	}
	return &opened{files{record: path}, lines[0].Header, lines, e}, nil
}

func (r *opened) closed() bool { return r.lines[len(r.lines)-1].Closed != nil }

// openKey takes the key of a record: revealed beside it, else from the sealed part. It
// has to be the one that the record committed to.
func (a *app) openKey(o *assessOptions, f files, h *journal.Header) (*seal.Key, error) {
	k, err := a.findKey(o, f)
	if err != nil {
		return nil, err
	}
	if k.Session != h.Session || !k.Holds(h.Fields["commitment"]) {
		return nil, fail(ExitNo, fmt.Errorf("the key of %s is not the one that the record committed to when it was prepared", f.record))
	}
	return k, nil
}

func (a *app) findKey(o *assessOptions, f files) (*seal.Key, error) {
	if data, err := own.Named(f.clear(), maxBeside); err == nil {
		k, err := seal.ParseKey(data)
		if err != nil {
			return nil, fail(ExitUsage, fmt.Errorf("%s: %w", f.clear(), err))
		}
		return k, nil
	}
	data, err := own.Named(f.sealed(), maxBeside)
	if err != nil {
		return nil, fail(ExitUsage, err, "the sealed part lies beside the record")
	}
	pass, err := a.passphrase(o, "Assessor: the passphrase of "+filepath.Base(f.sealed()))
	if err != nil {
		return nil, err
	}
	k, err := seal.Open(data, pass)
	if err != nil {
		return nil, fail(ExitUsage, fmt.Errorf("%s: %w", f.sealed(), err))
	}
	return k, nil
}

// writeNew writes a file for its owner alone, never over another.
func writeNew(path string, data []byte) error {
	err := own.Create(path, data)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return usagef("name another file, or move the old one away", "%s exists, and a file is never written over", path)
	case errors.Is(err, fs.ErrPermission):
		return fail(ExitUsage, err, "choose a folder that can be written")
	}
	return fail(ExitUsage, err, "nothing of it was kept; make room on the disk, or name a file elsewhere")
}

// The most that is read of the files round a record, in bytes. A record of a day has well under a megabyte.
const (
	maxRecord = 256 << 20
	maxBeside = 8 << 20
)
