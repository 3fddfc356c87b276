package app

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"wanderlead/internal/assess/mark"
	"wanderlead/internal/pdf"
)

// readPDF gives the text that pdftotext (Poppler) reads from a file.
func (b *bay) readPDF(name string) string {
	b.t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("WANDERLEAD_PDFTOTEXT") != "" {
			b.t.Fatal("WANDERLEAD_PDFTOTEXT is set and there is no pdftotext")
		}
		b.t.Skip("no pdftotext here (package poppler-utils): the PDF is not read back")
	}
	out, err := exec.Command("pdftotext", "-layout", b.path(name), "-").CombinedOutput()
	if err != nil {
		b.t.Fatalf("%v\n%s", err, out)
	}
	return string(out)
}

// An exam that was sat, on paper: the mark sheet has what each mark rests on, the
// candidate's feedback nobody's name; both come out the same again, and nothing is
// written over.
func TestExamOnPaper(t *testing.T) {
	b, d := newBay(t), readDay(t)
	pass := b.write("pass", d.passphrase+"\n")
	b.must("assess", "key", "--out", b.path("assessor"), "--passphrase-file", pass)
	var c dayCandidate
	for _, c = range d.candidates {
		if c.override != nil {
			break
		}
	}
	if c.override == nil {
		t.Fatal("no candidate of the day has an override")
	}
	b.must("assess", "prepare", d.paper, "--candidates", c.id, "--setting", c.setting, "--dir", b.path("day"),
		"--passphrase-file", pass, "--rehearsal", "--seal-work", "6", "--instrument", "BY-07", "--calibration", "2027-01-31")
	b.sitOne("day/"+c.id+".jsonl", c, d, pass)
	record := b.path("day/" + c.id + ".jsonl")
	b.must("assess", "reveal", record, "--passphrase-file", pass)
	o := c.override
	b.must("assess", "override", record, o.Task, string(o.Part), "--to", "1", "--by", "Ruth Pallister", "--reason", o.Reason, "--key", b.path("assessor"), "--passphrase-file", pass)
	var r mark.Result
	if err := json.Unmarshal([]byte(b.must("assess", "mark", record, "--json")), &r); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"one.pdf", "two.pdf"} {
		if out := b.must("assess", "mark", record, "--pdf", b.path(name)); out != "" {
			t.Errorf("%q on standard output", out)
		}
	}
	if !bytes.Equal(b.read("one.pdf"), b.read("two.pdf")) {
		t.Error("the mark sheet differs from time to time")
	}
	if code, _, errs := b.run("assess", "mark", record, "--pdf", b.path("one.pdf")); code != ExitUsage || !strings.Contains(errs, "hint:") {
		t.Errorf("over an existing file: exit %d, %s", code, errs)
	}
	b.must("assess", "mark", record, "--candidate", "--pdf", b.path("feedback.pdf"))
	b.must("progress", "--pdf", b.path("progress.pdf"))

	sheet := strings.Join(strings.Fields(b.readPDF("one.pdf")), "")
	want := []string{c.id, "REHEARSAL", "Ruth", "Pallister", "BY-07"}
	items := 0
	for _, task := range r.Tasks {
		want = append(want, task.Title)
		for _, p := range task.Parts {
			for _, it := range p.Items {
				want, items = append(want, it.ID, it.Given), items+1
			}
		}
	}
	if items < 10 {
		t.Fatalf("%d items were marked", items)
	}
	for _, w := range append(want, o.Reason) {
		for _, word := range strings.Fields(pdf.Clean(w)) {
			if !strings.Contains(sheet, word) {
				t.Errorf("%q is not on the mark sheet", word)
			}
		}
	}
	feedback := b.readPDF("feedback.pdf")
	if strings.Contains(feedback, "Pallister") || !strings.Contains(feedback, c.id) {
		t.Errorf("the feedback:\n%s", feedback)
	}
}

// Every reading in a record's lines is on the schedule that the command makes of it, as
// often as it was typed: of a session that went right, and of one where everything was
// wrong, repeated or corrected. The lines are read here by themselves, not by our reader.
func TestEveryReadingOfTheRecordIsOnPaper(t *testing.T) {
	number := regexp.MustCompile(`^>?[0-9][0-9.]*$`)
	for _, name := range []string{"whole-board", "everything-wrong"} {
		b := newBay(t)
		b.run("practise", "--answers", answers+name+".yaml", "--journal", b.path("r.jsonl"))
		typed, raw := map[string]int{}, ""
		readings := 0
		for _, text := range strings.Split(strings.TrimSpace(string(b.read("r.jsonl"))), "\n") {
			var line struct{ Line, Raw, Verdict string }
			if err := json.Unmarshal([]byte(text), &line); err != nil {
				t.Fatal(err)
			}
			switch {
			case line.Line == "said":
				raw = line.Raw
			case line.Line == "gave" && (line.Verdict == "pass" || line.Verdict == "doubt" || line.Verdict == "fail"):
				for _, word := range strings.Fields(raw) {
					if number.MatchString(word) {
						typed[word]++
						readings++
					}
				}
				raw = "" // of several parts the first line counts for all
			}
		}
		if readings < 60 {
			t.Fatalf("%s: %d readings in the record", name, readings)
		}
		b.must("report", b.path("r.jsonl"), "--pdf", b.path("r.pdf"))
		shown := map[string]int{}
		for _, word := range strings.FieldsFunc(b.readPDF("r.pdf"), func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(";,()", r) }) {
			shown[word]++
		}
		for word, n := range typed {
			if shown[word] < n {
				t.Errorf("%s: %s was typed %d times and stands %d times on the schedule", name, word, n, shown[word])
			}
		}
	}
}
