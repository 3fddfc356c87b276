package e2e

import (
	"bufio"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/edition"
	"wanderlead/internal/judge"
	"wanderlead/internal/record"
	"wanderlead/internal/screen"
	"wanderlead/internal/words"
	"wanderlead/sequences"
)

// BenchmarkStart is the program from its start to the text of its first question: process, content, check, record and
// screen. It should stay under 50 ms.
func BenchmarkStart(b *testing.B) {
	w := newWorld(b)
	for n := 0; b.Loop(); n++ {
		cmd := w.command("practise", "--plain", "--journal", filepath.Join(w.dir, strconv.Itoa(n)+".jsonl"))
		in, err := cmd.StdinPipe()
		if err != nil {
			b.Fatal(err)
		}
		out, err := cmd.StdoutPipe()
		if err != nil {
			b.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			b.Fatal(err)
		}
		for lines := bufio.NewScanner(out); lines.Scan() && !strings.HasPrefix(lines.Text(), "Do: "); {
		}
		b.StopTimer()
		in.Close()
		_, _ = io.Copy(io.Discard, out)
		_ = cmd.Wait()
		if code := cmd.ProcessState.ExitCode(); code != 2 {
			b.Fatalf("exit code %d, want 2: nobody answered", code)
		}
		b.StartTimer()
	}
}

// BenchmarkVerdict is one row of eight readings, from what was typed to the lines of
// feedback and what the record gets. It should stay under 5 ms.
func BenchmarkVerdict(b *testing.B) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		b.Fatal(err)
	}
	cat, err := words.Load(lib, "en")
	if err != nil {
		b.Fatal(err)
	}
	safe, err := screen.LoadTexts(lib, screen.English)
	if err != nil {
		b.Fatal(err)
	}
	s, err := screen.New(screen.Options{Width: 80, Coaching: screen.Full}, cat, safe)
	if err != nil {
		b.Fatal(err)
	}
	p := play(b, "", "whole-board", "training-bay", "")
	if !p.until("ring-1/crossed-line-cpc") {
		b.Fatal("the row is never asked")
	}
	ev := coach.Event{Type: coach.Answer, At: p.due().ID, Raw: p.right()}
	for b.Loop() {
		next, fb, err := p.st.Apply(ev)
		if err != nil || fb.Class != coach.Pass {
			b.Fatal(err, fb.Class)
		}
		record.Given(fb, p.kit.Pack.Name)
		s.Feedback(p.st, next, fb)
	}
}

// BenchmarkQuestion lays out the next question, its drawing included.
func BenchmarkQuestion(b *testing.B) {
	p := play(b, "", "whole-board", "training-bay", "")
	p.until("ring-1/crossed-line-cpc")
	for b.Loop() {
		p.st.Question()
		p.st.Ahead(p.due().Step)
	}
}

// BenchmarkJudge is one reading against one limit, as the command line asks for it.
func BenchmarkJudge(b *testing.B) {
	lib, err := content.NewLibrary(sequences.FS, "")
	if err != nil {
		b.Fatal(err)
	}
	pack, err := edition.Load(lib, "")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		q, err := judge.ParseArgs("zs", []string{"value=0.86", "device=B32", "ze=0.30", "r1r2=0.55"})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := judge.Judge(pack, q); err != nil {
			b.Fatal(err)
		}
	}
}
