package app

import (
	"errors"

	"github.com/spf13/cobra"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/handout"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
	"wanderlead/internal/report"
	"wanderlead/internal/words"
)

// Formats of a report.
const (
	formatText = "text"
	formatCSV  = "csv"
	formatJSON = "json"
	formatPDF  = "pdf"
)

func (a *app) reportCmd() *cobra.Command {
	var csv bool
	var pdfFile string
	cmd := &cobra.Command{
		Use:   "report FILE",
		Short: "schedule of test results from a record",
		Example: `  wanderlead report record.jsonl
  wanderlead report record.jsonl --csv > schedule.csv
  wanderlead report record.jsonl --pdf schedule.pdf`,
		Args: a.oneRecord,
		RunE: func(_ *cobra.Command, args []string) error {
			lines, err := journal.ReadFile(args[0])
			var torn *journal.Torn
			var damage *journal.Damage
			switch {
			case errors.As(err, &torn):
				// An unfinished last line says nothing yet; what stands before it does.
			case errors.As(err, &damage):
				return fail(ExitNo, err, "wanderlead verify "+args[0]+" says what holds")
			case err != nil:
				return a.recordError(err)
			}
			format := formatText
			if csv {
				format = formatCSV
			}
			if a.opt.json {
				format = formatJSON
			}
			if pdfFile != "" {
				if csv || a.opt.json {
					return usagef("one of --pdf, --csv, --json at a time", "--pdf goes with no other form")
				}
				format = formatPDF
			}
			return a.writeReport(lines, format, pdfFile)
		},
	}
	cmd.Flags().BoolVar(&csv, "csv", false, "comma-separated values, one row a circuit")
	pdfFlag(cmd, &pdfFile)
	return cmd
}

// writeReport replays a record and writes the schedule it comes to; a PDF goes to the
// file named.
func (a *app) writeReport(lines []journal.Line, format, file string) error {
	if len(lines) > 0 {
		a.speakOf(lines[0].Header)
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	cat, err := a.catalogue(lib)
	if err != nil {
		return err
	}
	if len(lines) > 0 && lines[0].Header != nil && lines[0].Header.Mode == record.ModeStudy {
		return a.writeStudyReport(lines, lib, cat, format, file)
	}
	var meta report.Meta
	rep, err := record.ReplayWith(lines, func(h *journal.Header) { meta = report.MetaOf(h, cat) },
		func(before, after *coach.State, ev coach.Event) { meta.Note(before, after, ev) }, lib)
	if err != nil {
		return fail(ExitUsage, err)
	}
	if rep.Closed != nil {
		meta.Closed = rep.Closed.Time
	}
	meta.Fields = named(meta.Fields, rep.State)
	return a.writeSchedule(rep.State, meta, cat, format, file)
}

// writeStudyReport is the schedule of a session on a computed rig.
func (a *app) writeStudyReport(lines []journal.Line, lib *content.Library, cat *words.Catalogue, format, file string) error {
	rep, err := record.ReplayStudy(lines, lib)
	if err != nil {
		return fail(ExitUsage, err)
	}
	meta := report.MetaOf(rep.Header, cat)
	if rep.Closed != nil {
		meta.Closed = rep.Closed.Time
	}
	return a.writeSchedule(rep.State.Sheet().State(), meta, cat, format, file)
}

// writeSchedule writes a session's schedule in the format asked for.
func (a *app) writeSchedule(st *coach.State, meta report.Meta, cat *words.Catalogue, format, file string) error {
	s := report.Build(st, meta)
	var out []byte
	var err error
	switch format {
	case formatPDF:
		return a.writePDF(handout.Schedule(s, st.Program().Rig, st.Pack(), cat.Text), file)
	case formatJSON:
		out, err = s.JSON()
	case formatCSV:
		out, err = s.CSV()
	default:
		out = []byte(s.Text(a.width()))
	}
	if err != nil {
		return fail(ExitUsage, err)
	}
	if len(out) > 0 && out[len(out)-1] != '\n' {
		out = append(out, '\n')
	}
	if _, err := a.sys.Out.Write(out); err != nil {
		return fail(ExitUsage, err)
	}
	return nil
}

// named adds the names and numbers that were noted in the session to those of the
// record's header.
func named(fields map[string]string, st *coach.State) map[string]string {
	out := map[string]string{}
	for k, v := range fields {
		out[k] = v
	}
	for _, r := range st.Recorded() {
		switch r.ID {
		case "tested-by":
			out[report.FieldTestedBy] = r.Raw
		case "instrument/number":
			out["instrument"] = r.Raw
		case "instrument/calibration":
			out["instrument-calibration"] = r.Raw
		case "instrument/label":
			out["instrument"], out["instrument-calibration"] = coach.Label(r.Raw)
		}
	}
	return out
}

func (a *app) verifyCmd() *cobra.Command {
	return &cobra.Command{
		Use:   "verify FILE",
		Short: "check that a record is whole and replays to what it says",
		Args:  a.oneRecord,
		RunE:  func(_ *cobra.Command, args []string) error { return a.verify(args[0]) },
	}
}
