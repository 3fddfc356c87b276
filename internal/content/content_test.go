package content

import (
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the want.txt files")

const badDir = "../../testdata/content/bad"

// readSample reads the small made-up schema that the bad files are written against.
func readSample(r *Reader) {
	m := r.Root().Map("sample", "title", "count", "limit", "spare", "shape", "readings", "notes", "table", "board")
	m.Name("title")
	m.OptInt("count", 0)
	m.OptDecimal("limit", 0)
	m.OptBool("spare", false)
	m.OptOneOf("shape", "", "ring", "radial", "lighting")
	for _, v := range m.OptList("readings") {
		if raw := v.Raw(); strings.HasPrefix(raw, "x") {
			v.Errorf("type the number on the display", "%q is not a reading", raw)
		}
	}
	m.OptStrs("notes")
	table := m.OptMap("table", AnyKey)
	for _, k := range table.Keys() {
		table.Name(k)
	}
	board := m.OptMap("board", "maker", "ways")
	if board.Exists() {
		board.Int("ways")
	}
}

// TestBadFiles compares the whole text of every complaint: place, source line, caret and hint are what an author works
// from.
func TestBadFiles(t *testing.T) {
	cases, err := os.ReadDir(badDir)
	if err != nil || len(cases) == 0 {
		t.Fatalf("no cases in %s: %v", badDir, err)
	}
	for _, c := range cases {
		t.Run(c.Name(), func(t *testing.T) {
			dir := filepath.Join(badDir, c.Name())
			data, err := os.ReadFile(filepath.Join(dir, "in.yaml"))
			if err != nil {
				t.Fatal(err)
			}
			r := NewReader("in.yaml", data)
			readSample(r)
			if r.Err() == nil {
				t.Fatal("the file was accepted")
			}
			got := r.Err().Error() + "\n"
			wantFile := filepath.Join(dir, "want.txt")
			if *update {
				if err := os.WriteFile(wantFile, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(wantFile)
			if err != nil {
				t.Fatal(err)
			}
			if got != strings.ReplaceAll(string(want), "\r\n", "\n") {
				t.Errorf("got:\n%s\nwant:\n%s", got, want)
			}
		})
	}
}

func TestGoodValues(t *testing.T) {
	r := NewReader("good.yaml", []byte("\uFEFF"+`title: Training bay   # a comment
raw: [0.30, "010", 010, '>299', 1e3, 2026-03-02, yes]
count: -7
limit: 0.35
yes: true
text: |
  two
  lines
date: 2026-03-02
empty: []
table: {B32: 1.37, "5": five}
`))
	m := r.Root().Map("sample", "title", "raw", "count", "limit", "yes", "text", "date", "empty", "table", "absent")
	var raws []string
	for _, v := range m.List("raw") {
		raws = append(raws, v.Raw())
	}
	if got, want := strings.Join(raws, " "), "0.30 010 010 >299 1e3 2026-03-02 yes"; got != want {
		t.Errorf("raw texts %q, want %q", got, want)
	}
	if m.Name("title") != "Training bay" || m.Int("count") != -7 || m.Decimal("limit") != 0.35 || !m.Bool("yes") ||
		m.Str("text") != "two\nlines\n" || m.Str("date") != "2026-03-02" || len(m.List("empty")) != 0 {
		t.Error("a value was read wrong")
	}
	if m.OptStr("absent", "def") != "def" || m.Has("absent") || m.OptMap("absent").Exists() {
		t.Error("an absent key was found")
	}
	if got := strings.Join(m.Map("table", AnyKey).Keys(), " "); got != "B32 5" {
		t.Errorf("keys %q", got)
	}
	if _, line, col := m.Value("limit").Pos(); line != 4 || col != 8 {
		t.Errorf("limit at %d:%d, want 4:8", line, col)
	}
	if err := r.Err(); err != nil {
		t.Errorf("unexpected complaint: %v", err)
	}
}

func TestLargeAndDeep(t *testing.T) {
	r := NewReader("large.yaml", make([]byte, MaxSize+1))
	readSample(r)
	if err := r.Err(); err == nil || !strings.Contains(err.Error(), "1048577 bytes") {
		t.Errorf("large file: %v", err)
	}
	deep := strings.Repeat("[", MaxDepth+1) + strings.Repeat("]", MaxDepth+1)
	r = NewReader("deep.yaml", []byte("title: x\nnotes: "+deep))
	if err := r.Err(); err == nil || !strings.Contains(err.Error(), "nested more than 40 deep") {
		t.Errorf("deep file: %v", err)
	}
	r = NewReader("nulls.yaml", []byte(strings.Repeat("-\n", 10000)))
	var all Errors
	if !errors.As(r.Err(), &all) || len(all) != maxErrors+1 || !strings.Contains(all[maxErrors].Message, "9900 more") {
		t.Errorf("10000 faults gave %d complaints", len(all))
	}
}

func FuzzReader(f *testing.F) {
	cases, _ := filepath.Glob(badDir + "/*/in.yaml")
	for _, name := range cases {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r := NewReader("f", data)
		readSample(r)
		err := r.Err()
		if err == nil {
			if _, ok := r.Root().Plain().(map[string]any); !ok {
				t.Fatal("accepted a file that is not a map")
			}
			return
		}
		for _, e := range err.(Errors) {
			if e.Line > len(r.report.lines) || e.Line > 0 && (e.Col < 1 || e.Col > len([]rune(r.line(e.Line)))+1) {
				t.Fatalf("place %d:%d is outside the file: %s", e.Line, e.Col, e.Message)
			}
			if strings.ContainsAny(e.Message, "\x00\x1b\n") {
				t.Fatalf("message not printable: %q", e.Message)
			}
		}
	})
}
