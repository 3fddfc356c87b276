package app

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/sheet"
	"wanderlead/internal/handout"
	"wanderlead/internal/journal"
	"wanderlead/internal/own"
)

func (a *app) signCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use: "sign RECORD", Short: "sign a closed record with the assessor's key", Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.sign(o, args[0]) },
	}
}

func (a *app) sign(o *assessOptions, path string) error {
	r, err := a.openRecord(path)
	if err != nil {
		return err
	}
	if !r.closed() {
		return fail(ExitNo, errors.New("the record is still open, and only a closed one is signed"))
	}
	return a.signFile(o, path)
}

func (a *app) signFile(o *assessOptions, path string) error {
	if o.key == "" {
		return usagef("--key FILE", "the assessor's signing key is needed")
	}
	private, err := own.Named(o.key, maxBeside)
	if err != nil {
		return fail(ExitUsage, err)
	}
	signer, err := seal.ParseSigner(private, "")
	if errors.Is(err, seal.ErrKeyLocked) {
		var pass string
		if pass, err = a.passphrase(o, "Assessor: the passphrase of the signing key"); err != nil {
			return err
		}
		signer, err = seal.ParseSigner(private, pass)
	}
	if err != nil {
		return fail(ExitUsage, err)
	}
	message, err := own.Named(path, maxRecord)
	if err != nil {
		return fail(ExitUsage, err)
	}
	sig, err := seal.Sign(signer, message)
	if err != nil {
		return fail(ExitUsage, err)
	}
	if err := os.Remove(path + ".sig"); err != nil && !errors.Is(err, os.ErrNotExist) {
		return fail(ExitUsage, err)
	}
	return writeNew(path+".sig", sig)
}

// evidence is what a check of a candidate's files found.
type evidence struct {
	Record     string   `json:"record"`
	Holds      bool     `json:"holds"`
	Closed     bool     `json:"closed"`
	Signed     bool     `json:"signed"`
	SignedBy   string   `json:"signed_by"`
	Commitment string   `json:"commitment"`
	Faults     []string `json:"faults"`
}

func (a *app) evidenceCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use: "evidence RECORD", Short: "check record, signature and sealed part", Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			ev, err := a.checkEvidence(o, args[0])
			if err != nil {
				return err
			}
			if a.opt.json {
				_ = json.NewEncoder(a.jsonOut()).Encode(ev)
			} else {
				for _, f := range ev.Faults {
					fmt.Fprintln(a.out(), f)
				}
				if ev.Holds {
					fmt.Fprintf(a.out(), "%s holds: closed, every byte as signed by\n  %s\n", ev.Record, ev.SignedBy)
				}
			}
			if !ev.Holds {
				return done(ExitNo)
			}
			return nil
		},
	}
}

func (a *app) checkEvidence(o *assessOptions, path string) (*evidence, error) {
	f := files{record: path}
	ev := &evidence{Record: path, Faults: []string{}}
	bad := func(format string, args ...any) { ev.Faults = append(ev.Faults, fmt.Sprintf(format, args...)) }
	data, err := own.Named(path, maxRecord)
	if err != nil {
		return nil, fail(ExitUsage, err)
	}
	lines, err := journal.Read(bytes.NewReader(data))
	if err != nil {
		bad("the record does not hold: %v", err)
	}
	if len(lines) > 0 {
		ev.Closed = lines[len(lines)-1].Closed != nil
		if h := lines[0].Header; h != nil {
			ev.Commitment = h.Fields["commitment"]
			if sealed, err := own.Named(f.sealed(), maxBeside); err == nil {
				if sum := sha256.Sum256(sealed); hex.EncodeToString(sum[:]) != h.Fields["sealed_sha256"] {
					bad("%s is not the sealed part that the record was prepared with", f.sealed())
				}
			}
		}
	}
	if !ev.Closed {
		bad("the record is not closed")
	}
	public := ""
	if o.signer != "" {
		line, err := own.Named(o.signer, maxBeside)
		if err != nil {
			return nil, fail(ExitUsage, err)
		}
		public = string(line)
	}
	check := func(path string, message []byte) {
		sig, err := own.Named(path+".sig", maxBeside)
		if err != nil {
			bad("%s is not signed", path)
			return
		}
		by, err := seal.Verify(message, sig, public)
		if err != nil {
			bad("%s: %v", path+".sig", err)
			return
		}
		if path == f.record {
			ev.Signed, ev.SignedBy = true, by
		} else if by != ev.SignedBy && public == "" {
			bad("%s is signed by another key than the record", path)
		}
	}
	check(path, data)
	if kept, err := own.Named(f.overrides(), maxBeside); err == nil {
		check(f.overrides(), kept)
		if _, err := mark.ReadOverrides(kept, data); err != nil {
			bad("%s: %v", f.overrides(), err)
		}
	}
	ev.Holds = len(ev.Faults) == 0
	return ev, nil
}

func (a *app) markCmd(o *assessOptions) *cobra.Command {
	var pdfFile string
	cmd := &cobra.Command{
		Use: "mark RECORD", Short: "mark a closed record by the published rule: the mark sheet, or a candidate's feedback", Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			res, r, err := a.markRecord(o, args[0])
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
			out := a.sys.Out
			if o.out != "" {
				text, err := json.MarshalIndent(res, "", "  ")
				if err != nil {
					return fail(ExitUsage, err)
				}
				if err := writeNew(o.out, append(text, '\n')); err != nil {
					return err
				}
			}
			switch {
			case pdfFile != "" && o.feedback:
				return a.writePDF(handout.Feedback(sheet.FeedbackOf(res), r.header, r.exam.Kit.Rig, r.exam.Kit.Pack, cat.Text), pdfFile)
			case pdfFile != "":
				return a.writePDF(handout.Marks(res, r.header, cat.Text), pdfFile)
			case o.feedback && a.opt.json:
				return sheet.WriteJSON(out, sheet.FeedbackOf(res))
			case o.feedback:
				return sheet.FeedbackText(out, cat.Text, sheet.FeedbackOf(res))
			case a.opt.json:
				return sheet.WriteJSON(out, res)
			}
			return sheet.MarkText(out, cat.Text, res, r.header)
		},
	}
	cmd.Flags().BoolVar(&o.feedback, "candidate", false, "the candidate's feedback instead of the mark sheet")
	pdfFlag(cmd, &pdfFile)
	return cmd
}

// markRecord marks a record and puts the overrides in place.
func (a *app) markRecord(o *assessOptions, path string) (*mark.Result, *opened, error) {
	r, err := a.openRecord(path)
	if err != nil {
		return nil, nil, err
	}
	if !r.closed() {
		return nil, nil, fail(ExitNo, errors.New("the record is still open, and only a closed one is marked"), "wanderlead assess sit "+path)
	}
	k, err := a.openKey(o, r.files, r.header)
	if err != nil {
		return nil, nil, err
	}
	r.second = o.second
	res := mark.NewPlan(r.exam.Content).Marker(k).Mark(r.lines)
	data, err := own.Named(r.overrides(), maxBeside)
	if errors.Is(err, os.ErrNotExist) {
		return res, r, nil
	}
	if err != nil {
		return nil, nil, fail(ExitUsage, err)
	}
	record, err := own.Named(path, maxRecord)
	if err != nil {
		return nil, nil, fail(ExitUsage, err)
	}
	list, err := mark.ReadOverrides(data, record)
	if err != nil {
		return nil, nil, fail(ExitNo, fmt.Errorf("%s: %w", r.overrides(), err))
	}
	for _, ov := range list {
		if err := res.Apply(ov); err != nil {
			return nil, nil, fail(ExitNo, err)
		}
	}
	return res, r, nil
}

func (a *app) remarkCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use: "remark RECORD MARKS", Short: "mark again and hold it against marks kept with mark --out", Args: cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			res, _, err := a.markRecord(o, args[0])
			if err != nil {
				return err
			}
			want, err := own.Named(args[1], maxRecord)
			if err != nil {
				return fail(ExitUsage, err)
			}
			text, err := json.MarshalIndent(res, "", "  ")
			if err != nil {
				return fail(ExitUsage, err)
			}
			same := bytes.Equal(append(text, '\n'), want)
			if a.opt.json {
				_ = json.NewEncoder(a.jsonOut()).Encode(map[string]bool{"same": same})
			} else if same {
				fmt.Fprintln(a.out(), "the same, byte for byte")
			} else {
				fmt.Fprintln(a.out(), "not the same")
			}
			if !same {
				return done(ExitNo)
			}
			return nil
		},
	}
}

func (a *app) overrideCmd(o *assessOptions) *cobra.Command {
	var to int
	cmd := &cobra.Command{
		Use:     "override RECORD TASK PART",
		Short:   "put a mark in place of the one by rule, with the reason; both stay on the sheet",
		Example: `  wanderlead assess override day-1/C-01.jsonl ends reading --to 2 --by "R. Pallister" --reason "display seen at 0.41, typed 0.14" --key assessor`,
		Args:    cobra.ExactArgs(3),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !cmd.Flags().Changed("to") {
				return usagef("--to N", "the mark is needed")
			}
			if o.by == "" {
				return usagef("--by NAME", "an override has a name to it")
			}
			return a.override(o, args[0], mark.Override{Task: args[1], Part: paper.Part(args[2]), To: to, Reason: o.reason, By: o.by, Time: a.now()})
		},
	}
	cmd.Flags().IntVar(&to, "to", 0, "the mark")
	return cmd
}

func (a *app) override(o *assessOptions, path string, ov mark.Override) (err error) {
	if _, err := a.openRecord(path); err != nil {
		return err
	}
	// Marking, writing and signing go together: between two people at once, one line would not follow the other.
	release, err := journal.LockAs(files{path, o.second}.overrides(), o.by)
	if err != nil {
		return fail(ExitUsage, err)
	}
	defer func() {
		if e := release(); err == nil && e != nil {
			err = fail(ExitUsage, e)
		}
	}()
	res, r, err := a.markRecord(o, path)
	if err != nil {
		return err
	}
	if err := res.Apply(ov); err != nil {
		return fail(ExitUsage, err)
	}
	for _, t := range res.Tasks {
		for _, p := range t.Parts {
			if t.Task == ov.Task && p.Part == ov.Part {
				ov = *p.Override
			}
		}
	}
	record, err := own.Named(path, maxRecord)
	if err != nil {
		return fail(ExitUsage, err)
	}
	old, err := own.Named(r.overrides(), maxBeside)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fail(ExitUsage, err)
	}
	line, err := mark.OverrideLine(ov, old, record)
	if err != nil {
		return fail(ExitUsage, err)
	}
	if err := own.Append(r.overrides(), line); err != nil {
		return fail(ExitUsage, err)
	}
	return a.signFile(o, r.overrides())
}

func (a *app) deleteCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use: "delete RECORD", Short: "delete everything about a candidate once the time of keeping is over", Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			r, err := a.openRecord(args[0])
			if err != nil {
				return err
			}
			until := r.header.Fields["keep_until"]
			today := a.sys.Now().UTC().Format(time.DateOnly)
			if today < until && len([]rune(o.reason)) < 10 {
				return fail(ExitNo, fmt.Errorf("the record is to be kept until %s", until), "--reason \"…\" where something else binds you")
			}
			note, err := json.Marshal(map[string]string{"session": r.header.Session, "kept_until": until, "deleted": today, "reason": o.reason})
			if err != nil {
				return fail(ExitUsage, err)
			}
			if err := own.Append(filepath.Join(filepath.Dir(args[0]), "deleted.jsonl"), append(note, '\n')); err != nil {
				return fail(ExitUsage, err)
			}
			for _, name := range r.all() {
				if err := os.Remove(name); err != nil && !errors.Is(err, os.ErrNotExist) {
					return fail(ExitUsage, err)
				}
			}
			return nil
		},
	}
}
