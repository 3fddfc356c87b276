package app

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/assess/paper"
	"wanderlead/internal/assess/seal"
	"wanderlead/internal/assess/truth"
	"wanderlead/internal/journal"
)

// defaultKeepDays is how long a record is to be kept unless said otherwise: three years,
// common practice, no source.
const defaultKeepDays = 1096

func (a *app) prepareCmd(o *assessOptions) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "prepare PAPER",
		Short: "draw a paper for each candidate and seal the draws",
		Example: `  wanderlead assess prepare ring-dead --candidates C-01,C-02 --setting alone --dir day-1
  wanderlead assess prepare ring-dead --candidates C-03 --setting hold-points --extra C-03=15 --dir day-1`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.prepare(o, args[0]) },
	}
	f := cmd.Flags()
	f.StringVar(&o.candidates, "candidates", "", "ids of the candidates, separated by commas")
	f.StringVar(&o.setting, "setting", "", "observed, hold-points or alone")
	f.StringVar(&o.extra, "extra", "", "extra minutes as an adjustment: C-01=15,C-02=30")
	f.StringVar(&o.instrument, "instrument", "", "instrument used, by its number")
	f.StringVar(&o.calibration, "calibration", "", "its calibration date")
	f.BoolVar(&o.rehearsal, "rehearsal", false, "a rehearsal: answers may come from a file, and every sheet says so")
	f.IntVar(&o.keepDays, "keep-days", defaultKeepDays, "how many days the record is to be kept")
	return cmd
}

// candidateID is what stands in file names and on sheets in place of a name.
var candidateID = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9-]{0,31}$`)

func (a *app) prepare(o *assessOptions, name string) error {
	lib, err := a.library()
	if err != nil {
		return err
	}
	e, err := exam.Load(lib, name)
	if err != nil {
		return a.contentError(err)
	}
	if errs := e.Problems(); len(errs) > 0 {
		return fail(ExitUsage, errs)
	}
	if err := a.check(lib, e.Kit); err != nil {
		return err
	}
	setting := paper.Setting(o.setting)
	if !e.Paper.Allows(setting) {
		return usagef(fmt.Sprintf("--setting, one of: %v", e.Paper.Settings), "the paper %s is not sat in the setting %q", name, o.setting)
	}
	ids := strings.Split(o.candidates, ",")
	extra, err := extraMinutes(o.extra, ids)
	if err != nil {
		return err
	}
	if o.dir == "" {
		return usagef("--dir FOLDER", "a folder for the records is needed")
	}
	for _, id := range ids {
		if !candidateID.MatchString(id) {
			return usagef("letters, digits and hyphens, up to 32; --candidates C-01,C-02", "%q is no candidate id", id)
		}
	}
	if err := os.MkdirAll(o.dir, 0o700); err != nil {
		return fail(ExitUsage, err)
	}
	pass, err := a.newPassphrase(o, "Assessor: a passphrase to seal the draws with")
	if err != nil {
		return err
	}
	if len([]rune(pass)) < minPassphrase {
		return usagef("several words that nobody can guess", "a passphrase has at least %d characters", minPassphrase)
	}
	for _, id := range ids {
		if err := a.prepareOne(o, e, setting, id, extra[id], pass); err != nil {
			return err
		}
	}
	return nil
}

// minPassphrase is the fewest characters of a passphrase.
const minPassphrase = 12

func extraMinutes(list string, ids []string) (map[string]int, error) {
	out := map[string]int{}
	if list == "" {
		return out, nil
	}
	for _, word := range strings.Split(list, ",") {
		id, text, _ := strings.Cut(word, "=")
		n, err := strconv.Atoi(text)
		known := false
		for _, k := range ids {
			known = known || k == id
		}
		if err != nil || n < 0 || n > 480 || !known {
			return nil, usagef("--extra C-01=15", "%q is no adjustment of a candidate", word)
		}
		out[id] = n
	}
	return out, nil
}

func (a *app) prepareOne(o *assessOptions, e *exam.Exam, setting paper.Setting, id string, extra int, pass string) error {
	session, err := sessionID(a.sys.Random)
	if err != nil {
		return fail(ExitUsage, err)
	}
	var seed [8]byte
	if _, err := io.ReadFull(a.sys.Random, seed[:]); err != nil {
		return fail(ExitUsage, err)
	}
	k, err := truth.Of(e.Content, setting, binary.BigEndian.Uint64(seed[:]))
	if err != nil {
		return fail(ExitUsage, err)
	}
	k.Session = session
	if k.Salt, err = seal.NewSalt(a.sys.Random); err != nil {
		return fail(ExitUsage, err)
	}
	commitment, err := k.Commitment()
	if err != nil {
		return fail(ExitUsage, err)
	}
	sealed, err := seal.Seal(k, pass, o.sealWork)
	if err != nil {
		return fail(ExitUsage, err)
	}
	f := files{record: filepath.Join(o.dir, id+".jsonl")}
	h, err := e.Header()
	if err != nil {
		return fail(ExitUsage, err)
	}
	sum := sha256.Sum256(sealed)
	h.Version, h.Created, h.Session, h.Scripted = a.sys.Version, a.now(), session, o.rehearsal
	for key, v := range map[string]string{"candidate": id, "setting": string(setting), "commitment": commitment, "sealed_sha256": hex.EncodeToString(sum[:]),
		"minutes": strconv.Itoa(e.Paper.Minutes), "extra_minutes": strconv.Itoa(extra), "instrument": o.instrument, "calibration": o.calibration,
		"keep_until": a.sys.Now().AddDate(0, 0, o.keepDays).UTC().Format(time.DateOnly)} {
		if v != "" {
			h.Fields[key] = v
		}
	}
	// The sealed part first: broken off in between, nobody has a record to which it is lacking.
	if _, err := os.Lstat(f.record); err == nil {
		return a.recordError(&journal.ExistsError{Path: f.record})
	}
	if _, err := os.Lstat(f.sealed()); err == nil {
		return usagef("a preparing that was broken off left it: if its record is nowhere else, remove it and prepare again", "%s exists, and no record beside it", f.sealed())
	}
	if err := writeNew(f.sealed(), sealed); err != nil {
		return err
	}
	j, err := journal.Create(f.record, h)
	if err != nil {
		_ = os.Remove(f.sealed()) // made just now, and it belongs to nothing
		return a.recordError(err)
	}
	if err := j.Close(); err != nil {
		return fail(ExitUsage, err)
	}
	if a.opt.json {
		return json.NewEncoder(a.jsonOut()).Encode(map[string]any{"candidate": id, "record": f.record, "sealed": f.sealed(), "commitment": commitment,
			"minutes": e.Paper.Minutes, "extra_minutes": extra})
	}
	fmt.Fprintf(a.out(), "%s: %s, %d min, sealed in %s\n", id, f.record, e.Paper.Minutes+extra, f.sealed())
	return nil
}

func (a *app) keyCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "key",
		Short: "make a signing key for an assessor (ssh-keygen -t ed25519 makes one too)",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if o.out == "" {
				return usagef("--out FILE; the public part goes to FILE.pub", "a file for the key is needed")
			}
			pass, err := a.newPassphrase(o, "Assessor: a passphrase for the signing key")
			if err != nil {
				return err
			}
			private, public, err := seal.NewSigningKey("assessor", pass)
			if err != nil {
				return fail(ExitUsage, err)
			}
			if err := writeNew(o.out, private); err != nil {
				return err
			}
			return writeNew(o.out+".pub", []byte(public))
		},
	}
}

func (a *app) revealCmd(o *assessOptions) *cobra.Command {
	return &cobra.Command{
		Use:   "reveal RECORD",
		Short: "write draw and reference answers of a closed record in clear, for marking again",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			r, err := a.openRecord(args[0])
			if err != nil {
				return err
			}
			if !r.closed() {
				return fail(ExitNo, errors.New("the record is still open, and nothing of the draw is written in clear before it is closed"))
			}
			k, err := a.openKey(o, r.files, r.header)
			if err != nil {
				return err
			}
			text, err := k.Clear()
			if err != nil {
				return fail(ExitUsage, err)
			}
			return writeNew(r.clear(), text)
		},
	}
}
