package app

import (
	"fmt"

	"github.com/spf13/cobra"

	"wanderlead/internal/coach"
	"wanderlead/internal/exercise"
	"wanderlead/internal/handout"
	"wanderlead/internal/pdf"
	"wanderlead/internal/record"
	"wanderlead/internal/report"
)

// pdfFlag adds --pdf to a command that can put what it shows on paper.
func pdfFlag(cmd *cobra.Command, file *string) {
	cmd.Flags().StringVar(file, "pdf", "", "write it to this new file as a PDF instead")
	_ = cmd.MarkFlagFilename("pdf", "pdf")
}

// writePDF lays a sheet out and writes it to a new file. A file that is there is never
// written over: it may be somebody's evidence.
func (a *app) writePDF(s pdf.Sheet, file string) error {
	data, err := pdf.Render(s)
	if err != nil {
		return fail(ExitUsage, err)
	}
	return writeNew(file, data)
}

// sheetOptions are what the sheets before a session can be asked for.
type sheetOptions struct {
	out  string
	any  bool
	rows int
}

// mostRows is how many empty rows a schedule for any board is given at most.
const mostRows = 200

func (a *app) sheetCmd() *cobra.Command {
	o := &sheetOptions{}
	cmd := &cobra.Command{
		Use:   "sheet",
		Short: "print what is needed before a session: a blank schedule, a trainer's crib sheet",
		Long: `sheet writes PDF files for the practice bay. The schedule of a session that was
worked is written by report RECORD --pdf FILE.`,
		Example: `  wanderlead sheet blank --rig training-bay --out blank.pdf
  wanderlead sheet crib --rig training-bay --out crib.pdf`,
	}
	blank := &cobra.Command{
		Use:   "blank",
		Short: "a schedule of test results to be filled in by hand, for a rig or for any board",
		Example: `  wanderlead sheet blank --rig training-bay --out blank.pdf
  wanderlead sheet blank --any --rows 16 --out blank.pdf`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.sheetBlank(o) },
	}
	blank.Flags().BoolVar(&o.any, "any", false, "for any board: nothing filled in")
	blank.Flags().IntVar(&o.rows, "rows", 12, "rows of a schedule for any board")
	crib := &cobra.Command{
		Use:     "crib",
		Short:   "a trainer's crib sheet of a rig: how it is isolated, what it read, faults with how to plant and clear them",
		Example: `  wanderlead sheet crib --rig training-bay --out crib.pdf`,
		Args:    cobra.NoArgs,
		RunE:    func(*cobra.Command, []string) error { return a.sheetCrib(o) },
	}
	for _, c := range []*cobra.Command{blank, crib} {
		c.Flags().StringVar(&o.out, "out", "", "new file to write the PDF to")
		_ = c.MarkFlagFilename("out", "pdf")
	}
	cmd.AddCommand(blank, crib)
	return group(cmd)
}

func (a *app) sheetBlank(o *sheetOptions) error {
	if o.out == "" {
		return usagef("--out blank.pdf", "the sheet needs a file to be written to")
	}
	if !o.any {
		s, _, text, err := a.unbegun()
		if err != nil {
			return err
		}
		return a.writePDF(handout.Blank(s, text), o.out)
	}
	if o.rows < 1 || o.rows > mostRows {
		return usagef(fmt.Sprintf("a number from 1 to %d", mostRows), "%d rows asked for", o.rows)
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return err
	}
	return a.writePDF(handout.Empty(cat.Text, o.rows), o.out)
}

func (a *app) sheetCrib(o *sheetOptions) error {
	if o.out == "" {
		return usagef("--out crib.pdf", "the sheet needs a file to be written to")
	}
	s, kit, text, err := a.unbegun()
	if err != nil {
		return err
	}
	return a.writePDF(handout.Crib(kit.Rig, s, text), o.out)
}

// unbegun is the schedule of a session on the rig asked for that has not begun.
func (a *app) unbegun() (report.Schedule, *record.Kit, handout.Text, error) {
	lib, err := a.library()
	if err != nil {
		return report.Schedule{}, nil, nil, err
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return report.Schedule{}, nil, nil, err
	}
	kit, err := record.Gather(lib, or(a.opt.sequence, defaultSequence), or(a.opt.rig, defaultRig), a.opt.edition, a.opt.incoming)
	if err != nil {
		return report.Schedule{}, nil, nil, a.contentError(err)
	}
	st := coach.New(coach.Setup{Program: kit.Program, Pack: kit.Pack})
	return report.Build(st, report.Meta{Words: cat, Edition: kit.Pack.Name}), kit, cat.Text, nil
}

// progressPDF puts what is remembered of a learner on paper.
func (a *app) progressPDF(file string) error {
	m, err := a.memory()
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
	_, g, err := a.guide()
	if err != nil {
		return err
	}
	title := func(id string) string {
		if e, ok := g.Find(id); ok {
			return e.Title
		}
		return id
	}
	return a.writePDF(handout.Progress(m, m.Order(exercise.Practisable, a.today()), a.today(), title, cat.Text), file)
}
