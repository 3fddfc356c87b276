package lint

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"wanderlead/internal/assess/paper"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/exercise"
	"wanderlead/internal/explain"
	"wanderlead/internal/mistakes"
	"wanderlead/internal/prompt"
	"wanderlead/internal/rig"
	"wanderlead/internal/screen"
	"wanderlead/internal/sequence"
	"wanderlead/internal/words"
)

// Exit codes of the command.
const (
	ExitDone  = 0 // nothing to complain about
	ExitNo    = 1 // problems
	ExitUsage = 2 // unknown names, files that cannot be read
)

// Request is what the command was asked for.
type Request struct {
	Names    []string // names of sequences, rigs, editions, or files; none: everything there is
	Rig      string   // the only rig to check sequences on; empty: every rig there is, and an empty one
	Incoming string   // "measured", "declared"; empty: each that sequence and rig allow
	Edition  string   // empty: the default
	JSON     bool
	Language string // also whether this language lacks anything that English has; empty: not
	Options
}

// Report is what a check found.
type Report struct {
	Problems Problems
	Checked  []Checked
}

// Checked is one thing that was checked; Rig and what follows are for sequences.
type Checked struct {
	Kind         string  `json:"kind"` // "sequence", "part", "rig", "edition", "paper", "mistakes", "glossary", "exercises", "answers", "words", "translations", "safety texts"
	Name         string  `json:"name"`
	Rig          string  `json:"rig,omitempty"`
	Incoming     string  `json:"incoming,omitempty"`
	Answers      int     `json:"answers,omitempty"`       // answers of a drive in which all are right
	FirstReading int     `json:"first_reading,omitempty"` // answers before the first reading; -1: no reading
	Walk         *Walked `json:"walk,omitempty"`
}

// Run checks what was asked for. The error is one of usage: a name that there is not, a file that cannot be read.
func Run(lib *content.Library, q Request) (*Report, error) {
	c := &check{lib: lib, q: q, rep: &Report{}}
	var err error
	if c.pack, err = edition.Load(lib, q.Edition); err != nil {
		if !c.complain("edition", err) {
			return nil, err
		}
		return c.done(), nil
	}
	if q.Incoming != "" && q.Incoming != string(sequence.Measured) && q.Incoming != string(sequence.Declared) {
		return nil, fmt.Errorf("%q is not a way to know the origin\nhint: measured or declared", q.Incoming)
	}
	if err := c.rigs(); err != nil {
		return nil, err
	}
	if len(q.Names) == 0 {
		err = c.everything()
	}
	for _, name := range q.Names {
		if err = c.named(name); err != nil {
			break
		}
	}
	if err != nil {
		return nil, err
	}
	return c.done(), nil
}

// check is one run of the command.
type check struct {
	lib     *content.Library
	q       Request
	pack    *edition.Pack
	rigList []*rig.Rig
	linters []*linter
	reached map[place]bool
	places  []content.Value // of the sequences checked, for what is never reached
	rep     *Report
}

// rigs loads the rigs that sequences are checked on. Their own complaints come once.
func (c *check) rigs() error {
	names := []string{c.q.Rig}
	if c.q.Rig == "" {
		var err error
		if names, err = rig.Names(c.lib); err != nil {
			return err
		}
	}
	for _, n := range names {
		r, err := rig.Load(c.lib, n)
		if err != nil {
			if !c.complain("rig", err) {
				return err
			}
			continue
		}
		c.rigList = append(c.rigList, r)
	}
	return nil
}

// complain takes over complaints about a file; it reports false for an error that is not about what a file holds.
func (c *check) complain(rule string, err error) bool {
	var es content.Errors
	if !errors.As(err, &es) {
		return false
	}
	for _, e := range es {
		c.rep.Problems = append(c.rep.Problems, Problem{Error: e, Rule: rule})
	}
	return true
}

func (c *check) everything() error {
	for _, r := range c.rigList {
		c.checked("rig", r.ID)
	}
	names, err := sequence.Names(c.lib)
	if err != nil {
		return err
	}
	for _, n := range names {
		if err := c.sequence(n); err != nil {
			return err
		}
	}
	editions, err := edition.Names(c.lib)
	if err != nil {
		return err
	}
	for _, n := range editions {
		if err := c.edition(n); err != nil {
			return err
		}
	}
	if err := c.papers(); err != nil {
		return err
	}
	if err := c.guides(); err != nil {
		return err
	}
	return c.languages()
}

func (c *check) languages() error {
	folders, err := c.lib.Folders("words")
	if err != nil {
		return err
	}
	for _, f := range folders {
		if _, err := words.Load(c.lib, path.Base(f)); err != nil && !c.complain("words", err) {
			return err
		}
		c.checked("words", path.Base(f))
	}
	if err := c.translations(); err != nil {
		return err
	}
	safetyFolders, err := c.lib.Folders("safety")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	languages := []string{screen.English}
	for _, f := range safetyFolders {
		languages = append(languages, path.Base(f))
	}
	slices.Sort(languages)
	for _, l := range slices.Compact(languages) {
		if _, err := screen.LoadTexts(c.lib, l); err != nil && !c.complain("safety", err) {
			return err
		}
		c.checked("safety texts", l)
	}
	return nil
}

// translations looks at how the texts inside other content are translated: of every language whether its files are in
// order, of the one that was asked for whether anything is missing.
func (c *check) translations() error {
	folders, err := c.lib.Folders(content.TranslationFolder)
	if err != nil {
		return err
	}
	for _, f := range folders {
		if err := c.lib.Written().Speak(path.Base(f)); err != nil && !c.complain("translation", err) {
			return err
		}
		c.checked("translations", path.Base(f))
	}
	if c.q.Language == "" || c.q.Language == content.English {
		return nil
	}
	lib := c.lib.Written()
	if err := lib.Speak(c.q.Language); err != nil {
		var es content.Errors
		if errors.As(err, &es) { // complained of above
			return nil
		}
		return err
	}
	es, err := Language(lib)
	if len(es) > 0 {
		c.complain("translation", es)
	}
	return err
}

func (c *check) checked(kind, name string) {
	c.rep.Checked = append(c.rep.Checked, Checked{Kind: kind, Name: name})
}

// named checks one thing by its name, or a file.
func (c *check) named(name string) error {
	if strings.ContainsAny(name, "/\\") || strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".yml") {
		return c.file(name)
	}
	seqs, err := sequence.Names(c.lib)
	if err != nil {
		return err
	}
	rigs, err := rig.Names(c.lib)
	if err != nil {
		return err
	}
	editions, err := edition.Names(c.lib)
	if err != nil {
		return err
	}
	papers, err := paper.Names(c.lib)
	if err != nil {
		return err
	}
	switch {
	case slices.Contains(papers, name):
		return c.paper(name)
	case slices.Contains(seqs, name):
		return c.sequence(name)
	case slices.Contains(rigs, name):
		if _, err := rig.Load(c.lib, name); err != nil && !c.complain("rig", err) {
			return err
		}
		c.checked("rig", name)
		return nil
	case slices.Contains(editions, name):
		return c.edition(name)
	}
	return fmt.Errorf("nothing is named %q\nhint: %s", name, content.DidYouMean(name, slices.Concat(seqs, rigs, editions, papers)))
}

func (c *check) edition(name string) error {
	if _, err := edition.Load(c.lib, name); err != nil && !c.complain("edition", err) {
		return err
	}
	c.checked("edition", name)
	return nil
}

// file checks a file by what it holds: its first keys tell.
func (c *check) file(name string) error {
	data, err := content.ReadFile(name)
	if err != nil {
		return err
	}
	keys := content.NewReader(name, data).Root()
	has := func(k string) bool { return keys.Kind() == content.MapKind && keys.Field(k).Kind() != content.Missing }
	switch {
	case has("answers"):
		_, err := prompt.ParseScript(name, data)
		if err != nil && !c.complain("answers", err) {
			return err
		}
		c.checked("answers", name)
	case has("paper"):
		if _, err := paper.Parse(name, data); err != nil && !c.complain("paper", err) {
			return err
		}
		c.checked("paper", name)
	case has("supply") || has("circuits"):
		if _, err := rig.Parse(name, data); err != nil && !c.complain("rig", err) {
			return err
		}
		c.checked("rig", name)
	case has("mistakes"):
		_, err := mistakes.Parse(name, data)
		return c.guide("mistakes", name, err)
	case has("kind") || has("entries"):
		return c.guide("glossary", name, explain.Parse(name, data))
	case has("exercises"):
		_, err := exercise.Parse(name, data)
		return c.guide("exercises", name, err)
	case has("edition") || has("words") || has("safety-texts") || has("safety-cautions"):
		return fmt.Errorf("%s: editions, words and safety texts are checked where they are used\nhint: put the file into a content folder and run lint --content FOLDER", name)
	default:
		s, err := sequence.Parse(name, data)
		if err != nil {
			if !c.complain("sequence", err) {
				return err
			}
			return nil
		}
		return c.checkSequence(s)
	}
	return nil
}

func (c *check) done() *Report {
	all := &linter{problems: c.rep.Problems}
	for _, l := range c.linters {
		all.problems = append(all.problems, l.problems...)
	}
	c.unreached(all)
	c.rep.Problems = all.sorted()
	return c.rep
}

// Command runs a check and prints it: problems on out, errors of usage on errOut. It returns the exit code.
func Command(lib *content.Library, q Request, out, errOut io.Writer) int {
	rep, err := Run(lib, q)
	if err != nil {
		fmt.Fprintln(errOut, "wanderlead: "+err.Error())
		return ExitUsage
	}
	if q.JSON {
		err = rep.JSON(out)
	} else {
		err = rep.Text(out)
	}
	if err != nil {
		fmt.Fprintln(errOut, "wanderlead: "+err.Error())
		return ExitUsage
	}
	if len(rep.Problems.Bad()) > 0 {
		return ExitNo
	}
	return ExitDone
}
