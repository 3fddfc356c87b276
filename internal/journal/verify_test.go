package journal

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// verifyBytes verifies a file with the given content and checks that neither
// the file nor the folder changed.
func verifyBytes(t *testing.T, data []byte) Report {
	t.Helper()
	dir := t.TempDir()
	path := filepath.Join(dir, "s.jsonl")
	must(t, os.WriteFile(path, data, 0o600))
	before, err := os.Stat(path)
	must(t, err)
	report, err := Verify(path)
	must(t, err)
	after, err := os.Stat(path)
	must(t, err)
	now, err := os.ReadFile(path)
	must(t, err)
	if !bytes.Equal(now, data) || !after.ModTime().Equal(before.ModTime()) || names(t, dir) != "s.jsonl" {
		t.Errorf("verify changed the file or the folder: %q", names(t, dir))
	}
	return report
}

func TestVerify(t *testing.T) {
	closed, open := sampleRecord(t, 3, true), sampleRecord(t, 3, false)
	flipped := bytes.Clone(closed)
	flipped[len(flipped)-40] ^= 4 // in the last line, which no later line vouches for
	head := hash(hashOf(closed[bytes.LastIndexByte(closed[:len(closed)-1], '\n')+1:])).String()
	tests := []struct {
		name  string
		data  []byte
		holds bool
		lines int
		text  []string // among the report's lines
		not   string
	}{
		{"closed", closed, true, 8, []string{"8 lines hold", "closed: complete.", "hash of the last line: " + head, "accidents, not forgers", "scripted: the answers came from a file"}, "not closed"},
		{"open", open, true, 7, []string{"7 lines hold", "not closed: it cannot show that no whole line is missing"}, "closed: complete"},
		{"cut at a line", open[:bytes.LastIndexByte(open[:len(open)-1], '\n')+1], true, 6, []string{"no verdict yet"}, "damaged"},
		{"torn", open[:len(open)-3], false, 6, []string{"of an unfinished line follow line 6"}, "damaged"},
		{"last line feed lost", closed[:len(closed)-1], false, 7, []string{"not closed", "unfinished line"}, "damaged"},
		{"last line changed", flipped, false, 7, []string{"damaged at line 8", "not closed", "accidents, not forgers"}, "closed: complete"},
		{"empty", nil, false, 0, []string{"damaged at line 1 (byte 0): no whole line at all"}, "hash of the last line"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := verifyBytes(t, tt.data)
			text := strings.Join(r.Text(), "\n")
			if r.Holds() != tt.holds || r.Lines != tt.lines {
				t.Errorf("holds %v with %d lines, want %v with %d", r.Holds(), r.Lines, tt.holds, tt.lines)
			}
			for _, want := range tt.text {
				if !strings.Contains(text, want) {
					t.Errorf("%q is not said in:\n%s", want, text)
				}
			}
			if strings.Contains(text, "\n"+tt.not) {
				t.Errorf("%q is said in:\n%s", tt.not, text)
			}
		})
	}
}

func TestVerifyNamesTheSession(t *testing.T) {
	data, err := os.ReadFile("testdata/small.jsonl")
	must(t, err)
	r := verifyBytes(t, data)
	if r.Session != "s-1" || r.Edition != "bs7671-2018-a4" || r.Version != "0.1" || r.Mode != "practise" || !r.Scripted ||
		r.Said != 2 || r.Gave != 2 || !r.Closed || r.How != "complete" || r.Unanswered != true {
		t.Errorf("report %+v", r)
	}
	if !slices.Equal(r.ClockBack, []int{2}) {
		t.Errorf("clock went back before %v, want event 2", r.ClockBack)
	}
}

// What may look odd in a record that chains is pointed out.
func TestVerifyPointsOut(t *testing.T) {
	header := sampleHeader()
	bare := Line{Kind: KindSaid, Said: &Said{Seq: 1, Event: Event{Time: "t", Type: TypeAnswer, At: "supervisor/code", Raw: "4417"}}}
	r := verifyBytes(t, chain([]Line{{Kind: KindHeader, Header: &header}, bare}))
	if !slices.Equal(r.BareSecrets, []int{1}) || !strings.Contains(strings.Join(r.Text(), "\n"), "event 1 holds a code in clear") {
		t.Errorf("a code in clear was not pointed out: %v", r.Text())
	}
	if strings.Contains(strings.Join(r.Text(), "\n"), "4417") {
		t.Error("the report repeats the code")
	}
}
