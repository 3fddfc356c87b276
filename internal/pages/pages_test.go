package pages_test

import (
	"encoding/csv"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/draw"
	"wanderlead/internal/pages"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

var update = flag.Bool("update", false, "write the page on numbers anew")

func library(t testing.TB, overlay string) (*content.Library, pages.Say) {
	t.Helper()
	lib, err := content.NewLibrary(sequences.FS, overlay)
	if err != nil {
		t.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		t.Fatal(err)
	}
	return lib, func(id string, params map[string]string) string {
		s, err := cat.Fill(id, params)
		if err != nil {
			t.Error(err)
		}
		return s
	}
}

func page(t testing.TB, name, overlay string) string {
	t.Helper()
	lib, say := library(t, overlay)
	s, err := pages.Page(lib, "en", name, say)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The page on numbers in the repository is the one that the files of numbers give.
func TestNumbersAreThoseOfTheFiles(t *testing.T) {
	const file = "../../sequences/pages/en/numbers.md"
	got := page(t, pages.Numbers, "")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Error("the page on numbers is out of date; run with -update")
	}
}

// Every row says what it rests on, and figures of the published tables (sources stand in
// their files) are found on the page with the status that the pack gives them.
func TestNumbersAgainstPublishedTables(t *testing.T) {
	text := page(t, pages.Numbers, "")
	rows := 0
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "| ") || strings.HasPrefix(line, "| what") {
			continue
		}
		rows++
		cells := strings.Split(strings.Trim(line, "|\n "), "|")
		if len(cells) != 4 || strings.TrimSpace(cells[1]) == "" || strings.TrimSpace(cells[3]) == "" {
			t.Errorf("a row without value or status: %s", line)
			continue
		}
		if status := strings.TrimSpace(cells[3]); strings.TrimSpace(cells[2]) == "" && status != "common practice, no source" {
			t.Errorf("%s, and no source: %s", status, line)
		}
	}
	if rows < 150 {
		t.Fatalf("%d rows", rows)
	}
	f, err := os.Open("../../testdata/published/conductor_resistance.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment, r.FieldsPerRecord = '#', -1
	published, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, row := range published {
		if len(row) > 1 && strings.Contains(text, "mm2 "+row[0]+", copper "+row[1]+",") {
			found++
		}
	}
	if found < 8 { // IEC 60228 Table 2, the sizes that the pack holds
		t.Errorf("%d of the published resistances are on the page", found)
	}
}

// Numbers of one's own folder are on its page.
func TestNumbersOfAnOverlay(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "editions"), 0o755); err != nil {
		t.Fatal(err)
	}
	mine := "edition: bay-2027\ntitle: \"Our bay\"\nbase: bs7671-2018-a2\nvalues:\n  ze-fail: {value: 0.25, unit: \"Ω\", source: \"bay rule 7\", status: \"common practice, no source\"}\n"
	if err := os.WriteFile(filepath.Join(dir, "editions", "bay-2027.yaml"), []byte(mine), 0o600); err != nil {
		t.Fatal(err)
	}
	if text := page(t, pages.Numbers, dir); !strings.Contains(text, "| ze-fail | 0.25 Ω | bay rule 7 | common practice, no source |") {
		t.Error("the overlay's number is not on the page")
	}
}

// On a terminal nothing is wider than asked for but what is to be typed as it stands, and
// no word is lost.
func TestText(t *testing.T) {
	for _, name := range pages.Names() {
		md := page(t, name, "")
		if pages.Title(md) == "" {
			t.Errorf("%s has no title", name)
		}
		for _, width := range []int{40, 60, 80} {
			text := pages.Text(md, width)
			for line := range strings.Lines(text) {
				if line = strings.TrimRight(line, "\n"); draw.Cells(line) > width && strings.Contains(strings.TrimSpace(line), " ") && !strings.HasPrefix(line, "    ") {
					t.Errorf("%s at %d: %q", name, width, line)
				}
				if strings.Contains(line, "**") || strings.Contains(line, "](") || strings.Contains(line, "<!--") {
					t.Errorf("%s: marks are left in %q", name, line)
				}
			}
		}
	}
	got := pages.Text("# A `title`\n\nOne **two** [three](x/y.md)\nfour.\n\n- five six seven eight nine ten eleven twelve\n- thirteen\n\n    $ as it stands\n\n| a | b | c |\n|---|---|---|\n| x | 1 Ω |  |\n| y | 2 | z |\n", 40)
	want := "A title\n\n  One two three four.\n\n  - five six seven eight nine ten eleven\n    twelve\n  - thirteen\n\n    $ as it stands\n\n  - x: 1 Ω\n  - y: 2; z\n"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
