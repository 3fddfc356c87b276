package report

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/sequence"
)

// A spreadsheet program (LibreOffice Calc) opens the CSV as it stands: no cell became a
// formula, signs and Ω are intact, and there are as many columns as in the file.
func TestSpreadsheetOpensTheCSV(t *testing.T) {
	if os.Getenv("WANDERLEAD_SOFFICE") == "" {
		t.Skip("slow: set WANDERLEAD_SOFFICE=1 where soffice is installed (package libreoffice-calc)")
	}
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Fatal("WANDERLEAD_SOFFICE is set and there is no soffice")
	}
	m := loftMeta(t)
	m.Fields[FieldTestedBy] = "=1+41"
	st := loft(t, sequence.Measured, "bs7671-2018-a4", &m, append(story, say{at: "ring-1/insulation/L-N", raw: ">299"})...)
	s := Build(note(t, st, &m, coach.Event{Type: coach.Remark, Raw: "x"}), m)
	s.Circuits[0].Description = `=HYPERLINK("x";"y")`
	s.Circuits[1].Description = "+41"
	s.Circuits[2].Description = "@SUM(1+41)"
	s.Circuits[0].Remarks = "0.40 Ω, half at ½ × 30 mA"
	data, err := s.CSV()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "schedule.csv")
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	// 44 is the comma, 34 the quote, 76 UTF-8: the program's dialogue proposes that from
	// the byte order mark, its command line has to be told.
	cmd := exec.Command(office, "-env:UserInstallation=file://"+filepath.ToSlash(dir)+"/profile", "--headless", "--infilter=CSV:44,34,76,1", "--convert-to", "fods", "--outdir", dir, file)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	flat, err := os.ReadFile(filepath.Join(dir, "schedule.fods"))
	if err != nil {
		t.Fatal(err)
	}
	text := string(flat)
	if strings.Contains(text, "table:formula") {
		t.Error("a cell became a formula")
	}
	for _, want := range []string{"&gt;299", "0.40 Ω, half at ½ × 30 mA", "=HYPERLINK(", "=1+41", "+41", "@SUM(1+41)", "<text:p>ring_r1 (ohm)</text:p>", "<text:p>notice</text:p>"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q did not arrive", want)
		}
	}
	if strings.Contains(text, "<text:p>42</text:p>") {
		t.Error("a sum was worked out")
	}
}
